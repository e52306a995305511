"""Generate ``data/rack3d_*.npz``: many throws at many leaves, played by the 3D rack.

Run from the project root, with progress on stderr::

    python -m tests.reference.make_rack3d_data first|second|third|fourth [--out FILE]

A file holds, for L leaves and N throws each,

``leave``        (L,) uint16     pins standing before the throw, bit (pin - 1)
``held_out``     (L,) bool       False: fitted to; True: only ever compared with
``x_in``         (L, N) float32  where the ball's line crosses y = 720 in, multiples of 2^-8
``angle_rad``    (L, N) float32  positive to the right, multiples of 2^-15
``speed_in_s``   (L, N) float32  multiples of 2^-3
``left_a``       (L, N) uint16   pins left standing, pins displaced by spot seed A
``left_b``       (L, N) uint16   the same throw re-spotted with seed B; 0xFFFF: not thrown
``spot_spread_in``, ``restitution``  what the rack was built with (ball-pin, pin-pin)

Throw k at leave l has spot seed A 2 (l N + k) and seed B one more.

The first campaign's leaves, half of them held out at first, were all looked at in the end while the
model was made, so all count as fitted, as do the second's and the third's; the fourth was thrown
after that, to hold out. The later three cover a wider range of speeds.
"""

from __future__ import annotations

import argparse
import math
import sys
import time
from dataclasses import dataclass
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

Leaves = tuple[tuple[int, ...], ...]
MPH = 17.6  # in/s


@dataclass(frozen=True, slots=True)
class Campaign:
    """Which leaves are thrown at, how often, how often twice, and how fast [in/s]."""

    fitted: Leaves = ()
    held_out: Leaves = ()
    throws: int = 600
    twice: int = 300
    speeds: tuple[float, float] = (11.0 * MPH, 21.0 * MPH)


CAMPAIGNS = {
    "first": Campaign(
        fitted=(
            *((1,), (3,), (7,), (9,)),
            *((2, 8), (3, 10), (4, 9), (5, 7), (2, 10), (8, 10), (6, 7), (4, 5), (4, 7), (3, 7)),
            *((2, 4, 5, 8), (1, 2, 4), (3, 6, 10), (2, 4, 5), (1, 3, 6, 10), (5, 6, 10)),
            *((3, 6, 7, 10), (1, 2, 4, 10), (1, 3, 7), (1, 2, 4, 6, 10), (4, 6, 7, 9, 10)),
            *((2,), (5,), (10,)),
            *((3, 9), (2, 7), (6, 8), (5, 10), (6, 10), (5, 6), (7, 10), (7, 9), (4, 10)),
            *((3, 5, 6, 9), (1, 2, 8), (3, 6, 9, 10), (1, 2, 4, 7), (4, 7, 10), (2, 7, 10)),
            *((3, 5, 6), (4, 6, 7, 10), (1, 2, 10), (1, 3, 6, 7), (1, 2, 5), (5, 7, 10)),
        ),
        throws=1000,
        twice=400,
        speeds=(15.0 * MPH, 20.0 * MPH),
    ),
    "second": Campaign(
        fitted=(
            *((1, 2), (1, 3, 9), (1, 3, 5), (2, 4), (3, 5), (2, 5), (2, 4, 7), (3, 6), (5, 8)),
            *((6, 9), (2, 3), (2, 9), (6, 7, 10), (3, 9, 10), (1, 2, 7), (1, 3, 10), (2, 4, 8)),
            *((1, 2, 4, 5), (5, 9), (1, 3, 6)),
        ),
    ),
    "third": Campaign(
        fitted=(
            *((4, 8), (1, 5, 8), (1, 4, 7), (2, 5, 8), (3, 5, 9), (1, 2, 3), (6, 8, 10)),
            *((3, 6, 7), (2, 4, 10), (1, 2, 4, 8), (3, 4, 10), (1, 6, 10), (2, 4, 7, 8)),
            *((1, 2, 9), (4, 5, 8), (1, 3, 5, 9)),
        ),
    ),
    "fourth": Campaign(
        held_out=(
            *((3, 4), (2, 6), (4, 7, 8), (6, 9, 10), (1, 2, 5, 8), (1, 3, 6, 9), (2, 4, 5, 7)),
            *((1, 3, 8), (3, 5, 10), (2, 7, 8), (1, 2, 3, 5), (5, 8, 10)),
        ),
    ),
}
WIDEST_ANGLE = math.radians(3.0)
NOT_THROWN = 0xFFFF


def sample(
    leave: tuple[int, ...], throws: int, speeds: tuple[float, float]
) -> npt.NDArray[np.float64]:
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
        speed = round((speeds[0] + s * (speeds[1] - speeds[0])) * 2**3) / 2**3
        if first_touch_y(x, angle, where) is not None:
            kept.append((x, angle, speed))
            if len(kept) == throws:
                return np.array(kept)
    raise RuntimeError(f"too few throws touch {leave}")


def main() -> None:
    """Play every throw and write the file."""
    parser = argparse.ArgumentParser(description="Throws at the 3D rack, for comparison.")
    parser.add_argument("campaign", choices=CAMPAIGNS)
    parser.add_argument("--out", type=Path)
    args = parser.parse_args()
    out = args.out or Path(__file__).parent / f"data/rack3d_{args.campaign}.npz"
    campaign = CAMPAIGNS[args.campaign]
    leaves = campaign.fitted + campaign.held_out
    shape = (len(leaves), campaign.throws)
    delivery = np.empty((*shape, 3))
    left = np.full((2, *shape), NOT_THROWN, dtype=np.uint16)
    begin = time.perf_counter()
    for row, leave in enumerate(leaves):
        delivery[row] = sample(leave, campaign.throws, campaign.speeds)
        for k, (x, angle, speed) in enumerate(delivery[row]):
            for repeat in (0, 1) if k < campaign.twice else (0,):
                left[repeat, row, k] = throw(
                    leave=leave,
                    x_at_pins_in=float(x),
                    angle_rad=float(angle),
                    speed_in_s=float(speed),
                    spot_seed=2 * (row * campaign.throws + k) + repeat,
                )
        made = float((left[0, row] == 0).mean())
        again = left[1, row, : campaign.twice] == 0
        same = float((again == (left[0, row, : campaign.twice] == 0)).mean())
        print(
            f"{row + 1:3d}/{len(leaves)}  {'-'.join(map(str, leave)):12s} made {made:.3f}  "
            f"A and B agree {same:.3f}  {time.perf_counter() - begin:7.0f} s",
            file=sys.stderr,
            flush=True,
        )
    out.parent.mkdir(parents=True, exist_ok=True)
    np.savez_compressed(
        out,
        leave=np.array([sum(1 << (p - 1) for p in leave) for leave in leaves], dtype=np.uint16),
        held_out=np.array([False] * len(campaign.fitted) + [True] * len(campaign.held_out)),
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
