"""The rack in the plane in pymunk, a general-purpose 2D engine: discs, no friction, no gravity.

Nothing here comes from ``leaveline``: it stands beside an event-driven disc kernel as an
independent witness. It is parametric, so that both can be given the same numbers. Units are the
caller's, as long as they are one set (inches, seconds, pounds).

pymunk (Chipmunk) finds contacts at fixed steps and gives two shapes in contact the *product* of
their elasticities as restitution. With ``e_ball_pin = b`` and ``e_pin_pin = p`` the pins get
``sqrt(p)`` and the ball ``b / sqrt(p)``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pymunk

Floats = npt.NDArray[np.float64]

_BALL, _PIN, _WALL = 1, 2, 3


@dataclass(frozen=True, slots=True)
class Outcome2D:
    """What became of one throw; row 0 is the ball, then the pins in the order given.

    Attributes
    ----------
    velocity
        (n + 1, 2) at the end of the run.
    peak_speed_change
        (n + 1,) the largest distance of a body's velocity from its velocity at the start.
    position
        (n + 1, 2) at the end of the run.
    touched
        (n + 1,) whether the body met another body (a wall does not count).
    touched_by_ball
        (n,) whether the pin met the ball.
    """

    velocity: Floats
    peak_speed_change: Floats
    position: Floats
    touched: npt.NDArray[np.bool_]
    touched_by_ball: npt.NDArray[np.bool_]


def throw_2d(
    *,
    pins_xy: Sequence[tuple[float, float]] | Floats,
    ball_radius: float,
    ball_mass: float,
    pin_radius: float,
    pin_mass: float,
    e_ball_pin: float,
    e_pin_pin: float,
    ball_x: float,
    ball_y: float,
    ball_vx: float,
    ball_vy: float,
    duration: float = 1.0,
    step: float = 2.0e-5,
    walls: Sequence[tuple[tuple[float, float], tuple[float, float]]] = (),
    e_pin_wall: float = 0.0,
    ball_lost_beyond_x: float | None = None,
    out_beyond_y: float | None = None,
) -> Outcome2D:
    """Send a disc ball at resting disc pins and report every body's motion after ``duration``.

    Parameters
    ----------
    pins_xy
        (n, 2) pin centres.
    e_ball_pin, e_pin_pin, e_pin_wall
        Normal restitution of each kind of impact.
    duration, step
        Time simulated and its step.
    walls
        Segments, each ((x0, y0), (x1, y1)), that pins rebound from and the ball passes.
    ball_lost_beyond_x
        Once the ball's centre is farther than this from x = 0 it meets nothing more.
    out_beyond_y
        Once a body's centre is beyond this y it meets nothing more.
    """
    pins = np.asarray(pins_xy, dtype=np.float64).reshape(-1, 2)
    pin_elasticity = math.sqrt(e_pin_pin)
    if pin_elasticity == 0.0 and (e_ball_pin > 0.0 or e_pin_wall > 0.0):
        raise ValueError("e_pin_pin = 0 leaves no elasticity for the pins' other impacts")

    space = pymunk.Space()
    space.gravity = (0.0, 0.0)
    space.damping = 1.0
    # No overlap is tolerated and none is pushed apart: only the velocities are of interest.
    space.collision_slop = 0.0
    space.collision_bias = 1.0

    def disc(kind: int, mass: float, radius: float, elasticity: float, x: float, y: float) -> None:
        body = pymunk.Body(mass, pymunk.moment_for_circle(mass, 0.0, radius))
        body.position = (x, y)
        shape = pymunk.Circle(body, radius)
        shape.elasticity = elasticity
        shape.friction = 0.0
        shape.collision_type = kind
        space.add(body, shape)
        bodies.append(body)
        shapes.append(shape)

    bodies: list[pymunk.Body] = []
    shapes: list[pymunk.Circle] = []
    ball_elasticity = e_ball_pin / pin_elasticity if pin_elasticity > 0.0 else 0.0
    disc(_BALL, ball_mass, ball_radius, ball_elasticity, ball_x, ball_y)
    for x, y in pins:
        disc(_PIN, pin_mass, pin_radius, pin_elasticity, float(x), float(y))
    bodies[0].velocity = (ball_vx, ball_vy)

    for start, end in walls:
        segment = pymunk.Segment(space.static_body, start, end, 0.0)
        segment.elasticity = e_pin_wall / pin_elasticity if pin_elasticity > 0.0 else 0.0
        segment.friction = 0.0
        segment.collision_type = _WALL
        space.add(segment)

    index = {shape: k for k, shape in enumerate(shapes)}
    touched = np.zeros(len(bodies), dtype=np.bool_)
    by_ball = np.zeros(len(bodies), dtype=np.bool_)

    def met(arbiter: pymunk.Arbiter, _space: pymunk.Space, _data: object) -> None:
        first, second = (index[s] for s in arbiter.shapes if isinstance(s, pymunk.Circle))
        touched[[first, second]] = True
        if 0 in (first, second):
            by_ball[max(first, second)] = True

    def pass_through(arbiter: pymunk.Arbiter, _space: pymunk.Space, _data: object) -> None:
        arbiter.process_collision = False

    space.on_collision(_BALL, _PIN, begin=met)
    space.on_collision(_PIN, _PIN, begin=met)
    space.on_collision(_BALL, _WALL, begin=pass_through)

    rest = np.array([tuple(b.velocity) for b in bodies])
    peak = np.zeros(len(bodies))
    in_play = list(range(len(bodies)))
    for _ in range(round(duration / step)):
        space.step(step)
        for k in tuple(in_play):
            vx, vy = bodies[k].velocity
            peak[k] = max(peak[k], math.hypot(vx - rest[k, 0], vy - rest[k, 1]))
            x, y = bodies[k].position
            lost = k == 0 and ball_lost_beyond_x is not None and abs(x) > ball_lost_beyond_x
            if lost or (out_beyond_y is not None and y > out_beyond_y):
                space.remove(shapes[k])
                in_play.remove(k)
    return Outcome2D(
        velocity=np.array([tuple(b.velocity) for b in bodies]),
        peak_speed_change=peak,
        position=np.array([tuple(b.position) for b in bodies]),
        touched=touched,
        touched_by_ball=by_ball[1:],
    )
