"""What throws say about a bowler's spread and lean: likelihood, prior, posterior on a grid.

Two unknowns: the standard deviation at the target (kept as its logarithm) and the mean miss at
the target. Two kinds of evidence, and each throw may stand under one of them only:

- makes and misses at a leave: binomial, with the model's make probability;
- recorded misses, in boards. At the target they are normal about the lean. At the pins a straight
  ball is off by 4 target errors less 3 lay-down errors (similar triangles: pins at 60 ft, target
  at 15 ft), so they are normal about 4 times the lean with variance 16 target^2 + 9 lay_down^2.
  A recorded value is a rounded one: its likelihood is the probability of its whole interval.
"""

from __future__ import annotations

import math
import operator
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import logsumexp, ndtr

from leaveline.delivery import LEVELS
from leaveline.delivery.release import Level
from leaveline.lane.dimensions import FOUL_TO_HEAD_PIN_IN, TARGET_IN
from leaveline.practice.forward import (
    HIGHEST_SCALE_BOARDS,
    LARGEST_LEAN_BOARDS,
    LOWEST_SCALE_BOARDS,
    MakeTable,
    in_proportion,
)

FloatArray = npt.NDArray[np.float64]

AT_PINS = FOUL_TO_HEAD_PIN_IN / TARGET_IN
"""Boards at the pins for one board of target error, 4; for one of lay-down error it is 1 less."""

RESOLUTIONS_BOARDS = (1.0, 0.5, 0.1)
"""What people round misses to; anything finer is taken to the tenth of a board."""

LEAN_PRIOR_SHARE = 0.4
"""How wide the lean lies about zero before any throw is seen, in spreads at the target (assumed:
whoever leans by much of the own spread mostly sees it and moves the target)."""
LEAN_PRIOR_FREEDOM = 4
"""Degrees of freedom of the lean's prior, a Student t (assumed): its tails are heavy, so a lean of
several spreads that the throws show is taken for one, not for a wider spread. Before any throw,
one bowler in nine leans by more than 0.8 spreads and one in 130 by more than two. Still fewer
degrees of freedom would leave makes alone, which hardly part the two, to say even less."""
LEVEL_PRIOR_LOG = 0.5
"""Standard deviation of the logarithm of the spread about a stated level (assumed: two bowlers in
three of a level lie within a factor 1.65 of its preset)."""
MIXED_PRIOR_LOG = 0.4
"""The same about each preset, where no level is stated and all four are as likely."""

CELLS = 61
NEVER_SURE = 1e-3
"""A make is never taken to be surer than 99.9 %, nor a miss: slips of the hand are not modelled."""
NO_LEAN_BOARDS = 1e-3
"""What is left of the lean's range where it is taken as zero."""
NEGLIGIBLE = 14.0
"""Cells whose log-density is this far below the highest are left out when the grid closes in."""
FULL = 0.7
"""The grid is close enough once more than this share of its rows and columns carries weight."""
MOST_ZOOMS = 10
FINER, TOO_COARSE = 5, 0.5
"""So many times as many cells are taken where a peak may rise by more than this (in the logarithm)
between those it was found with: makes at one leave leave a thin ridge across the whole grid."""
RIM_LOG, RIM_BOARDS = 0.05, 1 / 3
"""How far from the ends of the whole range its outermost cells reach, in log spread and in lean."""


@dataclass(frozen=True, slots=True)
class BinnedMisses:
    """Recorded misses [boards], counted by value, and what they were rounded to."""

    values: tuple[float, ...]
    counts: tuple[int, ...]
    resolution_boards: float

    @classmethod
    def of(cls, misses: Sequence[float]) -> BinnedMisses:
        """Count misses, taken as rounded to the coarsest step that all are multiples of."""
        tenths = [round(10 * miss) for miss in misses]
        step = next(r for r in RESOLUTIONS_BOARDS if all(t % round(10 * r) == 0 for t in tenths))
        counted = sorted(Counter(tenths).items())
        return cls(tuple(t / 10 for t, _ in counted), tuple(n for _, n in counted), step)

    @property
    def mean(self) -> float:
        """Their mean [boards], 0 where there are none."""
        thrown = max(sum(self.counts), 1)
        return math.fsum(map(operator.mul, self.values, self.counts)) / thrown

    def log_likelihood(self, mean: FloatArray, deviation: FloatArray) -> FloatArray:
        """Log-probability of all of them under normals; `mean` and `deviation` broadcast."""
        shape = np.broadcast_shapes(mean.shape, deviation.shape)
        total = np.zeros(shape)
        half = self.resolution_boards / 2
        for value, count in zip(self.values, self.counts, strict=True):
            # Taken on the far side of the mean, where the difference of tails keeps its digits.
            off = np.abs(value - mean)
            inside = ndtr((half - off) / deviation) - ndtr((-half - off) / deviation)
            total += count * np.log(np.maximum(inside, 1e-300))
        return total


@dataclass(frozen=True, slots=True)
class Counted:
    """Makes and misses of one line at one leave."""

    table: MakeTable
    made: int
    missed: int


@dataclass(frozen=True, slots=True)
class Evidence:
    """All that was thrown."""

    counted: tuple[Counted, ...]
    at_target: BinnedMisses
    at_pins: BinnedMisses

    def log_likelihood(self, scale: FloatArray, lean: FloatArray) -> FloatArray:
        """Log-likelihood for spreads (s,) and leans (b,) [boards]; shape (s, b)."""
        total = self.at_target.log_likelihood(lean[None, :], scale[:, None])
        lay_down = in_proportion("lay_down_boards", scale)
        deviation = np.hypot(AT_PINS * scale, (AT_PINS - 1) * lay_down)
        total = total + self.at_pins.log_likelihood(AT_PINS * lean[None, :], deviation[:, None])
        for one in self.counted:
            chance = np.clip(one.table.over(scale, lean), NEVER_SURE, 1 - NEVER_SURE)
            total += one.made * np.log(chance) + one.missed * np.log1p(-chance)
        return total


def log_prior(scale: FloatArray, lean: FloatArray, level: Level | None) -> FloatArray:
    """Log-density of the prior over log spread (s,) and lean (b,), up to a constant; (s, b).

    With a level stated, the spread is log-normal about its preset; else an equal mixture of
    log-normals about all presets. The lean in shares of the spread is a Student t about zero.
    """
    centres = [LEVELS[level]] if level else list(LEVELS.values())
    width = LEVEL_PRIOR_LOG if level else MIXED_PRIOR_LOG
    logs = np.array([math.log(spread.target_boards) for spread in centres])
    of_scale = logsumexp(-(((np.log(scale)[:, None] - logs) / width) ** 2) / 2, axis=1)
    squared = (lean[None, :] / (LEAN_PRIOR_SHARE * scale[:, None])) ** 2
    of_lean = -(LEAN_PRIOR_FREEDOM + 1) / 2 * np.log1p(squared / LEAN_PRIOR_FREEDOM)
    total: FloatArray = (of_scale - np.log(scale))[:, None] + of_lean
    return total


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """Weights over a grid of spread and lean.

    Attributes
    ----------
    scale : (s,)
        Spread at the target [boards], evenly spaced in its logarithm, ascending.
    lean : (b,)
        Mean miss at the target [boards], positive right, evenly spaced, ascending.
    log_density : (s, b)
        Per unit of log spread and lean, up to a constant.
    """

    scale: FloatArray
    lean: FloatArray
    log_density: FloatArray

    @property
    def weights(self) -> FloatArray:
        """Weights of the cells, summing to one, shape (s, b)."""
        weights = np.exp(self.log_density - self.log_density.max())
        total: FloatArray = weights / weights.sum()
        return total

    def quantiles_of_scale(self, shares: Sequence[float]) -> FloatArray:
        """Spreads [boards] below which these shares of the weight lie."""
        logs = _cell_quantiles(np.log(self.scale), self.weights.sum(axis=1), shares)
        return np.exp(logs)

    def quantiles_of_lean(self, shares: Sequence[float]) -> FloatArray:
        """Leans [boards] below which these shares of the weight lie."""
        return _cell_quantiles(self.lean, self.weights.sum(axis=0), shares)

    def shares_at_rim(self) -> tuple[float, float, float]:
        """Weight in the outermost cells: at the lowest spread, the highest one, a largest lean."""
        of_scale, of_lean = self.weights.sum(axis=1), self.weights.sum(axis=0)
        at_lowest = self.scale < LOWEST_SCALE_BOARDS * math.exp(RIM_LOG)
        at_highest = self.scale > HIGHEST_SCALE_BOARDS / math.exp(RIM_LOG)
        at_largest_lean = np.abs(self.lean) > LARGEST_LEAN_BOARDS - RIM_BOARDS
        return (
            float(of_scale[at_lowest].sum()),
            float(of_scale[at_highest].sum()),
            float(of_lean[at_largest_lean].sum()),
        )

    def covariance(self) -> FloatArray:
        """Covariance of log spread and lean, shape (2, 2)."""
        weights = self.weights
        log_scale = np.log(self.scale)
        of_scale = log_scale - weights.sum(axis=1) @ log_scale
        of_lean = self.lean - weights.sum(axis=0) @ self.lean
        cross = float(of_scale @ weights @ of_lean)
        return np.array(
            [
                [float(of_scale**2 @ weights.sum(axis=1)), cross],
                [cross, float(weights.sum(axis=0) @ of_lean**2)],
            ]
        )

    def chances(self, table: MakeTable) -> tuple[FloatArray, FloatArray]:
        """Make probability at every cell and the cell's weight, both flat."""
        return table.over(self.scale, self.lean).ravel(), self.weights.ravel()


def posterior_of(
    evidence: Evidence, *, level: Level | None, with_prior: bool, with_lean: bool
) -> Posterior:
    """Work the posterior out on a grid that closes in on where the weight is.

    Without a prior the weights are the likelihood's, flat over log spread and lean within the
    table's range. Without a lean, the lean stays at zero.
    """
    log_low, log_high = math.log(LOWEST_SCALE_BOARDS), math.log(HIGHEST_SCALE_BOARDS)
    high = LARGEST_LEAN_BOARDS if with_lean else NO_LEAN_BOARDS
    low = -high

    def over(cells: int) -> tuple[FloatArray, FloatArray, FloatArray]:
        log_scale, lean = np.linspace(log_low, log_high, cells), np.linspace(low, high, cells)
        density = evidence.log_likelihood(np.exp(log_scale), lean)
        if with_prior:
            density = density + log_prior(np.exp(log_scale), lean, level)
        return log_scale, lean, density

    for _ in range(MOST_ZOOMS):
        log_scale, lean, density = over(CELLS)
        hidden = _between_cells(density)
        worth = density + hidden > density.max() - NEGLIGIBLE
        rows, columns = np.flatnonzero(worth.any(axis=1)), np.flatnonzero(worth.any(axis=0))
        if len(rows) > FULL * CELLS and len(columns) > FULL * CELLS:
            break
        before = log_low, log_high, low, high
        log_low, log_high = _around(log_scale, rows)
        low, high = _around(lean, columns)
        if (log_low, log_high, low, high) == before:
            break
    if hidden[np.unravel_index(density.argmax(), density.shape)] > TOO_COARSE:
        log_scale, lean, density = over(FINER * CELLS)
    return Posterior(np.exp(log_scale), lean, density)


def _between_cells(density: FloatArray) -> FloatArray:
    """How far a peak between the cells may rise above each of them.

    Half a step away along both axes, a parabola is higher by at most a quarter of the two second
    differences together.
    """
    bent = np.zeros_like(density)
    for along, total in ((density, bent), (density.T, bent.T)):
        inside = 2 * along[1:-1] - along[:-2] - along[2:]
        total += np.maximum(np.concatenate([inside[:1], inside, inside[-1:]]), 0) / 4
    return bent


def _around(grid: FloatArray, kept: npt.NDArray[np.int64]) -> tuple[float, float]:
    """The range of the cells kept and one more at either end."""
    return float(grid[max(kept[0] - 1, 0)]), float(grid[min(kept[-1] + 1, grid.size - 1)])


def _cell_quantiles(grid: FloatArray, weights: FloatArray, shares: Sequence[float]) -> FloatArray:
    """Quantiles of weights spread evenly over cells about evenly spaced grid points."""
    step = grid[1] - grid[0]
    edges = np.append(grid - step / 2, grid[-1] + step / 2)
    cumulated = np.append(0.0, np.cumsum(weights))
    found = np.interp(shares, cumulated / cumulated[-1], edges)
    # The outermost cells reach half a step beyond the grid's range; an estimate does not.
    clipped: FloatArray = np.clip(found, grid[0], grid[-1])
    return clipped
