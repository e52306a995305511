"""The deck of a lane picture: one throw played out on it, to scale, seen from the bowler."""

from __future__ import annotations

from dataclasses import dataclass

from leaveline.lane import Hand, x_from_board
from leaveline.lane.dimensions import (
    BALL_RADIUS_IN,
    FOUL_TO_HEAD_PIN_IN,
    HALF_LANE_IN,
    KICKBACK_X_IN,
    PIN_RADIUS_IN,
    PIT_IN,
)
from leaveline.lines import picture_parts as parts
from leaveline.lines.line import Line
from leaveline.lines.picture_parts import FAINT, FLOOR, INK, NORMAL, PAPER, Element, Point
from leaveline.pins.deck import PIN_X_IN, PIN_Y_IN
from leaveline.pins.leave import PIN_COUNT, Leave, format_mask
from leaveline.pins.trace import BALL, Throw, Trail, follow, nearest_make

SCALE = 5.2
"""Units to the inch across the lane, and both ways on the deck."""
TOP = 110.0
FRONT_IN = FOUL_TO_HEAD_PIN_IN - 13.0
"""How far before the head pin the deck's drawing begins."""
PIN_RADIUS, BALL_RADIUS = PIN_RADIUS_IN * SCALE, BALL_RADIUS_IN * SCALE


@dataclass(frozen=True, slots=True)
class Drawn:
    """The throw drawn on the deck, and how far to the right of the line it arrives [in]."""

    throw: Throw
    aside_in: float

    def words(self, line: Line) -> str:
        """Which throw is drawn, in one sentence."""
        if self.throw.left:
            left = "-".join(str(pin) for pin in self.throw.left)
            if line.play == "count":
                return f"Drawn as meant, with luck left out: it leaves the {left}."
            return f"Drawn as meant: it leaves the {left}. To make it takes luck."
        if self.aside_in == 0.0:
            return "Drawn as meant, with luck left out."
        side = "right" if self.aside_in > 0 else "left"
        return f"Drawn {abs(self.aside_in):.1f} in to the {side}: the nearest throw that makes it."

    def falls(self) -> str:
        """What fells what, in one sentence; empty where nothing falls."""
        felled: dict[int, list[int]] = {}
        for trail in self.throw.pins:
            if trail.felled_by is not None:
                felled.setdefault(trail.felled_by, []).append(trail.pin)
        text = ", ".join(
            f"the {'ball' if by == BALL else by} takes the {_listed(felled[by])}"
            for by in sorted(felled)
        )
        return f"{text[:1].upper()}{text[1:]}." if text else ""


def _listed(pins: list[int]) -> str:
    *most, last = (str(pin) for pin in pins)
    return f"{', '.join(most)} and {last}" if most else last


def drawn_throw(leave: Leave, line: Line, *, hand: Hand, ball_weight_lb: float) -> Drawn:
    """Choose the throw to draw: for a spare the nearest that makes it, otherwise as meant."""
    if hand == "left":
        as_right = drawn_throw(
            leave.mirror, line.mirrored(), hand="right", ball_weight_lb=ball_weight_lb
        )
        return Drawn(as_right.throw.mirrored(), 0.0 - as_right.aside_in)
    x = x_from_board(line.board_at_pins)
    if line.play == "spare":
        found = nearest_make(
            leave,
            x_at_head_pin_in=x,
            angle_rad=line.entry_angle_rad,
            ball_mass_lb=ball_weight_lb,
        )
        if found is not None:
            return Drawn(found[1], found[0])
    meant = follow(
        leave,
        x_at_head_pin_in=x,
        angle_rad=line.entry_angle_rad,
        ball_mass_lb=ball_weight_lb,
    )
    return Drawn(meant, 0.0)


def draw_deck(root: Element, leave: Leave, drawn: Drawn) -> None:
    """Draw kickbacks, gutters, spots, every pin's way and the ball where it first touches."""
    deck = parts.group(
        root,
        "deck",
        drawn_aside_in=round(drawn.aside_in, 1),
        drawn_leaves=format_mask(drawn.throw.outcome & ((1 << PIN_COUNT) - 1)),
    )
    _draw_floor(deck)
    for pin in range(1, PIN_COUNT + 1):
        if pin not in leave:
            parts.circle(deck, _on_deck((PIN_X_IN[pin - 1], PIN_Y_IN[pin - 1])), 2.5, fill=FAINT)
    _draw_ball(deck, drawn.throw)
    for trail in drawn.throw.pins:
        _draw_trail(deck, trail)
    for trail in drawn.throw.pins:
        _draw_pin(deck, trail)


def _draw_floor(deck: Element) -> None:
    _, pit = _on_deck((0.0, PIT_IN))
    _, front = _on_deck((0.0, FRONT_IN))
    wall, edge = KICKBACK_X_IN * SCALE, HALF_LANE_IN * SCALE
    parts.shape(deck, parts.box(-wall, pit, wall, front), fill="#e2e5e6")
    parts.shape(deck, parts.box(-edge, pit, edge, front), fill=FLOOR)
    parts.shape(deck, parts.box(-wall - 5, pit - 6, wall + 5, pit), fill=INK)
    for side in (-1.0, 1.0):
        inner, outer = side * wall, side * (wall + 5)
        parts.shape(deck, [[(inner, pit), (outer, pit), (outer, front), (inner, front)]], fill=INK)
        parts.line(deck, [(side * edge, pit), (side * edge, front)], stroke=parts.SOFT_INK)


def _draw_ball(deck: Element, throw: Throw) -> None:
    start_x, start_y = throw.ball.points[0]
    points = [_on_deck(point) for point in throw.ball.points]
    if len(points) > 1:
        # The ball comes on from the front edge, on the line it first runs on here.
        next_x, next_y = throw.ball.points[1]
        slope = (next_x - start_x) / (next_y - start_y)
        points.insert(0, _on_deck((start_x + slope * (FRONT_IN - start_y), FRONT_IN)))
    if throw.contact is not None:
        at = _on_deck(throw.contact)
        parts.circle(deck, at, BALL_RADIUS, fill="#d5dbde", stroke=INK, width=2.2)
        parts.circle(deck, at, 2.5, fill=INK)
    parts.line(deck, points, width=3)
    if len(points) > 1:
        parts.arrow_head(deck, points[-2], points[-1], size=11)


def _draw_trail(deck: Element, trail: Trail) -> None:
    points = [_on_deck(point) for point in trail.points]
    if len(points) < 2:
        return
    parts.line(deck, points, width=1.6, dashes="4 2.5")
    parts.arrow_head(deck, points[-2], points[-1])
    for wall in trail.walls:
        parts.circle(deck, _on_deck(wall), 3.5, fill=PAPER, stroke=INK, width=1.6)


def _draw_pin(deck: Element, trail: Trail) -> None:
    at = _on_deck((PIN_X_IN[trail.pin - 1], PIN_Y_IN[trail.pin - 1]))
    ground, ink = (PAPER, INK) if trail.is_down else (INK, PAPER)
    parts.circle(deck, at, PIN_RADIUS, fill=ground, stroke=INK, width=1.6)
    parts.text(deck, (at[0], at[1] + 4.7), str(trail.pin), size=NORMAL, bold=True, fill=ink)


def _on_deck(point: Point) -> Point:
    return point[0] * SCALE, TOP + (PIT_IN - point[1]) * SCALE
