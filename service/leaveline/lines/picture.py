"""A solved line as a picture: the lane as the bowler sees it, the deck drawn larger above it.

From top to bottom: what the line is worth and its numbers, the deck to scale with one throw
played out on it, the lane with oil, path, target and miss room, the approach. What a miss leaves
stands beside the lane on the side it misses to. Everything is drawn where it is, so a
left-hander's picture is a right-hander's in a mirror.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from leaveline.delivery import rolling_path
from leaveline.lane import Hand, x_from_board
from leaveline.lane.dimensions import BOARD_COUNT, FOUL_TO_HEAD_PIN_IN, TARGET_IN
from leaveline.lane.oil import oil_amount
from leaveline.lines import picture_parts as parts
from leaveline.lines.bowler import Bowler
from leaveline.lines.line import Line
from leaveline.lines.picture_deck import Drawn, draw_deck, drawn_throw
from leaveline.lines.picture_lane import draw_approach, draw_lane, draw_missed, draw_oil
from leaveline.lines.picture_parts import NORMAL, SMALL, SOFT_INK, Element, Point
from leaveline.lines.words import board, chance, words_for
from leaveline.pins.classify import category
from leaveline.pins.leave import Leave, format_mask
from leaveline.pins.names import TRADE_NAMES

HEIGHT = 892.0
TEXT_WIDTH = 354.0
OIL_SHAPE = (61, BOARD_COUNT)
PATH_POINTS_MAX = 2000
BOARD_DIGITS, PROBABILITY_DIGITS = 3, 6
"""As many digits as the answers give, so that a picture's numbers are the answer's."""
PATH_STEPS = 24
KIND_SAID = {"split": "split", "washout": "washout"}


def picture_of(leave: Leave, line: Line, bowler: Bowler) -> str:
    """Draw a line as this bowler throws it: path, miss room and oil are worked out.

    Parameters
    ----------
    leave : Leave
    line : Line
        As solved for this leave and bowler.
    bowler : Bowler

    Returns
    -------
    str
        An SVG document; the same line gives the same text.
    """
    left, right = line.miss_room.left_boards, line.miss_room.right_boards
    rolling = bowler.rolling
    oil = None
    if rolling is not None:
        oil = oil_amount(rolling.oil, games_worn=rolling.games_worn)
        oil = oil if bowler.hand == "right" else oil[:, ::-1]
    return lane_picture(
        leave,
        line,
        hand=bowler.hand,
        path=path_of(line, bowler),
        room_edges=(path_of(line, bowler, -left), path_of(line, bowler, right)),
        oil=oil,
        ball_weight_lb=bowler.ball_weight_lb,
    )


def path_of(line: Line, bowler: Bowler, right_at_target_boards: float = 0.0) -> tuple[Point, ...]:
    """Give the ball's way down the lane: (x_in, y_in) from the foul line to the head-pin row.

    Parameters
    ----------
    line : Line
    bowler : Bowler
    right_at_target_boards : float
        How far to the right of the target it rolls, the rest of the throw as meant [boards].
    """
    right = right_at_target_boards + bowler.lean_boards
    off = right if bowler.hand == "right" else -right
    if bowler.rolling is None:
        board_at_pins = line.board_at_pins - off * FOUL_TO_HEAD_PIN_IN / TARGET_IN
        return straight_path(
            replace(line, target_board=line.target_board - off, board_at_pins=board_at_pins),
            bowler.hand,
        )
    lay, aim = x_from_board(line.lay_down_board), x_from_board(line.target_board - off)
    trace = rolling_path(bowler.rolling, lay, aim)
    side = 1.0 if bowler.hand == "right" else -1.0
    return tuple((side * float(x), float(y)) for x, y in zip(trace.x_in, trace.y_in, strict=True))


def lane_picture(
    leave: Leave,
    line: Line,
    *,
    hand: Hand,
    path: Sequence[Point],
    room_edges: tuple[Sequence[Point], Sequence[Point]] | None = None,
    oil: npt.NDArray[np.float64] | None = None,
    ball_weight_lb: float = 15.0,
) -> str:
    """Draw a line whose path is known.

    Parameters
    ----------
    leave : Leave
    line : Line
        The line as solved for this leave and hand.
    hand : {"right", "left"}
        The side its boards count from.
    path : sequence of (x_in, y_in)
        The ball's way from the foul line (y = 0) to the head-pin row (y = 720), y ascending;
        `straight_path` gives it for a straight ball.
    room_edges : two such paths, optional
        The ways along the left and the right edge of the miss room; left out, no band is drawn.
    oil : (61, 39) array, optional
        Oil by foot from the foul line and by board from left to right; 1 is a fresh pattern's
        most.
    ball_weight_lb : float
        Weight the throw on the deck is played with [lb].

    Returns
    -------
    str
        An SVG document; the same line gives the same text.

    Raises
    ------
    ValueError
        Where the path or the oil has another form than said above.
    """
    for way in (path, *(room_edges or ())):
        _check_path(way)
    if oil is not None and oil.shape != OIL_SHAPE:
        raise ValueError(f"oil: shape {oil.shape}, must be {OIL_SHAPE}")
    drawn = drawn_throw(leave, line, hand=hand, ball_weight_lb=ball_weight_lb)
    root = parts.figure(
        height=HEIGHT,
        title=f"Lane picture of a line for the {leave}, {hand}-handed",
        description=_description(leave, line, drawn),
        data=_numbers(leave, line, hand),
    )
    _header(root, leave, line)
    if oil is not None:
        draw_oil(root, oil)
    draw_lane(root, line, path, room_edges, hand=hand)
    draw_approach(root, line, hand=hand)
    draw_missed(root, line)
    draw_deck(root, leave, drawn)
    _captions(root, line, drawn)
    _legend(root, with_oil=oil is not None)
    return parts.write(root)


def straight_path(line: Line, hand: Hand) -> tuple[Point, ...]:
    """Give the path of a (nearly) straight ball: the parabola through lay-down, target and pins.

    Returns
    -------
    tuple of (x_in, y_in)
        From the foul line to the head-pin row.
    """
    lay, target, pins = (
        x_from_board(at, hand)
        for at in (line.lay_down_board, line.target_board, line.board_at_pins)
    )
    to_target = (target - lay) / TARGET_IN
    to_pins = (pins - lay) / FOUL_TO_HEAD_PIN_IN
    bend = (to_pins - to_target) / (FOUL_TO_HEAD_PIN_IN - TARGET_IN)
    slope = to_target - bend * TARGET_IN
    ys = [step * FOUL_TO_HEAD_PIN_IN / PATH_STEPS for step in range(PATH_STEPS + 1)]
    return tuple((lay + (slope + bend * y) * y, y) for y in ys)


def _check_path(path: Sequence[Point]) -> None:
    if not 2 <= len(path) <= PATH_POINTS_MAX:
        raise ValueError(f"path: {len(path)} points, must be 2 to {PATH_POINTS_MAX}")
    ys = [y for _, y in path]
    if any(later <= earlier for earlier, later in pairwise(ys)):
        raise ValueError("path: y must ascend from the foul line to the pins")


def _numbers(leave: Leave, line: Line, hand: Hand) -> dict[str, str | float]:
    boards = {
        "stand-board": line.stand_board,
        "lay-down-board": line.lay_down_board,
        "target-board": line.target_board,
        "board-at-pins": line.board_at_pins,
        "room-left-boards": line.miss_room.left_boards,
        "room-right-boards": line.miss_room.right_boards,
    }
    return {
        "kind": "lane",
        "leave": str(leave),
        "hand": hand,
        "play": line.play,
        **{name: round(value, BOARD_DIGITS) for name, value in boards.items()},
        "entry-angle-deg": round(float(np.degrees(line.entry_angle_rad)), BOARD_DIGITS),
        "make-probability": round(line.make_probability, PROBABILITY_DIGITS),
        "expected-pins": round(line.expected_pins, PROBABILITY_DIGITS),
    }


def _description(leave: Leave, line: Line, drawn: Drawn) -> str:
    """The picture in words, for those who hear it."""
    said = [words_for(leave, line)]
    for side, miss in (("left", line.missed_left), ("right", line.missed_right)):
        left = ", ".join(f"{format_mask(r.mask)} {chance(r.probability)}" for r in miss.remainders)
        said.append(f"Missed {side}, {chance(miss.probability)}: {left or 'nothing is left'}.")
    said += [drawn.words(line), drawn.falls()]
    return " ".join(said)


def _header(root: Element, leave: Leave, line: Line) -> None:
    header = parts.group(root, "header")
    names = TRADE_NAMES.get(str(leave), ())
    kind = names[0] if names else KIND_SAID.get(category(leave))
    pins = str(leave)
    parts.text(header, (0, 27), pins, size=26 if len(pins) < 16 else 19, bold=True)
    worth = f"makes {chance(line.make_probability)}"
    if line.play == "count":
        worth = f"counts {line.expected_pins:.1f} of {len(leave)} pins, {worth}"
    said = f"{kind}, {worth}" if kind else worth
    parts.text(header, (0, 47), said, size=15 if len(said) < 36 else 12.5)
    figures = (
        ("Stand", line.stand_board),
        ("Lay down", line.lay_down_board),
        ("Target", line.target_board),
        ("At the pins", line.board_at_pins),
    )
    for place, (label, value) in enumerate(figures):
        x = -132.0 + 88 * place
        parts.text(header, (x, 68), label, size=SMALL, fill=SOFT_INK)
        parts.text(header, (x, 89), board(value), size=20, bold=True)


def _captions(root: Element, line: Line, drawn: Drawn) -> None:
    captions = parts.group(root, "captions")
    parts.text(captions, (0, 371), _meeting(line), size=NORMAL, bold=True)
    parts.text(captions, (0, 387), drawn.words(line), size=SMALL, within=TEXT_WIDTH)
    falls = drawn.falls()
    if falls and parts.em_width(falls) * parts.LEAST_SIZE <= TEXT_WIDTH:
        parts.text(captions, (0, 403), falls, size=SMALL, within=TEXT_WIDTH)


def _meeting(line: Line) -> str:
    if line.contact is None:
        return "The ball passes every pin"
    offset = abs(line.contact.offset_in)
    pin = "head pin" if line.contact.pin == 1 else f"{line.contact.pin} pin"
    if line.contact.side == "centre":
        return f"Meets the {pin} in its middle"
    return f"Meets the {pin} {offset:.1f} in {line.contact.side} of its middle"


def _legend(root: Element, *, with_oil: bool) -> None:
    legend = parts.group(root, "legend")
    y = 853.0
    parts.line(legend, [(-172, y - 4), (-152, y - 4)], width=3)
    parts.text(legend, (-147, y), "ball", size=SMALL, anchor="start")
    parts.line(legend, [(-118, y - 4), (-102, y - 4)], width=1.6, dashes="4 2.5")
    parts.arrow_head(legend, (-110, y - 4), (-97, y - 4))
    parts.text(legend, (-92, y), "pin", size=SMALL, anchor="start")
    parts.circle(legend, (-60, y - 4), 6, fill=parts.INK)
    parts.text(legend, (-50, y), "stays", size=SMALL, anchor="start")
    parts.shape(legend, parts.box(-12, y - 10, 8, y + 2), fill="url(#room)", stroke=parts.ROOM)
    parts.text(legend, (13, y), "miss room", size=SMALL, anchor="start")
    if with_oil:
        for place, tone in enumerate(parts.OIL_TONES[1:]):
            left = 96.0 + 8 * place
            parts.shape(legend, parts.box(left, y - 10, left + 8, y + 2), fill=tone)
        parts.text(legend, (133, y), "oil", size=SMALL, anchor="start")
    notes = (
        "The lane is drawn shorter than it is, the deck to scale.",
        "A probability, not a promise. House and league rules win.",
    )
    for row, note in enumerate(notes):
        parts.text(
            legend, (0, y + 18 + 15 * row), note, size=SMALL, fill=SOFT_INK, within=TEXT_WIDTH
        )
