"""Time of an uncached and a cached line, of all leaves, and memory with every map.

PYTHONPATH=service python tests/bench/bench_lines.py
"""

from __future__ import annotations

import resource
import time

import numpy as np
from leaveline.delivery import LEVELS, Ball, Rolling, default_release, rolling_arrivals
from leaveline.lines import Bowler, solve
from leaveline.pins import ALL_LEAVES, Leave
from leaveline.pins.carry import forget_maps

HOOKING = Bowler(
    spread=LEVELS["league"],
    rolling=Rolling(Ball(cover="reactive_solid"), default_release("strike", level="league")),
)


def main() -> None:
    """Print the figures; the first solve compiles and is not counted."""
    bowler = Bowler(spread=LEVELS["league"])
    for who in (bowler, HOOKING):
        solve(Leave.parse("10"), who)
    forget_maps()
    hooking = []
    for leave in ALL_LEAVES[::11]:
        forget_maps()
        rolling_arrivals.cache_clear()
        hooking.append(seconds_of(leave, HOOKING))
    p50, p95 = np.percentile(hooking, [50, 95]) * 1e3
    print(f"uncached line, hooking ball, new lane and bowler: p50 {p50:.1f} ms, p95 {p95:.1f} ms")
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
    print(f"hooking over straight, uncached p50: {np.median(hooking) / np.median(uncached):.1f}")
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
