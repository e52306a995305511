"""The lane of a lane picture: boards, oil, path, target, miss room, what a miss leaves.

Across, the lane has the deck's scale; along, it is drawn some nine times shorter.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from leaveline.lane import Hand, x_from_board
from leaveline.lane.dimensions import (
    ARROW_BOARDS,
    BOARD_COUNT,
    BOARD_IN,
    DOT_BOARDS,
    FOUL_TO_HEAD_PIN_IN,
    HALF_LANE_IN,
    STANCE_IN,
    TARGET_IN,
)
from leaveline.lines import picture_parts as parts
from leaveline.lines.line import Line, SideMiss
from leaveline.lines.picture_deck import SCALE
from leaveline.lines.picture_parts import (
    FLOOR,
    INK,
    LARGE,
    LEAST_SIZE,
    NORMAL,
    OIL_TONES,
    PAPER,
    ROOM,
    SMALL,
    SOFT_INK,
    Element,
    Point,
    em_width,
)
from leaveline.lines.words import board, chance
from leaveline.pins.leave import PIN_COUNT, format_mask, mirror_mask, pins_of

TOP = 420.0
PER_IN = 5.4 / 12.0
"""Units to the inch along the lane."""
FOUL_Y = TOP + FOUL_TO_HEAD_PIN_IN * PER_IN
APPROACH_END_Y = FOUL_Y + 84.0
EDGE = HALF_LANE_IN * SCALE
MARGIN_X = 145.0
"""Middle of the column beside the lane."""
OUTER_ARROW_IN = 150.0  # the outermost arrows stand about 12 ft out, the middle one 15 (nominal)
DOTS_IN = (-2.5, -144.0, -180.0)  # specification: dots 2-3 in, 12 ft and 15 ft before the foul line
LEAST_SHOWN = 0.005
"""What a miss leaves more rarely than this is not drawn."""
COLUMN_WIDTH = 66.0
RACK_STEP, CAPTION_STEP = 5.0, 12.5
LEAST_OIL = 0.01
"""Less than a hundredth of a fresh pattern's most is drawn as dry."""


def draw_oil(root: Element, oil: npt.NDArray[np.float64]) -> None:
    """Shade the oil (61 by 39: by foot, by board from left to right) in a few even steps."""
    shaded = parts.group(root, "oil")
    steps = len(OIL_TONES) - 1
    levels = np.where(oil < LEAST_OIL, 0, np.clip(np.ceil(oil * steps), 1, steps)).astype(int)
    for level in range(1, steps + 1):
        loops = [
            loop
            for first, last, left, right in runs(levels == level)
            for loop in parts.box(
                _edge_of(left), _lane_y(12.0 * (last + 0.5)),
                _edge_of(right + 1), _lane_y(12.0 * (first - 0.5)),
            )
        ]  # fmt: skip
        if loops:
            step = parts.group(shaded, "oil-step", most=level / steps)
            parts.shape(step, loops, fill=OIL_TONES[level])


def runs(cells: npt.NDArray[np.bool_]) -> list[tuple[int, int, int, int]]:
    """Cover the true cells of a grid by rectangles: (first row, last row, first and last column).

    Runs along a row that recur just so in the rows below are taken together.
    """
    found: list[tuple[int, int, int, int]] = []
    growing: dict[tuple[int, int], int] = {}
    for row in range(cells.shape[0] + 1):
        here = _runs_of(cells[row]) if row < cells.shape[0] else []
        for columns in [c for c in growing if c not in here]:
            found.append((growing.pop(columns), row - 1, *columns))
        for columns in here:
            growing.setdefault(columns, row)
    return found


def draw_lane(
    root: Element,
    line: Line,
    path: Sequence[Point],
    room_edges: tuple[Sequence[Point], Sequence[Point]] | None,
    *,
    hand: Hand,
) -> None:
    """Draw boards, arrows, miss room, path and target, and say the numbers beside them."""
    lane = parts.group(root, "lane")
    for column in range(1, BOARD_COUNT):
        x = _edge_of(column)
        parts.line(lane, [(x, TOP), (x, FOUL_Y)], width=0.5, stroke="#c5ccd0")
    for side in (-1.0, 1.0):
        parts.line(lane, [(side * EDGE, TOP), (side * EDGE, FOUL_Y)], width=1.6)
    for arrow in ARROW_BOARDS:
        _draw_arrow(lane, arrow)
    if room_edges is not None:
        _draw_room(root, line, room_edges)
    way = parts.group(root, "path")
    points = [(x * SCALE, _lane_y(y)) for x, y in path]
    parts.line(way, points, width=6, stroke=PAPER)
    parts.line(way, points, width=3)
    parts.arrow_head(way, points[-2], points[-1], size=11)
    _draw_target(root, line, hand=hand)


def draw_approach(root: Element, line: Line, *, hand: Hand) -> None:
    """Draw the foul line, dots, board numbers, lay-down and where the slide foot starts."""
    approach = parts.group(root, "approach")
    parts.shape(approach, parts.box(-EDGE, FOUL_Y, EDGE, APPROACH_END_Y), fill=FLOOR)
    for dots_y in DOTS_IN:
        for dot in DOT_BOARDS:
            at = x_from_board(dot) * SCALE, max(_lane_y(dots_y), FOUL_Y + 6)
            parts.circle(approach, (at[0], min(at[1], APPROACH_END_Y - 4)), 1.8, fill=SOFT_INK)
    for number in ARROW_BOARDS:
        at = x_from_board(number, hand) * SCALE, FOUL_Y + 21
        parts.text(approach, at, str(number), size=SMALL, fill=SOFT_INK)
    parts.line(approach, [(-EDGE - 6, FOUL_Y), (EDGE + 6, FOUL_Y)], width=4)
    lay = x_from_board(line.lay_down_board, hand) * SCALE, FOUL_Y
    parts.circle(approach, lay, 5.5, fill=INK, stroke=PAPER, width=2)
    _label(approach, lay, "Lay down", board(line.lay_down_board), hand=hand)
    foot = x_from_board(line.stand_board, hand) * SCALE, _lane_y(-STANCE_IN)
    _draw_foot(approach, foot)
    _label(approach, foot, "Stand", board(line.stand_board), hand=hand)


def draw_missed(root: Element, line: Line) -> None:
    """Draw what a miss to each side leaves, beside the lane on that side."""
    _draw_missed_side(root, "left", -MARGIN_X, line.missed_left)
    _draw_missed_side(root, "right", MARGIN_X, line.missed_right)


def _draw_missed_side(root: Element, side: str, x: float, miss: SideMiss) -> None:
    missed = parts.group(root, "missed", side=side, probability=round(miss.probability, 6))
    parts.text(missed, (x, TOP + 10), f"Missed {side}", size=LEAST_SIZE, fill=SOFT_INK)
    said = chance(miss.probability)
    parts.text(missed, (x, TOP + 26), said, size=15, bold=True, within=COLUMN_WIDTH)
    if miss.remainders:
        parts.text(missed, (x, TOP + 40), "leaves", size=SMALL, fill=SOFT_INK)
    top = TOP + 45.0
    for remainder in miss.remainders:
        if remainder.probability < LEAST_SHOWN:
            continue
        left = format_mask(remainder.mask)
        item = parts.group(
            missed, "remainder", leave=left, probability=round(remainder.probability, 6)
        )
        foot = top + (3 * 1.5 + 0.8) * RACK_STEP  # three rows behind the head pin, and a disc
        parts.small_rack(item, (x, foot), pins_of(remainder.mask), step=RACK_STEP)
        rows = _caption(remainder.mask, remainder.probability)
        for row, text in enumerate(rows):
            at = x, foot + 5.0 + CAPTION_STEP * (row + 1)
            parts.text(item, at, text, size=SMALL, within=COLUMN_WIDTH)
        # As many rows as its mirror image needs, so that both hands' pictures are laid out alike.
        mirrored = _caption(mirror_mask(remainder.mask), remainder.probability)
        row_count = max(len(rows), len(mirrored))
        top = foot + 9.0 + CAPTION_STEP * row_count


def _caption(mask: int, probability: float) -> list[str]:
    name = "all ten" if mask.bit_count() == PIN_COUNT else format_mask(mask)
    if probability > 1.0 - LEAST_SHOWN:  # as good as nothing else
        return wrapped(name, "")
    return wrapped(f"{name}: ", chance(probability, decimals=0))


def wrapped(name: str, worth: str) -> list[str]:
    """Say what is left and how likely, in rows of which each fits beside the lane.

    A long leave goes on in the next row, after a hyphen.
    """
    widest = COLUMN_WIDTH / LEAST_SIZE
    rows = [""]
    for piece in (*re.findall(r"[^-]*-|[^-]+", name), worth):
        if em_width(rows[-1] + piece) > widest:
            rows.append("")
        rows[-1] += piece
    return [row.strip() for row in rows]


def _draw_room(
    root: Element, line: Line, room_edges: tuple[Sequence[Point], Sequence[Point]]
) -> None:
    """Hatch where the ball may run with the spare still more likely made than not."""
    left, right = line.miss_room.left_boards, line.miss_room.right_boards
    if left == right == 0.0:
        return
    room = parts.group(root, "room", left_boards=round(left, 3), right_boards=round(right, 3))
    edges = [[(_inside(x) * SCALE, _lane_y(y)) for x, y in edge] for edge in room_edges]
    parts.shape(room, [edges[0] + edges[1][::-1]], fill="url(#room)")
    for edge in edges:
        parts.line(room, edge, width=1.4, stroke=ROOM)


def _draw_target(root: Element, line: Line, *, hand: Hand) -> None:
    target = parts.group(root, "target", board=round(line.target_board, 3))
    at = x_from_board(line.target_board, hand) * SCALE, _lane_y(TARGET_IN)
    parts.circle(target, at, 7, fill=PAPER, stroke=INK, width=2.2)
    parts.circle(target, at, 2.6, fill=INK)
    _label(target, at, "Target", board(line.target_board), hand=hand)
    side = -_side_of(at[0], hand)
    x = side * MARGIN_X
    left, right = line.miss_room.left_boards, line.miss_room.right_boards
    parts.text(target, (x, at[1] - 8), "Miss room", size=SMALL, fill=SOFT_INK)
    if left == right == 0.0:
        parts.text(target, (x, at[1] + 9), "none", size=NORMAL, bold=True)
        return
    for row, (name, value) in enumerate((("left", left), ("right", right))):
        said = f"{name} {board(value)}"
        parts.text(target, (x, at[1] + 8 + 15 * row), said, size=NORMAL, bold=True)


def _label(parent: Element, at: Point, name: str, value: str, *, hand: Hand) -> None:
    """Name a mark in the margin on its own side of the lane, with a leader to it."""
    side = _side_of(at[0], hand)
    parts.line(parent, [at, (side * (EDGE + 8), at[1])], width=1, dashes="2 2")
    parts.text(parent, (side * MARGIN_X, at[1] - 5), name, size=SMALL, fill=SOFT_INK)
    parts.text(parent, (side * MARGIN_X, at[1] + 12), value, size=LARGE, bold=True)


def _side_of(x: float, hand: Hand) -> float:
    if x == 0.0:
        return 1.0 if hand == "right" else -1.0
    return 1.0 if x > 0 else -1.0


def _draw_arrow(lane: Element, arrow: int) -> None:
    x = x_from_board(arrow) * SCALE
    middle = (ARROW_BOARDS[0] + ARROW_BOARDS[-1]) / 2
    outward = abs(arrow - middle) / (ARROW_BOARDS[-1] - middle)
    tip = _lane_y(TARGET_IN - (TARGET_IN - OUTER_ARROW_IN) * outward)
    parts.shape(lane, [[(x, tip), (x + 3.6, tip + 12), (x - 3.6, tip + 12)]], fill="#66737a")


def _draw_foot(approach: Element, at: Point) -> None:
    """A sole, toe to the pins, its middle at a point."""
    sole = [(0.0, -14.0), (4.6, -12.5), (6.8, -8.0), (6.8, -3.0), (5.0, 3.0), (0.0, 3.0)]
    heel = [(0.0, 5.5), (4.6, 5.5), (4.6, 10.0), (2.8, 12.5), (0.0, 13.0)]
    outlines = [half + [(-x, y) for x, y in half[::-1]] for half in (sole, heel)]
    parts.shape(
        approach, [[(at[0] + x, at[1] + y) for x, y in outline] for outline in outlines], fill=INK
    )


def _inside(x_in: float) -> float:
    return max(-HALF_LANE_IN, min(HALF_LANE_IN, x_in))


def _edge_of(column: int) -> float:
    """Left edge of the board `column` boards from the left, as drawn."""
    return (column - BOARD_COUNT / 2) * BOARD_IN * SCALE


def _lane_y(y_in: float) -> float:
    y = max(-1e9, min(FOUL_TO_HEAD_PIN_IN, y_in))
    return FOUL_Y - y * PER_IN


def _runs_of(row: npt.NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and last column of each run of true cells."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], row, [False])).astype(np.int8)))
    return [(int(a), int(b) - 1) for a, b in zip(edges[::2], edges[1::2], strict=True)]
