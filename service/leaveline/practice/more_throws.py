"""How many more throws, and at what, would tell the spread, and would halve its interval.

Near the estimate the posterior is taken as normal with covariance V over (log spread, lean). A
throw at a leave brings the Fisher information g g' with g = grad p / sqrt(p (1 - p)); n of them
change the variance of the log spread to

    V00 - n (V g)0^2 / (1 + n g' V g)

(rank-one update of an inverse, Sherman and Morrison, from memory), which is solved for the V00
wanted; a quarter of it halves the interval. A recorded miss at the target brings 2 for the log
spread and 1 / spread^2 for the lean (normal distribution); of all of them together one is lost to
the spread, as a sample's deviation about its own mean has n - 1 degrees of freedom (textbook),
and less than one as far as the lean is known already. All of it is an estimate before the
throws are thrown, good to a quarter or so of the width: the posterior is not quite normal, and
what the throws show may differ.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from leaveline.lines import Bowler
from leaveline.pins import Leave
from leaveline.practice.forward import (
    HIGHEST_SCALE_BOARDS,
    LARGEST_LEAN_BOARDS,
    LOWEST_SCALE_BOARDS,
    MakeTable,
    line_for,
    table_of,
)
from leaveline.practice.posterior import NEVER_SURE
from leaveline.practice.steps import Check, go_on

FloatArray = npt.NDArray[np.float64]

SINGLE_PINS = tuple(Leave.of([pin]) for pin in range(1, 11))
STEP_LOG, STEP_BOARDS = 0.1, 0.1
LEAVES_NAMED = 3
MOST_WORTH_NAMING = 5000
"""Nobody throws more than this, at one leave or with every miss written down, to learn about a
spread."""


@dataclass(frozen=True, slots=True)
class MoreThrows:
    """What would narrow the interval.

    Attributes
    ----------
    leave : Leave or None
        Where to throw; None for any leave, with the miss at the target written down.
    throws : int
        What would halve the interval.
    throws_to_tell : int or None
        What would tell the spread: 0 where the data do already, None where throws there never
        would.
    lay_down_board, target_board : float or None
        The line to throw at the leave.
    """

    leave: Leave | None
    throws: int
    throws_to_tell: int | None
    lay_down_board: float | None = None
    target_board: float | None = None

    @property
    def words(self) -> str:
        """What to throw to halve the interval."""
        return self._words(self.throws)

    @property
    def words_to_tell(self) -> str:
        """What to throw to tell the spread; empty where nothing is needed or nothing helps."""
        return self._words(self.throws_to_tell) if self.throws_to_tell else ""

    def _words(self, throws: int) -> str:
        if self.leave is None:
            return f"{throws} more throws with the miss at the target written down in boards"
        return f"{throws} more throws at the {self.leave}, makes and misses counted"


def more_throws(
    covariance: FloatArray,
    bowler: Bowler,
    target_boards: float,
    lean_boards: float,
    tables: Sequence[MakeTable],
    *,
    told_log: float,
    check: Check = go_on,
) -> tuple[MoreThrows, ...]:
    """List what would halve the interval of the spread, fewest throws first.

    Parameters
    ----------
    covariance : (2, 2)
        Of log spread and lean [boards].
    bowler : Bowler
        Whose lines at the single pins are tried besides the leaves already thrown at.
    target_boards, lean_boards : float
        Spread and lean at the target, as fitted.
    tables : sequence of MakeTable
        The leaves already thrown at.
    told_log : float
        The spread is told once its logarithm has this standard deviation.
    check : callable, optional
        Called before the work on each leave; may raise to stop.

    Returns
    -------
    tuple of MoreThrows
        Recorded misses and the three best leaves, those left out that cannot halve it in 5000
        throws: where the lean hides the spread, throws at one leave may never part the two.
    """
    known = {table.leave: table for table in tables}
    for leave in SINGLE_PINS:
        if leave not in known:
            check()
            line = line_for(leave, bowler, target_boards=target_boards)
            known[leave] = table_of(leave, bowler, line)
    now = float(covariance[0, 0])
    half, told = now / 4, min(now, told_log**2)
    at_leaves = []
    for leave, table in known.items():
        gradient = _gradient(table, target_boards, lean_boards)
        if throws := _to_reach(half, covariance, gradient):
            to_tell = _to_reach(told, covariance, gradient)
            boards = table.lay_down_board, table.target_board
            at_leaves.append(MoreThrows(leave, throws, to_tell, *boards))
    found = sorted(at_leaves, key=lambda one: one.throws)[:LEAVES_NAMED]
    if throws := _recorded_to_reach(half, covariance, target_boards):
        to_tell = _recorded_to_reach(told, covariance, target_boards)
        found.append(MoreThrows(None, throws, to_tell))
    return tuple(sorted(found, key=lambda one: one.throws))


def _gradient(table: MakeTable, target_boards: float, lean_boards: float) -> FloatArray:
    """Slope of the make probability in log spread and lean, over the deviation of one throw."""
    factor = math.exp(STEP_LOG)
    scale = np.array([target_boards / factor, target_boards, target_boards * factor])
    lean = lean_boards + STEP_BOARDS * np.array([-1.0, 0.0, 1.0])
    # At the ends of the table's range the step is taken to one side only.
    scale = np.clip(scale, LOWEST_SCALE_BOARDS, HIGHEST_SCALE_BOARDS)
    lean = np.clip(lean, -LARGEST_LEAN_BOARDS, LARGEST_LEAN_BOARDS)
    chance = table.over(scale, lean)
    of_scale = (chance[2, 1] - chance[0, 1]) / math.log(scale[2] / scale[0])
    of_lean = (chance[1, 2] - chance[1, 0]) / (lean[2] - lean[0])
    middle = min(max(float(chance[1, 1]), NEVER_SURE), 1 - NEVER_SURE)
    return np.array([of_scale, of_lean]) / math.sqrt(middle * (1 - middle))


def _to_reach(variance: float, covariance: FloatArray, gradient: FloatArray) -> int | None:
    """Throws until the log spread has this variance; None where it never has."""
    wanted = float(covariance[0, 0]) - variance
    if wanted <= 0:
        return 0
    seen = covariance @ gradient
    gained = float(seen[0] ** 2 - wanted * (gradient @ seen))
    if gained <= 0 or wanted / gained > MOST_WORTH_NAMING:
        return None
    return math.ceil(wanted / gained)


def _recorded_to_reach(variance: float, covariance: FloatArray, target_boards: float) -> int | None:
    """Recorded misses until the log spread has this variance, by halving; None for too many.

    The information of n misses is diag(2 (n - lost), n / spread^2), where `lost` is the share of
    what is then known of the lean that these misses brought.
    """
    if covariance[0, 0] <= variance:
        return 0
    precision = np.linalg.inv(covariance)
    of_lean = float(covariance[1, 1]) / target_boards**2

    def enough(throws: int) -> bool:
        lost = throws * of_lean / (1 + throws * of_lean)
        brought = np.diag([2 * (throws - lost), throws / target_boards**2])
        return bool(np.linalg.inv(precision + brought)[0, 0] <= variance)

    if not enough(MOST_WORTH_NAMING):
        return None
    low, high = 0, MOST_WORTH_NAMING
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high
