"""From the hand to the pins: the path of a sliding, spinning ball over oiled boards.

The motion (Hopkins & Patterson, Am. J. Phys. 45, 263, 1977, from memory; derivable). Let v be
the ball's velocity, and u the velocity that its surface's spin alone would roll it with: u = R
times the horizontal part of the spin, turned by a right angle. The contact point slips over the
lane with s = v - u. Sliding friction pushes against the slip with mu g, and turns the ball:

    dv/dt = -mu g s/|s|,    du/dt = +mu g (R/k)^2 s/|s|,

with k the radius of gyration. So s only shrinks, d|s|/dt = -mu g (1 + (R/k)^2), and never turns,
however the friction changes along the way; v runs on a straight line from its first value to
that of rolling, which friction has no say in. Three unknowns are left, x, y and |s|. Where the
slip ends the ball rolls, straight on and at a constant speed.

Left out: rolling resistance (about 1 % of the speed over the last 20 ft if its coefficient is
0.01), air, bounce at the lay-down, and the weight block's wobble (differential at most 0.06 in).
The spin about the vertical, which axis tilt brings, turns the contact point on the spot: it
neither pushes nor slips, so tilt acts only by what it takes from the horizontal spin.

The ball starts at the foul line, y = 0. Axes: x to the right of the centre line, y down the
lane [in]; angles [rad] positive to the right. Axis rotation is positive for a right-hander, whose
ball then hooks to the left; a negative one is the mirror image.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import ArrayLike, NDArray

from leaveline.lane.dimensions import (
    FOUL_TO_HEAD_PIN_IN,
    GRAVITY_IN_S2,
    HALF_LANE_IN,
    KICKBACK_X_IN,
    TARGET_IN,
)
from leaveline.lane.oil import FrictionMap

Array = NDArray[np.float64]

STEP_IN = 4.0  # keeps x at the pins within 0.02 in of far finer steps
STILL_SLIDING_Y_IN = FOUL_TO_HEAD_PIN_IN + 1.0  # stands for "does not roll before the pins"

# What the equations are asked for at most: wider than any throw, so that a bowler's spread fits.
_RANGES = {
    "lay_down_x_in": (-KICKBACK_X_IN, KICKBACK_X_IN),
    "launch_angle_rad": (-0.7, 0.7),
    "speed_in_s": (1.0, 1000.0),
    "rev_rate_rad_s": (0.0, 200.0),
    "axis_rotation_rad": (-math.pi, math.pi),
    "axis_tilt_rad": (-math.pi / 2, math.pi / 2),
    "ball_radius_in": (1.0, 10.0),
    "gyration_ratio": (0.1, 1.0),
}


@dataclass(frozen=True, slots=True, eq=False)
class Arrivals:
    """How N throws went, up to the head pin's row, y = 720 in. Every field has shape (N,).

    A ball whose `edge_margin_in` is negative was in the gutter: its other values then tell how
    it would have gone on had the lane been wider.
    """

    x_at_pins_in: Array
    """Lateral position at y = 720 in."""
    angle_at_pins_rad: Array
    """Direction of travel there, positive to the right: a right-hander's hook comes in negative."""
    speed_at_pins_in_s: Array
    x_at_target_in: Array
    """Lateral position 15 ft past the foul line."""
    edge_margin_in: Array
    """The smallest distance of the ball's centre from the lane's edge on the way."""
    breakpoint_x_in: Array
    """The point furthest out on the ball-hand side: right, or left where rotation is negative."""
    breakpoint_y_in: Array
    roll_y_in: Array
    """Where the slip ends and the ball rolls; 721 where it still slides at the pins."""
    time_s: Array
    """From the foul line to y = 720 in."""


@dataclass(frozen=True, slots=True, eq=False)
class PathTrace:
    """One throw foot by foot. Every field has shape (61,): y = 0, 12, ..., 720 in."""

    x_in: Array
    y_in: Array
    angle_rad: Array
    """Direction of travel, positive to the right."""
    speed_in_s: Array
    slip_in_s: Array
    """How fast the contact point slips over the lane; 0 where the ball rolls."""
    is_rolling: NDArray[np.bool_]


def roll_balls(
    *,
    lay_down_x_in: ArrayLike,
    launch_angle_rad: ArrayLike,
    speed_in_s: ArrayLike,
    rev_rate_rad_s: ArrayLike,
    axis_rotation_rad: ArrayLike,
    axis_tilt_rad: ArrayLike,
    friction: FrictionMap,
    ball_radius_in: float,
    gyration_ratio: float,
) -> Arrivals:
    """Follow many throws from the foul line to the pins.

    Parameters
    ----------
    lay_down_x_in, launch_angle_rad, speed_in_s, rev_rate_rad_s, axis_rotation_rad, \
axis_tilt_rad : array_like, broadcast to shape (N,)
        Where the ball is laid down [in, up to 30.06 either way; past 20.75 it starts in the
        gutter], which way it is thrown [rad from straight down the lane, up to 0.7 either way]
        and how fast [in/s, 1 to 1000], its rev rate [rad/s, 0 to 200], axis rotation [rad from
        the direction of travel, up to pi either way] and axis tilt [rad, up to pi/2 either way].
    friction : FrictionMap
    ball_radius_in : float
        [in], 1 to 10.
    gyration_ratio : float
        Radius of gyration over radius [unitless], 0.1 to 1.

    Returns
    -------
    Arrivals
        Arrays of shape (N,).

    Raises
    ------
    ValueError
        For a value out of range, or a throw whose spin would bring it to a halt.

    Notes
    -----
    Even steps in time, of the time that the first 4 in take; the friction met halfway along a
    step holds throughout it. Under constant friction the path is a parabola and the end of the
    slip is known in closed form, so a step is exact but for the changes of friction within it.
    """
    throws = _throws(
        lay_down_x_in=lay_down_x_in,
        launch_angle_rad=launch_angle_rad,
        speed_in_s=speed_in_s,
        rev_rate_rad_s=rev_rate_rad_s,
        axis_rotation_rad=axis_rotation_rad,
        axis_tilt_rad=axis_tilt_rad,
        ball_radius_in=ball_radius_in,
        gyration_ratio=gyration_ratio,
    )
    out = np.empty((9, throws.shape[1]))
    _roll_all(throws, *_grid(friction), out)
    return Arrivals(*out)


def trace_path(
    *,
    lay_down_x_in: float,
    launch_angle_rad: float,
    speed_in_s: float,
    rev_rate_rad_s: float,
    axis_rotation_rad: float,
    axis_tilt_rad: float,
    friction: FrictionMap,
    ball_radius_in: float,
    gyration_ratio: float,
) -> PathTrace:
    """Follow one throw foot by foot, for drawing. Parameters and errors as in `roll_balls`."""
    throws = _throws(
        lay_down_x_in=lay_down_x_in,
        launch_angle_rad=launch_angle_rad,
        speed_in_s=speed_in_s,
        rev_rate_rad_s=rev_rate_rad_s,
        axis_rotation_rad=axis_rotation_rad,
        axis_tilt_rad=axis_tilt_rad,
        ball_radius_in=ball_radius_in,
        gyration_ratio=gyration_ratio,
    )
    feet = np.arange(FOUL_TO_HEAD_PIN_IN / 12 + 1)
    out = np.empty((4, len(feet)))
    _trace_one(throws[:, 0], *_grid(friction), out)
    x_in, slip, v_x, v_y = out
    return PathTrace(
        x_in=x_in,
        y_in=12.0 * feet,
        angle_rad=np.arctan2(v_x, v_y),
        speed_in_s=np.hypot(v_x, v_y),
        slip_in_s=slip,
        is_rolling=slip == 0.0,
    )


def _throws(**values: ArrayLike) -> Array:
    """Check the throws and turn them into what the kernel steps with, shape (8, N).

    Rows: x at the foul line; velocity of rolling, across and along; what one in/s of slip adds
    to the velocity, across and along; first slip; slip lost per mu and second; ball-hand side.
    """
    x, launch, speed, revs, rotation, tilt, radius, gyration_ratio = np.broadcast_arrays(
        *(_in_range(name, values[name], *_RANGES[name]) for name in _RANGES)
    )
    roll_speed = radius * revs * np.cos(tilt)
    v_x, v_y = speed * np.sin(launch), speed * np.cos(launch)
    slip_x = v_x - roll_speed * np.sin(launch - rotation)
    slip_y = v_y - roll_speed * np.cos(launch - rotation)
    slip = np.hypot(slip_x, slip_y)
    slip_per_push = 1 + gyration_ratio**-2
    share_x = np.divide(slip_x, slip, out=np.zeros_like(slip), where=slip > 0) / slip_per_push
    share_y = np.divide(slip_y, slip, out=np.zeros_like(slip), where=slip > 0) / slip_per_push
    rolling_x, rolling_y = v_x - share_x * slip, v_y - share_y * slip
    if not (rolling_y > 0).all():
        raise ValueError("rev_rate_rad_s, axis_rotation_rad: the spin would bring a ball to a halt")
    return np.stack(
        [
            x,
            rolling_x,
            rolling_y,
            share_x,
            share_y,
            slip,
            slip_per_push * GRAVITY_IN_S2,
            np.where(rotation < 0, -1.0, 1.0),
        ]
    )


def _in_range(name: str, values: ArrayLike, low: float, high: float) -> Array:
    array = np.atleast_1d(np.asarray(values, dtype=np.float64))
    outside = ~((array >= low) & (array <= high))
    if outside.any():
        raise ValueError(f"{name} = {array[outside][0]}: must be from {low:.6g} to {high:.6g}")
    return array


def _grid(friction: FrictionMap) -> tuple[Array, float, float, float, float]:
    return (
        friction.mu,
        friction.x_from_in,
        1 / friction.x_step_in,
        friction.y_from_in,
        1 / friction.y_step_in,
    )


@njit(cache=True)
def _roll_all(throws, mu, x_from, per_x, y_from, per_y, out):  # type: ignore[no-untyped-def]
    """Fill `out` (9, N), rows in the order of `Arrivals`, from `throws` (8, N)."""
    grid = (mu, x_from, per_x, y_from, per_y)
    for n in range(throws.shape[1]):
        start_x, rolling_x, rolling_y, share_x, share_y, slip, loss, side = throws[:, n]
        motion = (rolling_x, rolling_y, share_x, share_y, loss)
        x, y, time = start_x, 0.0, 0.0
        target_x = start_x
        turn_x, turn_y = start_x, 0.0

        # Slide from one event to the next: the target, the turning point, rolling, the pins.
        stop_y = TARGET_IN
        stop_slip = max(-rolling_x / share_x, 0.0) if share_x != 0.0 else 0.0
        if stop_slip >= slip:
            stop_slip = 0.0
        while slip > 0.0 and y < FOUL_TO_HEAD_PIN_IN:
            x, y, time, slip = _slide(x, y, time, slip, stop_y, stop_slip, motion, grid)
            if y == stop_y:
                if stop_y == TARGET_IN:
                    target_x = x
                stop_y = FOUL_TO_HEAD_PIN_IN
            elif stop_slip > 0.0:
                turn_x, turn_y = x, y
                stop_slip = 0.0
        roll_y = STILL_SLIDING_Y_IN if slip > 0.0 else y

        # What is left of the way is straight.
        v_x, v_y = rolling_x + share_x * slip, rolling_y + share_y * slip
        if y < TARGET_IN:
            target_x = x + (TARGET_IN - y) * v_x / v_y
        x += (FOUL_TO_HEAD_PIN_IN - y) * v_x / v_y
        time += (FOUL_TO_HEAD_PIN_IN - y) / v_y
        if side * x > side * turn_x:
            turn_x, turn_y = x, FOUL_TO_HEAD_PIN_IN

        out[0, n] = x
        out[1, n] = math.atan2(v_x, v_y)
        out[2, n] = math.hypot(v_x, v_y)
        out[3, n] = target_x
        # A path bends one way only, so one of these three is nearest to the edge.
        out[4, n] = HALF_LANE_IN - max(abs(start_x), abs(turn_x), abs(x))
        out[5, n] = turn_x
        out[6, n] = turn_y
        out[7, n] = roll_y
        out[8, n] = time


@njit(cache=True)
def _trace_one(throw, mu, x_from, per_x, y_from, per_y, out):  # type: ignore[no-untyped-def]
    """Fill `out` (4, 61), rows x, slip and velocity across and along, from `throw` (8,)."""
    grid = (mu, x_from, per_x, y_from, per_y)
    x, rolling_x, rolling_y, share_x, share_y, slip, loss, _ = throw
    motion = (rolling_x, rolling_y, share_x, share_y, loss)
    y = 0.0
    for foot in range(out.shape[1]):
        stop_y = 12.0 * foot
        if slip > 0.0 and foot > 0:
            x, y, _, slip = _slide(x, y, 0.0, slip, stop_y, 0.0, motion, grid)
        x += (stop_y - y) * rolling_x / rolling_y
        y = stop_y
        out[0, foot] = x
        out[1, foot] = slip
        out[2, foot] = rolling_x + share_x * slip
        out[3, foot] = rolling_y + share_y * slip


@njit(cache=True)
def _slide(x, y, time, slip, stop_y, stop_slip, motion, grid):  # type: ignore[no-untyped-def]
    """Slide until y reaches `stop_y` or the slip falls to `stop_slip`: x, y, time, slip there."""
    rolling_x, rolling_y, share_x, share_y, loss = motion
    v_x, v_y = rolling_x + share_x * slip, rolling_y + share_y * slip
    step_s = STEP_IN / v_y
    while True:
        slip_per_s = loss * _friction_at(x + 0.5 * step_s * v_x, y + 0.5 * step_s * v_y, grid)
        brake_x, brake_y = share_x * slip_per_s, share_y * slip_per_s
        at_stop = slip - step_s * slip_per_s <= stop_slip
        t = (slip - stop_slip) / slip_per_s if at_stop else step_s
        next_y = y + (v_y - 0.5 * brake_y * t) * t
        if next_y >= stop_y:
            gap = stop_y - y
            t = 2.0 * gap / (v_y + math.sqrt(v_y * v_y - 2.0 * brake_y * gap))
            x += (v_x - 0.5 * brake_x * t) * t
            return x, stop_y, time + t, max(slip - t * slip_per_s, stop_slip)
        x += (v_x - 0.5 * brake_x * t) * t
        y = next_y
        time += t
        if at_stop:
            return x, y, time, stop_slip
        slip -= t * slip_per_s
        v_x -= t * brake_x
        v_y -= t * brake_y


@njit(cache=True)
def _friction_at(x, y, grid):  # type: ignore[no-untyped-def]
    """Interpolate the friction bilinearly; past the grid's rim its edge values hold."""
    mu, x_from, per_x, y_from, per_y = grid
    rows, columns = mu.shape
    across = min(max((x - x_from) * per_x, 0.0), columns - 1.0)
    along = min(max((y - y_from) * per_y, 0.0), rows - 1.0)
    i = min(int(along), rows - 2)
    j = min(int(across), columns - 2)
    a, b = along - i, across - j
    near = mu[i, j] * (1.0 - b) + mu[i, j + 1] * b
    far = mu[i + 1, j] * (1.0 - b) + mu[i + 1, j + 1] * b
    return near * (1.0 - a) + far * a
