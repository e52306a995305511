"""Intervals: for a share that was counted, and for anything weighted by a posterior."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtri

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its interval; what it measures, its unit and its confidence stand beside it."""

    value: float
    low: float
    high: float


def share_interval(made: int, attempts: int, *, confidence: float) -> tuple[float, float]:
    """Wilson's interval for a share (E. B. Wilson, J. Am. Stat. Assoc. 22, 209, 1927).

    Parameters
    ----------
    made, attempts : int
        Makes among attempts; with no attempt the interval is 0 to 1.
    confidence : float
        Two-sided, above 0 and below 1.

    Returns
    -------
    tuple of float
        Lowest and highest share, 0 to 1.
    """
    if attempts == 0:
        return 0.0, 1.0
    z = normal_quantile(confidence)
    share, weight = made / attempts, z * z / attempts
    middle = (share + weight / 2) / (1 + weight)
    half = z / (1 + weight) * math.sqrt(share * (1 - share) / attempts + weight / attempts / 4)
    # At none and at all made the exact ends are 0 and 1; rounding must not pass them.
    low = 0.0 if made == 0 else max(0.0, middle - half)
    high = 1.0 if made == attempts else min(1.0, middle + half)
    return low, high


def normal_quantile(confidence: float) -> float:
    """How many standard deviations either way hold this share of a normal distribution."""
    return float(ndtri((1 + confidence) / 2))


def weighted_estimate(values: FloatArray, weights: FloatArray, *, confidence: float) -> Estimate:
    """Mean and equal-tailed interval of values under weights that sum to one, both (n,)."""
    spread_out = weighted_points(values, weights, 200)
    tail = (1 - confidence) / 2
    low, high = np.quantile(spread_out, (tail, 1 - tail))
    return Estimate(float(values @ weights), float(low), float(high))


def weighted_points(values: FloatArray, weights: FloatArray, count: int) -> FloatArray:
    """So many values of equal weight, ascending, that stand for a weighted set: its quantiles."""
    order = np.argsort(values, kind="stable")
    cumulated = np.cumsum(weights[order])
    wanted = (np.arange(count) + 0.5) / count * cumulated[-1]
    points: FloatArray = values[order[np.searchsorted(cumulated, wanted)]]
    return points
