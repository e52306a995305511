"""What is known of the share a bowler makes of a leave now.

Most leaves are made as the bowler's accuracy makes them; some are not. Nine in ten are taken to
be of the first kind before the leave's own results are looked at (assumed); at the others any
share about the expected one may be true (a beta distribution worth five attempts, assumed). The
results then say which kind it is (Bayes' rule), so that two misses in two tries at a rare leave
do not pass for a weakness, and forty in fifty do.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.stats import beta, betabinom, binom

from leaveline.practice.intervals import weighted_points

FloatArray = npt.NDArray[np.float64]

AS_EXPECTED = 0.9
PRIOR_ATTEMPTS = 5.0
POINTS = 25


@dataclass(frozen=True, slots=True, eq=False)
class PresentShare:
    """Shares that may be the true one, with weights that sum to one, both (n,)."""

    shares: FloatArray
    weights: FloatArray

    @classmethod
    def of(cls, made: int, attempts: int, expected: FloatArray) -> PresentShare:
        """From makes among attempts, and equally likely values (m,) of the share expected."""
        middle = float(expected.mean())
        a, b = PRIOR_ATTEMPTS * middle, PRIOR_ATTEMPTS * (1 - middle)
        if not 0 < middle < 1:  # a leave nothing makes, or nothing misses
            return cls(expected, np.full(expected.size, 1 / expected.size))
        of_each = binom.pmf(made, attempts, expected)
        as_expected = AS_EXPECTED * float(of_each.mean())
        otherwise = (1 - AS_EXPECTED) * float(betabinom.pmf(made, attempts, a, b))
        if not as_expected + otherwise > 0:  # both underflow: then it is surely not as expected
            as_expected, otherwise = 0.0, 1.0
        own = beta.ppf((np.arange(POINTS) + 0.5) / POINTS, a + made, b + attempts - made)
        weight = as_expected / (as_expected + otherwise)
        given = of_each / of_each.sum() if of_each.sum() > 0 else of_each
        weights = np.concatenate([weight * given, np.full(POINTS, (1 - weight) / POINTS)])
        return cls(np.concatenate([expected, own]), weights)

    @property
    def mean(self) -> float:
        """Mean share."""
        return float(self.shares @ self.weights)

    def interval(self, confidence: float) -> tuple[float, float]:
        """Equal-tailed interval."""
        points = weighted_points(self.shares, self.weights, 200)
        low, high = np.quantile(points, ((1 - confidence) / 2, (1 + confidence) / 2))
        return float(low), float(high)

    def reaches(self, score: npt.NDArray[np.int64], throws: int) -> FloatArray:
        """How likely at least so many makes (k,) are in so many throws."""
        chances = binom.sf(score[:, None] - 1, throws, self.shares[None, :])
        reached: FloatArray = chances @ self.weights
        return reached
