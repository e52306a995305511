"""One throw followed body by body: where the ball and every pin go, to be drawn.

The carry map plays millions of throws, each with a deck of its own, and keeps only what is left.
Here one throw is played with everything as it is meant to be (pins on their spots, nothing drawn
by chance), by the very same steps, and every body's way is kept. It ends as
`leaveline.pins.collide.throw_many` ends for the same throw with all its normal numbers zero.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from leaveline.lane.dimensions import (
    GRAVITY_IN_S2,
    HALF_LANE_IN,
    KICKBACK_X_IN,
    PIT_IN,
    USUAL_SPEED_IN_S,
)
from leaveline.pins import collide
from leaveline.pins.collide import (
    COLUMNS,
    DOWN,
    FIRST_PIN_SHIFT,
    GONE,
    KICKBACK,
    NORMALS_PER_THROW,
    SENT_BIT,
    STANDING,
    STANDING_BITS,
    STATE,
    VX,
    VY,
    WALL_BIT,
    WALLED,
    X,
    Y,
)
from leaveline.pins.deck import PIN_X_IN, PIN_Y_IN
from leaveline.pins.leave import MIRROR_PIN, Leave, bit, mirror_mask
from leaveline.pins.rack import standard_rack

Point = tuple[float, float]
FloatArray = npt.NDArray[np.float64]

BALL = 0
"""Stands for the ball where a body is named by its pin number."""
NEAREST_STEP_IN = 0.1


@dataclass(frozen=True, slots=True)
class Trail:
    """The way of one body.

    Attributes
    ----------
    pin : int
        Pin number, or `BALL`.
    points : tuple of (x_in, y_in)
        Where it started, where it changed direction, where it stopped or left the deck; a pin
        that nothing moved has one point. Between them it went straight.
    felled_by : int or None
        For a pin that went down, the pin or `BALL` that felled it; None while it stands.
    walls : tuple of (x_in, y_in)
        Where it came off a kickback.
    """

    pin: int
    points: tuple[Point, ...]
    felled_by: int | None = None
    walls: tuple[Point, ...] = ()

    @property
    def is_down(self) -> bool:
        """Whether it is a pin that went down."""
        return self.felled_by is not None

    def mirrored(self) -> Trail:
        """The same way seen in a mirror."""
        return Trail(
            _mirror(self.pin),
            tuple((-x, y) for x, y in self.points),
            None if self.felled_by is None else _mirror(self.felled_by),
            tuple((-x, y) for x, y in self.walls),
        )


@dataclass(frozen=True, slots=True)
class Throw:
    """One throw played out.

    Attributes
    ----------
    ball : Trail
    pins : tuple of Trail
        Every pin of the leave, ascending.
    contact : (x_in, y_in) or None
        Where the ball's centre was when it first touched a pin.
    outcome : int
        The outcome word, as `leaveline.pins.collide.throw_many` gives it.
    """

    ball: Trail
    pins: tuple[Trail, ...]
    contact: Point | None
    outcome: int

    @property
    def left(self) -> tuple[int, ...]:
        """The pins that still stand, ascending."""
        return tuple(trail.pin for trail in self.pins if not trail.is_down)

    def mirrored(self) -> Throw:
        """The same throw seen in a mirror."""
        standing = mirror_mask(self.outcome & STANDING_BITS)
        flags = self.outcome & (WALL_BIT | SENT_BIT)
        first = _mirror(self.outcome >> FIRST_PIN_SHIFT)
        return Throw(
            self.ball.mirrored(),
            tuple(sorted((trail.mirrored() for trail in self.pins), key=lambda t: t.pin)),
            None if self.contact is None else (-self.contact[0], self.contact[1]),
            standing | flags | first << FIRST_PIN_SHIFT,
        )


def follow(
    leave: Leave,
    *,
    x_at_head_pin_in: float,
    angle_rad: float,
    speed_in_s: float = USUAL_SPEED_IN_S,
    ball_mass_lb: float = 15.0,
) -> Throw:
    """Play one throw with nothing left to chance and keep every body's way.

    Parameters
    ----------
    leave : Leave
    x_at_head_pin_in : float
        Where the ball's straight line crosses the head-pin row [in], positive to the right.
    angle_rad : float
        Its angle [rad], positive to the right.
    speed_in_s : float
        Ball speed at the pins [in/s].
    ball_mass_lb : float
        Ball weight [lb].
    """
    deck = _Deck(leave, ball_mass_lb=ball_mass_lb)
    deck.send_ball(x_at_head_pin_in, angle_rad, speed_in_s)
    deck.play_out()
    deck.run_on()
    *pins, ball = (
        Trail(pin, tuple(deck.points[body]), deck.felled_by.get(body), tuple(deck.walls[body]))
        for body, pin in enumerate((*leave.pins, BALL))
    )
    return Throw(ball, tuple(pins), deck.contact, deck.outcome)


def nearest_make(
    leave: Leave,
    *,
    x_at_head_pin_in: float,
    angle_rad: float,
    within_in: float = 6.0,
    ball_mass_lb: float = 15.0,
) -> tuple[float, Throw] | None:
    """Find the throw nearest to a line, at its angle, that makes the leave with nothing by chance.

    Parameters
    ----------
    leave, x_at_head_pin_in, angle_rad, ball_mass_lb
        As for `follow`.
    within_in : float
        How far to look to either side [in], in steps of a tenth.

    Returns
    -------
    (aside_in, Throw) or None
        How far it arrives to the right of the line [in], 0 for the line itself, and the throw;
        None where no throw so near makes it.
    """
    for step in range(round(within_in / NEAREST_STEP_IN) + 1):
        for aside in (step * NEAREST_STEP_IN, -step * NEAREST_STEP_IN):
            throw = follow(
                leave,
                x_at_head_pin_in=x_at_head_pin_in + aside,
                angle_rad=angle_rad,
                ball_mass_lb=ball_mass_lb,
            )
            if not throw.left:
                return aside, throw
    return None


class _Deck:
    """A throw under way: the bodies `leaveline.pins.collide` moves, and what is kept of them."""

    def __init__(self, leave: Leave, *, ball_mass_lb: float) -> None:
        self.pins = leave.pins
        self.ball = len(leave)
        self.rack = standard_rack(ball_mass_lb=ball_mass_lb)
        self.pin_ids = np.array([pin - 1 for pin in leave.pins])
        self.bodies: FloatArray = np.empty((self.ball + 1, COLUMNS))
        self.normals: FloatArray = np.zeros(NORMALS_PER_THROW)
        self.points: list[list[Point]] = []
        self.walls: list[list[Point]] = [[] for _ in range(self.ball + 1)]
        self.felled_by: dict[int, int] = {}
        self.touched_by_ball: set[int] = set()
        self.stopped: set[int] = set()
        self.contact: Point | None = None
        self.first_pin = 0
        self.wall_helped = False

    @property
    def outcome(self) -> int:
        """The outcome word so far."""
        standing = sum(bit(pin) for body, pin in enumerate(self.pins) if self._stands(body))
        word = standing | self.first_pin << FIRST_PIN_SHIFT
        if self.wall_helped:
            word |= WALL_BIT
        if set(self.felled_by) - self.touched_by_ball:
            word |= SENT_BIT
        return word

    def send_ball(self, x_at_head_pin_in: float, angle_rad: float, speed_in_s: float) -> None:
        """Spot the pins and send the ball off from just ahead of the deck."""
        spots = np.array(PIN_X_IN)[self.pin_ids], np.array(PIN_Y_IN)[self.pin_ids]
        collide.set_up(
            self.rack, self.pin_ids, *spots, x_at_head_pin_in, angle_rad, speed_in_s,
            self.normals, self.bodies,
        )  # fmt: skip
        self.points = [[self._at(body)] for body in range(self.ball + 1)]

    def play_out(self) -> None:
        """Run the throw impact by impact, as `leaveline.pins.collide` does, to its end."""
        rack, bodies, ball = self.rack, self.bodies, self.ball
        roll = float(bodies[ball, VX]), float(bodies[ball, VY])
        gone_y = collide.nothing_stands_beyond(bodies)
        for _ in range(collide.MAX_EVENTS):
            if len(self.felled_by) == ball:
                break
            time, i, j = collide.next_event(rack, bodies)
            if i < 0:
                break
            self._advance(time, gone_y)
            roll = collide.regain_roll(rack, time, *roll, bodies)
            self._keep(i)
            if j == KICKBACK:
                self.walls[i].append(self._at(i))
                collide.rebound(rack, i, 0.0, 0.0, bodies)
                if bodies[i, STATE] == GONE:
                    self.stopped.add(i)  # in the gutter
                continue
            self._keep(j)
            if ball in (i, j):
                self._note_touch(i if j == ball else j)
            stood = [body for body in (i, j) if self._stands(body)]
            collide.impact(rack, i, j, self.pin_ids, bodies, self.normals)
            for body in stood:
                if not self._stands(body):
                    self._note_fall(body, j if body == i else i)
                    gone_y = collide.nothing_stands_beyond(bodies)

    def run_on(self) -> None:
        """Let what still moves go straight on until it stops, meets a wall or leaves the deck."""
        for body in range(self.ball + 1):
            vx, vy = float(self.bodies[body, VX]), float(self.bodies[body, VY])
            if body == self.ball and abs(self.points[body][0][0]) >= HALF_LANE_IN:
                continue  # it came in the gutter, and stays there
            if body in self.stopped:
                self._keep(body)
            elif vx != 0.0 or vy != 0.0:
                time = self._time_to_end(body, vx, vy)
                x, y = self._at(body)
                self.points[body].append((x + vx * time, y + vy * time))

    def _advance(self, time: float, gone_y: float) -> None:
        """Move all bodies on, and note the pins that came to rest on the way."""
        moving = {body for body in range(self.ball) if self.bodies[body, STATE] == DOWN}
        collide.advance(self.rack, time, gone_y, self.bodies)
        for body in moving:
            if self.bodies[body, STATE] == GONE and self.bodies[body, Y] <= gone_y:
                self.stopped.add(body)

    def _time_to_end(self, body: int, vx: float, vy: float) -> float:
        """Time until a body is off the deck or at rest; negative where it is off already."""
        x, y = self._at(body)
        is_ball = body == self.ball
        edge = HALF_LANE_IN if is_ball else KICKBACK_X_IN - self.rack.reach_kickback_in
        times = []
        if vx != 0.0:
            times.append((math.copysign(edge, vx) - x) / vx)
        if vy > 0.0:
            times.append((PIT_IN - y) / vy)
        if self.bodies[body, WALLED]:
            # Slowing steadily from v it stops after v^2 / 2a: as far as v goes in v / 2a.
            slowing = self.rack.slide_friction * GRAVITY_IN_S2
            times.append(math.hypot(vx, vy) / (2.0 * slowing))
        return min(times)

    def _note_touch(self, pin_body: int) -> None:
        self.touched_by_ball.add(pin_body)
        if self.contact is None:
            self.first_pin = self.pins[pin_body]
            self.contact = self._at(self.ball)

    def _note_fall(self, body: int, other: int) -> None:
        self.felled_by[body] = BALL if other == self.ball else self.pins[other]
        if self.bodies[other, WALLED]:
            self.wall_helped = True

    def _stands(self, body: int) -> bool:
        return bool(self.bodies[body, STATE] == STANDING)

    def _keep(self, body: int) -> None:
        here = self._at(body)
        if self.points[body][-1] != here:
            self.points[body].append(here)

    def _at(self, body: int) -> Point:
        return float(self.bodies[body, X]), float(self.bodies[body, Y])


def _mirror(pin: int) -> int:
    return MIRROR_PIN.get(pin, pin)
