"""Questions between games: how accurate, what to practise, which ball for spares."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from leaveline_client.answers.practice import EstimateAnswer
from leaveline_client.asking.lane import Lane
from leaveline_client.asking.plain import Asked, LeaveLike
from leaveline_client.asking.situation import Scoring
from leaveline_client.asking.throwing import Ball, Bowler, Release, Spread


@dataclass(frozen=True, slots=True, kw_only=True)
class LeaveResult(Asked):
    """Makes among attempts at one leave, all thrown on one line.

    Parameters
    ----------
    leave : str or iterable of int
        The pins thrown at.
    attempts, made : int
        Balls thrown, and how many made it.
    lay_down_board, target_board : float, optional
        The line meant, both or neither; without it the best one is assumed.
    """

    leave: LeaveLike
    attempts: int
    made: int
    lay_down_board: float | None = None
    target_board: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AccuracyRequest(Asked):
    """What was thrown, as `Client.accuracy` asks about it.

    Parameters
    ----------
    results : sequence of LeaveResult, optional
        Makes and attempts by leave; single pins say most.
    target_misses_boards, pins_misses_boards : sequence of float, optional
        Recorded misses at the target, or at the pins [boards], positive to the right.
    bowler, lane : optional
        Who threw, without a spread, and on what.
    look_for_lean : bool, optional
        Whether the throws may go to one side on average.
    confidence : float, optional
        Of the intervals.
    """

    results: Sequence[LeaveResult | Mapping[str, Any]] | None = None
    target_misses_boards: Sequence[float] | None = None
    pins_misses_boards: Sequence[float] | None = None
    bowler: Bowler | Mapping[str, Any] | None = None
    lane: Lane | Mapping[str, Any] | None = None
    look_for_lean: bool | None = None
    confidence: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonRow(Asked):
    """One bowled frame, or one practice ball at a leave.

    It needs its rolls, or its leave and whether it was made. What cannot be read is reported in
    the answer, with the row's number and the reason.

    Parameters
    ----------
    date, game : str, optional
        Labels; together they name a game.
    frame : int, optional
        1 to 10.
    rolls : str or sequence of int and str, optional
        The frame's balls, pins or sheet symbols: `9/`, `X`, `8 1`, `S7 2`.
    leave : str or iterable of int, optional
        Pins the spare ball was thrown at.
    ball : str, optional
        Label of the spare ball.
    missed_target_by_boards : float or str, optional
        Miss at the target [boards], positive to the right; or `hit`, `1.5 left`.
    made : bool or str, optional
        Whether the spare was made.
    lay_down_board, target_board : float, optional
        The line meant, both or neither.
    """

    date: str | None = None
    game: str | int | None = None
    frame: int | None = None
    rolls: str | Sequence[int | str] | None = None
    leave: LeaveLike | None = None
    ball: str | None = None
    missed_target_by_boards: float | str | None = None
    made: bool | str | None = None
    lay_down_board: float | None = None
    target_board: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewRequest(Asked):
    """Bowled games, as `Client.review` asks about them.

    Parameters
    ----------
    rows : iterable of SeasonRow, optional
        The frames; or `csv`.
    csv : str, optional
        Text of a CSV file whose columns have the names of a SeasonRow's fields.
    bowler, lane : optional
        Who bowled, and on what; with a spread, the accuracy is taken as known.
    scoring : {"traditional", "current_frame"}, optional
        How the games are scored.
    confidence, drill_confidence : float, optional
        Of the intervals, and of the drills' scores.
    limit : int, optional
        Most things to practise.
    """

    rows: Iterable[SeasonRow | Mapping[str, Any]] | None = None
    csv: str | None = None
    bowler: Bowler | Mapping[str, Any] | None = None
    lane: Lane | Mapping[str, Any] | None = None
    scoring: Scoring | None = None
    confidence: float | None = None
    drill_confidence: float | None = None
    limit: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedOption(Asked):
    """A way to throw spares: what it changes of the bowler.

    Parameters
    ----------
    name : str
        A plain name, no two alike.
    ball : Ball, optional
        In the place of the bowler's; its weight stays where left out.
    release, spread : optional
        Over the bowler's, field by field.
    """

    name: str
    ball: Ball | Mapping[str, Any] | None = None
    release: Release | Mapping[str, Any] | None = None
    spread: Spread | Mapping[str, Any] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LeaveCount(Asked):
    """How often one leave came up.

    Parameters
    ----------
    leave : str or iterable of int
        The standing pins.
    count : int
        How often.
    """

    leave: LeaveLike
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval(Asked):
    """A fitted value with its interval, as an accuracy's answer has it.

    Parameters
    ----------
    value, low, high : float
        The value and the ends of its interval.
    """

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonRequest(Asked):
    """Ways to throw spares, as `Client.compare` asks about them.

    Parameters
    ----------
    bowler, lane : optional
        Who throws, as spares are thrown now, and on what.
    options : sequence of ComparedOption, optional
        The ways, the present one first; the usual ones where left out.
    leave_counts, games : optional
        The bowler's own leaves, counted over so many games; or `rows`, or `csv`; usual leaves
        where all are left out.
    rows, csv, scoring : optional
        Bowled games, as in ReviewRequest.
    target_boards : Interval, optional
        What is known of the spread at the target [boards]; the intervals then cover it.
    confidence : float, optional
        Of the intervals.
    """

    bowler: Bowler | Mapping[str, Any] | None = None
    lane: Lane | Mapping[str, Any] | None = None
    options: Sequence[ComparedOption | Mapping[str, Any]] | None = None
    leave_counts: Sequence[LeaveCount | Mapping[str, Any]] | None = None
    games: float | None = None
    rows: Iterable[SeasonRow | Mapping[str, Any]] | None = None
    csv: str | None = None
    scoring: Scoring | None = None
    target_boards: Interval | EstimateAnswer | Mapping[str, Any] | None = None
    confidence: float | None = None
