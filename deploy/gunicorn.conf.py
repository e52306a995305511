"""How gunicorn runs the service: a worker a core, forked from one warm parent, a graceful stop.

Settings come from the environment (`leaveline.web.settings` lists them). A proxy that buffers
requests belongs in front where strangers can connect: a worker has a bounded number of threads, and
a client that sends a byte every few seconds holds one of them.
"""

from __future__ import annotations

import os
import shutil
import signal
import socket
import struct
import sys
import tempfile
from pathlib import Path
from typing import Any

# One thread each in the numeric libraries: workers share the cores already, sums come out the same
# to the last bit on every machine, and nothing runs that a fork would lose.
for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "NUMBA_NUM_THREADS"):
    os.environ.setdefault(name, "1")

MEMORY = Path("/dev/shm")  # nosec B108 # the system's memory file system, not a guessed file name
_memory = str(MEMORY) if MEMORY.is_dir() and os.access(MEMORY, os.W_OK) else None
METRICS = "PROMETHEUS_MULTIPROC_DIR"
OWN_METRICS = "_OWN_METRICS_DIRECTORY"

# The metrics' folder has to be named before the service is imported. A reload (SIGHUP) reads this
# file again in the same process, whose workers go on counting in it.
if os.environ.get(OWN_METRICS, "").partition(" ")[0] != str(os.getpid()):
    made = not os.environ.get(METRICS) or bool(os.environ.get(OWN_METRICS))
    if made:
        os.environ[METRICS] = tempfile.mkdtemp(prefix="leaveline-metrics-", dir=_memory)
    folder = Path(os.environ[METRICS])
    folder.mkdir(parents=True, exist_ok=True)
    for left_over in folder.glob("*.db"):
        left_over.unlink()
    os.environ[OWN_METRICS] = f"{os.getpid()} {'made' if made else 'given'}"

from leaveline.web import logs, metrics  # noqa: E402
from leaveline.web.cores import usable_cores  # noqa: E402
from leaveline.web.settings import Settings, SettingsError  # noqa: E402
from leaveline.web.warm import warm  # noqa: E402


def on_exit(_server: Any) -> None:
    """At the end: remove the metrics' folder, where it was made here."""
    if os.environ[OWN_METRICS] == f"{os.getpid()} made":
        shutil.rmtree(os.environ[METRICS], ignore_errors=True)


try:
    _settings = Settings.from_environment(os.environ)
except SettingsError as error:
    on_exit(None)
    sys.exit(f"leaveline: {error}")

STALLED_S = 10
"""A client that neither sends nor takes a byte for so long is dropped."""
SPARE_THREADS = 8
"""Beyond those that compute: for probes, kept answers and telling callers to come back."""

workers = _settings.workers or usable_cores()
worker_class = "gthread"
threads = _settings.concurrency + SPARE_THREADS
worker_connections = 1000
preload_app = True
timeout = 60
graceful_timeout = _settings.time_budget_s + 5
keepalive = 15
max_requests = 100_000
max_requests_jitter = 10_000
worker_tmp_dir = _memory
control_socket_disable = True
accesslog = None
logconfig_dict = logs.configuration(_settings.log_level)


def on_starting(server: Any) -> None:
    """Before the port is opened: say the settings, and do once what every worker would do."""
    shown = _settings.public() | {"workers": workers, "threads": threads}
    server.log.info("settings", extra={"fields": {"settings": shown}})
    # Until gunicorn takes signals itself, as process 1 of a container it would ignore a stop.
    before = signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    warm(maps=_settings.warm_maps)
    signal.signal(signal.SIGTERM, before)


def when_ready(server: Any) -> None:
    """Once the port is open: bound how long a stalled client holds a thread.

    Accepted connections inherit both; Linux hands a connection over only when it has data.
    """
    span = struct.pack("ll", STALLED_S, 0)
    for listener in server.LISTENERS:
        listener.sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVTIMEO, span)
        listener.sock.setsockopt(socket.SOL_SOCKET, socket.SO_SNDTIMEO, span)
        internet = listener.sock.family in (socket.AF_INET, socket.AF_INET6)
        if internet and hasattr(socket, "TCP_DEFER_ACCEPT"):
            listener.sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_DEFER_ACCEPT, STALLED_S)


def pre_fork(server: Any, worker: Any) -> None:
    """Give a worker the lowest free place, under which it counts."""
    taken = {other.place for other in server.WORKERS.values()}
    worker.place = next(place for place in range(1, len(taken) + 2) if place not in taken)


def post_fork(_server: Any, worker: Any) -> None:
    """In the worker: count under its place."""
    metrics.take_worker_place(worker.place)


def post_worker_init(_worker: Any) -> None:
    """In the worker, once it takes signals: leave Ctrl-C to the parent.

    A terminal sends it to all of them, and the parent then stops its workers. Told twice at once, a
    worker of gunicorn's waits for itself until it is killed.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def child_exit(_server: Any, worker: Any) -> None:
    """When a worker has ended: what it had in flight is over."""
    metrics.forget_worker(worker.place)
