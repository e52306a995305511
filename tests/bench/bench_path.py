"""How fast the ball's path is: paths per second on one core, side by side in one run.

Run from the project's root: PYTHONPATH=service:. python tests/bench/bench_path.py

Against the same throws by scipy's solve_ivp on the full equations of motion (the tests' witness)
and against a straight line, the least that any answer could cost. Ratios are what to compare;
the figures themselves change with the machine and what else it does.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import numpy as np
from leaveline.delivery.ball import Ball
from leaveline.delivery.path import roll_balls
from leaveline.lane.dimensions import FOUL_TO_HEAD_PIN_IN, MPH_IN_S
from leaveline.lane.oil import OilPattern, friction_map
from numpy.typing import NDArray

from tests.reference.ball_motion import roll_ball

Array = NDArray[np.float64]

COUNT = 100_000
WITNESS_COUNT = 20
REPEATS = 5


def main() -> None:
    """Print one line per way."""
    throws, lane = make_throws(COUNT)

    def kernel(count: int) -> Array:
        return roll_balls(**first(throws, count), **lane).x_at_pins_in

    def witness(count: int) -> Array:
        one_by_one = ({name: values[n] for name, values in throws.items()} for n in range(count))
        return np.array([roll_ball(**one, **lane).x_at_pins_in for one in one_by_one])

    def straight(count: int) -> Array:
        way = np.tan(throws["launch_angle_rad"][:count])
        return throws["lay_down_x_in"][:count] + FOUL_TO_HEAD_PIN_IN * way

    kernel(1)  # compiles, or loads what was compiled
    apart = np.abs(kernel(WITNESS_COUNT) - witness(WITNESS_COUNT)).max()
    base = rate(kernel, COUNT)
    print(f"{'way':<28}{'paths/s':>14}{'to the kernel':>16}")
    for name, way, count in (
        ("kernel, 100,000 at once", kernel, COUNT),
        ("kernel, 1,000 at once", kernel, 1000),
        ("kernel, 64 at once", kernel, 64),
        ("solve_ivp, full equations", witness, WITNESS_COUNT),
        ("straight line (numpy)", straight, COUNT),
    ):
        speed = base if (way is kernel and count == COUNT) else rate(way, count)
        print(f"{name:<28}{speed:>14,.0f}{speed / base:>16.4g}")
    print(f"largest difference at the pins, kernel to solve_ivp: {apart:.4f} in")


def make_throws(count: int) -> tuple[dict[str, Array], dict[str, Any]]:
    """Make throws as a coach sees them on a house shot, and the lane and ball they share."""
    rng = np.random.default_rng(1)
    ball = Ball(cover="reactive_hybrid")
    throws = {
        "lay_down_x_in": rng.uniform(-10, 5, count),
        "launch_angle_rad": np.radians(rng.uniform(0, 3, count)),
        "speed_in_s": MPH_IN_S * rng.uniform(15, 20, count),
        "rev_rate_rad_s": np.pi / 30 * rng.uniform(150, 450, count),
        "axis_rotation_rad": np.radians(rng.uniform(10, 60, count)),
        "axis_tilt_rad": np.radians(rng.uniform(5, 15, count)),
    }
    lane = {
        "friction": friction_map(OilPattern(40, 8), cover=ball.friction),
        "ball_radius_in": ball.radius_in,
        "gyration_ratio": ball.gyration_ratio,
    }
    return throws, lane


def first(throws: dict[str, Array], count: int) -> dict[str, Any]:
    """Take the first throws of many."""
    return {name: values[:count] for name, values in throws.items()}


def rate(way: Callable[[int], Any], count: int) -> float:
    """Give the best of a few runs [paths per second]."""
    seconds = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        way(count)
        seconds.append(time.perf_counter() - start)
    return count / min(seconds)


if __name__ == "__main__":
    main()
