"""What the SDK costs: per call against bare requests, and in bulk against solving in process.

Run from the project's root: PYTHONPATH=service:sdk python tests/bench/bench_sdk.py
A number behind it takes every so-manieth leave in bulk; all of them take some minutes.

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
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from functools import partial
from itertools import product
from multiprocessing import get_context
from typing import Any

import requests
from leaveline.lines.bowler import Bowler
from leaveline.lines.solve import solve
from leaveline.pins.leave import ALL_LEAVES, Leave
from leaveline.web.line_schemas import bowler_from
from leaveline_client import Client
from leaveline_client.bulk import BATCH_SIZE

CALLS = 300
IMPORTS = 9
WORKERS = 2
WARM_S = 1.0  # [s]
LEVELS_ASKED = ("tour", "scratch", "league", "league", "casual")


def main() -> None:
    """Print one table for each question."""
    imports()
    with served() as url:
        per_call(url)
    in_bulk(int(sys.argv[1]) if len(sys.argv) > 1 else 1)


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


def in_bulk(step: int) -> None:
    """Every leave for ten bowlers, none asked before, so that each way really solves them.

    The two processes that call the model are the fair witness: the service's two workers do the
    same work, and beside it check every request, write and read JSON, and put rows in order. All
    share this machine's cores with the client.
    """
    leaves = ALL_LEAVES[::step]
    bowlers = [
        {"hand": hand, "level": level, "spread": {"target_boards": 0.8 + 0.1 * number}}
        for number, (hand, level) in enumerate(product(("right", "left"), LEVELS_ASKED))
    ]
    items = [
        {"id": f"{number}/{leave}", "leave": str(leave), "bowler": bowler, "limit": 1}
        for number, bowler in enumerate(bowlers)
        for leave in leaves
    ]
    solve_all(items[:1])  # loads what was compiled
    print(f"\n{f'{len(items)} items, {len(bowlers)} bowlers':<34}{'items/s':>10}{'ratio':>10}")
    rates = {}
    for name, way in (
        ("the model, one process", partial(solve_all, items)),
        (f"the model, {WORKERS} processes", partial(in_processes, items)),
        (f"SDK, lines_many, {WORKERS} workers", partial(through_the_sdk, items)),
    ):
        rates[name] = len(items) / way()
        ratio = rates[name] / rates.get(f"the model, {WORKERS} processes", rates[name])
        print(f"{name:<34}{rates[name]:>10.1f}{ratio:>10.2f}", flush=True)


def solve_all(items: list[dict[str, Any]]) -> float:
    """Call the model in this process; gives the time it took [s]."""
    start = time.perf_counter()
    for item in items:
        solve(Leave.parse(item["leave"]), bowler_from(item["bowler"]), limit=item["limit"])
    return time.perf_counter() - start


def in_processes(items: list[dict[str, Any]]) -> float:
    """Call the model in as many processes as the service has workers, batch by batch."""
    batches = [items[n : n + BATCH_SIZE] for n in range(0, len(items), BATCH_SIZE)]
    with ProcessPoolExecutor(WORKERS, mp_context=get_context("spawn")) as processes:
        # Each must have loaded what was compiled before the clock starts.
        list(processes.map(_ready, [WARM_S] * WORKERS))
        start = time.perf_counter()
        list(processes.map(solve_all, batches))
        return time.perf_counter() - start


def _ready(seconds: float) -> None:
    solve(Leave.parse("10"), Bowler(), limit=1)
    time.sleep(seconds)  # so that the other process gets one of these too


def through_the_sdk(items: list[dict[str, Any]]) -> float:
    """The same over HTTP."""
    with served() as url, Client(url) as client:
        start = time.perf_counter()
        assert all(row.result for row in client.lines_many(items))
        return time.perf_counter() - start


@contextmanager
def served() -> Iterator[str]:
    """The service as it is shipped, under gunicorn, on a free port."""
    with socket.create_server(("127.0.0.1", 0)) as found:
        address = f"127.0.0.1:{found.getsockname()[1]}"
    command = [sys.executable, "-m", "gunicorn", "--config", "deploy/gunicorn.conf.py"]
    command += ["-b", address, "leaveline.web:create_app()"]
    environment = os.environ | {
        "PYTHONPATH": os.pathsep.join(p for p in sys.path if p),
        "WEB_CONCURRENCY": str(WORKERS),
        "LEAVELINE_LOG_LEVEL": "warning",
    }
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
