"""Generate ``data/rack3d.npz``: many throws at many leaves, played by the 3D rack.

Run from the project root, with progress on stderr::

    python -m tests.reference.make_rack3d_data [--throws N] [--twice N] [--out FILE]

The file holds, for L leaves and N throws each,

``leave``        (L,) uint16     pins standing before the throw, bit (pin - 1)
``held_out``     (L,) bool       False: may be fitted to; True: only ever compared with
``x_in``         (L, N) float32  where the ball's line crosses y = 720 in, multiples of 2^-8
``angle_rad``    (L, N) float32  positive to the right, multiples of 2^-15
``speed_in_s``   (L, N) float32  multiples of 2^-3
``left_a``       (L, N) uint16   pins left standing, pins displaced by spot seed A
``left_b``       (L, N) uint16   the same throw re-spotted with seed B; 0xFFFF: not thrown
``spot_spread_in``, ``restitution``  what the rack was built with (ball-pin, pin-pin)

Throw k at leave l has spot seed A 2 (l N + k) and seed B one more.
"""

from __future__ import annotations

import argparse
import math
import sys
import time
from pathlib import Path

import numpy as np
import numpy.typing as npt
from scipy.stats import qmc

from tests.reference.rack3d import (
    BALL_RADIUS,
    LANE_HALF_WIDTH,
    MATERIALS,
    PIN_RADIUS,
    SPOT_SPREAD,
    first_touch_y,
    spots,
    throw,
)

FIT: tuple[tuple[int, ...], ...] = (
    *((1,), (3,), (7,), (9,)),
    *((2, 8), (3, 10), (4, 9), (5, 7), (2, 10), (8, 10), (6, 7), (4, 5), (4, 7), (3, 7)),
    *((2, 4, 5, 8), (1, 2, 4), (3, 6, 10), (2, 4, 5), (1, 3, 6, 10), (5, 6, 10), (3, 6, 7, 10)),
    *((1, 2, 4, 10), (1, 3, 7), (1, 2, 4, 6, 10), (4, 6, 7, 9, 10)),
)
HELD_OUT: tuple[tuple[int, ...], ...] = (
    *((2,), (5,), (10,)),
    *((3, 9), (2, 7), (6, 8), (5, 10), (6, 10), (5, 6), (7, 10), (7, 9), (4, 10)),
    *((3, 5, 6, 9), (1, 2, 8), (3, 6, 9, 10), (1, 2, 4, 7), (4, 7, 10), (2, 7, 10), (3, 5, 6)),
    *((4, 6, 7, 10), (1, 2, 10), (1, 3, 6, 7), (1, 2, 5), (5, 7, 10)),
)
WIDEST_ANGLE = math.radians(3.0)
SPEEDS = (15.0 * 17.6, 20.0 * 17.6)  # in/s: 15 to 20 mph
NOT_THROWN = 0xFFFF


def sample(leave: tuple[int, ...], throws: int) -> npt.NDArray[np.float64]:
    """Offsets (in), angles (rad), speeds (in/s) of throws that touch the leave, (throws, 3).

    Spread evenly (scrambled Sobol, seed fixed by the leave) over the offsets and angles at which
    a ball on the lane touches at least one pin.
    """
    where = spots(leave, None)
    slack = BALL_RADIUS + PIN_RADIUS + 0.1
    slant = math.tan(WIDEST_ANGLE) * float((where[:, 1] - 720.0).max())
    low = max(float(where[:, 0].min()) - slack - slant, -LANE_HALF_WIDTH - slant)
    high = min(float(where[:, 0].max()) + slack + slant, LANE_HALF_WIDTH + slant)
    points = qmc.Sobol(3, seed=sum(1 << p for p in leave)).random(1 << 15)
    kept: list[tuple[float, float, float]] = []
    for u, a, s in points:
        x = round((low + u * (high - low)) * 2**8) / 2**8
        angle = round((2.0 * a - 1.0) * WIDEST_ANGLE * 2**15) / 2**15
        speed = round((SPEEDS[0] + s * (SPEEDS[1] - SPEEDS[0])) * 2**3) / 2**3
        if first_touch_y(x, angle, where) is not None:
            kept.append((x, angle, speed))
            if len(kept) == throws:
                return np.array(kept)
    raise RuntimeError(f"too few throws touch {leave}")


def main() -> None:
    """Play every throw and write the file."""
    parser = argparse.ArgumentParser(description="Throws at the 3D rack, for comparison.")
    parser.add_argument("--throws", type=int, default=1000)
    parser.add_argument("--twice", type=int, default=400)
    parser.add_argument("--out", type=Path, default=Path(__file__).parent / "data/rack3d.npz")
    args = parser.parse_args()
    leaves = FIT + HELD_OUT
    shape = (len(leaves), args.throws)
    delivery = np.empty((*shape, 3))
    left = np.full((2, *shape), NOT_THROWN, dtype=np.uint16)
    begin = time.perf_counter()
    for row, leave in enumerate(leaves):
        delivery[row] = sample(leave, args.throws)
        for k, (x, angle, speed) in enumerate(delivery[row]):
            for repeat in (0, 1) if k < args.twice else (0,):
                left[repeat, row, k] = throw(
                    leave=leave,
                    x_at_pins_in=float(x),
                    angle_rad=float(angle),
                    speed_in_s=float(speed),
                    spot_seed=2 * (row * args.throws + k) + repeat,
                )
        made = float((left[0, row] == 0).mean())
        again = left[1, row, : args.twice] == 0
        same = float((again == (left[0, row, : args.twice] == 0)).mean())
        print(
            f"{row + 1:3d}/{len(leaves)}  {'-'.join(map(str, leave)):12s} made {made:.3f}  "
            f"A and B agree {same:.3f}  {time.perf_counter() - begin:7.0f} s",
            file=sys.stderr,
            flush=True,
        )
    args.out.parent.mkdir(parents=True, exist_ok=True)
    np.savez_compressed(
        args.out,
        leave=np.array([sum(1 << (p - 1) for p in leave) for leave in leaves], dtype=np.uint16),
        held_out=np.array([False] * len(FIT) + [True] * len(HELD_OUT)),
        x_in=delivery[..., 0].astype(np.float32),
        angle_rad=delivery[..., 1].astype(np.float32),
        speed_in_s=delivery[..., 2].astype(np.float32),
        left_a=left[0],
        left_b=left[1],
        spot_spread_in=np.float64(SPOT_SPREAD),
        restitution=np.array([MATERIALS.e_ball_pin, MATERIALS.e_pin_pin]),
    )


if __name__ == "__main__":
    main()
