"""The real service under gunicorn with the settings that are shipped, over real sockets."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import requests
from prometheus_client.parser import text_string_to_metric_families

ROOT = Path(__file__).parents[2]
START_S = 120  # [s] the kernels may have to be compiled first
STOP_S = 90  # [s]
WAIT_S = 60  # [s]


@dataclass(slots=True)
class Served:
    """A running service."""

    url: str
    port: int
    process: subprocess.Popen[bytes]
    log: Path

    def workers(self) -> list[int]:
        """Process ids of the workers that live."""
        found = []
        for status in Path("/proc").glob("[0-9]*/stat"):
            try:
                after_name = status.read_text().rpartition(")")[2].split()
            except OSError:
                continue
            if int(after_name[1]) == self.process.pid and after_name[0] != "Z":
                found.append(int(status.parent.name))
        return found

    def log_lines(self) -> list[dict[str, Any]]:
        """What it has logged so far."""
        return [json.loads(line) for line in self.log.read_text().splitlines()]

    def metric(self, name: str, **labels: str) -> float:
        """Sum of the samples of a name that carry these labels, over all workers."""
        text = requests.get(f"{self.url}/metrics", timeout=30).text
        return sum(
            sample.value
            for family in text_string_to_metric_families(text)
            for sample in family.samples
            if sample.name == name and labels.items() <= sample.labels.items()
        )

    def stop(self) -> int:
        """Ask it to stop and wait; its exit status."""
        self.process.send_signal(signal.SIGTERM)
        return self.process.wait(STOP_S)


def own_environment() -> dict[str, str]:
    """This process's environment without the settings that somebody may have made for a service."""
    return {name: v for name, v in os.environ.items() if not name.startswith("LEAVELINE_")}


def wait_until(holds: Callable[[], bool], what: str) -> None:
    """Wait until something holds; fails with what was waited for where it never does."""
    end = time.monotonic() + WAIT_S
    while not holds():
        assert time.monotonic() < end, f"not within {WAIT_S} s: {what}"
        time.sleep(0.02)


@contextmanager
def serving(
    log: Path,
    *,
    app: str = "leaveline.web:create_app()",
    workers: int = 2,
    wait_for: str = "/healthz",
    **environment: str,
) -> Iterator[Served]:
    """Serve until the block ends; standard output goes to a file."""
    with socket.create_server(("127.0.0.1", 0)) as found:
        port = found.getsockname()[1]
    paths = os.pathsep.join(str(ROOT / name) for name in ("service", "sdk", "."))
    config = str(ROOT / "deploy" / "gunicorn.conf.py")
    with log.open("wb") as out:
        process = subprocess.Popen(
            [sys.executable, "-m", "gunicorn", "-c", config, "-b", f"127.0.0.1:{port}", app],
            cwd=ROOT,
            env=own_environment()
            | {"PYTHONPATH": paths, "WEB_CONCURRENCY": str(workers)}
            | environment,
            stdout=out,
        )
    served = Served(f"http://127.0.0.1:{port}", port, process, log)
    try:
        _wait_until_up(served, wait_for)
        yield served
    finally:
        if process.poll() is None:
            served.stop()


def _wait_until_up(served: Served, path: str) -> None:
    end = time.monotonic() + START_S
    while time.monotonic() < end:
        assert served.process.poll() is None, "gunicorn ended before it answered"
        try:
            if requests.get(served.url + path, timeout=5).ok:
                return
        except requests.ConnectionError:
            time.sleep(0.05)
    raise AssertionError(f"no answer within {START_S} s")
