"""One throw followed body by body: where the ball and every pin go, to be drawn.

The carry map plays millions of throws, each with a deck of its own, and keeps only what is left.
Here one throw is played with everything as it is meant to be (pins on their spots, nothing drawn
by chance), by the very same steps, and every body's way is kept. It ends as
`leaveline.pins.collide.throw_many` ends for the same throw with all its normal numbers zero.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from leaveline.lane.dimensions import (
    BALL_RADIUS_IN,
    FOUL_TO_HEAD_PIN_IN,
    GRAVITY_IN_S2,
    HALF_LANE_IN,
    KICKBACK_X_IN,
    PIN_RADIUS_IN,
    PIT_IN,
)
from leaveline.pins import collide
from leaveline.pins.carry import SPEED_IN_S
from leaveline.pins.collide import FIRST_PIN_SHIFT, KICKBACK, SENT_BIT, WALL_BIT, Rack
from leaveline.pins.deck import PIN_X_IN, PIN_Y_IN
from leaveline.pins.leave import Leave, bit
from leaveline.pins.rack import standard_rack

Point = tuple[float, float]
FloatArray = npt.NDArray[np.float64]
BALL = 0
"""Stands for the ball where a body is named by its pin number."""


@dataclass(frozen=True, slots=True)
class Trail:
    """The way of one body.

    Attributes
    ----------
    pin : int
        Pin number, or `BALL`.
    points : tuple of (x_in, y_in)
        Where it started, where it changed direction, where it stopped or left the deck; a pin
        that still stands has one point. Between them it moved in straight lines, save that the
        ball, while it regains its roll, bends a little.
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


@dataclass(frozen=True, slots=True)
class Throw:
    """One throw played out.

    Attributes
    ----------
    ball : Trail
    pins : tuple of Trail
        Every pin of the leave, ascending.
    outcome : int
        The outcome word, as `leaveline.pins.collide.throw_many` gives it.
    """

    ball: Trail
    pins: tuple[Trail, ...]
    outcome: int

    @property
    def left(self) -> tuple[int, ...]:
        """The pins that still stand."""
        return tuple(trail.pin for trail in self.pins if not trail.is_down)


def follow(
    leave: Leave,
    *,
    x_at_head_pin_in: float,
    angle_rad: float,
    speed_in_s: float = SPEED_IN_S,
    ball_mass_lb: float = 15.0,
) -> Throw:
    """Play one throw with nothing left to chance and keep every body's way.

    Parameters
    ----------
    leave : Leave
    x_at_head_pin_in : float
        Where the ball's straight line crosses the head-pin row [in], positive to the right.
    angle_rad : float
        Its angle [rad], positive to the right, between -pi/2 and pi/2.
    speed_in_s : float
        Ball speed at the pins [in/s].
    ball_mass_lb : float
        Ball weight [lb].
    """
    deck = _Deck(leave, standard_rack(ball_mass_lb=ball_mass_lb))
    deck.send_ball(x_at_head_pin_in, angle_rad, speed_in_s)
    deck.play_out()
    deck.run_on()
    trails = [
        Trail(
            pin,
            tuple(deck.points[body]),
            deck.felled_by.get(body),
            tuple(deck.walls[body]),
        )
        for body, pin in enumerate((*leave.pins, BALL))
    ]
    return Throw(trails[-1], tuple(trails[:-1]), deck.outcome)


@dataclass(slots=True)
class _Deck:
    """The state that `leaveline.pins.collide` works on, the ball last, and what is kept of it."""

    leave: Leave
    rack: Rack
    pin_ids: npt.NDArray[np.int64] = field(init=False)
    x: FloatArray = field(init=False)
    y: FloatArray = field(init=False)
    vx: FloatArray = field(init=False)
    vy: FloatArray = field(init=False)
    present: npt.NDArray[np.bool_] = field(init=False)
    down: npt.NDArray[np.bool_] = field(init=False)
    reach: FloatArray = field(init=False)
    ahead: FloatArray = field(init=False)
    normals: FloatArray = field(init=False)
    points: list[list[Point]] = field(init=False)
    walls: list[list[Point]] = field(init=False)
    felled_by: dict[int, int] = field(default_factory=dict)
    touched_by_ball: set[int] = field(default_factory=set)
    first_pin: int = 0
    wall_helped: bool = False

    def __post_init__(self) -> None:
        pins = self.leave.pins
        self.pin_ids = np.array([pin - 1 for pin in pins])
        self.x = np.array([*(PIN_X_IN[pin - 1] for pin in pins), 0.0])
        self.y = np.array([*(PIN_Y_IN[pin - 1] for pin in pins), collide.START_Y_IN])
        self.vx, self.vy = np.zeros(len(pins) + 1), np.zeros(len(pins) + 1)
        self.present = np.ones(len(pins) + 1, np.bool_)
        self.down = np.array([*(False for _ in pins), True])
        self.reach = np.array([*(PIN_RADIUS_IN * self.rack.reach_mean for _ in pins), 0.0])
        self.reach[-1] = BALL_RADIUS_IN
        self.ahead = np.full(len(pins) + 1, self.rack.nose_ahead_in)
        self.normals = np.zeros(collide.NORMALS_PER_THROW)
        self.points = [[self._at(body)] for body in range(len(pins))] + [[]]
        self.walls = [[] for _ in range(len(pins) + 1)]

    @property
    def ball(self) -> int:
        return len(self.leave)

    @property
    def outcome(self) -> int:
        standing = sum(bit(pin) for body, pin in enumerate(self.leave.pins) if not self.down[body])
        sent = bool(set(self.felled_by) - self.touched_by_ball)
        return (
            standing
            | self.first_pin << FIRST_PIN_SHIFT
            | (WALL_BIT if self.wall_helped else 0)
            | (SENT_BIT if sent else 0)
        )

    def send_ball(self, x_at_head_pin_in: float, angle_rad: float, speed_in_s: float) -> None:
        """Put the ball just ahead of the deck, rolling."""
        ball = self.ball
        self.x[ball] = x_at_head_pin_in + math.tan(angle_rad) * (
            collide.START_Y_IN - FOUL_TO_HEAD_PIN_IN
        )
        self.vx[ball] = speed_in_s * math.sin(angle_rad)
        self.vy[ball] = speed_in_s * math.cos(angle_rad)
        self.present[ball] = abs(self.x[ball]) < HALF_LANE_IN
        self.points[ball] = [self._at(ball)]

    def play_out(self) -> None:
        """Run the throw event by event, as `leaveline.pins.collide` does, until nothing can fall."""
        ball, rack = self.ball, self.rack
        x, y, vx, vy, present, down = self.x, self.y, self.vx, self.vy, self.present, self.down
        roll = float(vx[ball]), float(vy[ball])
        gone_y = collide._nothing_stands_beyond(y, down)
        for _ in range(collide.MAX_EVENTS):
            if down.all():
                break
            time, i, j, nose = collide._next_event(
                rack, x, y, vx, vy, present, down, self.reach, self.ahead
            )
            if i < 0:
                break
            collide._advance(rack, time, gone_y, x, y, vx, vy, present)
            if present[ball]:
                roll = collide._regain(rack, time, ball, *roll, vx, vy)
            if j == KICKBACK:
                self._off_kickback(i)
                continue
            stood = [body for body in (i, j) if not down[body]]
            self._note_touch(i, j)
            collide._impact(rack, i, j, nose, self.pin_ids, x, y, vx, vy, down, self.normals)
            for body, other in ((i, j), (j, i)):
                self._turned(body)
                if body in stood and down[body]:
                    self.felled_by[body] = BALL if other == ball else self.leave.pins[other]
                    self.wall_helped |= bool(self.walls[other])
                    gone_y = collide._nothing_stands_beyond(y, down)

    def run_on(self) -> None:
        """Let what still moves slide straight on until it stops, reaches a wall or the pit."""
        for body in range(self.ball + 1):
            end = self._end_of(body)
            if end is not None:
                self.points[body].append(end)

    def _off_kickback(self, body: int) -> None:
        """Throw a pin back off the side wall; the same rule as in the kernel, nothing scattered."""
        rack = self.rack
        rub = rack.friction_kickback * (1.0 + rack.restitution_kickback) * abs(self.vx[body])
        self.vy[body] -= math.copysign(min(rub, abs(self.vy[body]) / 3.0), self.vy[body])
        self.vx[body] *= -rack.restitution_kickback
        self.walls[body].append(self._at(body))
        self._turned(body)

    def _note_touch(self, i: int, j: int) -> None:
        if self.ball in (i, j):
            pin = i if j == self.ball else j
            self.touched_by_ball.add(pin)
            self.first_pin = self.first_pin or self.leave.pins[pin]

    def _turned(self, body: int) -> None:
        """Keep where a moving body changed its direction."""
        here = self._at(body)
        if self.points[body][-1] != here:
            self.points[body].append(here)

    def _at(self, body: int) -> Point:
        return float(self.x[body]), float(self.y[body])

    def _end_of(self, body: int) -> Point | None:
        """Where a moving body comes to rest or leaves the deck; None for one that stands still."""
        vx, vy = float(self.vx[body]), float(self.vy[body])
        speed = math.hypot(vx, vy)
        if speed == 0.0:
            return None
        x, y = self._at(body)
        edge = HALF_LANE_IN if body == self.ball else KICKBACK_X_IN - self.rack.reach_kickback_in
        times = [math.inf if vx == 0.0 else (math.copysign(edge, vx) - x) / vx]
        if vy > 0.0:
            times.append((PIT_IN - y) / vy)
        if body != self.ball:
            # Sliding friction stops a pin after v^2 / (2 mu g), at constant deceleration.
            times.append(speed / (2.0 * self.rack.slide_friction * GRAVITY_IN_S2))
        time = max(min(times), 0.0)
        return x + vx * time, y + vy * time
