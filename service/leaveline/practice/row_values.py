"""The values of a season's row, each read from text or a plain value, or refused with a reason."""

from __future__ import annotations

import re
from typing import Literal, TypeAlias, get_args

from leaveline.lane.dimensions import BOARD_COUNT
from leaveline.pins import Leave, LeaveError
from leaveline.practice.accuracy import MOST_TARGET_MISS_BOARDS
from leaveline.scoring import Ball
from leaveline.scoring.game import FRAMES, PINS

Field: TypeAlias = Literal[
    "date",
    "game",
    "frame",
    "rolls",
    "leave",
    "ball",
    "missed_target_by_boards",
    "made",
    "lay_down_board",
    "target_board",
]
FIELDS: tuple[Field, ...] = get_args(Field)
MOST_FRAME_DIGITS = 2
MOST_PIN_WRITTEN_OUT = 999
MOST_BALLS = 3
LONGEST_LABEL = 40
LONGEST_SHOWN = 40
LARGEST_NUMBER = 1e6
YES, NO = ("yes", "y", "true", "1", "made"), ("no", "n", "false", "0", "missed", "open")
DASHES = str.maketrans("–—−‐‑", "-----")
"""Dashes that spreadsheets and word processors put in place of a hyphen."""
BALL = re.compile(r"S[1-8]|[0-9XF/-]", re.IGNORECASE)
MISS = re.compile(r"([+-]?\d{1,9}(?:[.,]\d{1,9})?)\s*(l|left|r|right)?", re.ASCII)
NUMBER = re.compile(r"[+-]?\d{1,9}(?:[.,]\d{1,9})?", re.ASCII)
LIKE_A_DATE = re.compile(r"[^\W\d]{3,}|\d+[./]\d+")


class RowError(ValueError):
    """A row, or one field of it, that cannot be used."""

    def __init__(self, field: Field | None, reason: str) -> None:
        super().__init__(field, reason)  # positional, so that it pickles
        self.field = field
        self.reason = reason


def is_empty(value: object) -> bool:
    """Whether nothing was given."""
    return value is None or (isinstance(value, str) and not value.strip())


def read_frame(value: object) -> int:
    """Frame number, 1 to 10."""
    text = _text("frame", value)
    digits = text.isascii() and text.isdigit() and len(text) <= MOST_FRAME_DIGITS
    if not (digits and 1 <= int(text) <= FRAMES):
        raise RowError("frame", f"frame is {shown(value)}; allowed: 1 to {FRAMES}")
    return int(text)


def read_balls(value: object) -> tuple[Ball, ...]:
    """Take a frame's balls apart: a list, or text as `9/`, `X 9 /`, `S7 2`; not yet checked."""
    if isinstance(value, list | tuple):
        balls = tuple(value)
        if not all(isinstance(ball, int | str) for ball in balls):
            raise RowError("rolls", f"{shown(value)} is no list of pins and sheet symbols")
    else:
        balls = _balls_in(_text("rolls", value))
    if not 1 <= len(balls) <= MOST_BALLS:
        raise RowError("rolls", f"{len(balls)} balls; allowed in a frame: 1 to {MOST_BALLS}")
    return balls


def _balls_in(text: str) -> tuple[Ball, ...]:
    balls: list[Ball] = []
    parts = re.split(r"[\s,;|]+", text.translate(DASHES))
    for part in parts:
        if part == "10":
            if len(parts) == 1:
                raise RowError("rolls", "10 is a strike or 1 and 0: write X, or 1 0 with a space")
            balls.append(PINS)
            continue
        found = BALL.findall(part)
        if "".join(found) != part:
            raise RowError("rolls", f"{shown(text)} is no frame; write 9/, X, 8 1 or S7 2")
        balls += found
    return tuple(balls)


def read_leave(value: object) -> Leave:
    """Pins standing: a list, or text with hyphens, spaces, commas or plus signs between them."""
    try:
        if isinstance(value, list | tuple):
            whole = all(isinstance(pin, int) and not isinstance(pin, bool) for pin in value)
            # Its own message writes the number out: thousands of digits cannot be.
            if not whole or any(abs(pin) > MOST_PIN_WRITTEN_OUT for pin in value):
                raise LeaveError(f"pins are whole numbers 1 to {PINS}, got {shown(value)}")
            return Leave.of(value)
        text = _text("leave", value).translate(DASHES)
        return Leave.parse(re.sub(r"\s*[-\s,+]\s*", "-", text))
    except LeaveError as error:
        hint = ""
        if isinstance(value, str) and LIKE_A_DATE.search(value):
            hint = " (if a spreadsheet made a date of it, write the pins with spaces: 3 10)"
        raise RowError("leave", f"{error}{hint}") from None


def read_made(value: object) -> bool:
    """Yes or no."""
    if isinstance(value, bool):
        return value
    text = _text("made", value).lower()
    if text not in YES + NO:
        raise RowError("made", f"made is {shown(value)}; allowed: yes or no")
    return text in YES


def read_miss(name: Field, value: object) -> float:
    """Miss in boards, positive right: a number, `hit`, or a number with a side."""
    text = _text(name, value).lower().translate(DASHES)
    if text == "hit":
        return 0.0
    match = MISS.fullmatch(text)
    if match is None:
        raise RowError(name, f'{shown(value)} is no miss; write boards, "1.5 left" or "hit"')
    number, side = match.groups()
    if side and number[0] in "+-":
        raise RowError(name, f"{shown(value)} has a sign and a side; one of them is enough")
    boards = _within(name, number, -MOST_TARGET_MISS_BOARDS, MOST_TARGET_MISS_BOARDS)
    return -boards if side and side[0] == "l" else boards


def read_board(name: Field, value: object) -> float:
    """Board, 0 to 40."""
    return _within(name, _text(name, value), 0, BOARD_COUNT + 1)


def read_label(name: Field, value: object) -> str:
    """Short text."""
    text = _text(name, value)
    if len(text) > LONGEST_LABEL:
        raise RowError(name, f"{name} has {len(text)} characters; allowed: {LONGEST_LABEL}")
    return text


def shown(value: object) -> str:
    """A value as it may stand in a message: short, whatever it is."""
    if isinstance(value, int) and value.bit_length() > 64:
        return f"a number of {value.bit_length()} bits"
    try:
        text = repr(value)
    except ValueError:  # Python writes out no number of thousands of digits
        return f"a {type(value).__name__} with a number too long to show"
    return text if len(text) <= LONGEST_SHOWN else f"{text[: LONGEST_SHOWN - 3]}..."


def _within(name: Field, text: str, low: float, high: float) -> float:
    """A number written with a decimal point or comma, within a range."""
    if NUMBER.fullmatch(text) and low <= (value := float(text.replace(",", "."))) <= high:
        return value
    raise RowError(name, f"{name} is {shown(text)}; allowed: {low:g} to {high:g}")


def _text(name: Field, value: object) -> str:
    """Text or a number as text."""
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, int) and not isinstance(value, bool) and value.bit_length() <= 64:
        return str(value)
    if isinstance(value, float) and abs(value) <= LARGEST_NUMBER:
        return f"{value:.6f}".rstrip("0").rstrip(".")
    raise RowError(name, f"{name} is {shown(value)}; allowed: text or a number")
