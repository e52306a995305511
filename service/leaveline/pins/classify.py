"""What kind of leave it is, from the deck's geometry and the rule of the split.

The governing body's playing rules (from memory of the wording's sense): a split is a set of pins
standing after the first delivery, the head pin down, when (a) at least one pin is down between
two or more that stand, as 7-9 or 3-10, or (b) at least one pin is down immediately ahead of two
or more that stand, as 5-6. Made exact here: the deck has seven columns 6 in apart; (a) is an
empty column between two standing columns, (b) two neighbours of one row with the pin directly
ahead of both down. With the head pin standing, (a) is what the trade calls a washout.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from leaveline.lane.dimensions import BALL_RADIUS_IN, PIN_RADIUS_IN
from leaveline.pins.deck import COLUMN, PIN_X_IN, ROW
from leaveline.pins.leave import Leave

Category = Literal["single_pin", "multi_pin", "split", "washout"]
CATEGORIES: tuple[Category, ...] = ("single_pin", "multi_pin", "split", "washout")

HEAD_PIN = 1
AHEAD_OF_NEIGHBOURS = {
    (2, 3): 1, (4, 5): 2, (5, 6): 3, (7, 8): 4, (8, 9): 5, (9, 10): 6,
}  # fmt: skip
"""The pin directly ahead of both pins of a pair of row neighbours."""


@dataclass(frozen=True, slots=True)
class Gap:
    """Two standing pins, next to each other in their row, and the room between them."""

    pins: tuple[int, int]
    clear_in: float
    ball_fits: bool


@dataclass(frozen=True, slots=True)
class HiddenPin:
    """A pin standing straight behind another, as seen by the bowler."""

    pin: int
    behind: int


def category(leave: Leave) -> Category:
    """Tell which one of the four kinds a leave is."""
    if len(leave) == 1:
        return "single_pin"
    if HEAD_PIN in leave:
        return "washout" if _has_empty_column(leave) else "multi_pin"
    return "split" if _has_empty_column(leave) or _has_open_neighbours(leave) else "multi_pin"


def hidden_pins(leave: Leave) -> tuple[HiddenPin, ...]:
    """List each pin that stands straight behind another, with the nearest one it hides behind."""
    hidden = []
    for pin in leave.pins:
        ahead = [p for p in leave.pins if COLUMN[p] == COLUMN[pin] and ROW[p] < ROW[pin]]
        if ahead:
            hidden.append(HiddenPin(pin, max(ahead, key=ROW.__getitem__)))
    return tuple(hidden)


def gaps(leave: Leave) -> tuple[Gap, ...]:
    """List the room between standing pins of one row with none standing between them."""
    found = []
    for row in range(4):
        standing = [pin for pin in leave.pins if ROW[pin] == row]
        for left, right in pairwise(standing):
            spacing = PIN_X_IN[right - 1] - PIN_X_IN[left - 1]
            clear = spacing - 2 * PIN_RADIUS_IN
            found.append(Gap((left, right), clear, clear > 2 * BALL_RADIUS_IN))
    return tuple(found)


def _has_empty_column(leave: Leave) -> bool:
    columns = sorted({COLUMN[pin] for pin in leave.pins})
    return any(b - a > 1 for a, b in pairwise(columns))


def _has_open_neighbours(leave: Leave) -> bool:
    return any(
        left in leave and right in leave and ahead not in leave
        for (left, right), ahead in AHEAD_OF_NEIGHBOURS.items()
    )
