"""What a bowler of a known accuracy should make of each leave, on the best line for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import astuple, dataclass, replace
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from leaveline.delivery import Spread
from leaveline.lines import Bowler, Line, make_probabilities, solve
from leaveline.pins import Leave
from leaveline.practice.accuracy import Accuracy
from leaveline.practice.forward import LOWEST_SCALE_BOARDS, line_for, table_of
from leaveline.practice.intervals import Estimate, weighted_estimate, weighted_points

FloatArray = npt.NDArray[np.float64]

SHARPER = 0.95
"""What some weeks of practice are taken to do to a spread: a twentieth less of it (assumed)."""
POINTS = 25
MOST_LINES_OF_A_LEAVE = 20


@dataclass(frozen=True, slots=True, eq=False)
class Expected:
    """What to expect at one leave.

    Attributes
    ----------
    leave : Leave
    line : Line
        The best line for this accuracy.
    make_probability : Estimate
        On that line, lean included; the interval comes from what is not known of the accuracy.
    without_lean : float
        The same if the throws went where they are meant on average.
    sharper : float
        The same with a twentieth less spread.
    points : (POINTS,) array
        Make probabilities of equal weight that stand for what is not known of the accuracy.
    """

    leave: Leave
    line: Line
    make_probability: Estimate
    without_lean: float
    sharper: float
    points: FloatArray


def expected_at(
    leave: Leave, accuracy: Accuracy | Spread, bowler: Bowler, *, confidence: float
) -> Expected:
    """Work out what to expect at a leave, from a fitted accuracy or a spread taken as known."""
    if isinstance(accuracy, Spread):
        return _expected_of_spread(leave, replace(bowler, spread=accuracy))
    line = line_for(leave, bowler, target_boards=accuracy.target_boards.value)
    table = table_of(leave, bowler, line)
    posterior = accuracy.posterior
    chances, weights = posterior.chances(table)
    of_scale = posterior.weights.sum(axis=1)
    true_aim = table.over(posterior.scale, np.zeros(1))[:, 0]
    tighter = np.maximum(SHARPER * posterior.scale, LOWEST_SCALE_BOARDS)
    return Expected(
        leave=leave,
        line=line,
        make_probability=weighted_estimate(chances, weights, confidence=confidence),
        without_lean=float(true_aim @ of_scale),
        sharper=float(table.over(tighter, posterior.lean).ravel() @ weights),
        points=weighted_points(chances, weights, POINTS),
    )


@lru_cache(maxsize=4096)
def _expected_of_spread(leave: Leave, bowler: Bowler) -> Expected:
    line = solve(leave, bowler, limit=1)[0]
    chance = _share(line.make_probability)
    tighter = Spread(*(SHARPER * value for value in astuple(bowler.spread)))
    sharper = _on_line(
        leave, replace(bowler, spread=tighter), line.lay_down_board, line.target_board
    )
    return Expected(
        leave, line, Estimate(chance, chance, chance), chance, sharper, np.full(POINTS, chance)
    )


def cost_of_lines(
    expected: Expected, bowler: Bowler, thrown: Mapping[tuple[float, float], int]
) -> float:
    """How much less the lines thrown make than the best line, for this bowler's spread.

    Parameters
    ----------
    expected : Expected
    bowler : Bowler
        With the spread.
    thrown : mapping
        How often each (lay-down board, target board) was thrown; the twenty commonest count.

    Returns
    -------
    float
        A difference of make probabilities, 0 where the lines are no worse.
    """
    best = _on_line(
        expected.leave, bowler, expected.line.lay_down_board, expected.line.target_board
    )
    commonest = sorted(thrown.items(), key=lambda item: (-item[1], item[0]))[:MOST_LINES_OF_A_LEAVE]
    made = sum(count * _on_line(expected.leave, bowler, *line) for line, count in commonest)
    return max(0.0, best - made / sum(count for _, count in commonest))


@lru_cache(maxsize=4096)
def _on_line(leave: Leave, bowler: Bowler, lay_down_board: float, target_board: float) -> float:
    found = make_probabilities(
        leave, bowler, lay_down_board=lay_down_board, target_boards=np.array([target_board])
    )
    return _share(float(found[0]))


def _share(average: float) -> float:
    """An average of chances as a share: rounding may have taken it past 1 by its last digits."""
    return min(average, 1.0)
