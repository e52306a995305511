"""How accurate a bowler is, from what a bowler can really give.

`fit_accuracy` takes makes and attempts by leave, recorded misses in boards, or both, and finds
the spread at the target and the lean (the mean miss at the target) that the solved lines say
best explain them. The result's `spread` goes straight into a `Bowler`. How the evidence is
weighed stands in `posterior`; how a leave answers to a spread, in `forward`.

A throw counts once: give it under its leave or under its recorded miss, not under both.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from leaveline.delivery import LEVELS, Spread
from leaveline.delivery.release import Level
from leaveline.lane.dimensions import BOARD_COUNT
from leaveline.lines import Bowler
from leaveline.pins import Leave
from leaveline.practice.estimates import Method, estimates_of, lean_excludes_zero
from leaveline.practice.forward import (
    MakeTable,
    line_for,
    line_spread,
    spread_in_proportion,
    table_for,
    table_of,
)
from leaveline.practice.intervals import Estimate, weighted_estimate
from leaveline.practice.more_throws import MoreThrows, more_throws
from leaveline.practice.posterior import (
    BinnedMisses,
    Counted,
    Evidence,
    Posterior,
    posterior_of,
)
from leaveline.practice.reasons import Reason, open_ends, reasons_for
from leaveline.practice.steps import Check, go_on

MOST_THROWS = 100_000
MOST_TARGET_MISS_BOARDS = 20.0
MOST_PINS_MISS_BOARDS = 39.0
TOLD_APART_LOG = 0.25
"""The data can tell once the spread's logarithm is known to this standard deviation: two times in
three, the spread lies within a quarter of what is given."""
LINE_ROUNDS = 4


@dataclass(frozen=True, slots=True)
class LeaveResult:
    """Makes among attempts at one leave, all thrown on one line.

    Parameters
    ----------
    leave : Leave
    attempts : int
        1 to 100,000.
    made : int
        0 to `attempts`.
    lay_down_board, target_board : float, optional
        The line meant, both or neither, 0 to 40 as counted from the ball-hand side; without them
        the best line for a bowler of the fitted spread is assumed.

    Raises
    ------
    ValueError
        Names the field, its value and the allowed range.
    """

    leave: Leave
    attempts: int
    made: int
    lay_down_board: float | None = None
    target_board: float | None = None

    def __post_init__(self) -> None:
        if not 1 <= self.attempts <= MOST_THROWS:
            raise ValueError(f"attempts is {self.attempts}; allowed: 1 to {MOST_THROWS}")
        if not 0 <= self.made <= self.attempts:
            raise ValueError(f"made is {self.made}; allowed: 0 to attempts, {self.attempts}")
        if (self.lay_down_board is None) != (self.target_board is None):
            given = "lay_down_board" if self.target_board is None else "target_board"
            raise ValueError(f"{given} is given alone; allowed: both boards of a line or neither")
        for name in ("lay_down_board", "target_board"):
            board = getattr(self, name)
            if board is not None and not 0 <= board <= BOARD_COUNT + 1:
                raise ValueError(f"{name} is {board!r}; allowed: 0 to {BOARD_COUNT + 1}")


@dataclass(frozen=True, slots=True)
class FittedResult:
    """A leave's result beside what the fit says of it.

    Attributes
    ----------
    result : LeaveResult
    table : MakeTable
        The leave on its line, for any spread and lean; it holds the line's boards.
    line_assumed : bool
        Whether the line was solved, not given.
    make_probability : Estimate
        The fit's mean with its interval.
    """

    result: LeaveResult
    table: MakeTable
    line_assumed: bool
    make_probability: Estimate

    @property
    def lay_down_board(self) -> float:
        """Where the ball is laid down."""
        return self.table.lay_down_board

    @property
    def target_board(self) -> float:
        """Where it crosses the target."""
        return self.table.target_board


@dataclass(frozen=True, slots=True, eq=False)
class Accuracy:
    """A bowler's accuracy as fitted.

    Attributes
    ----------
    method : {"posterior", "likelihood"}
        Median and equal-tailed interval of the posterior, or maximum and interval of the (profile)
        likelihood.
    with_lean : bool
        Whether a lean was looked for; if not, it is zero.
    level : str or None
        The level the prior was centred on; None for all presets alike.
    confidence : float
        Of every interval here.
    bowler : Bowler
        The bowler given, with the fitted spread and no lean of its own.
    throws : int
        Throws the fit rests on.
    target_boards : Estimate
        Standard deviation at the target [boards].
    lean_boards : Estimate
        Mean miss at the target [boards], positive to the right seen from the bowler.
    lean_shown : bool
        Whether the data show a lean: its 95 % interval leaves out zero.
    can_tell : bool
        Whether the data tell the spread to within about a quarter, and neither spread nor lean may
        lie beyond the range looked at.
    reasons : tuple of Reason
        Why they do not, or what else the interval hides.
    more_throws : tuple of MoreThrows
        What would halve the interval of the spread, fewest throws first; empty where it only seems
        close because the range looked at ends there.
    fitted : tuple of FittedResult
    posterior : Posterior
        Weights over spread and lean (of the likelihood alone, for that method).
    """

    method: Method
    with_lean: bool
    level: Level | None
    confidence: float
    bowler: Bowler
    throws: int
    target_boards: Estimate
    lean_boards: Estimate
    lean_shown: bool
    can_tell: bool
    reasons: tuple[Reason, ...]
    more_throws: tuple[MoreThrows, ...]
    fitted: tuple[FittedResult, ...]
    posterior: Posterior = field(repr=False)

    @property
    def spread(self) -> Spread:
        """The fitted spread, ready for a `Bowler`: the presets' proportions at this target."""
        return self.bowler.spread

    @property
    def words(self) -> str:
        """The fit in a few plain sentences."""
        return " ".join(_sentences(self))


def fit_accuracy(
    results: Sequence[LeaveResult] = (),
    *,
    target_misses_boards: Sequence[float] = (),
    pins_misses_boards: Sequence[float] = (),
    bowler: Bowler | None = None,
    level: Level | None = None,
    method: Method = "posterior",
    with_lean: bool = True,
    confidence: float = 0.8,
    check: Check = go_on,
) -> Accuracy:
    """Fit spread and lean to what was thrown.

    Parameters
    ----------
    results : sequence of LeaveResult
        Makes and attempts; single pins say most.
    target_misses_boards : sequence of float
        Recorded misses at the target [boards], 0 for a hit, positive to the right, within 20.
        Taken as rounded to the coarsest of 1, 0.5 and 0.1 boards that fits them all.
    pins_misses_boards : sequence of float
        The same where the ball crossed the head-pin row, within 39. Read as a straight ball's:
        4 boards for one of target error, less 3 for one of lay-down error.
    bowler : Bowler, optional
        Hand, stance, ball and release. Its own spread plays no part, and its own lean is put aside:
        a line given is where the ball was aimed, and `lean_boards` of the result is the whole lean.
    level : {"tour", "scratch", "league", "casual"}, optional
        Centre of the prior; without it all presets are as likely.
    method : {"posterior", "likelihood"}
    with_lean : bool
        Whether a lean may be found; without one the throws are taken to go where they are meant
        on average, as those of many bowlers together do. Makes and misses alone hardly part a
        lean from a wider spread; the likelihood alone parts them only with recorded misses.
    confidence : float
        Of the intervals, 0.5 to 0.99.
    check : callable, optional
        Called before the work on each leave; may raise to stop.

    Returns
    -------
    Accuracy

    Raises
    ------
    ValueError
        Names the field, its value and the allowed range; also for the likelihood of no throws.

    Notes
    -----
    Where a result names no line, the best line for the fitted spread is assumed: the fit is
    repeated with the lines it leads to until they stay the same.

    Spreads of 0.25 to 5 boards and leans of up to 10 are looked at; where the data may lie beyond,
    a reason says so and `can_tell` is false.
    """
    _check(target_misses_boards, pins_misses_boards, method, level, confidence)
    anyone = replace(bowler or Bowler(), lean_boards=0.0)
    throws = sum(one.attempts for one in results)
    throws += len(target_misses_boards) + len(pins_misses_boards)
    if method == "likelihood" and not throws:
        raise ValueError("no throw is given; allowed: at least one, or the posterior")
    at_target = BinnedMisses.of(target_misses_boards)
    at_pins = BinnedMisses.of(pins_misses_boards)
    scale = LEVELS[level or "league"].target_boards
    for _ in range(LINE_ROUNDS):
        tables = [_table_for(one, anyone, scale, check) for one in results]
        counted = tuple(
            Counted(table, one.made, one.attempts - one.made)
            for table, one in zip(tables, results, strict=True)
        )
        evidence = Evidence(counted, at_target, at_pins)
        posterior = posterior_of(
            evidence, level=level, with_prior=method == "posterior", with_lean=with_lean
        )
        lines_for, scale = line_spread(scale), estimates_of(posterior, method, confidence)[0].value
        if line_spread(scale) == lines_for:
            break
    fitted_bowler = replace(anyone, spread=spread_in_proportion(scale))
    of_scale, of_lean = estimates_of(posterior, method, confidence)
    fitted = tuple(
        _fitted(one, table, posterior, confidence)
        for one, table in zip(results, tables, strict=True)
    )
    ends = open_ends(posterior, of_scale, of_lean, at_target.mean if with_lean else 0.0)
    narrow = math.sqrt(posterior.covariance()[0, 0]) <= TOLD_APART_LOG
    return Accuracy(
        method=method,
        with_lean=with_lean,
        level=level,
        confidence=confidence,
        bowler=fitted_bowler,
        throws=throws,
        target_boards=of_scale,
        lean_boards=of_lean if with_lean else Estimate(0.0, 0.0, 0.0),
        lean_shown=with_lean and lean_excludes_zero(posterior, method),
        can_tell=narrow and not ends.any,
        reasons=reasons_for(throws, narrow, ends, of_scale, tables),
        more_throws=()
        if narrow and ends.any
        else more_throws(
            posterior.covariance(),
            fitted_bowler,
            of_scale.value,
            of_lean.value,
            tables,
            told_log=TOLD_APART_LOG,
            check=check,
        ),
        fitted=fitted,
        posterior=posterior,
    )


def _table_for(result: LeaveResult, bowler: Bowler, scale: float, check: Check) -> MakeTable:
    check()
    if result.lay_down_board is None or result.target_board is None:
        return table_of(result.leave, bowler, line_for(result.leave, bowler, target_boards=scale))
    return table_for(
        result.leave,
        bowler,
        lay_down_board=result.lay_down_board,
        target_board=result.target_board,
    )


def _fitted(
    result: LeaveResult, table: MakeTable, posterior: Posterior, confidence: float
) -> FittedResult:
    return FittedResult(
        result=result,
        table=table,
        line_assumed=result.lay_down_board is None,
        make_probability=weighted_estimate(*posterior.chances(table), confidence=confidence),
    )


def _check(
    at_target: Sequence[float],
    at_pins: Sequence[float],
    method: str,
    level: str | None,
    confidence: float,
) -> None:
    for name, misses, most in (
        ("target_misses_boards", at_target, MOST_TARGET_MISS_BOARDS),
        ("pins_misses_boards", at_pins, MOST_PINS_MISS_BOARDS),
    ):
        if len(misses) > MOST_THROWS:
            raise ValueError(f"{name} has {len(misses)} values; allowed: at most {MOST_THROWS}")
        for place, miss in enumerate(misses):
            if not -most <= miss <= most:
                raise ValueError(f"{name}[{place}] is {miss!r}; allowed: {-most:g} to {most:g}")
    if method not in ("posterior", "likelihood"):
        raise ValueError(f"method is {method!r}; allowed: posterior, likelihood")
    if level is not None and level not in LEVELS:
        raise ValueError(f"level is {level!r}; allowed: {', '.join(LEVELS)}")
    if not 0.5 <= confidence <= 0.99:
        raise ValueError(f"confidence is {confidence!r}; allowed: 0.5 to 0.99")


def _sentences(fit: Accuracy) -> list[str]:
    scale, lean = fit.target_boards, fit.lean_boards
    sure = f"{fit.confidence:.0%}".replace("%", " %")
    said = [
        f"{fit.throws} throws: the spread at the target is about {scale.value:.2f} boards "
        f"({sure} interval {scale.low:.2f} to {scale.high:.2f})."
    ]
    if fit.with_lean:
        side = "right" if lean.value > 0 else "left"
        ends = f"interval {lean.low:+.2f} to {lean.high:+.2f}, right is positive"
        if fit.lean_shown:
            said.append(f"They lean {abs(lean.value):.2f} boards to the {side} there ({ends}).")
        elif lean.low > 0 or lean.high < 0:
            said.append(f"They may lean to the {side}, but that is not sure yet ({ends}).")
        else:
            said.append(f"No lean to one side shows ({ends}).")
    said += [reason.words for reason in fit.reasons]
    telling = [one for one in fit.more_throws if one.throws_to_tell]
    if telling:
        fewest = min(telling, key=lambda one: one.throws_to_tell or 0)
        said.append(f"To tell the spread to about a quarter: {fewest.words_to_tell}.")
    elif fit.more_throws:
        said.append(f"To halve the interval: {fit.more_throws[0].words}.")
    return said
