"""Hold the carry map against the 3D rigid-body rack, leave by leave.

Run from the project root for the full comparison on the recorded throws::

    PYTHONPATH=service python -m tests.reference.compare_rack3d

Each recorded throw was played out twice in 3D, its pins re-spotted. The second 3D outcome is a
prediction of the first: that is what the carry map's probability has to stand beside.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
from leaveline.lane.dimensions import (
    MPH_IN_S,
    USUAL_SPEED_IN_S,
)
from leaveline.pins.carry import make_probabilities
from leaveline.pins.leave import Leave

RECORDED = tuple(
    Path(__file__).with_name("data") / f"rack3d_{name}.npz"
    for name in ("first", "second", "third", "fourth")
)
NOT_THROWN = 0xFFFF
BALL_MASS_LB = 15.0


@dataclass(frozen=True, slots=True)
class Compared:
    """One leave's comparison.

    Attributes
    ----------
    share_map, share_3d : float
        Share of throws made.
    share_noise : float
        Standard error of their difference, from the finite number of 3D throws.
    brier_map, brier_second : float
        Mean squared distance from the first 3D outcome, of the map's probability and of the
        second 3D outcome (throws played twice only).
    agree_map, agree_second : float
        How often the likelier verdict of the map, and the second outcome, is the first one.
    """

    leave: Leave
    held_out: bool
    share_map: float
    share_3d: float
    share_noise: float
    brier_map: float
    brier_second: float
    agree_map: float
    agree_second: float


def compare(paths: Sequence[Path] = RECORDED) -> list[Compared]:
    """Compare every recorded leave."""
    rows = []
    for path in paths:
        with np.load(path) as data:
            rows += [
                _one(
                    Leave(int(mask)),
                    bool(held),
                    *(data[name][i].astype(float) for name in ("x_in", "angle_rad", "speed_in_s")),
                    data["left_a"][i],
                    data["left_b"][i],
                )
                for i, (mask, held) in enumerate(zip(data["leave"], data["held_out"], strict=True))
            ]
    return rows


@dataclass(frozen=True, slots=True)
class AtSpeed:
    """Share of throws made over a range of speeds [mph], and what the map makes of them.

    `share_one_speed` is the map's when every throw is read at the usual speed.
    """

    from_mph: float
    to_mph: float
    share_3d: float
    share_map: float
    share_one_speed: float


def by_speed(paths: Sequence[Path] = RECORDED[1:]) -> list[AtSpeed]:
    """Compare throws by their speed, all leaves together."""
    speed, made, chance, at_one = [], [], [], []
    for path in paths:
        with np.load(path) as data:
            for i, mask in enumerate(data["leave"]):
                x, angle, v = (
                    data[name][i].astype(float) for name in ("x_in", "angle_rad", "speed_in_s")
                )
                speed.append(v / MPH_IN_S)
                made.append(data["left_a"][i] == 0)
                for kept, at in ((chance, v), (at_one, np.full(v.size, USUAL_SPEED_IN_S))):
                    kept.append(
                        make_probabilities(
                            Leave(int(mask)), x, angle, at, ball_mass_lb=BALL_MASS_LB
                        )
                    )
    v, *shares = (np.concatenate(part) for part in (speed, made, chance, at_one))
    return [
        AtSpeed(low, high, *(float(share[(v >= low) & (v < high)].mean()) for share in shares))
        for low, high in ((11.0, 13.5), (13.5, 16.0), (16.0, 18.5), (18.5, 21.1))
    ]


def _one(
    leave: Leave,
    held_out: bool,
    x_in: npt.NDArray[np.float64],
    angle_rad: npt.NDArray[np.float64],
    speed_in_s: npt.NDArray[np.float64],
    left_a: npt.NDArray[np.uint16],
    left_b: npt.NDArray[np.uint16],
) -> Compared:
    chance = make_probabilities(leave, x_in, angle_rad, speed_in_s, ball_mass_lb=BALL_MASS_LB)
    first = left_a == 0
    twice = left_b != NOT_THROWN
    second = left_b[twice] == 0
    return Compared(
        leave=leave,
        held_out=held_out,
        share_map=float(chance.mean()),
        share_3d=float(first.mean()),
        share_noise=float(np.std(chance - first) / np.sqrt(first.size)),
        brier_map=float(np.mean((chance[twice] - first[twice]) ** 2)),
        brier_second=float(np.mean(second != first[twice])),
        agree_map=float(np.mean((chance[twice] > 0.5) == first[twice])),
        agree_second=float(np.mean(second == first[twice])),
    )


def main() -> None:
    """Print the comparison."""
    rows = compare()
    print(
        f"{'leave':14s}{'':10s}{'made: map':>10s}{'3D':>8s}{'diff':>8s}{'noise':>7s}"
        f"{'Brier: map':>12s}{'2nd 3D':>8s}{'agree: map':>12s}{'2nd 3D':>8s}"
    )
    for row in rows:
        print(
            f"{row.leave!s:14s}{'held out' if row.held_out else 'fitted':10s}"
            f"{row.share_map:10.3f}{row.share_3d:8.3f}{row.share_map - row.share_3d:+8.3f}"
            f"{row.share_noise:7.3f}{row.brier_map:12.4f}{row.brier_second:8.4f}"
            f"{row.agree_map:12.3f}{row.agree_second:8.3f}"
        )
    hardest = sorted(rows, key=lambda row: row.agree_second)[:12]
    for name, chosen in (
        ("all", rows),
        ("fitted", [row for row in rows if not row.held_out]),
        ("held out", [row for row in rows if row.held_out]),
        ("hardest 12", hardest),
    ):
        print(f"{name:12s}" + "  ".join(f"{k} {v:.4f}" for k, v in means(chosen).items()))
    for at in by_speed():
        print(
            f"{at.from_mph:4.1f} to {at.to_mph:4.1f} mph: made {at.share_3d:.4f} in 3D, "
            f"{at.share_map:.4f} by the map, {at.share_one_speed:.4f} read at one speed"
        )


def means(rows: list[Compared]) -> dict[str, float]:
    """Averages over leaves."""
    return {
        "Brier map": float(np.mean([row.brier_map for row in rows])),
        "Brier 2nd 3D": float(np.mean([row.brier_second for row in rows])),
        "agree map": float(np.mean([row.agree_map for row in rows])),
        "agree 2nd 3D": float(np.mean([row.agree_second for row in rows])),
        "mean |diff|": float(np.mean([abs(row.share_map - row.share_3d) for row in rows])),
        "worst |diff|": float(np.max([abs(row.share_map - row.share_3d) for row in rows])),
    }


if __name__ == "__main__":
    main()
