"""The carry picture: how likely a leave is made, over the board at the pins and the entry angle.

Read straight from the leave's carry map, whoever bowls and on whatever lane. Across: where the
ball's centre crosses the head-pin row. Upwards: the angle to the side a hooking ball turns to,
left for a right-hander, so that a left-hander's picture is a right-hander's in a mirror.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
from scipy.ndimage import uniform_filter1d

from leaveline.lane import Hand, board_from_x, x_from_board
from leaveline.lane.dimensions import (
    ARROW_BOARDS,
    BOARD_COUNT,
    BOARD_IN,
    FOUL_TO_HEAD_PIN_IN,
    HALF_LANE_IN,
    USUAL_SPEED_IN_S,
)
from leaveline.lines import picture_parts as parts
from leaveline.lines.line import Line
from leaveline.lines.picture_lane import runs
from leaveline.lines.picture_parts import INK, PAPER, SMALL, SOFT_INK, TONES, Element, Point
from leaveline.lines.words import board, chance
from leaveline.pins.carry import make_probabilities
from leaveline.pins.deck import PIN_X_IN, ROW
from leaveline.pins.leave import MIRROR_PIN, PIN_COUNT, Leave

FloatArray = npt.NDArray[np.float64]

HEIGHT = 440.0
SCALE = 144.0 / HALF_LANE_IN
"""Units to the inch across."""
LEFT_DEG, RIGHT_DEG = 7, 4
"""How far the picture reaches, as a right-hander has it: to the left past what hooking balls
bring (about 6 degrees), to the right past the steepest straight ball (3.3)."""
PER_DEG = 18.0
"""Units to the degree."""
MIDDLE_Y = 253.0
"""Where the angle is nought."""
COLUMNS = 2 * BOARD_COUNT
"""Half a board each; every one is the mean over a whole board about it."""
READINGS = 5
"""Readings that a board's mean is taken of, a fifth of a board apart."""
BEST_COLUMNS = 5
"""The likeliest place is looked for over two and a half boards."""
LAID_OUT_IN = HALF_LANE_IN - BOARD_IN
"""Farthest from the middle that a ball is laid down."""
MARKS_APART = 20.0
STEPS = (0.05, 0.2, 0.4, 0.6, 0.8)
"""Where one tone gives way to the next."""


def carry_picture(
    leave: Leave, *, hand: Hand, lines: Sequence[Line] = (), ball_weight_lb: float = 15.0
) -> str:
    """Draw how likely a leave is made from each board at the pins and entry angle.

    Parameters
    ----------
    leave : Leave
    hand : {"right", "left"}
        The side boards count from.
    lines : sequence of Line
        Lines to mark by their number, the first being 1.
    ball_weight_lb : float
        [lb]

    Returns
    -------
    str
        An SVG document; the same input gives the same text.
    """
    # Everything is worked out as for a right-hander and drawn on its own side.
    seen = leave if hand == "right" else leave.mirror
    chance = make_chance(seen, ball_weight_lb=ball_weight_lb)
    best = _best(chance)
    root = parts.figure(
        height=HEIGHT,
        title=f"Carry picture of the {leave}, boards counted from the {hand}",
        description=_description(leave, hand, best),
        data={
            "kind": "carry",
            "leave": str(leave),
            "hand": hand,
            "best-board": round(best[0], 3),
            "best-angle-deg": best[1] if hand == "right" else -best[1] + 0.0,
            "best-probability": round(best[2], 6),
        },
    )
    _header(root, leave, hand, best)
    side = 1.0 if hand == "right" else -1.0
    _draw_rack(root, seen, side, leave)
    _draw_chance(root, chance, side)
    _draw_axes(root, hand)
    _draw_straight(root, side)
    _draw_lines(root, lines, hand)
    _legend(root)
    return parts.write(root)


def make_chance(leave: Leave, *, ball_weight_lb: float) -> FloatArray:
    """Read the make probability off a leave's carry map, at the usual speed.

    Returns
    -------
    (LEFT_DEG + 1 + RIGHT_DEG, COLUMNS) array
        By angle from -LEFT_DEG to RIGHT_DEG degrees (positive to the right) and by half board
        from left to right, each the mean over the board about it.
    """
    within_board = ((np.arange(READINGS) + 0.5) / READINGS - 0.5) * BOARD_IN
    x = np.clip(_column_x()[:, None] + within_board, -HALF_LANE_IN, HALF_LANE_IN)
    angle = np.radians(np.arange(-LEFT_DEG, RIGHT_DEG + 1))
    x, angle = np.broadcast_arrays(x[None, :, :], angle[:, None, None])
    speed = np.full(x.shape, USUAL_SPEED_IN_S)
    made = make_probabilities(leave, x, angle, speed, ball_mass_lb=ball_weight_lb)
    mean: FloatArray = made.mean(axis=2)
    return mean


def _column_x() -> FloatArray:
    """Middle of each column [in]."""
    return (np.arange(COLUMNS) - (COLUMNS - 1) / 2) * BOARD_IN / 2


def _best(chance: FloatArray) -> tuple[float, float, float]:
    """Board (from the right), angle [deg] and probability of the middle of the likeliest place.

    Of the places whose surroundings make it most often, the one with the smallest angle; places
    farther to the right than a straight ball can come in at are left out.
    """
    around = uniform_filter1d(chance, BEST_COLUMNS, axis=1, mode="constant")
    degrees = np.arange(-LEFT_DEG, RIGHT_DEG + 1)
    steepest = np.degrees(np.arctan((_column_x() + LAID_OUT_IN) / FOUL_TO_HEAD_PIN_IN))
    around[degrees[:, None] > steepest[None, :]] = -1.0
    near_best = around >= around.max() - 1e-9
    rows, columns = np.nonzero(near_best)
    first = int(np.argmin(np.abs(rows - LEFT_DEG)))
    row, column = int(rows[first]), int(columns[first])
    at = board_from_x(float(_column_x()[column]))
    return at, float(row - LEFT_DEG), float(chance[row, column])


def _said_best(hand: Hand, best: tuple[float, float, float]) -> str:
    at, angle, probability = best
    if probability == 0.0:
        return "No board and angle make it without a freak."
    to_right = angle > 0 if hand == "right" else angle < 0
    moving = "straight on" if angle == 0 else f"{abs(angle):.0f}° to the "
    if angle != 0:
        moving += "right" if to_right else "left"
    return f"Best: board {board(at)}, {moving}: {chance(probability)}"


def _description(leave: Leave, hand: Hand, best: tuple[float, float, float]) -> str:
    return (
        f"How likely the {leave} is made, for the board the ball crosses at the pins, counted "
        f"from the {hand}, and the angle it comes in at; darker is likelier. "
        f"{_said_best(hand, best)}."
    )


def _header(root: Element, leave: Leave, hand: Hand, best: tuple[float, float, float]) -> None:
    header = parts.group(root, "header")
    parts.text(header, (0, 22), f"Where the {leave} is made", size=17, bold=True)
    parts.text(header, (0, 40), _said_best(hand, best), size=12)


def _draw_rack(root: Element, seen: Leave, side: float, leave: Leave) -> None:
    """The pins over the boards they stand on; depth is drawn shorter."""
    rack = parts.group(root, "rack", leave=str(leave))
    for pin in range(1, PIN_COUNT + 1):
        at = side * PIN_X_IN[pin - 1] * SCALE, 107.0 - 15.0 * ROW[pin]
        if pin not in seen:
            parts.circle(rack, at, 2.2, fill=parts.FAINT)
            continue
        name = pin if side > 0 else MIRROR_PIN[pin]
        parts.circle(rack, at, 8.5, fill=INK)
        parts.text(rack, (at[0], at[1] + 4), str(name), size=11, bold=True, fill=PAPER)


def _draw_chance(root: Element, chance: FloatArray, side: float) -> None:
    """One shape for each tone: the places whose chance lies in its step."""
    drawn = parts.group(root, "carry")
    bounds = (0.0, *STEPS, 1.0)
    levels = np.searchsorted(STEPS, chance, side="right")
    width = BOARD_IN / 2 * SCALE
    for level in range(1, len(TONES)):
        loops = [
            loop
            for first, last, left, right in runs(levels == level)
            for loop in parts.box(
                side * (left - COLUMNS / 2) * width,
                _angle_y(first - LEFT_DEG - 0.5),
                side * (right + 1 - COLUMNS / 2) * width,
                _angle_y(last - LEFT_DEG + 0.5),
            )
        ]
        if loops:
            step = parts.group(drawn, "carry-step", least=bounds[level], most=bounds[level + 1])
            parts.shape(step, loops, fill=TONES[level])


def _draw_axes(root: Element, hand: Hand) -> None:
    axes = parts.group(root, "axes")
    edge = HALF_LANE_IN * SCALE
    top, bottom = _angle_y(-LEFT_DEG - 0.5), _angle_y(RIGHT_DEG + 0.5)
    parts.shape(axes, parts.box(-edge, top, edge, bottom), stroke=INK, width=1.4)
    parts.line(axes, [(-edge, MIDDLE_Y), (edge, MIDDLE_Y)], width=0.8, stroke=SOFT_INK)
    for degrees in range(-6, RIGHT_DEG + 1, 2):
        y = _angle_y(degrees)
        for side in (-1.0, 1.0):
            parts.line(axes, [(side * edge, y), (side * (edge + 4), y)], stroke=INK)
            said = f"{abs(degrees)}°"
            parts.text(axes, (side * (edge + 18), y + 4), said, size=SMALL)
    for number in ARROW_BOARDS:
        x = x_from_board(number, hand) * SCALE
        parts.line(axes, [(x, bottom), (x, bottom + 4)], stroke=INK)
        parts.text(axes, (x, bottom + 16), str(number), size=SMALL)
    hook, away = ("left", "right") if hand == "right" else ("right", "left")
    for y, way in ((top + 13, hook), (bottom - 5, away)):
        parts.shape(axes, parts.box(-40, y - 10, 40, y + 3), fill=PAPER)
        parts.text(axes, (0, y), f"moving {way}", size=SMALL)
    parts.text(axes, (0, bottom + 31), "board at the pins", size=SMALL, fill=SOFT_INK)


def _draw_straight(root: Element, side: float) -> None:
    """Between two dashed lines a straight ball can arrive: laid down from edge to edge."""
    straight = parts.group(root, "straight")
    ends = (-HALF_LANE_IN, HALF_LANE_IN)
    for laid in (-LAID_OUT_IN, LAID_OUT_IN):
        points = [
            (side * x * SCALE, _angle_y(math.degrees(math.atan((x - laid) / FOUL_TO_HEAD_PIN_IN))))
            for x in ends
        ]
        parts.line(straight, points, width=3, stroke=PAPER)
        parts.line(straight, points, width=1.4, dashes="6 4")


def _draw_lines(root: Element, lines: Sequence[Line], hand: Hand) -> None:
    """Number where each line arrives; a number that would hide another stands beside its place."""
    taken: list[Point] = []
    for number, line in enumerate(lines, start=1):
        degrees = math.degrees(line.entry_angle_rad) * (1.0 if hand == "right" else -1.0)
        x = x_from_board(line.board_at_pins, hand)
        if not -LEFT_DEG <= degrees <= RIGHT_DEG or abs(x) > HALF_LANE_IN:
            continue
        mark = parts.group(root, "line", number=number, board=round(line.board_at_pins, 3))
        place = x * SCALE, _angle_y(degrees)
        at = _clear_of(taken, place)
        taken.append(at)
        if at != place:
            parts.line(mark, [place, at], width=4, stroke=PAPER)
            parts.line(mark, [place, at], width=1.6)
            parts.circle(mark, place, 3.5, fill=INK, stroke=PAPER, width=1.5)
        parts.circle(mark, at, 8, fill=PAPER, stroke=INK, width=2)
        parts.text(mark, (at[0], at[1] + 4.3), str(number), size=SMALL, bold=True)


def _clear_of(taken: Sequence[Point], place: Point) -> Point:
    """The place itself, or the nearest beside it that is clear, towards the middle first."""
    inward = -1.0 if place[0] > 0 else 1.0
    beside = [0.0] + [way * MARKS_APART * step for step in range(1, 9) for way in (inward, -inward)]
    candidates = [(place[0] + x, place[1]) for x in beside]
    clear = (at for at in candidates if all(math.dist(at, t) >= MARKS_APART for t in taken))
    return next(clear, place)


def _legend(root: Element) -> None:
    legend = parts.group(root, "legend")
    top, width = 391.0, 40.0
    left = -width * len(TONES) / 2
    for place, tone in enumerate(TONES):
        x = left + width * place
        parts.shape(legend, parts.box(x, top, x + width, top + 12), fill=tone, stroke=INK)
        if place:
            said = f"{100 * STEPS[place - 1]:.0f} %"
            parts.text(legend, (x, top + 25), said, size=SMALL)
    note = "How likely it is made. A straight ball arrives between the dashes."
    parts.text(legend, (0, top + 42), note, size=parts.LEAST_SIZE, fill=SOFT_INK)


def _angle_y(degrees: float) -> float:
    """Height of an angle as a right-hander has it: positive, to the right, downwards."""
    return MIDDLE_Y + degrees * PER_DEG
