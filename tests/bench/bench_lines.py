"""Time of an uncached and a cached line, of all leaves, and memory with every map.

PYTHONPATH=service python tests/bench/bench_lines.py
"""

from __future__ import annotations

import resource
import time

import numpy as np
from leaveline.delivery import LEVELS
from leaveline.lines import Bowler, solve
from leaveline.pins import ALL_LEAVES, Leave
from leaveline.pins.carry import forget_maps


def main() -> None:
    """Print the figures; the first solve compiles and is not counted."""
    bowler = Bowler(spread=LEVELS["league"])
    solve(Leave.parse("10"), bowler)
    forget_maps()
    uncached, cached = [], []
    for leave in ALL_LEAVES[::11]:
        forget_maps()
        uncached.append(seconds_of(leave, bowler))
        cached.append(seconds_of(leave, bowler))
    for name, spent in (("uncached", uncached), ("map cached", cached)):
        p50, p95 = np.percentile(spent, [50, 95]) * 1e3
        print(f"{name} line: p50 {p50:.1f} ms, p95 {p95:.1f} ms over {len(spent)} leaves")
    print(f"uncached over cached, p50: {np.median(uncached) / np.median(cached):.1f}")
    forget_maps()
    start = time.process_time()
    for leave in ALL_LEAVES:
        solve(leave, bowler)
    spent_s = time.process_time() - start
    megabytes = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"all 1023 leaves, one bowler: {spent_s:.1f} s; peak memory {megabytes:.0f} MB")


def seconds_of(leave: Leave, bowler: Bowler) -> float:
    """Processor time of one solve [s]."""
    start = time.process_time()
    solve(leave, bowler)
    return time.process_time() - start


if __name__ == "__main__":
    main()
