"""The search: every lay-down with every target, then the best of each kind made finer.

Works in a right-hander's world: x [in] to the right, boards from the right. Two lines are of one
kind when the ball meets the same pin on the same side from the same third of the lane.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial
from itertools import product

import numpy as np
import numpy.typing as npt

from leaveline.delivery.arrivals import (
    ANGLE,
    EDGE_MARGIN,
    SPEED,
    ArrivalTable,
    X,
)
from leaveline.lane.dimensions import BOARD_IN, CENTRE_BOARD, USUAL_SPEED_IN_S
from leaveline.lines.contact import first_contacts
from leaveline.lines.integrate import MapView, arrivals_as_meant, averages
from leaveline.pins.carry import ShareArray
from leaveline.pins.leave import Leave

FloatArray = npt.NDArray[np.float64]
Steps = npt.NDArray[np.int64]
"""(n, 2) whole numbers: lay-down and target of each candidate, in fine steps from board 0."""

LAY_DOWN_STEP_BOARDS = 0.5
TARGET_STEP_BOARDS = 0.1
"""Lines are given in half boards at the foul line and tenths at the target: finer than anyone
repeats, and what is reported is exactly what was evaluated."""
STEP_BOARDS = np.array([LAY_DOWN_STEP_BOARDS, TARGET_STEP_BOARDS])
COARSE_STEPS = (4, 3)
"""Coarse grid: 2 boards at the foul line, 0.3 at the target (1.2 at the pins)."""
COARSE_ERRORS = 48
FINE_ERRORS = 256
LAST_ERRORS = 512
"""How many of the errors candidates are judged by: on the grid, climbing, and at the end."""
SCAN_STEPS = 10
"""Targets within a board are looked over at the end."""
NEAR_ERRORS = 32
NEAR_SHARE = 0.2
NEAR_WEIGHT = 0.03
"""What throws with a fifth of the errors do weighs so much: up to three throws in a hundred."""
CLIMB_STEPS = ((4, 3), (2, 2), (1, 1))
"""Steps taken uphill, ever smaller."""
LEAST_REFINED = 4
"""Kinds of line climbed from, or as many as are asked for."""
THIRD_BOARDS = 40 / 3


@dataclass(frozen=True, slots=True)
class LayDownRange:
    """Boards the ball may be laid down on."""

    lowest_board: float
    highest_board: float

    @property
    def steps(self) -> tuple[int, int]:
        """First and last fine step inside the range."""
        return (
            int(np.ceil(self.lowest_board / LAY_DOWN_STEP_BOARDS)),
            int(np.floor(self.highest_board / LAY_DOWN_STEP_BOARDS)),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Landscape:
    """What is searched: how good any line of one bowler at one leave is.

    Attributes
    ----------
    leave : Leave
    table : ArrivalTable
    chance : array
        The field of the carry map to average: make probability, or pins.
    view : MapView
        How the map is read.
    errors : (n, k) array
        The fixed set of errors.
    lay_downs : LayDownRange
    """

    leave: Leave
    table: ArrivalTable
    chance: ShareArray
    view: MapView
    errors: FloatArray
    lay_downs: LayDownRange

    def roughly(self, steps: Steps) -> FloatArray:
        """Average of the chance at each candidate, over few of the errors."""
        return self._average(steps, self.errors[:COARSE_ERRORS])

    def finely(self, steps: Steps) -> FloatArray:
        """The same over more of them."""
        return self._average(steps, self.errors[:FINE_ERRORS])

    def at_last(self, steps: Steps) -> FloatArray:
        """The same over many, and a little for what throws near the one meant do.

        Of two lines as good, that one is better to aim at which a good throw makes, and not the
        gap between two ways to make it.
        """
        near = self._average(steps, self.errors[:NEAR_ERRORS] * NEAR_SHARE)
        return self._average(steps, self.errors[:LAST_ERRORS]) + NEAR_WEIGHT * near

    def _average(self, steps: Steps, errors: FloatArray) -> FloatArray:
        return averages(self.table, self.chance, self.view, *positions_in(steps), errors)

    def kinds(self, steps: Steps) -> npt.NDArray[np.int64]:
        """A number for the kind of each candidate; 0 where the ball meets no pin."""
        arrivals = arrivals_as_meant(self.table, *positions_in(steps))
        return kinds_of(self.leave, steps, arrivals)


@dataclass(frozen=True, slots=True)
class UsefulArrivals:
    """Between which angles [rad] and speeds [in/s] lines meet a pin of the leave."""

    lowest_angle_rad: float = 0.0
    highest_angle_rad: float = 0.0
    slowest_in_s: float = USUAL_SPEED_IN_S
    fastest_in_s: float = USUAL_SPEED_IN_S


def kinds_of(leave: Leave, steps: Steps, arrivals: FloatArray) -> npt.NDArray[np.int64]:
    """Number the kinds of candidates by how they arrive, 0 where the ball meets no pin."""
    pin, offset = first_contacts(leave, arrivals[:, X], arrivals[:, ANGLE])
    third = np.minimum(steps[:, 0] * LAY_DOWN_STEP_BOARDS // THIRD_BOARDS, 2).astype(np.int64)
    kind = pin * 6 + (offset > 0) * 3 + third
    return np.where((pin > 0) & (arrivals[:, EDGE_MARGIN] >= 0.0), kind, 0)


def useful_arrivals(leave: Leave, table: ArrivalTable, lay_downs: LayDownRange) -> UsefulArrivals:
    """Find how the lines of the range arrive that meet a pin of the leave."""
    grid = _coarse_grid(lay_downs)
    arrivals = arrivals_as_meant(table, *positions_in(grid))
    useful = arrivals[kinds_of(leave, grid, arrivals) > 0]
    if not useful.size:
        return UsefulArrivals()
    angles, speeds = useful[:, ANGLE], useful[:, SPEED]
    return UsefulArrivals(
        float(angles.min()), float(angles.max()), float(speeds.min()), float(speeds.max())
    )


def search(landscape: Landscape, most: int) -> list[tuple[float, float]]:
    """Find the best line of each kind, up to so many: (lay-down board, target board), best first.

    Where the ball can meet no pin at all, the line that keeps it on the lane best is given.
    """
    grid = _coarse_grid(landscape.lay_downs)
    kinds = landscape.kinds(grid)
    grid, kinds = grid[kinds > 0], kinds[kinds > 0]
    if not grid.size:
        return [_longest_on_the_lane(landscape)]
    starts = _best_of_each(grid, kinds, landscape.roughly(grid))[: max(LEAST_REFINED, most)]
    lowest, highest = landscape.lay_downs.steps
    climb = partial(_climb, lowest=lowest, highest=highest)
    found = np.array([climb(landscape.finely, start, CLIMB_STEPS) for start in starts])
    found, kinds = _meeting_a_pin(landscape, found)
    best = _best_of_each(found, kinds, landscape.finely(found))[:most]
    best = np.array([climb(landscape.at_last, start, CLIMB_STEPS[-1:]) for start in best])
    best = np.array([_across_gaps(landscape, line) for line in best])
    best, kinds = _meeting_a_pin(landscape, best)
    best = _best_of_each(best, kinds, landscape.at_last(best))
    return [_boards(steps) for steps in best]


def _meeting_a_pin(landscape: Landscape, lines: Steps) -> tuple[Steps, npt.NDArray[np.int64]]:
    """Keep the lines that meet a pin, if any, with their kinds.

    A climb may have led past every pin, to where only misses meet one.
    """
    kinds = landscape.kinds(lines)
    kept = kinds > 0 if kinds.any() else np.ones(kinds.size, bool)
    return lines[kept], kinds[kept]


def _across_gaps(landscape: Landscape, line: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    """Look over the targets to either side, past a gap that a climb does not cross."""
    sideways = np.arange(-SCAN_STEPS, SCAN_STEPS + 1)
    targets = line + np.stack([np.zeros_like(sideways), sideways], axis=1)
    heights = landscape.at_last(targets)
    found: npt.NDArray[np.int64] = targets[int(np.argmax(heights))]
    return found


def _longest_on_the_lane(landscape: Landscape) -> tuple[float, float]:
    """The line whose ball comes least close to the gutter, or least far into it."""
    grid = _coarse_grid(landscape.lay_downs)
    margin = arrivals_as_meant(landscape.table, *positions_in(grid))[:, EDGE_MARGIN]
    return _boards(grid[int(np.argmax(margin))])


def _boards(steps: npt.NDArray[np.int64]) -> tuple[float, float]:
    lay_down, target = np.round(steps * STEP_BOARDS, 1).tolist()
    return lay_down, target


def positions_in(steps: Steps) -> tuple[FloatArray, FloatArray]:
    """Lay-down and target positions [in] of candidates, positive to the right."""
    x = (CENTRE_BOARD - steps * STEP_BOARDS) * BOARD_IN
    return np.ascontiguousarray(x[:, 0]), np.ascontiguousarray(x[:, 1])


@lru_cache(maxsize=16)
def _coarse_grid(lay_downs: LayDownRange) -> Steps:
    first, last = lay_downs.steps
    lay_down = range(first, last + 1, COARSE_STEPS[0])
    target = range(0, round(2 * CENTRE_BOARD / TARGET_STEP_BOARDS) + 1, COARSE_STEPS[1])
    return np.array(list(product(lay_down, target)), dtype=np.int64).reshape(-1, 2)


def _best_of_each(steps: Steps, kinds: npt.NDArray[np.int64], heights: FloatArray) -> Steps:
    """Keep the highest candidate of each kind, highest first."""
    order = np.argsort(-heights, kind="stable")
    _, first = np.unique(kinds[order], return_index=True)
    return steps[order[np.sort(first)]]


def _climb(
    height: Callable[[Steps], FloatArray],
    start: npt.NDArray[np.int64],
    strides: Sequence[tuple[int, int]],
    *,
    lowest: int,
    highest: int,
) -> npt.NDArray[np.int64]:
    """Walk uphill over neighbouring lines, stride by stride, between two lay-down steps."""
    around = np.array([step for step in product((-1, 0, 1), repeat=2) if step != (0, 0)])
    best = start
    for stride in strides:
        best_height = height(best[None, :])[0]
        while True:
            steps = best + around * np.array(stride)
            steps = steps[(steps[:, 0] >= lowest) & (steps[:, 0] <= highest)]
            heights = height(steps)
            top = int(np.argmax(heights))
            if heights[top] <= best_height:
                break
            best, best_height = steps[top], heights[top]
    return best
