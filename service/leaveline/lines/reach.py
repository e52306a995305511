"""How far to the left and to the right a leave can be played, and what ends it on each side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from leaveline.lines.bowler import Bowler
from leaveline.lines.cautions import LONG_SHOT_BELOW
from leaveline.lines.line import Line
from leaveline.lines.solve import DEFAULT_SEED, evaluate, lay_down_range, make_probabilities
from leaveline.pins.leave import Leave

FloatArray = npt.NDArray[np.float64]

LimitedBy = Literal["lane", "gutter", "dry_boards", "pins"]

WORTH_PLAYING = 0.9
"""A lay-down is within reach while its best target makes at least this share of the best line's."""
TARGET_STEP_BOARDS = 0.2
TARGETS_TRIED_BOARDS = 3.0
"""From one board to the next the best target moves by less than one; it is looked for this far
about the last one."""
MORE_LOST = MORE_DRY = 0.05
"""The gutter, or dry boards, end it where at least this much more of the throws are lost there, or
run over them, than at the best line."""


@dataclass(frozen=True, slots=True)
class ReachEnd:
    """The last line to one side that is worth playing, and what ends it there.

    `limited_by` is the lane (there are no more boards to lay the ball down on), the gutter, dry
    boards beside the oil, or the pins: from farther out they are simply made less often.
    """

    line: Line
    limited_by: LimitedBy


@dataclass(frozen=True, slots=True)
class Reach:
    """The ends to the left and to the right, as the bowler sees them."""

    left: ReachEnd
    right: ReachEnd


def reach_of(leave: Leave, bowler: Bowler, best: Line, *, seed: int = DEFAULT_SEED) -> Reach | None:
    """Walk the lay-down board out to both sides of the best line, in whole boards.

    None for a long shot: nine tenths of next to nothing is within the model's own noise.

    At each board the best target near the last one is taken; the walk ends at the last board before
    one from which the spare is made less than WORTH_PLAYING times as often as from the best.
    """
    if best.make_probability < LONG_SHOT_BELOW:
        return None
    walk = _Walk(leave, bowler, best, seed)
    higher, lower = walk.end(1.0), walk.end(-1.0)
    return Reach(higher, lower) if bowler.hand == "right" else Reach(lower, higher)


class _Walk:
    """Walks outwards from one line."""

    def __init__(self, leave: Leave, bowler: Bowler, best: Line, seed: int) -> None:
        self.leave, self.bowler, self.best, self.seed = leave, bowler, best, seed
        count = round(TARGETS_TRIED_BOARDS / TARGET_STEP_BOARDS)
        self.around: FloatArray = (
            np.arange(-count, count + 1, dtype=np.float64) * TARGET_STEP_BOARDS
        )

    def end(self, step: float) -> ReachEnd:
        """Walk towards higher boards (1) or lower ones (-1)."""
        reach = lay_down_range(self.bowler)
        enough = WORTH_PLAYING * self.best.make_probability
        board, target = self.best.lay_down_board, self.best.target_board
        while True:
            beyond = board + step
            if not reach.lowest_board <= beyond <= reach.highest_board:
                return ReachEnd(self._line(board, target), "lane")
            beyond_target, made = self._best_target(beyond, target)
            if made < enough:
                ended_by = self._what_ends_it(self._line(beyond, beyond_target))
                return ReachEnd(self._line(board, target), ended_by)
            board, target = beyond, beyond_target

    def _best_target(self, lay_down_board: float, near_target_board: float) -> tuple[float, float]:
        """Give the best target near a board, and how often it makes the spare."""
        targets = near_target_board + self.around
        made = make_probabilities(
            self.leave,
            self.bowler,
            lay_down_board=lay_down_board,
            target_boards=targets,
            seed=self.seed,
        )
        best = int(np.argmax(made))
        return round(float(targets[best]), 1), float(made[best])

    def _line(self, lay_down_board: float, target_board: float) -> Line:
        return evaluate(
            self.leave,
            self.bowler,
            lay_down_board=lay_down_board,
            target_board=target_board,
            seed=self.seed,
        )

    def _what_ends_it(self, beyond: Line) -> LimitedBy:
        if beyond.dry_probability >= self.best.dry_probability + MORE_DRY:
            return "dry_boards"
        if beyond.lost_probability >= self.best.lost_probability + MORE_LOST:
            return "gutter"
        return "pins"
