"""What a coach would say: two or three sentences made from a line's own numbers."""

from __future__ import annotations

from leaveline.lines.line import Caution, Line
from leaveline.pins.leave import Leave, format_mask

FULL_HIT_IN = 1.0
HALF_HIT_IN = 3.5
CLEAR_ROOM_BOARDS = 0.15
"""Rooms closer than this are called the same."""


def words_for(leave: Leave, line: Line) -> str:
    """Say the line: where to stand and aim, what the ball meets, how much room, what to fear."""
    sentences = [_aim(line), _meeting(leave, line), _room(line)]
    sentences += [_caution(caution, line) for caution in line.cautions[:2]]
    return " ".join(sentence for sentence in sentences if sentence)


def board(value: float) -> str:
    """A board as it is spoken: no decimals where there are none."""
    return f"{value:.1f}".rstrip("0").rstrip(".")


def percent(probability: float) -> str:
    """A probability in per cent, with a decimal where it is small or nearly certain."""
    value = 100 * probability
    return f"{value:.1f} %" if value < 10 or value > 99 else f"{value:.0f} %"


def _aim(line: Line) -> str:
    return (
        f"Stand with the slide foot on board {board(line.stand_board)}, lay the ball down on "
        f"{board(line.lay_down_board)} and roll it over board {board(line.target_board)} at the "
        "arrows."
    )


def _meeting(leave: Leave, line: Line) -> str:
    at = f"board {board(line.board_at_pins)} at the pins"
    if line.contact is None:
        return f"It passes every pin, {at}."
    offset = abs(line.contact.offset_in)
    pin = f"the {_pin(line.contact.pin)}"
    if offset < FULL_HIT_IN:
        how = f"meets {pin} full"
    elif offset < HALF_HIT_IN:
        how = f"meets {pin} on its {line.contact.side} half"
    else:
        how = f"meets {pin} thin on its {line.contact.side} side"
    if line.play == "count":
        return f"It {how}, {at}: {line.expected_pins:.1f} of {len(leave)} pins on average."
    sent = ""
    if len(leave) > 1 and line.sent_probability > line.make_probability / 2:
        sent = " and a pin has to be sent into another"
    chance = percent(line.make_probability)
    return f"It {how}, {at}{sent}; thrown like this it makes {chance}."


def _room(line: Line) -> str:
    left, right = line.miss_room.left_boards, line.miss_room.right_boards
    if line.play == "count":
        return ""
    if left == right == 0:
        return "There is no room: even a perfect throw makes it less than half the time."
    if abs(left - right) < CLEAR_ROOM_BOARDS:
        return f"There is about {_boards((left + right) / 2)} of room either way at the arrows."
    wider = "left" if left > right else "right"
    return (
        f"There is {_boards(left)} of room to the left and {_boards(right)} to the right at the "
        f"arrows: if you miss, miss {wider}."
    )


def _caution(caution: Caution, line: Line) -> str:
    if caution.code == "chop":
        left = format_mask(caution.mask)
        struck = _pin(line.contact.pin) if line.contact else "front pin"
        return f"Missing {caution.side} chops the {struck} off and leaves the {left}."
    if caution.code == "gutter":
        return f"{percent(caution.probability)} of throws find the {caution.side} gutter."
    if caution.code == "wall_needed":
        return f"{percent(caution.probability)} of the makes need a pin back off the side wall."
    return ""


def _pin(pin: int) -> str:
    return "head pin" if pin == 1 else f"{pin} pin"


def _boards(boards: float) -> str:
    return f"{boards:.1f} board" if boards <= 1 else f"{boards:.1f} boards"
