"""The lines of a checked request, kept for the next time it is asked."""

from __future__ import annotations

from functools import lru_cache

from leaveline.lines.line import Line
from leaveline.lines.solve import solve
from leaveline.web.line_schemas import LinesRequest

SOLVED_KEPT = 4096
"""Answers kept in a worker; a line takes about 2 kB."""
_solve_kept = lru_cache(maxsize=SOLVED_KEPT)(solve)


def solved_lines(asked: LinesRequest) -> list[Line]:
    """The best lines of each play asked for, spare first."""
    return [
        line
        for play in asked.plays
        for line in _solve_kept(
            asked.leave, asked.bowler, play=play, limit=asked.limit, seed=asked.seed
        )
    ]
