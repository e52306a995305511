"""The carry map: what one leave does for a ball arriving anywhere, at any angle and speed.

For a grid of cells over the ball's position, its angle and its speed, a fixed number of throws is
played out, each at its own place inside the cell and with its own deck. Everything else (make
probability, pinfall, likeliest remainders, walls needed) is read from those outcomes. The position
is taken level with the middle of the leave, where it depends least on the angle. The map depends
on neither bowler nor lane: it is built when first asked for, speed by speed and row of angle by
row of angle, and kept. A leave and its mirror image share one map.
"""

from __future__ import annotations

import math
import mmap
import threading
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import product
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.ndimage import map_coordinates

from leaveline.lane.dimensions import (
    BALL_RADIUS_IN,
    FOUL_TO_HEAD_PIN_IN,
    HALF_LANE_IN,
    MPH_IN_S,
    PIN_RADIUS_IN,
    USUAL_SPEED_IN_S,
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
REACH_IN = HALF_LANE_IN + 3.25
"""Half the width of the map: a ball on the lane at the head pins may be lost before the back row,
and a ball beyond the edge there can still have met a pin on its way."""
CELL_COUNT = round(2 * REACH_IN / CELL_IN)
ANGLE_STEP_RAD = math.radians(1.0)
ANGLE_ROWS = 19
"""Rows of angle from -9 to +9 degrees, more than any ball brings to the pins."""
DRAWS = 16
"""Throws played out in each cell."""
SPEED_STEP_IN_S = 5.5 * MPH_IN_S
SPEEDS_IN_S = (11.0 * MPH_IN_S, USUAL_SPEED_IN_S, 22.0 * MPH_IN_S)
"""Speeds at the pins: about the 16 to 18 mph the trade reports, and slow and fast balls. Speed
matters little (the faster, the more pins still reach another), so three are enough; a ball outside
them is read at the nearest."""
USUAL_LAYER = 1
POOL_SEED = 20_240_601
POOL_SIZE = 4096

FloatArray = npt.NDArray[np.float64]
OutcomeArray = npt.NDArray[np.uint16]
ShareArray = npt.NDArray[np.float32]

POPCOUNT = np.array([mask.bit_count() for mask in range(STANDING_BITS + 1)], dtype=np.int64)


USUAL_LAYERS = range(USUAL_LAYER, USUAL_LAYER + 1)
_GRID = (len(SPEEDS_IN_S), ANGLE_ROWS, CELL_COUNT)


@dataclass(slots=True)
class CarryMap:
    """Outcomes of a leave, by speed layer, angle row, position cell and draw.

    Attributes
    ----------
    leave : Leave
    rack : Rack
    depth_in : float
        How far behind the head-pin line positions are taken [in]: the middle of the leave.
    outcomes : (len(SPEEDS_IN_S), ANGLE_ROWS, CELL_COUNT, DRAWS) uint16
        Outcome words as `leaveline.pins.collide.throw_many` gives them; rows not yet asked for
        hold nothing meaningful.
    made, pins : (len(SPEEDS_IN_S), ANGLE_ROWS, CELL_COUNT)
        Probability that all fall, and expected pinfall, in each cell: sixteenths, which single
        precision holds exactly.
    """

    leave: Leave
    rack: Rack
    depth_in: float = field(init=False)
    outcomes: OutcomeArray = field(init=False)
    made: ShareArray = field(init=False)
    pins: ShareArray = field(init=False)
    _ready: set[tuple[int, int]] = field(default_factory=set, init=False)
    _lock: threading.Lock = field(default_factory=threading.Lock, init=False)

    def __post_init__(self) -> None:
        depths = [PIN_Y_IN[pin - 1] - FOUL_TO_HEAD_PIN_IN for pin in self.leave.pins]
        self.depth_in = (min(depths) + max(depths)) / 2
        # Mapped, so that the system gives its pages (of noughts) only as they are written to: most
        # leaves never need but one layer of speed and a third of the angles. Private: a worker
        # that fills rows after a fork does not write into another's map.
        cells = math.prod(_GRID)
        private = mmap.MAP_PRIVATE | mmap.MAP_ANONYMOUS
        pages = mmap.mmap(-1, (DRAWS * 2 + 4 + 4) * cells, flags=private)
        block = np.frombuffer(pages, np.uint8)
        outcomes, made, pins = np.split(block, [DRAWS * 2 * cells, (DRAWS * 2 + 4) * cells])
        self.outcomes = outcomes.view(np.uint16).reshape(*_GRID, DRAWS)
        self.made = made.view(np.float32).reshape(_GRID)
        self.pins = pins.view(np.float32).reshape(_GRID)

    def fill(self, rows: range, layers: range = USUAL_LAYERS) -> None:
        """Make sure that these rows of angle are there at these layers of speed."""
        with self._lock:
            for place in product(layers, rows):
                if place not in self._ready:
                    self._fill(*place)
                    self._ready.add(place)

    def _fill(self, layer: int, row: int) -> None:
        mask = self.leave.mask
        cells = _cells_that_touch(self.leave, self.depth_in, row)
        outcomes = self.outcomes[layer, row]
        outcomes[:] = mask
        if cells.size:
            x, angle, normals_row = _throws(row, cells)
            x -= np.tan(angle) * self.depth_in
            ids = np.array([pin - 1 for pin in self.leave.pins])
            words = throw_many(
                self.rack,
                ids,
                np.array(PIN_X_IN)[ids],
                np.array(PIN_Y_IN)[ids],
                x,
                angle,
                np.full(x.size, SPEEDS_IN_S[layer]),
                _pool(),
                normals_row,
            )
            outcomes[cells] = words.reshape(cells.size, DRAWS)
        standing = outcomes & STANDING_BITS
        self.made[layer, row] = (standing == 0).mean(axis=1)
        self.pins[layer, row] = (len(self.leave) - POPCOUNT[standing]).mean(axis=1)


def make_probabilities(
    leave: Leave,
    x_at_head_pin_in: FloatArray,
    angle_rad: FloatArray,
    speed_in_s: FloatArray,
    *,
    ball_mass_lb: float,
) -> FloatArray:
    """Read a leave's make probability off its map, between the cells.

    Parameters
    ----------
    leave : Leave
    x_at_head_pin_in, angle_rad, speed_in_s : arrays of one shape
        Where the ball's line crosses the head-pin line [in], its angle [rad, positive right] and
        its speed there [in/s]. The ball is taken to be on the lane.
    ball_mass_lb : float
        6 to 16.

    Returns
    -------
    array of that shape
    """
    carry, mirrored = carry_map(leave, ball_mass_lb=ball_mass_lb)
    side = -1.0 if mirrored else 1.0
    angle = side * np.asarray(angle_rad)
    places = (
        (speed_in_s - SPEEDS_IN_S[0]) / SPEED_STEP_IN_S,
        angle / ANGLE_STEP_RAD + (ANGLE_ROWS - 1) / 2,
        (side * x_at_head_pin_in + np.tan(angle) * carry.depth_in + REACH_IN) / CELL_IN - 0.5,
    )
    inside = [np.clip(v, 0, n - 1) for v, n in zip(places, _GRID, strict=True)]
    layers, rows, _ = (range(math.floor(v.min()), math.ceil(v.max()) + 1) for v in inside)
    carry.fill(rows, layers)
    # Corners of no weight may lie in rows that are not filled; their noughts do no harm.
    probability: FloatArray = map_coordinates(
        carry.made, inside, output=np.float64, order=1, mode="nearest"
    )
    return probability


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


def maps_asked_for() -> Any:
    """How often a map was there when asked for (`hits`), and how often not (`misses`)."""
    return _map_of.cache_info()


def row_of(angle_rad: float) -> float:
    """Fractional row of an angle [rad, positive to the right]."""
    return angle_rad / ANGLE_STEP_RAD + (ANGLE_ROWS - 1) / 2


def rows_for(lowest_rad: float, highest_rad: float) -> range:
    """Rows that these angles [rad] lie between; at least two."""
    first = min(max(0, math.floor(row_of(lowest_rad))), ANGLE_ROWS - 2)
    last = max(min(ANGLE_ROWS - 1, math.ceil(row_of(highest_rad))), first + 1)
    return range(first, last + 1)


def layers_for(slowest_in_s: float, fastest_in_s: float) -> range:
    """Layers that these speeds [in/s] lie between: one where they are its own, else two or more."""
    last = len(SPEEDS_IN_S) - 1
    low, high = (
        min(max((speed - SPEEDS_IN_S[0]) / SPEED_STEP_IN_S, 0.0), last)
        for speed in (slowest_in_s, fastest_in_s)
    )
    # A straight ball's speed, interpolated, may be off its layer by the last bit.
    return range(math.floor(low + 1e-6), math.ceil(high - 1e-6) + 1)


def mirrored_rows(rows: range) -> range:
    """The same rows in the map of the mirror image."""
    return range(ANGLE_ROWS - rows.stop, ANGLE_ROWS - rows.start)


def cell_centre_in(cell: npt.NDArray[np.int64]) -> FloatArray:
    """Positions [in] of the middles of cells, level with the middle of the leave."""
    centre: FloatArray = (cell.astype(np.float64) + 0.5) * CELL_IN - REACH_IN
    return centre


def _cells_that_touch(leave: Leave, depth_in: float, row: int) -> npt.NDArray[np.int64]:
    """Cells from which a ball anywhere in the row's angles can reach a pin of the leave."""
    slope = math.tan((row - (ANGLE_ROWS - 1) / 2) * ANGLE_STEP_RAD)
    # Half a row of angle over half the deck's depth, half a cell, and the spotting, rounded up.
    reach = BALL_RADIUS_IN + PIN_RADIUS_IN + 15.6 * ANGLE_STEP_RAD / 2 + CELL_IN / 2 + 0.2
    cells = np.arange(CELL_COUNT)
    x = cell_centre_in(cells)
    touches = np.zeros(CELL_COUNT, bool)
    for pin in leave.pins:
        behind = PIN_Y_IN[pin - 1] - FOUL_TO_HEAD_PIN_IN - depth_in
        touches |= np.abs(x + slope * behind - PIN_X_IN[pin - 1]) < reach
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
