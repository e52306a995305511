"""Intervals: against scipy's own, and what any quantile must do."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from leaveline.practice.intervals import share_interval, weighted_estimate, weighted_points
from scipy.stats import binomtest, norm


@pytest.mark.parametrize("confidence", [0.5, 0.8, 0.95, 0.99])
@pytest.mark.parametrize(("made", "attempts"), [(0, 1), (1, 1), (4, 5), (17, 35), (681, 710)])
def test_share_interval_against_scipy(made: int, attempts: int, confidence: float) -> None:
    """scipy.stats.binomtest's Wilson interval."""
    theirs = binomtest(made, attempts).proportion_ci(confidence, method="wilson")
    assert share_interval(made, attempts, confidence=confidence) == pytest.approx(
        (theirs.low, theirs.high), abs=1e-12
    )


@given(st.integers(0, 500), st.integers(0, 500), st.floats(0.5, 0.99))
def test_share_interval_holds_the_share(made: int, missed: int, confidence: float) -> None:
    low, high = share_interval(made, made + missed, confidence=confidence)
    assert 0 <= low <= high <= 1
    if made + missed:
        assert low <= made / (made + missed) <= high


def test_no_attempt_tells_nothing() -> None:
    assert share_interval(0, 0, confidence=0.8) == (0.0, 1.0)


def test_weighted_estimate_of_a_normal_distribution() -> None:
    """Against scipy's normal quantiles; 200 points leave a hundredth of a deviation."""
    values = np.linspace(-5, 5, 2001)
    weights = norm.pdf(values) / norm.pdf(values).sum()
    found = weighted_estimate(values + 1, weights, confidence=0.8)
    assert found.value == pytest.approx(1.0, abs=1e-9)
    assert (found.low, found.high) == pytest.approx(1 + norm.ppf([0.1, 0.9]), abs=0.02)


def test_weighted_points_do_not_depend_on_order() -> None:
    values, weights = np.array([3.0, 1.0, 2.0]), np.array([0.2, 0.5, 0.3])
    points = weighted_points(values, weights, 10)
    assert points.tolist() == [1.0] * 5 + [2.0] * 3 + [3.0] * 2
    assert points.tolist() == weighted_points(values[::-1], weights[::-1], 10).tolist()
