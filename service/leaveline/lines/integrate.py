"""One line averaged over how this bowler really throws: the hot kernels.

A throw's arrival is interpolated in the arrival table, its outcome in the carry map. The same
fixed set of errors serves every candidate line, so two lines differ only by the lines.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from numba import njit
from scipy.special import ndtri
from scipy.stats import qmc

from leaveline.delivery.arrivals import ANGLE, COLUMNS, EDGE_MARGIN, SPEED, ArrivalTable, X
from leaveline.lane.dimensions import HALF_LANE_IN
from leaveline.pins.carry import (
    ANGLE_ROWS,
    ANGLE_STEP_RAD,
    CELL_COUNT,
    CELL_IN,
    DRAWS,
    POPCOUNT,
    REACH_IN,
    SPEED_STEP_IN_S,
    SPEEDS_IN_S,
    ShareArray,
)
from leaveline.pins.collide import SENT_BIT, STANDING_BITS, WALL_BIT

FloatArray = npt.NDArray[np.float64]
MASKS = STANDING_BITS + 1
FURTHER_ERRORS = 4
"""Room in the error set for what varies besides lay-down and target."""


@lru_cache(maxsize=8)
def standard_errors_set(count: int, seed: int) -> FloatArray:
    """Give `count` rows of standard normal errors: a Sobol set, each row followed by its negative.

    Parameters
    ----------
    count : int
        A power of two, 2 or more.
    seed : int
        Seed of the Sobol set's scrambling.

    Returns
    -------
    (count, 2 + FURTHER_ERRORS)
        Columns lay-down, target, then the arrival table's further errors.
    """
    points = qmc.Sobol(2 + FURTHER_ERRORS, scramble=True, rng=seed).random(count // 2)
    errors = np.empty((count, points.shape[1]))
    errors[0::2] = ndtri(points)
    errors[1::2] = -errors[0::2]
    errors.setflags(write=False)
    return errors


@dataclass(frozen=True, slots=True)
class Tally:
    """What the throws at one line came to.

    Attributes
    ----------
    pinfall : (11,)
        Probability of each pinfall, 0 to 10.
    made_by_block : (8,)
        Make probability over each eighth of the error set.
    remainders : (2, 1024)
        Probability of each set of pins left, for throws that arrived left ([0]) and right ([1])
        of the line meant.
    walls, sent, lost : float
        Probability of a make that needed a kickback, of a make in which a pin fell that the ball
        did not touch, and of a ball over the lane's edge.
    map_variance : float
        Mean over throws of p (1 - p): what one outcome drawn per throw would add.
    """

    pinfall: FloatArray
    made_by_block: FloatArray
    remainders: FloatArray
    walls: float
    sent: float
    lost: float
    map_variance: float


BLOCKS = 8


@dataclass(frozen=True, slots=True)
class MapView:
    """How a leave's carry map is read.

    Attributes
    ----------
    rows : range
        Rows of the map, filled and at least two; an angle beyond them is read at the last one.
    layers : range
        Layers of speed, filled: one or more; a speed beyond them is read at the last one.
    depth_in : float
        How far behind the head-pin line the map takes positions [in].
    mirrored : bool
        Whether the map is that of the leave's mirror image.
    """

    rows: range
    layers: range
    depth_in: float
    mirrored: bool

    @property
    def _for_kernel(self) -> tuple[float, float, int, int, int, int]:
        side = -1.0 if self.mirrored else 1.0
        ends = self.rows[0], self.rows[-1], self.layers[0], self.layers[-1]
        return side, self.depth_in, *ends


def averages(
    table: ArrivalTable,
    chance: ShareArray,
    view: MapView,
    lay_down_x_in: FloatArray,
    target_x_in: FloatArray,
    errors: FloatArray,
) -> FloatArray:
    """Average a field of the carry map over the errors, for each line."""
    return _averages(  # type: ignore[no-any-return]
        *_grid(table), chance, *view._for_kernel, lay_down_x_in, target_x_in, errors
    )


def tally(
    table: ArrivalTable,
    outcomes: npt.NDArray[np.uint16],
    view: MapView,
    lay_down_x_in: float,
    target_x_in: float,
    errors: FloatArray,
    *,
    leave_mask: int,
) -> Tally:
    """Count in full what the throws at one line leave (masks as the map has them, unmirrored)."""
    pinfall, by_block, remainders, sums = _tally(
        *_grid(table), outcomes, *view._for_kernel, lay_down_x_in, target_x_in, errors, leave_mask
    )
    return Tally(pinfall, by_block, remainders, *(float(v) for v in sums))


def arrivals_as_meant(
    table: ArrivalTable, lay_down_x_in: FloatArray, target_x_in: FloatArray
) -> FloatArray:
    """Give the arrivals (n, COLUMNS) of lines thrown as meant."""
    return _arrivals(*_grid(table), lay_down_x_in, target_x_in)  # type: ignore[no-any-return]


def _grid(
    table: ArrivalTable,
) -> tuple[float, float, float, float, FloatArray, FloatArray]:
    lay, aim = table.lay_down_x_in, table.target_x_in
    return (
        float(lay[0]), float(lay[1] - lay[0]), float(aim[0]), float(aim[1] - aim[0]),
        table.values, table.slopes,
    )  # fmt: skip


@njit(cache=True)
def _arrive(lay0, lay_step, aim0, aim_step, values, slopes, lay, aim, error):  # type: ignore[no-untyped-def]
    """Interpolate one throw's arrival; `error` begins with two in inches."""
    u = (lay + error[0] - lay0) / lay_step
    v = (aim + error[1] - aim0) / aim_step
    i = min(max(int(u), 0), values.shape[0] - 2)
    j = min(max(int(v), 0), values.shape[1] - 2)
    u -= i
    v -= j
    x, angle, margin, speed = _blend(values, i, j, u, v)
    for k in range(slopes.shape[0]):
        dx, dangle, dmargin, dspeed = _blend(slopes[k], i, j, u, v)
        x += error[2 + k] * dx
        angle += error[2 + k] * dangle
        margin += error[2 + k] * dmargin
        speed += error[2 + k] * dspeed
    return x, angle, margin, speed


@njit(cache=True)
def _blend(part, i, j, u, v):  # type: ignore[no-untyped-def]
    """Bilinear interpolation of the columns a throw's outcome depends on."""
    w00, w01, w10, w11 = (1 - u) * (1 - v), (1 - u) * v, u * (1 - v), u * v
    x = w00 * part[i, j, X] + w01 * part[i, j + 1, X]
    x += w10 * part[i + 1, j, X] + w11 * part[i + 1, j + 1, X]
    angle = w00 * part[i, j, ANGLE] + w01 * part[i, j + 1, ANGLE]
    angle += w10 * part[i + 1, j, ANGLE] + w11 * part[i + 1, j + 1, ANGLE]
    margin = w00 * part[i, j, EDGE_MARGIN] + w01 * part[i, j + 1, EDGE_MARGIN]
    margin += w10 * part[i + 1, j, EDGE_MARGIN] + w11 * part[i + 1, j + 1, EDGE_MARGIN]
    speed = w00 * part[i, j, SPEED] + w01 * part[i, j + 1, SPEED]
    speed += w10 * part[i + 1, j, SPEED] + w11 * part[i + 1, j + 1, SPEED]
    return x, angle, margin, speed


@njit(cache=True)
def _arrivals(lay0, lay_step, aim0, aim_step, values, slopes, lays, aims):  # type: ignore[no-untyped-def]
    none = np.zeros(2 + slopes.shape[0])
    found = np.empty((lays.size, COLUMNS))
    for c in range(lays.size):
        found[c] = _arrive(lay0, lay_step, aim0, aim_step, values, slopes, lays[c], aims[c], none)
    return found


@njit(cache=True)
def _cell(x, angle, depth, first_row, last_row):  # type: ignore[no-untyped-def]
    """Find the four cells about an arrival: first row and cell, and the weight of the next."""
    # Angles at the pins are small: the tangent's next term is less than a ten-thousandth of them.
    level_x = x + depth * (angle + angle * angle * angle / 3.0)
    u = (level_x + REACH_IN) / CELL_IN - 0.5
    v = angle / ANGLE_STEP_RAD + 0.5 * (ANGLE_ROWS - 1)
    i = min(max(int(u), 0), CELL_COUNT - 2)
    j = min(max(int(v), first_row), last_row - 1)
    return j, i, min(max(v - j, 0.0), 1.0), min(max(u - i, 0.0), 1.0)


@njit(cache=True)
def _layer(speed, first_layer, last_layer):  # type: ignore[no-untyped-def]
    """Find the two layers about a speed: the first, and the weight of the next."""
    if first_layer == last_layer:
        return first_layer, 0.0
    w = (speed - SPEEDS_IN_S[0]) / SPEED_STEP_IN_S
    k = min(max(int(w), first_layer), last_layer - 1)
    return k, min(max(w - k, 0.0), 1.0)


@njit(cache=True)
def _between(cells, j, i, v, u):  # type: ignore[no-untyped-def]
    """Bilinear interpolation in one layer of a field of the map."""
    return (1 - v) * ((1 - u) * cells[j, i] + u * cells[j, i + 1]) + v * (
        (1 - u) * cells[j + 1, i] + u * cells[j + 1, i + 1]
    )


@njit(cache=True)
def _averages(  # type: ignore[no-untyped-def]
    lay0,
    lay_step,
    aim0,
    aim_step,
    values,
    slopes,
    chance,
    side,
    depth,
    first_row,
    last_row,
    first_layer,
    last_layer,
    lays,
    aims,
    errors,
):
    result = np.empty(lays.size)
    for c in range(lays.size):
        total = 0.0
        for m in range(errors.shape[0]):
            x, angle, margin, speed = _arrive(
                lay0, lay_step, aim0, aim_step, values, slopes, lays[c], aims[c], errors[m]
            )
            if margin < 0.0 or abs(x) > HALF_LANE_IN:
                continue
            j, i, v, u = _cell(side * x, side * angle, depth, first_row, last_row)
            k, w = _layer(speed, first_layer, last_layer)
            total += (1 - w) * _between(chance[k], j, i, v, u)
            if w > 0.0:
                total += w * _between(chance[k + 1], j, i, v, u)
        result[c] = total / errors.shape[0]
    return result


@njit(cache=True)
def _tally(  # type: ignore[no-untyped-def]
    lay0,
    lay_step,
    aim0,
    aim_step,
    values,
    slopes,
    outcomes,
    side,
    depth,
    first_row,
    last_row,
    first_layer,
    last_layer,
    lay,
    aim,
    errors,
    whole,
):
    count = errors.shape[0]
    pinfall = np.zeros(11)
    by_block = np.zeros(BLOCKS)
    remainders = np.zeros((2, MASKS))
    walls = sent = lost = variance = 0.0
    none = np.zeros(errors.shape[1])
    meant, _, _, _ = _arrive(lay0, lay_step, aim0, aim_step, values, slopes, lay, aim, none)
    pins = POPCOUNT[whole]
    for m in range(count):
        x, angle, margin, speed = _arrive(
            lay0, lay_step, aim0, aim_step, values, slopes, lay, aim, errors[m]
        )
        miss_side = 0 if x < meant else 1
        if margin < 0.0 or abs(x) > HALF_LANE_IN:
            lost += 1.0
            pinfall[0] += 1.0
            remainders[miss_side, whole] += 1.0
            continue
        row, cell, v, u = _cell(side * x, side * angle, depth, first_row, last_row)
        layer, w = _layer(speed, first_layer, last_layer)
        made = 0.0
        for corner in range(8):
            a, b, c = corner // 2 % 2, corner % 2, corner // 4
            weight = (v if a else 1 - v) * (u if b else 1 - u) * (w if c else 1 - w) / DRAWS
            if weight == 0.0:
                continue
            for draw in range(DRAWS):
                word = outcomes[layer + c, row + a, cell + b, draw]
                standing = word & STANDING_BITS
                remainders[miss_side, standing] += weight
                if standing == 0:
                    made += weight
                    if word & WALL_BIT:
                        walls += weight
                    if word & SENT_BIT:
                        sent += weight
                pinfall[pins - POPCOUNT[standing]] += weight
        by_block[m * BLOCKS // count] += made
        variance += made * (1.0 - made)
    by_block *= BLOCKS / count
    return (
        pinfall / count,
        by_block,
        remainders / count,
        (walls / count, sent / count, lost / count, variance / count),
    )
