"""Oil and friction: published values at the ends, properties in between."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from leaveline.delivery.ball import COVERS, Ball, Cover
from leaveline.lane.oil import (
    BOARDS,
    FEET,
    FRICTION_MAX,
    CoverFriction,
    FrictionMap,
    LaneSurface,
    OilPattern,
    OilZone,
    check_range,
    friction_map,
    oil_amount,
)
from numpy.typing import NDArray

HOOKING = CoverFriction(on_oil=0.04, dry=0.2)
exhaustive = settings(derandomize=True, deadline=None, max_examples=60)

lengths = st.floats(20, 55)
ratios = st.floats(1, 20)
games = st.floats(0, 60)
tracks = st.floats(1, 39)
patterns = st.builds(lambda length, ratio: OilPattern(length, ratio), lengths, ratios)


@st.composite
def zones(draw: st.DrawFn) -> OilZone:
    board = draw(st.integers(1, 39))
    foot = draw(st.integers(0, 45))
    return OilZone(
        board_from=board,
        board_to=draw(st.integers(board, 39)),
        feet_from=foot,
        feet_to=foot + draw(st.integers(1, 15)),
        amount=draw(st.floats(0, 2)),
    )


zoned_patterns = st.builds(
    lambda some: OilPattern(zones=tuple(some)), st.lists(zones(), min_size=1, max_size=4)
)


def columns(first_board: int, last_board: int) -> list[int]:
    return [i for i, board in enumerate(BOARDS) if first_board <= board <= last_board]


# Amounts


@exhaustive
@given(lengths, ratios)
def test_ratio_is_middle_boards_over_outside_boards(length: float, ratio: float) -> None:
    # Definition of the ratio, boards 18-22 over boards 3-7: common practice.
    amount = oil_amount(OilPattern(length, ratio))[:20]
    middle = amount[:, columns(18, 22)].mean()
    assert middle / amount[:, columns(3, 7)].mean() == pytest.approx(ratio)
    assert middle / amount[:, columns(33, 37)].mean() == pytest.approx(ratio)


@exhaustive
@given(patterns)
def test_a_pattern_told_by_length_and_ratio(pattern: OilPattern) -> None:
    amount = oil_amount(pattern)
    assert amount.shape == (61, 39)
    assert amount.max() == pytest.approx(1.0)
    assert (np.diff(amount, axis=0) <= 0).all(), "front heavy"
    assert (amount[pattern.end_ft <= FEET] == 0).all(), "nothing past its end"
    assert (amount[pattern.end_ft - 1 > FEET] > 0).all(), "some on every board before it"
    np.testing.assert_allclose(amount, amount[:, ::-1], atol=1e-15)
    assert (np.diff(amount[:, BOARDS <= 20], axis=1) <= 1e-15).all(), "less towards the edge"


def test_a_zone_covers_its_boards_and_feet_and_no_more() -> None:
    amount = oil_amount(OilPattern(zones=(OilZone(8, 14, 10, 30, 0.7),)))
    inside = (FEET >= 12) & (FEET <= 28)
    assert amount[inside][:, columns(9, 13)] == pytest.approx(0.7)
    # The edges are soft: half the amount on the line where the zone ends.
    assert amount[FEET == 10, BOARDS == 11] == pytest.approx(0.35)
    assert amount[FEET == 30, BOARDS == 11] == pytest.approx(0.35)
    assert (amount[(FEET < 9) | (FEET > 31)] == 0).all()
    assert (amount[:, columns(1, 6) + columns(16, 39)] == 0).all()
    # Softening moves oil about and adds none: 7 boards by 20 ft, spread over whole feet.
    assert amount.sum() == pytest.approx(0.7 * 7 * 20)


def test_overlapping_zones_add_up() -> None:
    wide, narrow = OilZone(1, 39, 0, 40, 0.2), OilZone(10, 30, 0, 20, 0.8)
    both = oil_amount(OilPattern(zones=(wide, narrow)))
    parts = oil_amount(OilPattern(zones=(wide,))) + oil_amount(OilPattern(zones=(narrow,)))
    np.testing.assert_allclose(both, parts)


# Wear


@exhaustive
@given(st.one_of(patterns, zoned_patterns), st.floats(0, 30), st.floats(0, 30), tracks)
def test_games_dry_the_track_and_never_make_oil(
    pattern: OilPattern, fewer: float, more: float, track: float
) -> None:
    early = oil_amount(pattern, games_worn=fewer, track_board=track)
    late = oil_amount(pattern, games_worn=fewer + more, track_board=track)
    assert (late >= 0).all()
    assert late.sum() <= early.sum() + 1e-9
    oiled = pattern.end_ft >= FEET
    assert (late[oiled] <= early[oiled] + 1e-12).all(), "drier within the pattern"
    assert (late[~oiled] >= early[~oiled] - 1e-12).all(), "carried down past its end"


def test_the_track_dries_most_and_its_oil_is_carried_down() -> None:
    pattern = OilPattern(40, 3)
    fresh = oil_amount(pattern)
    worn = oil_amount(pattern, games_worn=24, track_board=12)
    lost = 1 - worn[5] / fresh[5]
    assert BOARDS[lost.argmax()] == 12
    assert lost[BOARDS == 12] == pytest.approx(0.6 * (1 - math.exp(-1)))  # the stated model
    assert lost[BOARDS == 30] < 1e-6
    assert worn[42, BOARDS == 12] > 0
    assert (worn[50:] == 0).all()
    carried, taken = worn[41:].sum(), (fresh - worn)[:41].sum()
    assert carried == pytest.approx(0.1 * taken)


def test_no_games_leave_the_pattern_fresh() -> None:
    pattern = OilPattern(40, 3)
    np.testing.assert_array_equal(oil_amount(pattern), oil_amount(pattern, games_worn=0.0))


# Friction


def test_friction_of_a_hooking_cover_at_its_ends() -> None:
    # About 0.04 on oil and 0.2 on dry boards (Frohlich, Am. J. Phys. 72, 1170, 2004; memory).
    mu = friction_map(OilPattern(40, 10), cover=Ball(cover="reactive_hybrid").friction).mu
    assert mu[0, 19] == pytest.approx(0.04, abs=1e-4)
    assert mu[45:] == pytest.approx(0.2)


@exhaustive
@given(st.one_of(patterns, zoned_patterns), games, tracks, st.sampled_from(["synthetic", "wood"]))
def test_friction_stays_between_oiled_and_dry(
    pattern: OilPattern, games_worn: float, track: float, surface: LaneSurface
) -> None:
    mu = friction_map(
        pattern,
        cover=HOOKING,
        games_worn=games_worn,
        track_board=track,
        lane_surface=surface,
    ).mu
    factor = {"synthetic": 1.0, "wood": 1.1}[surface]
    assert mu.shape == (61, 39)
    assert (mu >= 0.04 * factor - 1e-12).all()
    assert (mu <= 0.2 * factor + 1e-12).all()


@exhaustive
@given(zoned_patterns, zones())
def test_more_oil_never_means_more_friction(pattern: OilPattern, extra: OilZone) -> None:
    more = OilPattern(zones=(*pattern.zones, extra))
    assert (
        friction_map(more, cover=HOOKING).mu <= friction_map(pattern, cover=HOOKING).mu + 1e-12
    ).all()


@exhaustive
@given(ratios, lengths, st.floats(0, 10))
def test_a_longer_pattern_is_nowhere_rougher(ratio: float, length: float, more: float) -> None:
    longer = OilPattern(min(length + more, 55), ratio)
    shorter = OilPattern(length, ratio)
    assert (
        friction_map(longer, cover=HOOKING).mu <= friction_map(shorter, cover=HOOKING).mu + 1e-12
    ).all()


def test_polyester_cares_least_about_the_lane() -> None:
    # Common practice: why it is the ball for spares.
    frictions = {cover: Ball(cover=cover).friction for cover in COVERS}
    spread = {cover: friction.dry - friction.on_oil for cover, friction in frictions.items()}
    assert min(spread, key=spread.__getitem__) == "polyester"
    reactive = [value for cover, value in spread.items() if cover.startswith("reactive")]
    assert len(reactive) == 3
    assert spread["polyester"] < 0.5 * min(reactive)


@exhaustive
@given(st.sampled_from(COVERS), st.floats(180, 10000), st.floats(180, 10000))
def test_coarser_covers_grip_more_and_stay_legal(cover: Cover, grit: float, other: float) -> None:
    # Common practice; the limit of 0.32 is the equipment specification's (seen in summaries).
    coarse = Ball(cover=cover, surface_grit=min(grit, other)).friction
    fine = Ball(cover=cover, surface_grit=max(grit, other)).friction
    assert fine.on_oil <= coarse.on_oil < coarse.dry <= FRICTION_MAX
    assert fine.dry <= coarse.dry


def test_the_limit_holds_on_wood() -> None:
    roughest = friction_map(
        OilPattern(40, 10), cover=CoverFriction(0.04, FRICTION_MAX), lane_surface="wood"
    )
    assert roughest.mu.max() == FRICTION_MAX


# Mirror


@exhaustive
@given(zoned_patterns, games, tracks)
def test_a_mirrored_pattern_is_the_mirrored_lane(
    pattern: OilPattern, games_worn: float, track: float
) -> None:
    assert pattern.mirrored().mirrored() == pattern
    there = friction_map(pattern, cover=HOOKING, games_worn=games_worn, track_board=track)
    here = friction_map(
        pattern.mirrored(), cover=HOOKING, games_worn=games_worn, track_board=40 - track
    )
    np.testing.assert_allclose(here.mu, there.mirrored().mu, rtol=1e-12)
    assert here.x_from_in == pytest.approx(there.mirrored().x_from_in)


def test_a_mirrored_map_turns_about_the_centre_line() -> None:
    lopsided = FrictionMap(
        np.array([[0.1, 0.2, 0.3], [0.1, 0.2, 0.3]]),
        x_from_in=-5.0,
        y_from_in=0.0,
        x_step_in=10.0,
        y_step_in=720.0,
    )
    mirrored = lopsided.mirrored()
    assert mirrored.x_from_in == -15.0
    assert mirrored.mu[0].tolist() == [0.3, 0.2, 0.1]


def test_a_map_keeps_its_own_copy() -> None:
    mu = np.full((2, 2), 0.1)
    kept = FrictionMap(mu, x_from_in=0, y_from_in=0, x_step_in=1, y_step_in=1)
    mu[:] = 0.3
    assert (kept.mu == 0.1).all()
    with pytest.raises(ValueError, match="read-only"):
        kept.mu[0, 0] = 0.3


# Refusals: every error names the field, the value and the range.


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"length_ft": 19.9, "ratio": 3}, r"length_ft = 19.9: must be from 20 to 55"),
        ({"length_ft": 56, "ratio": 3}, r"length_ft = 56: must be from 20 to 55"),
        ({"length_ft": math.nan, "ratio": 3}, r"length_ft = nan: must be from 20 to 55"),
        ({"length_ft": 40, "ratio": 0.5}, r"ratio = 0.5: must be from 1 to 20"),
        ({"length_ft": 40, "ratio": math.inf}, r"ratio = inf: must be from 1 to 20"),
        ({"length_ft": 40, "ratio": True}, r"ratio = True: must be from 1 to 20"),
        ({"length_ft": "40", "ratio": 3}, r"length_ft = '40': must be from 20 to 55"),
        ({"length_ft": 40}, r"length_ft and ratio: both are needed"),
        ({}, r"length_ft and ratio: both are needed"),
        ({"ratio": 3, "zones": (OilZone(1, 39, 0, 40, 1),)}, r"zones: give either"),
    ],
)
def test_pattern_refusals(fields: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        OilPattern(**fields)


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ((0, 39, 0, 40, 1), r"board_from = 0: must be from 1 to 39"),
        ((10, 9, 0, 40, 1), r"board_to = 9: must be from 10 to 39"),
        ((10, 40, 0, 40, 1), r"board_to = 40: must be from 10 to 39"),
        ((1, 39, -1, 40, 1), r"feet_from = -1: must be from 0 to 60"),
        ((1, 39, 10, 61, 1), r"feet_to = 61: must be from 10 to 60"),
        ((1, 39, 10, 10, 1), r"feet_to = 10: must be larger than feet_from"),
        ((1, 39, 0, 40, 2.1), r"amount = 2.1: must be from 0 to 2"),
    ],
)
def test_zone_refusals(values: tuple[float, ...], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        OilZone(*values)


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"games_worn": -1}, r"games_worn = -1: must be from 0 to 60"),
        ({"track_board": 0.5}, r"track_board = 0.5: must be from 1 to 39"),
        ({"lane_surface": "ice"}, r"lane_surface = 'ice': must be one of synthetic, wood"),
    ],
)
def test_friction_map_refusals(fields: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        friction_map(OilPattern(40, 3), cover=HOOKING, **fields)


@pytest.mark.parametrize(
    ("mu", "step", "message"),
    [
        (np.full((2, 2), 0.33), 1.0, r"mu = 0.33: must be from 0.005 to 0.32"),
        (np.full((2, 2), np.nan), 1.0, r"mu = nan: must be from 0.005 to 0.32"),
        (np.zeros((2, 2)), 1.0, r"mu = 0.0: must be from 0.005 to 0.32"),
        (np.full((1, 5), 0.1), 1.0, r"mu: shape \(1, 5\)"),
        (np.full((2, 2), 0.1), 0.0, r"x_step_in = 0.0: must be positive"),
    ],
)
def test_map_refusals(mu: NDArray[np.float64], step: float, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        FrictionMap(mu, x_from_in=0, y_from_in=0, x_step_in=step, y_step_in=1)


def test_cover_refusals() -> None:
    with pytest.raises(ValueError, match=r"dry = 0.4: must be from 0.005 to 0.32"):
        CoverFriction(on_oil=0.04, dry=0.4)
    with pytest.raises(ValueError, match=r"on_oil = 0.3: must be from 0.005 to 0.2"):
        CoverFriction(on_oil=0.3, dry=0.2)


def test_check_range_takes_its_ends() -> None:
    check_range("x", 1, 1, 2)
    check_range("x", np.float64(2.0), 1, 2)
