"""Throws per second per core: our collisions beside pymunk and MuJoCo, in one run.

PYTHONPATH=service:. python tests/bench/bench_collide.py
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from leaveline.pins.collide import NORMALS_PER_THROW, throw_many
from leaveline.pins.deck import PIN_X_IN, PIN_Y_IN
from leaveline.pins.leave import Leave
from leaveline.pins.rack import standard_rack

from tests.reference.rack2d import throw_2d
from tests.reference.rack3d import throw

LEAVES = ("10", "2-8", "1-2-10", "2-4-5-8", "1-2-4-6-10")
OURS, THEIRS_2D, THEIRS_3D = 40_000, 6, 12


def main() -> None:
    """Print throws per second and the ratios, leave by leave."""
    rng = np.random.default_rng(1)
    normals = rng.standard_normal((4096, NORMALS_PER_THROW))
    print(
        f"{'leave':12s}{'ours/s':>12s}{'pymunk/s':>10s}{'ratio':>8s}{'MuJoCo/s':>10s}{'ratio':>9s}"
    )
    for text in LEAVES:
        leave = Leave.parse(text)
        ids = np.array([pin - 1 for pin in leave.pins])
        px, py = np.array(PIN_X_IN)[ids], np.array(PIN_Y_IN)[ids]
        x = rng.uniform(px.min() - 6, px.max() + 6, OURS).clip(-20.5, 20.5)
        angle = rng.uniform(-0.03, 0.03, OURS)
        rows = np.arange(OURS) % len(normals)

        def ours(
            ids: np.ndarray = ids, px: np.ndarray = px, py: np.ndarray = py, x: np.ndarray = x,
            angle: np.ndarray = angle, rows: np.ndarray = rows,
        ) -> None:  # fmt: skip
            speed = np.full(OURS, 290.0)
            throw_many(standard_rack(), ids, px, py, x, angle, speed, normals, rows)

        def plane(px: np.ndarray = px, py: np.ndarray = py, x: np.ndarray = x) -> None:
            for k in range(THEIRS_2D):
                throw_2d(
                    pins_xy=np.column_stack([px, py]), ball_radius=4.2975, ball_mass=15.0,
                    pin_radius=2.383, pin_mass=3.5625, e_ball_pin=0.7, e_pin_pin=0.6,
                    ball_x=float(x[k]), ball_y=710.0, ball_vx=0.0, ball_vy=290.0, duration=0.4,
                    step=1e-4,
                )  # fmt: skip

        def solid(leave: Leave = leave, x: np.ndarray = x) -> None:
            for k in range(THEIRS_3D):
                throw(leave=leave.pins, x_at_pins_in=float(x[k]), angle_rad=0.0, speed_in_s=290.0)

        ours()
        solid()
        rate = OURS / best_of(3, ours)
        rate_2d = THEIRS_2D / best_of(1, plane)
        rate_3d = THEIRS_3D / best_of(1, solid)
        print(
            f"{text:12s}{rate:12,.0f}{rate_2d:10,.1f}{rate / rate_2d:8,.0f}"
            f"{rate_3d:10,.1f}{rate / rate_3d:9,.0f}"
        )


def best_of(times: int, work: Callable[[], None]) -> float:
    """Shortest processor time of several runs [s]."""
    spent = []
    for _ in range(times):
        start = time.process_time()
        work()
        spent.append(time.process_time() - start)
    return min(spent)


if __name__ == "__main__":
    main()
