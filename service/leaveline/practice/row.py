"""One row of a season: its fields read from text or plain values, and checked as a frame."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal, TypeAlias, get_args

from leaveline.lane.dimensions import BOARD_COUNT
from leaveline.pins import Leave, LeaveError
from leaveline.pins.classify import category
from leaveline.pins.leave import FULL_RACK_MASK
from leaveline.practice.accuracy import MOST_TARGET_MISS_BOARDS
from leaveline.scoring import Ball, GameState, Scoring, SheetError, score_sheet
from leaveline.scoring.game import FRAMES, PINS
from leaveline.scoring.sheet import SPLITS

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
LONGEST_LABEL = 40
YES, NO = ("yes", "y", "true", "1", "made"), ("no", "n", "false", "0", "missed", "open")
DASHES = str.maketrans("–—−‐‑", "-----")
"""Dashes that spreadsheets and word processors put in place of a hyphen."""
BALLS = re.compile(r"S[1-8]|[0-9XF/-]", re.IGNORECASE)
MISS = re.compile(r"([+-]?\d+(?:[.,]\d+)?)\s*(l|left|r|right)?", re.IGNORECASE | re.ASCII)
NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?", re.ASCII)
MONTH = re.compile(r"[^\W\d]{3,}|\d+[./]\d+[./]\d+")


class RowError(ValueError):
    """A row, or one field of it, that cannot be used."""

    def __init__(self, field: Field | None, reason: str) -> None:
        super().__init__(field, reason)
        self.field = field
        self.reason = reason


@dataclass(frozen=True, slots=True)
class BowledFrame:
    """One frame, or one practice ball at a leave.

    Attributes
    ----------
    row : int
        Row it was read from.
    date, game : str
        Labels, empty where not given.
    frame : int or None
        1 to 10.
    pins : tuple of int
        Pins of each ball; empty where the rolls were not given.
    leave : Leave or None
        Pins the spare ball was thrown at; None where none was thrown or it is not known.
    made : bool or None
        Whether the spare was made; None where no ball was thrown at a leave.
    spare_ball_index : int or None
        Which of the frame's balls was thrown at the leave, from 0; None where the rolls do not
        tell.
    ball : str
        Label of the spare ball.
    missed_target_by_boards : float or None
        Positive to the right seen from the bowler.
    lay_down_board, target_board : float or None
        The line meant.
    """

    row: int
    date: str = ""
    game: str = ""
    frame: int | None = None
    pins: tuple[int, ...] = ()
    leave: Leave | None = None
    made: bool | None = None
    spare_ball_index: int | None = None
    ball: str = ""
    missed_target_by_boards: float | None = None
    lay_down_board: float | None = None
    target_board: float | None = None


@dataclass(frozen=True, slots=True)
class CheckedRolls:
    """A frame's balls: pins, which of them was thrown at a leave, of how many pins, with what end.

    `split` tells whether the ball that left it carries the ring of a split.
    """

    pins: tuple[int, ...]
    spare_ball_index: int | None
    standing: int
    made: bool | None
    split: bool


def read_row(
    fields: Mapping[str, object], *, row: int, scoring: Scoring
) -> tuple[BowledFrame, list[RowError]]:
    """Read one row: the frame, and the fields that had to be left out.

    Raises
    ------
    RowError
        Where the row cannot be used at all: what happened in it is not told, or is told twice and
        differently.
    """
    given = {name: value for name, value in fields.items() if not _empty(value)}
    left_out = [
        RowError(None, f"{_shown(name)} is not a field that is known; it was not read")
        for name in given
        if name not in FIELDS
    ]
    frame = _whole_frame(given["frame"]) if "frame" in given else None
    rolls = _rolls(given["rolls"], frame, scoring) if "rolls" in given else None
    leave = _leave(given["leave"]) if "leave" in given else None
    made = _made(given["made"]) if "made" in given else None
    known: dict[str, Any] = _agreed(rolls, leave, made)
    if known["made"] is None:
        left_out += [
            RowError(name, "no spare ball was thrown in this frame; it was not used")
            for name in ("missed_target_by_boards", "lay_down_board", "target_board")
            if name in given
        ]
    else:
        known |= _about_the_ball(given, left_out)
    for label in ("date", "game", "ball"):
        if label in given:
            known[label] = _or_left_out(_label, label, given[label], left_out) or ""
    return BowledFrame(row=row, frame=frame, **known), left_out


def _agreed(
    rolls: CheckedRolls | None, leave: Leave | None, made: bool | None
) -> dict[str, object]:
    """What rolls, leave and made say together."""
    if rolls is None:
        if leave is None or made is None:
            raise RowError("rolls", "needed: the rolls, or the leave and whether it was made")
        return {"leave": leave, "made": made}
    if rolls.made is None:
        return _agreed_without_spare_ball(rolls, leave, made)
    if made is not None and made != rolls.made:
        does = "make" if rolls.made else "miss"
        raise RowError("made", f"the rolls {does} the spare, but made is {_yes_no(made)}")
    if leave is not None and len(leave) != rolls.standing:
        raise RowError(
            "leave", f"{leave} is {len(leave)} pins, but the rolls leave {rolls.standing}"
        )
    if leave is not None and rolls.split and category(leave) != "split":
        raise RowError("leave", f"the rolls mark a split, but {leave} is none")
    if leave is None and rolls.standing == PINS:
        leave = Leave(FULL_RACK_MASK)
    return {
        "pins": rolls.pins,
        "leave": leave,
        "made": rolls.made,
        "spare_ball_index": rolls.spare_ball_index,
    }


def _agreed_without_spare_ball(
    rolls: CheckedRolls, leave: Leave | None, made: bool | None
) -> dict[str, object]:
    """A strike, or a tenth frame that ends with its fill ball: nothing was thrown at a leave."""
    if made:
        raise RowError("made", "no spare ball was thrown in this frame, but made is yes")
    if leave is not None and len(leave) != PINS - rolls.pins[-1]:
        raise RowError(
            "leave",
            f"{leave} is {len(leave)} pins, but the rolls leave {PINS - rolls.pins[-1]}",
        )
    return {"pins": rolls.pins, "made": None}


def _about_the_ball(given: Mapping[str, object], left_out: list[RowError]) -> dict[str, object]:
    """How the spare ball was meant and where it went; what cannot be read is left out."""
    known: dict[str, object] = {}
    if "missed_target_by_boards" in given:
        name: Field = "missed_target_by_boards"
        known[name] = _or_left_out(_miss, name, given[name], left_out)
    boards = {
        name: _or_left_out(_board, name, given[name], left_out)
        for name in ("lay_down_board", "target_board")
        if name in given
    }
    if len(boards) == 1:
        left_out.append(RowError(next(iter(boards)), "a line needs both its boards; not used"))
    elif boards and None not in boards.values():
        known |= boards
    return known


def _or_left_out(
    read: Callable[[Any, Any], Any], name: Any, value: object, left_out: list[RowError]
) -> Any:
    try:
        return read(name, value)
    except RowError as error:
        left_out.append(RowError(error.field, f"{error.reason}; it was left out"))
        return None


def _whole_frame(value: object) -> int:
    text = _text(value)
    if isinstance(value, bool) or not (text.isascii() and text.isdigit() and len(text) < 4):
        raise RowError("frame", f"{_shown(value)} is no frame; allowed: 1 to {FRAMES}")
    if not 1 <= int(text) <= FRAMES:
        raise RowError("frame", f"frame is {text}; allowed: 1 to {FRAMES}")
    return int(text)


def _rolls(value: object, frame: int | None, scoring: Scoring) -> CheckedRolls:
    balls = tuple(value) if isinstance(value, list | tuple) else _balls_in(_text(value))
    if not all(isinstance(ball, int | str) and not isinstance(ball, bool) for ball in balls):
        raise RowError("rolls", f"{_shown(value)} is no list of balls: pins or sheet symbols")
    if len(balls) > 3 or any(isinstance(ball, str) and len(ball) > 2 for ball in balls):
        raise RowError("rolls", f"{_shown(value)} is more than a frame's balls; allowed: 1 to 3")
    try:
        return _checked(balls, frame == FRAMES, scoring)
    except SheetError as error:
        where = f"ball {error.index % 18 + 1}" if frame == FRAMES else f"ball {error.index + 1}"
        shown = _shown(error.value)
        raise RowError("rolls", f"{where} is {shown}; allowed: {error.allowed}") from None


@lru_cache(maxsize=1024)
def _checked(balls: tuple[Ball, ...], tenth: bool, scoring: Scoring) -> CheckedRolls:
    """Check the balls of one frame by the rules of the game.

    They are scored as the first frame of a game, or after nine empty ones as its tenth.
    """
    before = (0,) * (2 * (FRAMES - 1)) if tenth else ()
    game = score_sheet((*before, *balls), scoring=scoring)
    own = game.frames[-1] if game.frames else None
    if own is None or len(game.frames) != (FRAMES if tenth else 1):
        raise RowError("rolls", f"{len(balls)} balls are not one frame; allowed: 1 or 2")
    if not own.complete:
        raise RowError("rolls", "the frame is not finished: a ball is missing")
    state = score_sheet(before, scoring=scoring).state
    for index, pins in enumerate(own.balls):
        if not state.fresh_rack:
            made = pins == state.standing
            ring = own.symbols[index - 1] in SPLITS
            return CheckedRolls(own.balls, index, state.standing, made, ring)
        state = _thrown(state, pins)
    return CheckedRolls(own.balls, None, 0, None, False)


def _thrown(state: GameState, pins: int) -> GameState:
    return state.throw(pins)


def _balls_in(text: str) -> tuple[Ball, ...]:
    """Take a frame's text apart: `9/`, `X 9 /`, `S7 2`; ten pins need a mark or a space."""
    parts = re.split(r"[\s,;|]+", text.translate(DASHES).strip())
    balls: list[Ball] = []
    for part in parts:
        if part == "10" and len(parts) > 1:
            balls.append(PINS)
            continue
        if part == "10":
            raise RowError("rolls", "10 is a strike or 1 and 0: write X, or 1 0 with a space")
        found = BALLS.findall(part)
        if "".join(found) != part or not part:
            raise RowError("rolls", f"{_shown(text)} is no frame; write 9/, X, 8 1 or S7 2")
        balls += found
    return tuple(balls)


def _leave(value: object) -> Leave:
    try:
        if isinstance(value, list | tuple):
            if not all(isinstance(pin, int) and not isinstance(pin, bool) for pin in value):
                raise LeaveError(f"pins are numbered 1 to {PINS}, got {_shown(value)}")
            return Leave.of(value)
        text = _text(value).translate(DASHES)
        return Leave.parse(re.sub(r"\s*[-\s,+]\s*", "-", text))
    except LeaveError as error:
        hint = ""
        if MONTH.search(_text(value)):
            hint = " (if a spreadsheet made a date of it, write the pins with spaces: 3 10)"
        raise RowError("leave", f"{error}{hint}") from None


def _made(value: object) -> bool:
    if isinstance(value, bool):
        return value
    text = _text(value).lower()
    if text not in YES + NO:
        raise RowError("made", f"{_shown(value)} is neither yes nor no")
    return text in YES


def _miss(name: Field, value: object) -> float:
    text = _text(value).lower().translate(DASHES)
    match = MISS.fullmatch(text)
    if text == "hit":
        return 0.0
    if match is None or isinstance(value, bool):
        raise RowError(name, f'{_shown(value)} is no miss: boards, "1.5 left" or "hit"')
    number, side = match.groups()
    if side and number[0] in "+-":
        raise RowError(name, f"{_shown(value)} has a sign and a side: one of them is enough")
    boards = _number(name, number, MOST_TARGET_MISS_BOARDS)
    return -boards if side and side[0] == "l" else boards


def _board(name: Field, value: object) -> float:
    text = _text(value)
    if isinstance(value, bool) or not NUMBER.fullmatch(text):
        raise RowError(name, f"{_shown(value)} is no board")
    board = _number(name, text, BOARD_COUNT + 1)
    if board < 0:
        raise RowError(name, f"{name} is {board:g}; allowed: 0 to {BOARD_COUNT + 1}")
    return board


def _number(name: Field, text: str, most: float) -> float:
    """A number with a decimal point or comma, within -most to most."""
    value = float(text.replace(",", "."))
    if not math.isfinite(value) or abs(value) > most:
        raise RowError(name, f"{name} is {_shown(text)}; allowed: {-most:g} to {most:g}")
    return value


def _label(name: Field, value: object) -> str:
    text = _text(value)
    if len(text) > LONGEST_LABEL:
        raise RowError(name, f"{name} has {len(text)} characters; allowed: {LONGEST_LABEL}")
    return text


def _text(value: object) -> str:
    """A value as text; what is neither text nor a number is no field's text."""
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, int) and value.bit_length() <= 64:
        return str(value)
    if isinstance(value, float) and abs(value) < 1e6:
        return f"{value:.6f}".rstrip("0").rstrip(".")
    return repr(type(value))


def _empty(value: object) -> bool:
    return value is None or (isinstance(value, str) and not value.strip())


def _yes_no(value: bool) -> str:
    return "yes" if value else "no"


def _shown(value: object) -> str:
    """A value as it may stand in a message: short, whatever it is."""
    text = repr(value) if not isinstance(value, int) or value.bit_length() <= 64 else "a number"
    return text if len(text) <= LONGEST_LABEL else f"{text[: LONGEST_LABEL - 3]}..."
