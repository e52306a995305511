"""The carry map beside a 3D rigid-body rack in MuJoCo (pins from the published profile)."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from leaveline.pins.leave import pins_of

from tests.reference.compare_rack3d import RECORDED, Compared, by_speed, compare, means
from tests.reference.rack3d import throw

SHARE_WITHIN = 0.02


@lru_cache(maxsize=1)
def rows() -> tuple[Compared, ...]:
    return tuple(compare())


def test_recorded_throws_are_what_the_rack_does() -> None:
    """A sample small enough for every run: the live 3D rack gives the recorded outcomes."""
    total = same = 0
    for path in RECORDED:
        with np.load(path) as data:
            for i in range(0, len(data["leave"]), 5):
                for k in range(0, 40, 20):
                    left = throw(
                        leave=pins_of(int(data["leave"][i])),
                        x_at_pins_in=float(data["x_in"][i, k]),
                        angle_rad=float(data["angle_rad"][i, k]),
                        speed_in_s=float(data["speed_in_s"][i, k]),
                        spot_seed=2 * (i * data["x_in"].shape[1] + k),
                    )
                    total += 1
                    same += left == int(data["left_a"][i, k])
    # Another machine's last bits may turn a chaotic throw; nearly all must come out the same.
    assert same >= 0.9 * total, (same, total)


def test_made_or_missed_as_well_as_a_second_3d_run_on_the_hardest_leaves() -> None:
    hardest = sorted(rows(), key=lambda row: row.agree_second)[:12]
    figures = means(hardest)
    assert figures["Brier map"] <= figures["Brier 2nd 3D"]


def test_made_or_missed_close_to_a_second_3d_run_on_all_leaves() -> None:
    """Of the first campaign's 49 leaves the map's score is the second run's, within two standard
    errors over leaves; over all 97 it falls short by less than 0.004."""
    first = means_of_difference(compare(RECORDED[:1]))
    assert first[0] < 2 * first[1]
    assert means_of_difference(list(rows()))[0] < 0.004


def means_of_difference(compared: list[Compared]) -> tuple[float, float]:
    """Mean over leaves of the map's score less the second run's, and its standard error."""
    differences = [row.brier_map - row.brier_second for row in compared]
    return float(np.mean(differences)), float(np.std(differences, ddof=1) / len(compared) ** 0.5)


def test_share_of_made_throws() -> None:
    """Less than 0.02 apart: at each leave of the first campaign (1000 throws), and at every leave
    once twice the sampling error of its throws is allowed for."""
    for row in compare(RECORDED[:1]):
        assert abs(row.share_map - row.share_3d) < SHARE_WITHIN, row
    for row in rows():
        assert abs(row.share_map - row.share_3d) < SHARE_WITHIN + 2 * row.share_noise, row


def test_held_out_leaves_are_not_much_worse_than_fitted_ones() -> None:
    fitted = means([row for row in rows() if not row.held_out])
    held_out = means([row for row in rows() if row.held_out])
    assert fitted["mean |diff|"] < 0.01
    assert held_out["mean |diff|"] < 0.02
    assert held_out["agree map"] > held_out["agree 2nd 3D"] - 0.025


def test_faster_balls_make_more_in_3d_and_in_the_map_alike() -> None:
    """Slow pins reach fewer others: from 12 to 20 mph the share of made throws rises by 0.016 in 3D
    and by 0.009 in the map."""
    slowest, *_, fastest = by_speed()
    assert fastest.share_3d > slowest.share_3d + 0.01
    assert fastest.share_map > slowest.share_map + 0.005
    for at in (slowest, fastest):
        assert abs(at.share_map - at.share_3d) < abs(at.share_one_speed - at.share_3d)
