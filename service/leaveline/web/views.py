"""Answers as JSON objects: the one place where values become dictionaries."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Sequence
from typing import Any

from leaveline import MODEL_VERSION
from leaveline.lane import Hand
from leaveline.lines.compare import Option
from leaveline.lines.known import Fitted, Move
from leaveline.lines.line import Caution, Contact, Line, SideMiss
from leaveline.lines.reach import Reach, ReachEnd
from leaveline.lines.sensitivity import Sensitivity
from leaveline.lines.words import move_in_words, words_for
from leaveline.pins.classify import category, gaps, hidden_pins
from leaveline.pins.leave import Leave, format_mask, pins_of
from leaveline.pins.makeable import LeaveFacts
from leaveline.pins.names import TRADE_NAMES

PROBABILITY_DIGITS = 6
BOARD_DIGITS = 3


def leave_view(leave: Leave, facts: LeaveFacts) -> dict[str, Any]:
    """One leave's classification."""
    kind = category(leave)
    return {
        "leave": str(leave),
        "pins": list(leave.pins),
        "pin_count": len(leave),
        "category": kind,
        "is_split": kind == "split",
        "is_washout": kind == "washout",
        "head_pin_standing": 1 in leave,
        "trade_names": list(TRADE_NAMES.get(str(leave), ())),
        "hidden_pins": [{"pin": h.pin, "behind": h.behind} for h in hidden_pins(leave)],
        "gaps": [
            {
                "pins": list(gap.pins),
                "clear_in": round(gap.clear_in, BOARD_DIGITS),
                "ball_fits": gap.ball_fits,
            }
            for gap in gaps(leave)
        ],
        "makeable": facts.makeable,
        "best_make_probability": _probability(facts.best_make_probability),
        "ball_alone": facts.ball_alone,
        "mirror": str(leave.mirror),
    }


def line_view(
    leave: Leave, line: Line, *, hand: Hand = "right", moves: Sequence[Move] = ()
) -> dict[str, Any]:
    """One solved line, and how to get to it from each line the bowler trusts."""
    return {
        "play": line.play,
        "stand_board": _board(line.stand_board),
        "lay_down_board": _board(line.lay_down_board),
        "target_board": _board(line.target_board),
        "board_at_pins": _board(line.board_at_pins),
        "entry_angle_deg": round(math.degrees(line.entry_angle_rad), BOARD_DIGITS),
        "contact": None if line.contact is None else _contact(line.contact),
        "make_probability": _probability(line.make_probability),
        "standard_error": _probability(line.standard_error),
        "expected_pins": round(line.expected_pins, PROBABILITY_DIGITS),
        "pinfall": [
            {"pins": pins, "probability": _probability(probability)}
            for pins, probability in enumerate(line.pinfall)
        ],
        "miss_room": {
            "left_boards": _board(line.miss_room.left_boards),
            "right_boards": _board(line.miss_room.right_boards),
        },
        "if_missed": {"left": _missed(line.missed_left), "right": _missed(line.missed_right)},
        "pin_sent_probability": _probability(line.sent_probability),
        "wall_probability": _probability(line.wall_probability),
        "gutter_probability": _probability(line.lost_probability),
        "dry_boards_probability": _probability(line.dry_probability),
        "cautions": [_caution(caution) for caution in line.cautions],
        "moves": [_move(move, hand) for move in moves],
        "words": words_for(leave, line),
    }


def known_view(fitted: Fitted) -> dict[str, Any]:
    """What the lines a bowler trusts show of the bowler."""
    return {
        "lean_boards": _board(fitted.bowler.lean_boards),
        "lean_standard_error_boards": _maybe_board(fitted.lean_error_boards),
        "lay_down_offset_boards": _board(fitted.bowler.stance.lay_down_offset_boards),
        "offset_shown": fitted.offset_shown,
        "lines_agree": fitted.agree,
        "lines": [
            {
                "leave": str(told.known.leave),
                "lean_boards": _maybe_board(told.lean_boards),
                "doubt_boards": _maybe_board(told.doubt_boards),
            }
            for told in fitted.told
        ],
    }


def reach_view(reach: Reach) -> dict[str, Any]:
    """How far to either side a leave can be played."""

    def end(one: ReachEnd) -> dict[str, Any]:
        return {
            "stand_board": _board(one.line.stand_board),
            "lay_down_board": _board(one.line.lay_down_board),
            "target_board": _board(one.line.target_board),
            "make_probability": _probability(one.line.make_probability),
            "gutter_probability": _probability(one.line.lost_probability),
            "dry_boards_probability": _probability(one.line.dry_probability),
            "limited_by": one.limited_by,
        }

    return {"left": end(reach.left), "right": end(reach.right)}


def option_view(leave: Leave, option: Option) -> dict[str, Any]:
    """One ball or release of a comparison."""
    return {
        "index": option.index,
        "make_probability": _probability(option.line.make_probability),
        "behind_best": _probability(option.behind),
        "behind_best_standard_error": _probability(option.standard_error),
        "line": line_view(leave, option.line),
    }


def sensitivity_view(change: Sensitivity) -> dict[str, Any]:
    """What one more of something does to a line."""
    return {
        "of": change.of,
        "board_at_pins_change": round(change.board_at_pins, PROBABILITY_DIGITS),
        "make_probability_change": _probability(change.make_probability),
    }


def model_view(*, seed: int, throws_count: int) -> dict[str, Any]:
    """What reproduces an answer."""
    return {"model_version": MODEL_VERSION, "seed": seed, "throws_count": throws_count}


def input_digest(request: Any) -> str:
    """A digest of a normalised request and the model's version, for callers who memoise."""
    text = f"{MODEL_VERSION}\n{request!r}"
    return "sha256:" + hashlib.sha256(text.encode()).hexdigest()


def dump_json(body: Any) -> str:
    """JSON as the service writes it: the same body gives the same bytes; NaN raises."""
    return json.dumps(body, allow_nan=False, separators=(",", ":"), ensure_ascii=False)


def _contact(contact: Contact) -> dict[str, Any]:
    return {
        "pin": contact.pin,
        "side": contact.side,
        "offset_in": round(contact.offset_in, BOARD_DIGITS),
    }


def _missed(miss: SideMiss) -> dict[str, Any]:
    return {
        "probability": _probability(miss.probability),
        "remainders": [
            {
                "leave": format_mask(remainder.mask),
                "probability": _probability(remainder.probability),
            }
            for remainder in miss.remainders
        ],
    }


def _caution(caution: Caution) -> dict[str, Any]:
    return {
        "code": caution.code,
        "side": caution.side,
        "probability": _probability(caution.probability),
        "leaves_pins": list(pins_of(caution.mask)),
    }


def _move(move: Move, hand: Hand) -> dict[str, Any]:
    return {
        "from_leave": str(move.known.leave),
        "stand_boards": _board(move.stand_boards),
        "target_boards": _board(move.target_boards),
        "is_parallel": move.is_parallel,
        "words": move_in_words(move, hand),
    }


def _maybe_board(value: float | None) -> float | None:
    return None if value is None else _board(value)


def _probability(value: float) -> float:
    return round(value, PROBABILITY_DIGITS)


def _board(value: float) -> float:
    return round(value, BOARD_DIGITS)
