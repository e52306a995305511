"""One row of a season as a frame: what its fields say together, checked by the rules."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from leaveline.pins import Leave
from leaveline.pins.classify import category
from leaveline.pins.leave import FULL_RACK_MASK
from leaveline.practice.row_values import (
    FIELDS,
    Field,
    RowError,
    is_empty,
    read_balls,
    read_board,
    read_frame,
    read_label,
    read_leave,
    read_made,
    read_miss,
    shown,
)
from leaveline.scoring import Ball, GameState, Scoring, SheetError, score_sheet
from leaveline.scoring.game import FRAMES, PINS
from leaveline.scoring.sheet import SPLITS

LINE_FIELDS: tuple[Field, Field] = ("lay_down_board", "target_board")
ABOUT_THE_BALL: tuple[Field, ...] = ("missed_target_by_boards", *LINE_FIELDS)
MOST_NAMED = 5
"""Unknown names of a row that its report tells; the rest are counted."""
EMPTY_FRAMES = (0,) * (2 * (FRAMES - 1))


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
    given = {name: value for name, value in fields.items() if not is_empty(value)}
    left_out = _unknown([name for name in given if name not in FIELDS])
    frame = read_frame(given["frame"]) if "frame" in given else None
    rolls = _rolls(given["rolls"], frame, scoring) if "rolls" in given else None
    leave = read_leave(given["leave"]) if "leave" in given else None
    made = read_made(given["made"]) if "made" in given else None
    known: dict[str, Any] = _agreed(rolls, leave, made)
    if known["made"] is None:
        left_out += [
            RowError(name, "no spare ball was thrown in this frame; it was not used")
            for name in ABOUT_THE_BALL
            if name in given
        ]
    else:
        known |= _about_the_ball(given, left_out)
    for label in ("date", "game", "ball"):
        if label in given:
            known[label] = _or_left_out(read_label, label, given[label], left_out) or ""
    return BowledFrame(row=row, frame=frame, **known), left_out


def _unknown(names: list[str]) -> list[RowError]:
    """One report of all names that no field goes by."""
    if not names:
        return []
    named = ", ".join(shown(name) for name in names[:MOST_NAMED])
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    said = "is not a field" if len(names) == 1 else "are not fields"
    return [RowError(None, f"{named}{more} {said} known here; not read")]


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
        raise RowError("made", f"the rolls {does} the spare, but made is {'yes' if made else 'no'}")
    if leave is not None and len(leave) != rolls.standing:
        raise RowError(
            "leave", f"{leave} is {_pins(len(leave))}, but the rolls leave {rolls.standing}"
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


def _pins(count: int) -> str:
    return "1 pin" if count == 1 else f"{count} pins"


def _agreed_without_spare_ball(
    rolls: CheckedRolls, leave: Leave | None, made: bool | None
) -> dict[str, object]:
    """A strike, or a tenth frame that ends with its fill ball: nothing was thrown at a leave."""
    if made:
        raise RowError("made", "no spare ball was thrown in this frame, but made is yes")
    if leave is not None and len(leave) != PINS - rolls.pins[-1]:
        raise RowError(
            "leave",
            f"{leave} is {_pins(len(leave))}, but the rolls leave {PINS - rolls.pins[-1]}",
        )
    return {"pins": rolls.pins, "made": None}


def _about_the_ball(given: Mapping[str, object], left_out: list[RowError]) -> dict[str, object]:
    """How the spare ball was meant and where it went; what cannot be read is left out."""
    known: dict[str, object] = {}
    if "missed_target_by_boards" in given:
        name: Field = "missed_target_by_boards"
        known[name] = _or_left_out(read_miss, name, given[name], left_out)
    boards: dict[Field, object] = {
        name: _or_left_out(read_board, name, given[name], left_out)
        for name in LINE_FIELDS
        if name in given
    }
    if len(boards) == 1:
        left_out.append(RowError(next(iter(boards)), "a line needs both its boards; not used"))
    elif boards and None not in boards.values():
        known |= {str(name): board for name, board in boards.items()}
    return known


def _or_left_out(
    read: Callable[[Field, object], Any], name: Field, value: object, left_out: list[RowError]
) -> Any:
    """The value, or None and a report that the field was left out."""
    try:
        return read(name, value)
    except RowError as error:
        left_out.append(RowError(error.field, f"{error.reason}; the field was left out"))
        return None


def _rolls(value: object, frame: int | None, scoring: Scoring) -> CheckedRolls:
    """A frame's balls, checked by the rules of the game."""
    try:
        return _checked(read_balls(value), frame == FRAMES, scoring)
    except SheetError as error:
        place = error.index - (len(EMPTY_FRAMES) if frame == FRAMES else 0) + 1
        reason = f"ball {place} is {shown(error.value)}; allowed: {error.allowed}"
        raise RowError("rolls", reason) from None


@lru_cache(maxsize=1024, typed=True)
def _checked(balls: tuple[Ball, ...], tenth: bool, scoring: Scoring) -> CheckedRolls:
    """Score the balls as the first frame of a game, or after nine empty ones as its tenth."""
    before = EMPTY_FRAMES if tenth else ()
    frames = score_sheet((*before, *balls), scoring=scoring).frames
    own = frames[-1]
    if len(frames) != (FRAMES if tenth else 1):
        raise RowError("rolls", f"{len(balls)} balls are more than a frame before the tenth takes")
    if not own.complete:
        raise RowError("rolls", "the frame is not finished: a ball is missing")
    state = GameState(scoring, frame=own.number)
    for index, pins in enumerate(own.balls):
        if not state.fresh_rack:
            ring = own.symbols[index - 1] in SPLITS
            return CheckedRolls(own.balls, index, state.standing, pins == state.standing, ring)
        state = state.throw(pins)
    return CheckedRolls(own.balls, None, 0, None, split=False)
