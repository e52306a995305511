"""Strengths: the tables they become, the levels, and fitting an average."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from leaveline.scoring import (
    LEVELS,
    GameState,
    Strength,
    final_scores,
    mean_and_sd,
    strength_for_average,
    strength_of_level,
)
from leaveline.scoring.strength import counting_weights, weights_of

steady = settings(derandomize=True, deadline=None, max_examples=30)
NINES = (0.0,) * 9 + (1.0,)


def average(strength):
    return mean_and_sd(final_scores(GameState(), strength))[0]


@pytest.mark.parametrize("level", LEVELS)
def test_tables_are_distributions(level):
    weights = weights_of(strength_of_level(level))
    assert weights.first.sum() == pytest.approx(1, abs=1e-15)
    for standing in range(1, 11):
        assert weights.second[standing].sum() == pytest.approx(1, abs=1e-15)
        assert not weights.second[standing, standing + 1 :].any()
    assert not weights.first.flags.writeable


def test_missed_spares_follow_the_stated_model():
    """With k standing, each pin fewer is miss_ratio times as likely."""
    strength = Strength(0.0, NINES, (0.4,) * 10, miss_ratio=0.5)
    assert weights_of(strength).second[3, :4] == pytest.approx(
        [0.6 / 7, 0.6 * 2 / 7, 0.6 * 4 / 7, 0.4]
    )
    assert weights_of(strength).second[1, :2] == pytest.approx([0.6, 0.4])
    assert weights_of(replace(strength, miss_ratio=0.0)).second[3, 2] == pytest.approx(0.6)


def test_after_a_gutter_ball_the_rack_is_a_full_one():
    weights = weights_of(strength_of_level("league"))
    assert weights.second[10] == pytest.approx(weights.first)


def test_leave_groups():
    strength = Strength.from_leave_groups(
        strike_probability=0.3,
        first_ball_pinfall=NINES,
        single_pin=0.9,
        multi_pin=0.6,
        split=0.1,
        split_share=[0, 0, 0, 0, 0, 0, 0, 0.2, 0.5, 0],
    )
    assert strength.conversion_probability[9] == 0.9
    assert strength.conversion_probability[8] == pytest.approx(0.35)
    assert strength.conversion_probability[7] == pytest.approx(0.5)
    assert strength.conversion_probability[1] == pytest.approx(0.6)
    assert strength.conversion_probability[0] == 0.3


def test_counting_weights_are_whole_numbers():
    weights = counting_weights()
    assert [int(weights.second[standing].sum()) for standing in range(1, 11)] == list(range(2, 12))
    assert all(isinstance(weight, int) for weight in weights.first.tolist())


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"strike_probability": 1.1}, "strike_probability is 1.1; allowed: 0 to 1"),
        ({"strike_probability": float("nan")}, "strike_probability is nan"),
        ({"first_ball_pinfall": (1.0,)}, "first_ball_pinfall has 1 values; allowed: 10"),
        ({"first_ball_pinfall": (0.0625,) * 10}, "first_ball_pinfall sums to 0.625; allowed: 1"),
        ({"conversion_probability": (2.0,) * 10}, r"conversion_probability\[0\] is 2.0"),
        ({"miss_ratio": -0.1}, "miss_ratio is -0.1; allowed: 0 to 1"),
    ],
)
def test_bad_strengths_are_refused(change, message):
    with pytest.raises(ValueError, match=message):
        replace(strength_of_level("league"), **change)


@pytest.mark.parametrize(
    ("level", "low", "high"),
    # What such bowlers average: common practice, no source.
    [("tour", 220, 235), ("scratch", 195, 205), ("league", 170, 180), ("casual", 130, 150)],
)
def test_levels_average_what_their_names_say(level, low, high):
    assert low < average(strength_of_level(level)) < high


def test_tour_level_uses_the_published_rates():
    # Televised professional finals 2005-06 to 2009-10: 4374 strikes of 7155 first balls; 10 pin
    # 95.9 % of 710, 7 pin 95.5 % of 333, 9 pin 98.9 % of 88 (magazine study, as reported).
    tour = strength_of_level("tour")
    assert tour.strike_probability == 4374 / 7155
    single_pins = (0.959 * 710 + 0.955 * 333 + 0.989 * 88) / (710 + 333 + 88)
    assert tour.conversion_probability[9] == pytest.approx(single_pins, abs=0.001)


def test_an_amateur_of_160_makes_single_pins_as_published():
    # 92 of 132 single pins (league journal, 2010): within two standard errors of 4 %.
    assert strength_for_average(160).conversion_probability[9] == pytest.approx(92 / 132, abs=0.08)


@given(st.floats(90, 280))
@steady
def test_a_fitted_average_is_that_average(wanted):
    assert average(strength_for_average(wanted)) == pytest.approx(wanted, abs=1e-6)


@given(st.floats(90, 279))
@settings(derandomize=True, deadline=None, max_examples=12)
def test_a_higher_average_is_stronger_throughout(wanted):
    """Never more often below any score: the better bowler dominates."""
    weaker = final_scores(GameState(), strength_for_average(wanted))
    stronger = final_scores(GameState(), strength_for_average(wanted + 1))
    assert (np.cumsum(stronger) <= np.cumsum(weaker) + 1e-12).all()


@pytest.mark.parametrize("wanted", [89.9, 280.1, float("nan"), float("inf")])
def test_averages_out_of_range_are_refused(wanted):
    with pytest.raises(ValueError, match="allowed: 90 to 280"):
        strength_for_average(wanted)


def test_unknown_levels_are_refused():
    with pytest.raises(ValueError, match="level is 'pro'; allowed: tour, scratch, league, casual"):
        strength_of_level("pro")


@given(st.floats(0, 0.9), st.floats(0.01, 0.1), st.sampled_from(LEVELS))
@steady
def test_more_strikes_never_hurt(strikes, more, level):
    weaker = replace(strength_of_level(level), strike_probability=strikes)
    stronger = replace(weaker, strike_probability=strikes + more)
    for scoring in ("traditional", "current_frame"):
        below = np.cumsum(final_scores(GameState(scoring), weaker))
        assert (np.cumsum(final_scores(GameState(scoring), stronger)) <= below + 1e-12).all()
