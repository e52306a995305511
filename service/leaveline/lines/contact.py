"""Which pin a straight-running ball meets first, and how: geometry only."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from leaveline.lane.dimensions import BALL_RADIUS_IN, FOUL_TO_HEAD_PIN_IN, PIN_RADIUS_IN
from leaveline.lines.line import Contact, Side
from leaveline.pins.deck import PIN_X_IN, PIN_Y_IN
from leaveline.pins.leave import Leave

FloatArray = npt.NDArray[np.float64]

TOUCH_IN = BALL_RADIUS_IN + PIN_RADIUS_IN
CENTRE_IN = 0.25
"""Closer to the middle than this, the ball is said to hit the pin in its centre."""


def first_contacts(
    leave: Leave, x_in: FloatArray, angle_rad: FloatArray
) -> tuple[npt.NDArray[np.int64], FloatArray]:
    """Find the pin each ball meets first.

    Parameters
    ----------
    leave : Leave
    x_in, angle_rad : (n,) arrays
        Where the ball's straight line crosses the head-pin row [in] and its angle [rad].

    Returns
    -------
    pin : (n,) integers
        0 where the ball passes every pin of the leave.
    offset_in : (n,) array
        The ball's line past that pin's centre [in], positive to the right of it.
    """
    pin_met = np.zeros(x_in.shape, np.int64)
    offset_met = np.zeros(x_in.shape)
    soonest = np.full(x_in.shape, np.inf)
    cos, sin = np.cos(angle_rad), np.sin(angle_rad)
    for pin in leave.pins:
        depth = PIN_Y_IN[pin - 1] - FOUL_TO_HEAD_PIN_IN
        aside = x_in - PIN_X_IN[pin - 1]
        offset = aside * cos + depth * sin
        inside = np.maximum(TOUCH_IN**2 - offset**2, 0.0)
        travelled = depth * cos - aside * sin - np.sqrt(inside)
        first = (inside > 0.0) & (travelled < soonest)
        pin_met[first], offset_met[first] = pin, offset[first]
        soonest[first] = travelled[first]
    return pin_met, offset_met


def first_contact(leave: Leave, x_in: float, angle_rad: float) -> Contact | None:
    """The same for one ball; None when it passes every pin of the leave."""
    pin, offset = first_contacts(leave, np.array([x_in]), np.array([angle_rad]))
    return Contact(int(pin[0]), _side(float(offset[0])), float(offset[0])) if pin[0] else None


def _side(offset_in: float) -> Side:
    if abs(offset_in) < CENTRE_IN:
        return "centre"
    return "right" if offset_in > 0 else "left"
