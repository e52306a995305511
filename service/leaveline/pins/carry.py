"""The carry map: what one leave does for a ball arriving anywhere, at any angle.

For a grid of cells over the ball's position at the head-pin line and its angle, a fixed number
of throws is played out, each at its own place inside the cell and with its own deck. Everything
else (make probability, pinfall, likeliest remainders, walls needed) is read from those outcomes.
The map depends on neither bowler nor lane: it is built when first asked for, row of angle by row
of angle, and kept. A leave and its mirror image share one map.
"""

from __future__ import annotations

import math
import threading
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from leaveline.lane.dimensions import (
    BALL_RADIUS_IN,
    FOUL_TO_HEAD_PIN_IN,
    HALF_LANE_IN,
    PIN_RADIUS_IN,
)
from leaveline.pins.collide import (
    NORMALS_PER_THROW,
    STANDING_BITS,
    Rack,
    throw_many,
)
from leaveline.pins.deck import PIN_X_IN, PIN_Y_IN
from leaveline.pins.leave import Leave
from leaveline.pins.rack import standard_rack

CELL_IN = 0.25
"""Width of a cell; a board of miss at the target is 4.26 in at the pins."""
CELL_COUNT = round(2 * HALF_LANE_IN / CELL_IN)
ANGLE_STEP_RAD = math.radians(1.0)
ANGLE_ROWS = 19
"""Rows of angle from -9 to +9 degrees, more than any ball brings to the pins."""
DRAWS = 16
"""Throws played out in each cell."""
SPEED_IN_S = 290.0
"""Speed at the pins: 16.5 mph, the middle of the 16 to 18 the trade reports and slow balls."""
POOL_SEED = 20_240_601
POOL_SIZE = 4096

FloatArray = npt.NDArray[np.float64]
OutcomeArray = npt.NDArray[np.uint16]

POPCOUNT = np.array([mask.bit_count() for mask in range(STANDING_BITS + 1)], dtype=np.int64)


@dataclass(slots=True)
class CarryMap:
    """Outcomes of a leave, by angle row, position cell and draw.

    Attributes
    ----------
    leave : Leave
    rack : Rack
    outcomes : (ANGLE_ROWS, CELL_COUNT, DRAWS) uint16
        Outcome words as `leaveline.pins.collide.throw_many` gives them; rows not yet asked for
        hold nothing meaningful.
    made, pins : (ANGLE_ROWS, CELL_COUNT)
        Probability that all fall, and expected pinfall, in each cell.
    """

    leave: Leave
    rack: Rack
    outcomes: OutcomeArray = field(
        default_factory=lambda: np.empty((ANGLE_ROWS, CELL_COUNT, DRAWS), np.uint16)
    )
    made: FloatArray = field(default_factory=lambda: np.zeros((ANGLE_ROWS, CELL_COUNT)))
    pins: FloatArray = field(default_factory=lambda: np.zeros((ANGLE_ROWS, CELL_COUNT)))
    _ready: list[bool] = field(default_factory=lambda: [False] * ANGLE_ROWS)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def fill(self, rows: range) -> None:
        """Make sure that these rows of angle are there."""
        with self._lock:
            for row in rows:
                if not self._ready[row]:
                    self._fill(row)
                    self._ready[row] = True

    def _fill(self, row: int) -> None:
        mask = self.leave.mask
        cells = _cells_that_touch(self.leave, row)
        self.outcomes[row] = mask
        if cells.size:
            x, angle, normals_row = _throws(row, cells)
            ids = np.array([pin - 1 for pin in self.leave.pins])
            words = throw_many(
                self.rack,
                ids,
                np.array(PIN_X_IN)[ids],
                np.array(PIN_Y_IN)[ids],
                x,
                angle,
                np.full(x.size, SPEED_IN_S),
                _pool(),
                normals_row,
            )
            self.outcomes[row, cells] = words.reshape(cells.size, DRAWS)
        standing = self.outcomes[row] & STANDING_BITS
        self.made[row] = (standing == 0).mean(axis=1)
        self.pins[row] = (len(self.leave) - POPCOUNT[standing]).mean(axis=1)


@lru_cache(maxsize=640)
def _map_of(mask: int, ball_mass_lb: float) -> CarryMap:
    return CarryMap(Leave(mask), standard_rack(ball_mass_lb=ball_mass_lb))


def carry_map(leave: Leave, *, ball_mass_lb: float) -> tuple[CarryMap, bool]:
    """Give the map that serves a leave, and whether it is the map of the mirror image.

    The 543 maps of a ball weight (1023 leaves, 63 of them their own mirror image) all fit in
    the cache.
    """
    mirrored = leave.mirror.mask < leave.mask
    return _map_of(min(leave.mask, leave.mirror.mask), ball_mass_lb), mirrored


def forget_maps() -> None:
    """Drop every kept map; they are built again when asked for."""
    _map_of.cache_clear()


def row_of(angle_rad: float) -> float:
    """Fractional row of an angle [rad, positive to the right]."""
    return angle_rad / ANGLE_STEP_RAD + (ANGLE_ROWS - 1) / 2


def rows_for(lowest_rad: float, highest_rad: float) -> range:
    """Rows that these angles [rad] lie between; at least two."""
    first = min(max(0, math.floor(row_of(lowest_rad))), ANGLE_ROWS - 2)
    last = max(min(ANGLE_ROWS - 1, math.ceil(row_of(highest_rad))), first + 1)
    return range(first, last + 1)


def mirrored_rows(rows: range) -> range:
    """The same rows in the map of the mirror image."""
    return range(ANGLE_ROWS - rows.stop, ANGLE_ROWS - rows.start)


def cell_centre_in(cell: npt.NDArray[np.int64]) -> FloatArray:
    """Positions [in] of the middles of cells at the head-pin line."""
    centre: FloatArray = (cell.astype(np.float64) + 0.5) * CELL_IN - HALF_LANE_IN
    return centre


def _cells_that_touch(leave: Leave, row: int) -> npt.NDArray[np.int64]:
    """Cells from which a ball anywhere in the row's angles can reach a pin of the leave."""
    slope = math.tan((row - (ANGLE_ROWS - 1) / 2) * ANGLE_STEP_RAD)
    # Half a row of angle over the deck's depth, half a cell, and the spotting, all rounded up.
    reach = BALL_RADIUS_IN + PIN_RADIUS_IN + 31.2 * ANGLE_STEP_RAD / 2 + CELL_IN / 2 + 0.2
    cells = np.arange(CELL_COUNT)
    x = cell_centre_in(cells)
    touches = np.zeros(CELL_COUNT, bool)
    for pin in leave.pins:
        depth = PIN_Y_IN[pin - 1] - FOUL_TO_HEAD_PIN_IN
        touches |= np.abs(x + slope * depth - PIN_X_IN[pin - 1]) < reach
    return cells[touches]


def _throws(
    row: int, cells: npt.NDArray[np.int64]
) -> tuple[FloatArray, FloatArray, npt.NDArray[np.int64]]:
    """Positions, angles and decks of a row's throws: spread evenly inside each cell."""
    draws = np.arange(DRAWS)
    within_cell = (draws + 0.5) / DRAWS - 0.5
    # The golden ratio's multiples fill the angle evenly, whatever the order of positions.
    within_row = ((draws + 0.5) * (math.sqrt(5) - 1) / 2) % 1.0 - 0.5
    x = (cell_centre_in(cells)[:, None] + CELL_IN * within_cell[None, :]).ravel()
    angle = (row - (ANGLE_ROWS - 1) / 2 + within_row) * ANGLE_STEP_RAD
    rows = (row * 1009 + cells[:, None] * DRAWS + draws[None, :]).ravel() % POOL_SIZE
    return x, np.tile(angle, cells.size), rows


@lru_cache(maxsize=1)
def _pool() -> FloatArray:
    generator = np.random.Generator(np.random.PCG64(POOL_SEED))
    return generator.standard_normal((POOL_SIZE, NORMALS_PER_THROW))
