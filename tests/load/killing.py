"""Workers killed at random under load while the client's bulk run goes on.

Run by itself for the long version (20,000 items):
PYTHONPATH=service:sdk:. python tests/load/killing.py [items]
"""

from __future__ import annotations

import os
import random
import signal
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from leaveline_client import Client

from tests.load.serving import Served, serving

LEAVES = ("10", "7", "3-10", "2-7", "1-2-10", "3-6-7-10", "2-4-5-8", "6-7-10")


def items(count: int) -> Iterator[dict[str, Any]]:
    """Items with ids of their own; every hundredth names a pin twice."""
    for n in range(count):
        leave = "3-3" if n % 100 == 7 else LEAVES[n % len(LEAVES)]
        yield {"id": f"n{n}", "leave": leave, "limit": 1, "seed": n // 400 + 1}


@contextmanager
def killing(served: Served, *, every_s: float) -> Iterator[list[int]]:
    """Kill a worker (SIGKILL) about so often; the process ids of the dead."""
    killed: list[int] = []
    done = threading.Event()
    choice = random.Random(20_240_601)

    def kill() -> None:
        while not done.wait(choice.uniform(0.5, 1.5) * every_s):
            workers = served.workers()
            if len(workers) > 1:
                victim = choice.choice(sorted(workers))
                os.kill(victim, signal.SIGKILL)
                killed.append(victim)

    thread = threading.Thread(target=kill)
    thread.start()
    try:
        yield killed
    finally:
        done.set()
        thread.join()


def main(count: int) -> int:
    """Run it and print what became of every item; 1 where one was lost or came twice."""
    with tempfile.TemporaryDirectory() as folder, serving(Path(folder) / "out.jsonl") as served:
        start = time.monotonic()
        output = Path(folder) / "rows.jsonl"
        with Client(served.url, max_retries=8) as client, killing(served, every_s=2.0) as killed:
            rows = list(client.lines_many(items(count), output=output, progress=True))
        spent_s = time.monotonic() - start
        times = Counter(row.index for row in rows)
        failed = [row for row in rows if row.problem is not None]
        codes = Counter(row.problem.type for row in failed if row.problem is not None)
        expected = len(range(7, count, 100))
        print(
            f"{count} items in {spent_s:.0f} s, {len(killed)} workers killed: "
            f"{len(times)} items ended, {sum(n > 1 for n in times.values())} more than once, "
            f"{len(failed)} with a problem ({expected} are bad on purpose) {dict(codes)}"
        )
        lost = len(times) != count or len(rows) != count or len(failed) != expected
        return int(lost)


if __name__ == "__main__":
    raise SystemExit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000))
