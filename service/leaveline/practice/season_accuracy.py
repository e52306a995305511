"""A bowler's accuracy from the season itself."""

from __future__ import annotations

import math
from collections import defaultdict

from leaveline.delivery.release import Level
from leaveline.lines import Bowler
from leaveline.pins import Leave
from leaveline.practice.accuracy import Accuracy, LeaveResult, fit_accuracy
from leaveline.practice.intervals import weighted_points
from leaveline.practice.row import BowledFrame
from leaveline.practice.season import Season
from leaveline.practice.steps import Check, go_on
from leaveline.practice.verdicts import beyond_luck, tail_probabilities, two_sided

MOST_LEAVES_FITTED = 60
"""The leaves thrown at most; the rest come up too rarely to say anything."""
RECORDED_PER_BOARD = 10
"""Recorded lines are taken to a tenth of a board, as lines are answered."""
ALIKE_PER_BOARD = 2
"""Lines alike to half a board are one line: nobody repeats them more closely."""

MOST_SET_ASIDE = 5
POINTS = 25

ThrownLine = tuple[float, float]


def accuracy_of_season(
    season: Season,
    *,
    bowler: Bowler | None = None,
    level: Level | None = None,
    confidence: float = 0.8,
    check: Check = go_on,
) -> Accuracy:
    """Fit spread and lean to a season's spare balls; arguments and errors as in `fit_accuracy`.

    A ball with a recorded miss counts by its miss, any other by its make. Of the lines recorded
    at a leave the commonest stands for all of them. A lean is looked for only where misses are
    recorded: makes on lines that are assumed would take a weakness at one corner for a lean.

    Leaves that do not fit, too good or too bad for chance, are weaknesses or strengths and say
    nothing of the accuracy: the oddest is set aside and the rest fitted again, up to five times.
    The result's `fitted` holds those that were used.
    """
    by_leave: dict[Leave, list[BowledFrame]] = defaultdict(list)
    misses = []
    for frame in season.frames:
        if frame.missed_target_by_boards is not None:
            misses.append(frame.missed_target_by_boards)
        elif frame.leave is not None and frame.made is not None:
            by_leave[frame.leave].append(frame)
    leaves = sorted(by_leave, key=lambda leave: (-len(by_leave[leave]), leave))
    results = [
        result
        for leave in leaves[:MOST_LEAVES_FITTED]
        for result in _results(leave, by_leave[leave])
    ]
    for left_to_set_aside in range(MOST_SET_ASIDE, -1, -1):
        fit = fit_accuracy(
            results,
            target_misses_boards=misses,
            bowler=bowler,
            level=level,
            with_lean=bool(misses),
            confidence=confidence,
            check=check,
        )
        odd = _oddest(fit)
        if odd is None or not left_to_set_aside:
            break
        results = [result for result in results if result.leave != odd]
    return fit


def _oddest(fit: Accuracy) -> Leave | None:
    """The leave that fits worst, where chance does not explain it."""
    p_values = []
    for one in fit.fitted:
        points = weighted_points(*fit.posterior.chances(one.table), POINTS)
        p_values.append(two_sided(tail_probabilities(one.result.made, one.result.attempts, points)))
    odd = beyond_luck(p_values)
    if not any(odd):
        return None
    return fit.fitted[min(range(len(odd)), key=p_values.__getitem__)].result.leave


def line_of(frame: BowledFrame) -> ThrownLine | None:
    """Lay-down and target board recorded, to a tenth; None where there are none."""
    if frame.lay_down_board is None or frame.target_board is None:
        return None
    return _to(RECORDED_PER_BOARD, frame.lay_down_board, frame.target_board)


def _to(per_board: int, *boards: float) -> ThrownLine:
    lay_down, target = (round(board * per_board) / per_board for board in boards)
    return lay_down, target


def _commonest(lines: list[ThrownLine]) -> ThrownLine:
    """The mean of the lines that are most often one line."""
    alike: dict[ThrownLine, list[ThrownLine]] = defaultdict(list)
    for line in lines:
        alike[_to(ALIKE_PER_BOARD, *line)].append(line)
    own = alike[min(alike, key=lambda line: (-len(alike[line]), line))]
    lay_down, target = (math.fsum(boards) / len(own) for boards in zip(*own, strict=True))
    return _to(RECORDED_PER_BOARD, lay_down, target)


def _results(leave: Leave, frames: list[BowledFrame]) -> list[LeaveResult]:
    """At most two results: of the balls with a line recorded, and of those without."""
    lines = [line for frame in frames if (line := line_of(frame))]
    recorded = [frame for frame in frames if line_of(frame)]
    others = [frame for frame in frames if not line_of(frame)]
    found = []
    if recorded:
        found.append(LeaveResult(leave, len(recorded), _made(recorded), *_commonest(lines)))
    if others:
        found.append(LeaveResult(leave, len(others), _made(others)))
    return found


def _made(frames: list[BowledFrame]) -> int:
    return sum(bool(frame.made) for frame in frames)
