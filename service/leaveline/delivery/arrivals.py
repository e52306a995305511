"""Where a ball arrives for every lay-down and target, as a table to interpolate in.

The search asks for tens of thousands of throws; between neighbouring lay-downs and targets the
arrival changes smoothly, so it is worked out on a grid of them once. What a bowler varies besides
(speed, rotation, …) enters to first order through the table's slopes.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from leaveline.lane.dimensions import (
    BOARD_IN,
    FOUL_TO_HEAD_PIN_IN,
    HALF_LANE_IN,
    TARGET_IN,
    USUAL_SPEED_IN_S,
)

FloatArray = npt.NDArray[np.float64]

X, ANGLE, EDGE_MARGIN, SPEED = range(4)
"""Columns of the table: position at the head-pin line [in], angle there [rad], the least distance
to the lane's edge on the way [in], negative once over it, and speed at the head-pin line [in/s]."""
COLUMNS = 4


@dataclass(frozen=True, slots=True)
class ArrivalTable:
    """Arrivals over a grid of lay-down and target positions.

    Attributes
    ----------
    lay_down_x_in, target_x_in : (n,), (m,)
        Evenly spaced grid of positions at the foul line and at 15 ft [in].
    values : (n, m, COLUMNS)
        Columns X, ANGLE, EDGE_MARGIN, SPEED.
    slopes : (k, n, m, COLUMNS)
        Change of each column for one standard deviation of each further thing that varies.
    """

    lay_down_x_in: FloatArray
    target_x_in: FloatArray
    values: FloatArray
    slopes: FloatArray


def table_grid() -> tuple[FloatArray, FloatArray]:
    """Give the grid of lay-downs and targets [in]: the lane and a board beyond each edge."""
    reach = HALF_LANE_IN + BOARD_IN
    return np.linspace(-reach, reach, 22), np.linspace(-reach, reach, 43)


@lru_cache(maxsize=32)
def straight_arrivals(*, hook_boards: float = 0.0) -> ArrivalTable:
    """Tabulate a straight ball that may bend by a small constant amount.

    The bend is a parabola from the foul line, `hook_boards` to the left (away from the ball hand)
    at the pins, whatever the line; the ball still crosses its target and arrives at a usual speed.

    Parameters
    ----------
    hook_boards : float
        Bend at the pins [boards], 0 or more.
    """
    lay, target = table_grid()
    hook = hook_boards * BOARD_IN
    lay_down, aim = np.meshgrid(lay, target, indexing="ij")
    slope = (aim - lay_down + hook * (TARGET_IN / FOUL_TO_HEAD_PIN_IN) ** 2) / TARGET_IN
    values = np.empty((*lay_down.shape, COLUMNS))
    values[..., SPEED] = USUAL_SPEED_IN_S
    values[..., X] = lay_down + slope * FOUL_TO_HEAD_PIN_IN - hook
    values[..., ANGLE] = np.arctan(slope - 2 * hook / FOUL_TO_HEAD_PIN_IN)
    values[..., EDGE_MARGIN] = HALF_LANE_IN - _farthest_out(lay_down, slope, hook)
    return ArrivalTable(lay, target, values, np.zeros((0, *values.shape)))


def _farthest_out(lay_down: FloatArray, slope: FloatArray, hook: float) -> FloatArray:
    """Largest distance from the centre line on the way [in]: at an end or where it turns."""
    ends = np.maximum(np.abs(lay_down), np.abs(lay_down + slope * FOUL_TO_HEAD_PIN_IN - hook))
    if hook == 0.0:
        return ends
    turn = slope * FOUL_TO_HEAD_PIN_IN**2 / (2 * hook)
    on_the_way = (turn > 0.0) & (turn < FOUL_TO_HEAD_PIN_IN)
    at_turn = lay_down + slope * turn - hook * (turn / FOUL_TO_HEAD_PIN_IN) ** 2
    return np.where(on_the_way, np.maximum(ends, np.abs(at_turn)), ends)
