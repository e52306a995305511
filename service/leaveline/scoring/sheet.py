"""How the balls of a game are written down.

Each entry of a list of balls is either a number of pins (an integer 0 to 10) or a symbol of the
score sheet; both may be mixed:

=============  ===================================================================
``X``          strike: all ten with a ball at a full rack
``/``          spare: all that the ball before left standing
``-``          miss: no pins
``F``          foul: no pins count
``0`` to ``9`` that many pins
``S1`` to      that many pins with the first ball, and a split left: the plain-text
``S8``         form of the ring drawn round the number on a paper sheet
=============  ===================================================================

Letters may be small. A foul with the first ball is followed by a ball at all ten pins, and felling
them then is a spare, written ``/`` or 10, never ``X``. A number that happens to clear the rest of
the pins is a spare as well.
"""

from __future__ import annotations

from numbers import Integral
from typing import TypeAlias

Ball: TypeAlias = int | str

NO_PINS = {"-": 0, "F": 0}
DIGITS = {str(pins): pins for pins in range(10)}
# A split needs the head pin down and two pins standing, so its count is 1 to 8.
SPLITS = {f"S{pins}": pins for pins in range(1, 9)}


class SheetError(ValueError):
    """A ball that cannot have happened where it stands.

    Attributes
    ----------
    frame
        Frame number, 1 to 10.
    index
        Place of the ball in the list, from 0.
    value
        What was given.
    allowed
        What could stand there, in words.
    """

    def __init__(self, frame: int, index: int, value: object, allowed: str) -> None:
        super().__init__(frame, index, value, allowed)  # positional, so that it pickles
        self.frame = frame
        self.index = index
        self.value = value
        self.allowed = allowed

    def __str__(self) -> str:
        return (
            f"ball {self.index + 1} of the list, in frame {self.frame}, is {_shown(self.value)}; "
            f"allowed: {self.allowed}"
        )


def read_ball(value: object, *, standing: int, fresh: bool, frame: int, index: int) -> int:
    """Pins felled by one written ball.

    Parameters
    ----------
    value
        Number of pins or sheet symbol.
    standing
        Pins the ball was thrown at, 1 to 10.
    fresh
        Whether that was a full rack not yet thrown at.
    frame, index
        Where the ball stands, for the error.

    Raises
    ------
    SheetError
        If the ball cannot have happened.
    """
    symbols = NO_PINS | DIGITS | (SPLITS | {"X": standing} if fresh else {"/": standing})
    pins: int | None = None
    if isinstance(value, str):
        pins = symbols.get(value.upper())
    elif isinstance(value, Integral) and not isinstance(value, bool):
        pins = int(value)
    if pins is None or not 0 <= pins <= standing:
        marks = '"-", "F", "X" or "S1" to "S8" for a split' if fresh else '"-", "F" or "/"'
        raise SheetError(frame, index, value, f"0 to {standing} pins, {marks}")
    return pins


def symbol_of(value: Ball, pins: int, *, standing: int, fresh: bool) -> str:
    """The sheet's symbol for a legal ball; the ring of a split and a foul are kept."""
    if isinstance(value, str) and value.upper() in SPLITS | {"F": 0}:
        return value.upper()
    if pins == standing:
        return "X" if fresh else "/"
    return str(pins) if pins else "-"


def _shown(value: object) -> str:
    """A value as it may stand in a message: short, whatever it is."""
    if isinstance(value, int) and value.bit_length() > 64:
        return f"a number of {value.bit_length()} bits"
    text = repr(value)
    return text if len(text) <= 40 else f"{text[:37]}..."
