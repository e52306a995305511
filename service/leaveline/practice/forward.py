"""How often a bowler of any spread and lean makes a leave: the model that is run backwards.

One number stands for how accurate a bowler is: the standard deviation at the target, in boards.
The other spreads go with it in the proportion the level presets have. A lean is a mean miss at
the target, in boards, positive to the right seen from the bowler, whichever the ball hand.

Lines are solved and tables worked out once and kept; nothing here depends on what was asked
before.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from scipy.interpolate import RectBivariateSpline

from leaveline.delivery import LEVELS, Spread
from leaveline.lines import Bowler, Line, make_probabilities, solve
from leaveline.pins import Leave

FloatArray = npt.NDArray[np.float64]

LOWEST_SCALE_BOARDS, HIGHEST_SCALE_BOARDS = 0.25, 5.0
"""Half the best preset's spread at the target, and two and a half times the widest preset's: not
far beyond, the axis rotation in proportion leaves the range a `Spread` allows."""
LARGEST_LEAN_BOARDS = 10.0
"""Four times as much at the pins, the whole width of the lane: whoever leans more hits nothing."""
SCALES = np.geomspace(LOWEST_SCALE_BOARDS, HIGHEST_SCALE_BOARDS, 24)
_FAR_LEANS = np.arange(4.5, LARGEST_LEAN_BOARDS + 0.25, 0.5)
LEANS = np.concatenate([-_FAR_LEANS[::-1], np.linspace(-4.0, 4.0, 41), _FAR_LEANS])
"""Close together where a line that is meant to make the leave has its miss room.
Between these the table is a cubic spline: off by 0.001 on average, 0.006 at most within 4 boards
of lean, where another set of throws moves the model itself by 0.002 and 0.015 (eight leaves
tried); farther out, with lines that miss as they are meant, by 0.001 and 0.014."""

LINE_SPREADS_BOARDS = (0.5, 0.65, 0.8, 1.0, 1.3, 1.6, 1.9, 2.4, 3.0, 4.0)
"""Spreads at the target for which lines are solved; the nearest one serves. The presets' own are
among them. A line hardly changes in between, and so it can be kept. Whoever is better than the
best preset is given that preset's lines."""

_PRESETS = sorted(LEVELS.values(), key=lambda spread: spread.target_boards)
_LOG_TARGETS = np.log([spread.target_boards for spread in _PRESETS])
_LOG_SHARES = {
    field.name: np.log([getattr(spread, field.name) / spread.target_boards for spread in _PRESETS])
    for field in fields(Spread)
}


def in_proportion(name: str, target_boards: FloatArray) -> FloatArray:
    """Give one field of `Spread` for spreads at the target [boards], as the presets have it.

    The field's share of the target's spread is interpolated between the presets (both on a
    logarithmic scale) and kept at the outermost preset's beyond them.
    """
    share = np.interp(np.log(target_boards), _LOG_TARGETS, _LOG_SHARES[name])
    value: FloatArray = target_boards * np.exp(share)
    return value


def spread_in_proportion(target_boards: float) -> Spread:
    """Give the whole spread of a bowler whose spread at the target is this one [boards].

    A preset's own value gives that preset.
    """
    scale = np.array([target_boards])
    return Spread(**{field.name: float(in_proportion(field.name, scale)[0])
                     for field in fields(Spread)})  # fmt: skip


def line_spread(target_boards: float) -> Spread:
    """Give the nearest spread for which lines are solved (on a logarithmic scale)."""
    nearest = min(LINE_SPREADS_BOARDS, key=lambda rung: abs(math.log(rung / target_boards)))
    return spread_in_proportion(nearest)


def line_for(leave: Leave, bowler: Bowler, *, target_boards: float) -> Line:
    """Give the best line at a leave for this bowler with a spread about so wide at the target."""
    return _solved(leave, replace(bowler, spread=line_spread(target_boards)))


@lru_cache(maxsize=4096)
def _solved(leave: Leave, bowler: Bowler) -> Line:
    return solve(leave, bowler, limit=1)[0]


@dataclass(frozen=True, slots=True, eq=False)
class MakeTable:
    """Make probability of one line at one leave, for any spread and lean.

    Attributes
    ----------
    leave : Leave
    lay_down_board, target_board : float
        The line meant.
    """

    leave: Leave
    lay_down_board: float
    target_board: float
    _spline: Callable[..., FloatArray]

    def over(self, target_boards: FloatArray, lean_boards: FloatArray) -> FloatArray:
        """Make probability for spreads (s,) and leans (b,), both ascending; shape (s, b)."""
        # Where the table is flat at none or all, a spline swings a little beyond.
        return np.clip(self._spline(np.log(target_boards), lean_boards), 0.0, 1.0)

    def at(self, target_boards: float, lean_boards: float = 0.0) -> float:
        """The same for one spread and lean."""
        return float(self.over(np.array([target_boards]), np.array([lean_boards]))[0, 0])


def table_for(
    leave: Leave, bowler: Bowler, *, lay_down_board: float, target_board: float
) -> MakeTable:
    """Give the table of one line at one leave; the bowler's own spread plays no part."""
    anyone = replace(bowler, spread=LEVELS["league"])
    return _table(leave, anyone, lay_down_board, target_board)


def table_of(leave: Leave, bowler: Bowler, line: Line) -> MakeTable:
    """The same for a solved line."""
    return table_for(
        leave, bowler, lay_down_board=line.lay_down_board, target_board=line.target_board
    )


@lru_cache(maxsize=4096)
def _table(leave: Leave, bowler: Bowler, lay_down_board: float, target_board: float) -> MakeTable:
    # Boards count from the ball-hand side, so to the right is down for a right-hander only.
    to_the_right = -1.0 if bowler.hand == "right" else 1.0
    targets = target_board + to_the_right * LEANS
    chances = np.array(
        [
            make_probabilities(
                leave,
                replace(bowler, spread=spread_in_proportion(float(scale))),
                lay_down_board=lay_down_board,
                target_boards=targets,
            )
            for scale in SCALES
        ]
    )
    spline = RectBivariateSpline(np.log(SCALES), LEANS, chances)
    return MakeTable(leave, lay_down_board, target_board, spline)
