"""The lines of a checked request, kept for the next time it is asked."""

from __future__ import annotations

from functools import lru_cache

from leaveline.lines.bowler import Bowler
from leaveline.lines.line import Line, Play
from leaveline.lines.solve import solve
from leaveline.pins.leave import Leave
from leaveline.web import metrics, tracing
from leaveline.web.line_schemas import LinesRequest
from leaveline.web.work import work

SOLVED_KEPT = 4096
"""Answers kept in a worker; a line takes about 2 kB."""


def solved_lines(asked: LinesRequest) -> list[Line]:
    """The best lines of each play asked for, spare first.

    Raises
    ------
    Problem
        503 where the request's time has passed before a play is searched.
    """
    return [line for play in asked.plays for line in _lines(asked, play)]


def _lines(asked: LinesRequest, play: Play) -> tuple[Line, ...]:
    current = work()
    current.check()
    searched = current.done.get("searches", 0)
    found = _solve_kept(asked.leave, asked.bowler, play=play, limit=asked.limit, seed=asked.seed)
    kept = current.done.get("searches", 0) == searched
    if kept:
        current.add("searches_kept")
    metrics.count_lookup("solved_lines", hit=kept)
    return found


@lru_cache(maxsize=SOLVED_KEPT)
def _solve_kept(
    leave: Leave, bowler: Bowler, *, play: Play, limit: int, seed: int
) -> tuple[Line, ...]:
    work().add("searches")
    with tracing.step("search for a line", leave=str(leave), play=play):
        return solve(leave, bowler, play=play, limit=limit, seed=seed)
