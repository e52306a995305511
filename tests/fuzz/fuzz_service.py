"""Send odd requests to the application, in process: no 5xx, no hang, no growth in memory.

PYTHONPATH=service:sdk:. python tests/fuzz/fuzz_service.py [requests] [seed]

Prints counts by status, the slowest request and the memory on the way; what fails is printed so
that it can be sent again.
"""

from __future__ import annotations

import json
import signal
import sys
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from flask.testing import FlaskClient
from leaveline.web import create_app
from leaveline.web.settings import Settings

from tests.fuzz.requests_odd import Maker, OddRequest

REQUESTS = 100_000
HANGS_S = 60
"""A request that takes longer counts as hung."""


@dataclass(slots=True)
class Outcome:
    """What came of a run."""

    by_status: Counter[int] = field(default_factory=Counter)
    failures: list[str] = field(default_factory=list)
    slowest_s: float = 0.0
    slowest: str = ""
    memory_mb: list[float] = field(default_factory=list)


def fuzz(count: int, seed: int, *, say: Any = None) -> Outcome:
    """Send odd requests and judge every answer."""
    app = create_app(Settings())
    client, outcome = app.test_client(), Outcome()
    for number, odd in zip(range(count), Maker(seed), strict=False):
        if number % max(1, count // 20) == 0:
            outcome.memory_mb.append(_resident_mb())
            if say:
                say(f"{number:8d} {outcome.memory_mb[-1]:6.0f} MB {dict(outcome.by_status)}")
        start = time.monotonic()
        signal.alarm(HANGS_S)
        try:
            wrong = _judge(client, odd, outcome)
        except Exception as error:
            wrong = f"raised {type(error).__name__}: {error}"
        finally:
            signal.alarm(0)
        spent_s = time.monotonic() - start
        if spent_s > outcome.slowest_s:
            outcome.slowest_s, outcome.slowest = spent_s, repr(odd)[:600]
        if wrong:
            outcome.failures.append(f"{wrong}: {odd!r}")
            if say:
                say(f"FAILED {outcome.failures[-1][:3000]}")
    outcome.memory_mb.append(_resident_mb())
    return outcome


def _judge(client: FlaskClient, odd: OddRequest, outcome: Outcome) -> str:
    """Send a request; what is wrong with its answer, or nothing."""
    with client.open(
        odd.path, method=odd.method, query_string=odd.query, data=odd.body, headers=odd.headers
    ) as response:
        data, status = response.get_data(), response.status_code
        outcome.by_status[status] += 1
        if status >= 500:
            return f"status {status}"
        if len(response.headers.getlist("X-Request-ID")) != 1:
            return "no request id"
        if status >= 400 and odd.method != "HEAD":
            body = json.loads(data)
            if response.mimetype != "application/problem+json" or body["status"] != status:
                return f"{status} is no problem details"
        if status == 200 and response.mimetype == "application/json" and data:
            json.loads(data, parse_constant=_not_json)
        return ""


def _not_json(name: str) -> None:
    raise ValueError(f"{name} in an answer")


def _resident_mb() -> float:
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * 4096 / 1e6


def main(count: int, seed: int) -> int:
    """Run and print; 1 where something failed or memory grew."""
    signal.signal(signal.SIGALRM, _hung)
    start = time.monotonic()
    outcome = fuzz(count, seed, say=lambda text: print(text, flush=True))
    spent_s = time.monotonic() - start
    print(f"{count} requests in {spent_s:.0f} s, {len(outcome.failures)} failed")
    print(f"by status: {dict(sorted(outcome.by_status.items()))}")
    print(f"slowest {outcome.slowest_s:.2f} s: {outcome.slowest}")
    print("memory [MB]: " + " ".join(f"{mb:.0f}" for mb in outcome.memory_mb))
    return int(bool(outcome.failures))


def _hung(*_: Any) -> None:
    raise TimeoutError(f"no answer within {HANGS_S} s")


if __name__ == "__main__":
    arguments = [int(text) for text in sys.argv[1:]]
    raise SystemExit(main(*(arguments + [REQUESTS, 1][len(arguments) :])))
