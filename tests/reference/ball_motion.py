"""A sliding ball by the full equations of motion of a sphere: plain, slow, a second witness.

Nothing of the project's own solution is assumed: velocity and spin are vectors, the contact
point's slip is worked out from both at every instant, and whichever way it points, friction
pushes against it and turns the ball. scipy's solve_ivp (DOP853) does the rest. Inches, seconds,
radians; x right, y down the lane, z up; the mass cancels and is 1.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from leaveline.lane.dimensions import FOUL_TO_HEAD_PIN_IN, GRAVITY_IN_S2, TARGET_IN
from leaveline.lane.oil import FrictionMap
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.interpolate import RegularGridInterpolator

Vector = NDArray[np.float64]

ROLLS_BELOW_IN_S = 1e-4


@dataclass(frozen=True)
class Witness:
    """One throw as solved; names as in `leaveline.delivery.path.Arrivals`."""

    x_at_pins_in: float
    angle_at_pins_rad: float
    speed_at_pins_in_s: float
    x_at_target_in: float
    roll_y_in: float
    time_s: float
    furthest_right_in: float
    slip_turn_rad: float
    """The most the slip's direction ever strayed from its first."""


def roll_ball(
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
) -> Witness:
    """Solve one throw from the foul line to y = 720 in."""
    mu = friction_function(friction)
    to_contact = np.array([0.0, 0.0, -ball_radius_in])
    gyration_in = gyration_ratio * ball_radius_in

    def slip(state: Vector) -> Vector:
        return state[3:6] + np.cross(state[6:9], to_contact)

    def change(_: float, state: Vector) -> Vector:
        s = slip(state)
        force = -mu(state[0], state[1]) * GRAVITY_IN_S2 * s / np.linalg.norm(s)
        return np.concatenate([state[3:6], force, np.cross(to_contact, force) / gyration_in**2])

    def at_pins(_: float, state: Vector) -> float:
        return float(state[1] - FOUL_TO_HEAD_PIN_IN)

    def at_target(_: float, state: Vector) -> float:
        return float(state[1] - TARGET_IN)

    def rolls(_: float, state: Vector) -> float:
        return float(np.linalg.norm(slip(state)) - ROLLS_BELOW_IN_S)

    at_pins.terminal = True  # type: ignore[attr-defined]
    rolls.terminal = True  # type: ignore[attr-defined]

    forward = np.array([np.sin(launch_angle_rad), np.cos(launch_angle_rad), 0.0])
    left = np.array([-forward[1], forward[0], 0.0])
    axis = np.cos(axis_tilt_rad) * (
        np.cos(axis_rotation_rad) * left - np.sin(axis_rotation_rad) * forward
    ) + np.sin(axis_tilt_rad) * np.array([0.0, 0.0, 1.0])
    start = np.concatenate([[lay_down_x_in, 0.0, 0.0], speed_in_s * forward, rev_rate_rad_s * axis])
    solution = solve_ivp(
        change,
        (0.0, 20.0),
        start,
        method="DOP853",
        events=[at_pins, rolls, at_target],
        rtol=1e-8,
        atol=1e-8,
        max_step=0.02,
    )
    return _read(solution, slip)


def friction_function(friction: FrictionMap) -> Callable[[float, float], float]:
    """Give mu(x, y) of a friction map, interpolated by scipy."""
    rows, columns = friction.mu.shape
    ys = friction.y_from_in + friction.y_step_in * np.arange(rows)
    xs = friction.x_from_in + friction.x_step_in * np.arange(columns)
    table = RegularGridInterpolator((ys, xs), friction.mu)

    def mu(x: float, y: float) -> float:
        at = (min(max(y, ys[0]), ys[-1]), min(max(x, xs[0]), xs[-1]))
        return float(table(at))

    return mu


def _read(solution: Any, slip: Callable[[Vector], Vector]) -> Witness:
    last = solution.y[:, -1]
    v_x, v_y = last[3:5]
    left_over = FOUL_TO_HEAD_PIN_IN - last[1]
    rolled = len(solution.t_events[1]) > 0
    slid_past_target = len(solution.y_events[2]) > 0
    slips = np.array([slip(state) for state in solution.y.T[:-1]])
    heading = np.unwrap(np.arctan2(slips[:, 0], slips[:, 1]))
    x_at_pins = last[0] + left_over * v_x / v_y
    return Witness(
        x_at_pins_in=x_at_pins,
        angle_at_pins_rad=float(np.arctan2(v_x, v_y)),
        speed_at_pins_in_s=float(np.hypot(v_x, v_y)),
        x_at_target_in=float(
            solution.y_events[2][0][0]
            if slid_past_target
            else last[0] + (TARGET_IN - last[1]) * v_x / v_y
        ),
        roll_y_in=float(last[1]) if rolled else np.nan,
        time_s=float(solution.t[-1] + left_over / v_y),
        furthest_right_in=float(max(solution.y[0].max(), x_at_pins)),
        slip_turn_rad=float(np.abs(heading - heading[0]).max()),
    )
