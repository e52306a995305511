"""Point and interval of spread and lean, from a posterior or from the likelihood alone."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
import numpy.typing as npt
from scipy.stats import chi2

from leaveline.practice.intervals import Estimate
from leaveline.practice.posterior import Posterior

FloatArray = npt.NDArray[np.float64]
Method = Literal["posterior", "likelihood"]

SURE_LEAN = 0.95
"""A lean is called found when its interval at this confidence leaves zero out."""


def estimates_of(
    posterior: Posterior, method: Method, confidence: float
) -> tuple[Estimate, Estimate]:
    """Spread and lean with their intervals."""
    if method == "posterior":
        shares = (0.5, (1 - confidence) / 2, (1 + confidence) / 2)
        return (
            Estimate(*map(float, posterior.quantiles_of_scale(shares))),
            Estimate(*map(float, posterior.quantiles_of_lean(shares))),
        )
    density = posterior.log_density
    of_log = _profile(np.log(posterior.scale), density.max(axis=1), confidence)
    return (
        Estimate(math.exp(of_log.value), math.exp(of_log.low), math.exp(of_log.high)),
        _profile(posterior.lean, density.max(axis=0), confidence),
    )


def _profile(grid: FloatArray, profile: FloatArray, confidence: float) -> Estimate:
    """Maximum of a profile log-likelihood and the likelihood-ratio interval about it.

    The interval is where twice the drop from the maximum stays below the chi-square quantile for
    one degree of freedom (Wilks, Ann. Math. Stat. 9, 60, 1938, from memory). Where the profile
    never drops so far, the interval ends with the grid.
    """
    best = int(np.argmax(profile))
    drop = profile[best] - profile
    allowed = float(chi2.ppf(confidence, 1)) / 2
    inside = np.flatnonzero(drop <= allowed)
    first, last = int(inside[0]), int(inside[-1])
    low, high = float(grid[first]), float(grid[last])
    if first > 0:
        low = float(np.interp(-allowed, -drop[first - 1 : first + 1], grid[first - 1 : first + 1]))
    if last < grid.size - 1:
        pair = slice(last, last + 2)
        high = float(np.interp(allowed, drop[pair], grid[pair]))
    return Estimate(float(grid[best]), low, high)


def lean_excludes_zero(posterior: Posterior, method: Method) -> bool:
    lean = estimates_of(posterior, method, SURE_LEAN)[1]
    return lean.low > 0 or lean.high < 0
