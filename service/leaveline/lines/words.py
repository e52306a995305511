"""What a coach would say: two or three sentences made from a line's own numbers."""

from __future__ import annotations

from leaveline.lane import Hand
from leaveline.lines.known import Move
from leaveline.lines.line import Caution, Line
from leaveline.pins.leave import Leave, format_mask

FULL_HIT_IN = 1.0
HALF_HIT_IN = 3.5
CLEAR_ROOM_BOARDS = 0.15
"""Rooms closer than this are called the same."""
STAY = "as it is"
LEAST_ROOM_BOARDS = 0.05
"""Less would be written as nought."""


def words_for(leave: Leave, line: Line) -> str:
    """Say the line: where to stand and aim, what the ball meets, how much room, what to fear."""
    if any(caution.code == "out_of_reach" for caution in line.cautions):
        return (
            "No line of this ball on this lane reaches a pin: throw it straighter or faster, or "
            "take another ball."
        )
    sentences = [_aim(line), _meeting(leave, line), _room(line)]
    sentences += [_caution(caution, line) for caution in line.cautions[:2]]
    return " ".join(sentence for sentence in sentences if sentence)


def move_in_words(move: Move, hand: Hand) -> str:
    """Say a move from a known line: feet, then target, left and right as the bowler sees them."""
    if move.is_parallel and abs(move.stand_boards) >= LEAST_ROOM_BOARDS:
        how = f"feet and target {_sideways(move.stand_boards, hand)}, parallel"
    else:
        feet, target = (_sideways(by, hand) for by in (move.stand_boards, move.target_boards))
        how = "stay as you are" if feet == target == STAY else f"feet {feet}, target {target}"
    return f"From the {move.known.leave} line: {how}."


def _sideways(boards: float, hand: Hand) -> str:
    """Boards away from the ball-hand side (positive) as a direction."""
    if abs(boards) < LEAST_ROOM_BOARDS:
        return STAY
    side = "left" if (boards > 0) == (hand == "right") else "right"
    said = board(abs(boards))
    return f"{said} board {side}" if said in {"1", "0.5"} else f"{said} boards {side}"


def board(value: float) -> str:
    """A board as it is spoken: no decimals where there are none."""
    return f"{value:.1f}".rstrip("0").rstrip(".")


def percent(share: float) -> str:
    """A share in per cent, with a decimal where it is small or nearly all.

    None is 0.0 % and all is 100.0 %; what only rounds to them is said to be over or under.
    """
    value = 100 * share
    said = f"{value:.1f} %" if value < 10 or value > 99 else f"{value:.0f} %"
    is_rounded = (said == "0.0 %" and share > 0) or (said == "100.0 %" and share < 1)
    return chance(share) if is_rounded else said


def chance(probability: float, *, decimals: int = 1) -> str:
    """What the model gives a throw, in per cent: never impossible, never certain.

    Parameters
    ----------
    probability : float
        0 to 1.
    decimals : int
        At most, and only where it is below 10 % or above 99 %.
    """
    value = 100 * probability
    least = 10.0**-decimals
    if round(value, decimals) <= 0:
        return f"under {least:g} %"
    if round(value, decimals) >= 100:
        return f"over {100 - least:g} %"
    shown = decimals if value < 10 or value > 99 else 0
    return f"{value:.{shown}f}".removesuffix(".0") + " %"


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
    makes = chance(line.make_probability)
    return f"It {how}, {at}{sent}; thrown like this it makes {makes}."


def _room(line: Line) -> str:
    left, right = line.miss_room.left_boards, line.miss_room.right_boards
    if line.play == "count":
        return ""
    if left == right == 0:
        if line.make_probability > 0.5:
            return (
                "There is no room where it is aimed: throws to both sides of it make the spare, a "
                "perfect one less than half the time."
            )
        return "There is no room: even a perfect throw makes it less than half the time."
    if max(left, right) < LEAST_ROOM_BOARDS:
        return "There is next to no room at the arrows."
    wider = "left" if left > right else "right"
    if min(left, right) < LEAST_ROOM_BOARDS:
        return (
            f"There is room to the {wider} alone, {_boards(max(left, right))} at the arrows: if "
            f"you miss, miss {wider}."
        )
    if abs(left - right) < CLEAR_ROOM_BOARDS:
        both = (left + right) / 2
        return f"There {_is(both)} about {_boards(both)} of room either way at the arrows."
    return (
        f"There {_is(left)} {_boards(left)} of room to the left and {_boards(right)} to the right "
        f"at the arrows: if you miss, miss {wider}."
    )


def _caution(caution: Caution, line: Line) -> str:
    if caution.code == "chop":
        left = format_mask(caution.mask)
        struck = _pin(line.contact.pin) if line.contact else "front pin"
        missed = line.missed_left if caution.side == "left" else line.missed_right
        if caution.probability < missed.probability / 2:
            share = chance(caution.probability / missed.probability)
            return (
                f"Missing {caution.side} may chop the {struck} off and leave the {left} "
                f"({share} of those misses)."
            )
        return f"Missing {caution.side} chops the {struck} off and leaves the {left}."
    if caution.code == "gutter":
        return f"{_begun(chance(caution.probability))} of throws find the {caution.side} gutter."
    if caution.code == "dry_boards":
        throws = _begun(chance(caution.probability))
        return f"{throws} of throws run over dry boards on the {caution.side} and turn early."
    if caution.code == "wall_needed":
        makes = _begun(chance(caution.probability))
        return f"{makes} of the makes need a pin back off the side wall."
    return ""


def _pin(pin: int) -> str:
    return "head pin" if pin == 1 else f"{pin} pin"


def _boards(boards: float) -> str:
    return f"{boards:.1f} board" if round(boards, 1) <= 1 else f"{boards:.1f} boards"


def _is(boards: float) -> str:
    return "is" if round(boards, 1) <= 1 else "are"


def _begun(said: str) -> str:
    """What stands at the beginning of a sentence."""
    return said[:1].upper() + said[1:]
