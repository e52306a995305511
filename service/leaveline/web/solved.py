"""The lines of a checked request, kept for the next time it is asked."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from leaveline.lines.bowler import Bowler
from leaveline.lines.known import Fitted, Move, as_moves, moves_to
from leaveline.lines.line import Line, Play
from leaveline.lines.solve import solve
from leaveline.pins.leave import Leave
from leaveline.web import metrics, tracing
from leaveline.web.known_lines import fitted_to, leaning_like
from leaveline.web.line_schemas import LinesRequest
from leaveline.web.work import work

SOLVED_KEPT = 4096
"""Answers kept in a worker; a line takes about 2 kB."""


def settled(asked: LinesRequest) -> tuple[LinesRequest, Fitted | None]:
    """Put the bowler that the known lines show in the place of the one told without them.

    Also gives what those lines show; None where there are none.
    """
    fitted = fitted_to(asked.bowler, asked.known, asked.seed)
    if fitted is None:
        return asked, None
    compared = tuple(leaning_like(fitted, bowler) for bowler in asked.compared)
    return replace(asked, bowler=fitted.bowler, compared=compared), fitted


def solved_lines(asked: LinesRequest) -> list[Line]:
    """The best lines of each play asked for, spare first, of a settled request.

    Raises
    ------
    Problem
        503 where the request's time has passed before a play is searched.
    """
    return [line for play in asked.plays for line in _lines(asked, play)]


def told_lines(asked: LinesRequest) -> list[tuple[Line, tuple[Move, ...]]]:
    """The solved lines of a settled request, as moves from those the bowler trusts, if any.

    The best line may give way to one that is easier to move to; the alternatives stay as they are.
    """
    lines = solved_lines(asked)
    if not asked.known:
        return [(line, ()) for line in lines]
    first = as_moves(asked.leave, asked.bowler, lines[0], asked.known, seed=asked.seed)
    return [first, *((line, moves_to(line, asked.known)) for line in lines[1:])]


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
