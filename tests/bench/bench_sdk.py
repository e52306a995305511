"""What the SDK costs: per call against bare requests, and in bulk against solving in process.

Run from the project's root: PYTHONPATH=service:sdk python tests/bench/bench_sdk.py

Ratios of one run are what to compare; the figures themselves change with the machine and what
else it does. The service runs under gunicorn with two workers; calls alternate, so that both ways
see the same moments.
"""

from __future__ import annotations

import os
import socket
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial

import requests
from leaveline.lines.bowler import Bowler
from leaveline.lines.solve import solve
from leaveline.pins.leave import ALL_LEAVES, Leave
from leaveline_client import Client

CALLS = 300
ITEMS = 120
IMPORTS = 9
WORKERS = 2


def main() -> None:
    """Print one table for each question."""
    imports()
    with served() as url:
        per_call(url)
    in_bulk()


def imports() -> None:
    """How long importing takes, beyond starting Python."""
    print(f"{'import':<34}{'ms':>10}")
    start_s = _median_s(partial(_python, "pass"), IMPORTS)
    for name in ("leaveline_client", "requests"):
        took_s = _median_s(partial(_python, f"import {name}"), IMPORTS) - start_s
        print(f"{name:<34}{1000 * took_s:>10.0f}")


def per_call(url: str) -> None:
    """One call after another, bare and through the SDK in turns."""
    body = {"leave": "3-6-10", "play": "both"}
    print(f"\n{'a call, answered from memory':<34}{'ms':>10}{'to bare':>10}")
    with Client(url) as client, requests.Session() as session:
        ways: dict[str, Callable[[], object]] = {
            "requests, bytes": lambda: session.post(f"{url}/v1/lines", json=body).content,
            "requests, .json()": lambda: session.post(f"{url}/v1/lines", json=body).json(),
            "SDK, typed": lambda: client.lines(leave="3-6-10", play="both"),
        }
        took_s: dict[str, list[float]] = {name: [] for name in ways}
        for number in range(CALLS + 20):
            for name, way in ways.items():
                start = time.perf_counter()
                way()
                if number >= 20:  # until then every worker has solved it once
                    took_s[name].append(time.perf_counter() - start)
    bare_s = statistics.median(took_s["requests, bytes"])
    for name, seconds in took_s.items():
        middle_s = statistics.median(seconds)
        print(f"{name:<34}{1000 * middle_s:>10.2f}{middle_s / bare_s:>10.2f}")


def in_bulk() -> None:
    """Different leaves, none asked before, so that each way really solves them."""
    leaves = ALL_LEAVES[:: len(ALL_LEAVES) // ITEMS][:ITEMS]
    items = [{"leave": str(leave), "limit": 1} for leave in leaves]

    def in_one_process(_: str) -> None:
        for leave in leaves:
            solve(leave, Bowler(), limit=1)

    def many(url: str) -> None:
        with Client(url) as client:
            assert all(row.result for row in client.lines_many(items, batch_size=10))

    def one_by_one(url: str) -> None:
        with Client(url) as client:
            for leave in leaves:
                client.lines(leave=str(leave), limit=1)

    solve(Leave.parse("10"), Bowler(), limit=1)  # loads what was compiled
    print(f"\n{f'{len(leaves)} leaves, each solved afresh':<34}{'leaves/s':>10}{'ratio':>10}")
    base = 0.0
    for name, way in (
        ("solving in one process", in_one_process),
        (f"SDK, lines_many, {WORKERS} workers", many),
        ("SDK, lines, one after another", one_by_one),
    ):
        with served() as url:  # a new one each time: it remembers what it has solved
            start = time.perf_counter()
            way(url)
            rate = len(leaves) / (time.perf_counter() - start)
        base = base or rate
        print(f"{name:<34}{rate:>10.1f}{rate / base:>10.2f}")


@contextmanager
def served() -> Iterator[str]:
    """The service under gunicorn on a free port."""
    with socket.create_server(("127.0.0.1", 0)) as found:
        address = f"127.0.0.1:{found.getsockname()[1]}"
    command = [sys.executable, "-m", "gunicorn", "-w", str(WORKERS), "-b", address]
    command += ["--log-level", "warning", "leaveline.web:create_app()"]
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(p for p in sys.path if p)}
    with subprocess.Popen(command, env=environment) as process:
        try:
            with Client(f"http://{address}", max_retries=20, total_timeout_s=60) as client:
                for _ in range(20):  # so that every worker has loaded what was compiled
                    client.ready()
            yield f"http://{address}"
        finally:
            process.terminate()


def _python(statement: str) -> None:
    subprocess.run([sys.executable, "-c", statement], check=True)


def _median_s(run: Callable[[], object], count: int) -> float:
    times = []
    for _ in range(count):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


if __name__ == "__main__":
    main()
