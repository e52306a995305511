"""Which pin a straight-running ball meets first, and how: geometry only."""

from __future__ import annotations

import math

from leaveline.lane.dimensions import BALL_RADIUS_IN, FOUL_TO_HEAD_PIN_IN, PIN_RADIUS_IN
from leaveline.lines.line import Contact, Side
from leaveline.pins.deck import PIN_X_IN, PIN_Y_IN
from leaveline.pins.leave import Leave

TOUCH_IN = BALL_RADIUS_IN + PIN_RADIUS_IN
CENTRE_IN = 0.25
"""Closer to the middle than this, the ball is said to hit the pin in its centre."""


def first_contact(leave: Leave, x_in: float, angle_rad: float) -> Contact | None:
    """Find the pin met first by a ball crossing the head-pin row at x at an angle.

    Returns None when the ball passes every pin of the leave.
    """
    best: tuple[float, Contact] | None = None
    for pin in leave.pins:
        depth = PIN_Y_IN[pin - 1] - FOUL_TO_HEAD_PIN_IN
        aside = x_in - PIN_X_IN[pin - 1]
        offset = aside * math.cos(angle_rad) + depth * math.sin(angle_rad)
        if abs(offset) >= TOUCH_IN:
            continue
        along = depth * math.cos(angle_rad) - aside * math.sin(angle_rad)
        travelled = along - math.sqrt(TOUCH_IN**2 - offset**2)
        if best is None or travelled < best[0]:
            best = travelled, Contact(pin, _side(offset), offset)
    return best[1] if best else None


def _side(offset_in: float) -> Side:
    if abs(offset_in) < CENTRE_IN:
        return "centre"
    return "right" if offset_in > 0 else "left"
