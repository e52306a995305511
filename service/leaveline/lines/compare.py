"""Which of several balls or releases makes a leave most often, and by how much."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from leaveline.lines.bowler import Bowler
from leaveline.lines.line import Line, Play
from leaveline.lines.solve import DEFAULT_SEED, solve
from leaveline.pins.leave import Leave


@dataclass(frozen=True, slots=True)
class Option:
    """One ball or release with its own best line.

    Attributes
    ----------
    index : int
        Place among the options given, from 0.
    line : Line
    behind : float
        Make probability of the best option less this one's.
    standard_error : float
        Uncertainty of `behind`, as if both were worked out apart. They share one set of throws, so
        the true one is smaller.
    """

    index: int
    line: Line
    behind: float
    standard_error: float


def compare(
    leave: Leave, bowlers: Sequence[Bowler], *, play: Play = "spare", seed: int = DEFAULT_SEED
) -> tuple[Option, ...]:
    """Solve a leave for each bowler (one and the same, with another ball), best first.

    Raises
    ------
    ValueError
        Without any bowler.
    """
    if not bowlers:
        raise ValueError("bowlers: at least one is needed")
    lines = [solve(leave, bowler, play=play, limit=1, seed=seed)[0] for bowler in bowlers]
    order = sorted(range(len(lines)), key=lambda i: -lines[i].make_probability)
    best = lines[order[0]]
    return tuple(
        Option(
            index=i,
            line=lines[i],
            behind=best.make_probability - lines[i].make_probability,
            standard_error=0.0
            if i == order[0]
            else math.hypot(best.standard_error, lines[i].standard_error),
        )
        for i in order
    )
