"""Skill, line or luck: is a share further from what is expected than chance explains?

Given the accuracy, makes are binomial; what is not known of the accuracy is averaged over. Of many
leaves looked at together some look odd by chance alone, so that the false discovery rate is held
(Benjamini and Hochberg, J. R. Stat. Soc. B 57, 289, 1995): of the leaves called odd, at most one
in ten is expected to be so by chance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
from scipy.stats import binom, false_discovery_control, norm, t

FloatArray = npt.NDArray[np.float64]
Verdict = Literal["luck", "skill", "line", "above"]
LeanSide = Literal["left", "right", "neither"]

FALSE_DISCOVERIES = 0.1
COSTLY_LINE = 0.05
"""Lines that make less than the best one by this much are called the reason of a gap."""
FEWEST_FOR_A_LEAN = 5
"""Recorded misses below this say nothing about a side."""


@dataclass(frozen=True, slots=True)
class Lean:
    """To which side recorded misses lean.

    Attributes
    ----------
    throws : int
        Recorded misses, hits included.
    mean_boards, low_boards, high_boards : float
        Mean miss at the target [boards], positive right, and its t interval.
    side : {"left", "right", "neither"}
        "neither" where the interval holds zero or the throws are fewer than five.
    """

    throws: int
    mean_boards: float
    low_boards: float
    high_boards: float
    side: LeanSide


def lean_of(misses: Sequence[float], *, confidence: float) -> Lean | None:
    """Tell the lean of recorded misses [boards]; None where there are fewer than two."""
    count = len(misses)
    if count < 2:
        return None
    mean = math.fsum(misses) / count
    error = float(np.std(misses, ddof=1)) / math.sqrt(count)
    half = float(t.ppf((1 + confidence) / 2, count - 1)) * error
    low, high = mean - half, mean + half
    side: LeanSide = "neither"
    if count >= FEWEST_FOR_A_LEAN:
        side = "right" if low > 0 else "left" if high < 0 else "neither"
    return Lean(count, mean, low, high, side)


def tail_probabilities(made: int, attempts: int, points: FloatArray) -> tuple[float, float]:
    """How likely so few makes, and so many, are: averaged over equally likely probabilities."""
    few = float(binom.cdf(made, attempts, points).mean())
    many = float(binom.sf(made - 1, attempts, points).mean())
    return few, many


def group_tail_probabilities(
    made: int, attempts: Sequence[int], points: Sequence[FloatArray]
) -> tuple[float, float]:
    """The same for several leaves together, as a normal distribution with continuity correction.

    The k-th points of all leaves stand for the same accuracy, from the widest to the narrowest.
    """
    counts = np.array(attempts, dtype=np.float64)[:, None]
    chances = np.array(points)
    mean = (counts * chances).sum(axis=0)
    deviation = np.sqrt((counts * chances * (1 - chances)).sum(axis=0))
    deviation = np.maximum(deviation, 1e-9)
    few = float(norm.cdf((made + 0.5 - mean) / deviation).mean())
    many = float(norm.sf((made - 0.5 - mean) / deviation).mean())
    return few, many


def two_sided(tails: tuple[float, float]) -> float:
    """Two-sided p-value of two tails."""
    return min(1.0, 2 * min(tails))


def beyond_luck(p_values: Sequence[float]) -> list[bool]:
    """Which of several p-values stay small with the false discovery rate held."""
    if not p_values:
        return []
    adjusted = false_discovery_control(np.clip(p_values, 0.0, 1.0), method="bh")
    return [bool(p <= FALSE_DISCOVERIES) for p in adjusted]
