"""The search: every lay-down with every target, then the best of each kind made finer.

Works in a right-hander's world: x [in] to the right, boards from the right.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
import numpy.typing as npt
from leaveline.delivery.arrivals import ArrivalTable
from leaveline.lane import x_from_board
from leaveline.lines.contact import first_contact
from leaveline.lines.integrate import arrive, averages
from leaveline.pins.leave import Leave

FloatArray = npt.NDArray[np.float64]

LAY_DOWN_STEP_BOARDS = 0.5
TARGET_STEP_BOARDS = 0.1
"""Lines are given in half boards at the foul line and tenths at the target: finer than anyone
repeats, and what is reported is exactly what was evaluated."""
COARSE_LAY_DOWN = 4
COARSE_TARGET = 3
"""Coarse steps, in multiples of the fine ones: 2 boards and 0.3 boards (1.2 at the pins)."""
COARSE_ERRORS = 64
FINE_ERRORS = 256
KINDS_REFINED = 8
REGIONS = 3
"""The lane's width in thirds: a line from another third is a different line."""


@dataclass(frozen=True, slots=True)
class LayDownRange:
    """Boards the ball may be laid down on."""

    lowest_board: float
    highest_board: float


@dataclass(frozen=True, slots=True)
class Objective:
    """What a line is searched for: the average of one field of the carry map."""

    chance: FloatArray
    mirrored: bool


Candidate = tuple[int, int]
"""Lay-down and target in fine steps from board 0."""


def search(
    leave: Leave,
    table: ArrivalTable,
    objective: Objective,
    errors: FloatArray,
    lay_downs: LayDownRange,
) -> list[Candidate]:
    """Find the best line of each kind, best first.

    Two lines are of one kind when the ball meets the same pin on the same side from the same
    third of the lane.
    """
    grid = [
        (lay, aim)
        for lay in _steps(lay_downs, COARSE_LAY_DOWN)
        for aim in range(0, round(40 / TARGET_STEP_BOARDS) + 1, COARSE_TARGET)
    ]
    rough = _values(grid, table, objective, errors[:COARSE_ERRORS])
    best_of_kind: dict[tuple[int, str, int], Candidate] = {}
    for index in np.argsort(-rough, kind="stable"):
        if rough[index] <= 0.0 or len(best_of_kind) == KINDS_REFINED:
            break
        kind = _kind(leave, table, grid[index])
        if kind is not None:
            best_of_kind.setdefault(kind, grid[index])
    refined = {
        _climb(start, table, objective, errors[:FINE_ERRORS], lay_downs)
        for start in best_of_kind.values()
    }
    found = sorted(refined)
    values = _values(found, table, objective, errors[:FINE_ERRORS])
    ranked = [found[i] for i in np.argsort(-values, kind="stable")]
    kept: dict[tuple[int, str, int] | None, Candidate] = {}
    for candidate in ranked:
        kept.setdefault(_kind(leave, table, candidate), candidate)
    return list(kept.values())


def boards(candidate: Candidate) -> tuple[float, float]:
    """Lay-down and target board of a candidate."""
    return (
        round(candidate[0] * LAY_DOWN_STEP_BOARDS, 1),
        round(candidate[1] * TARGET_STEP_BOARDS, 1),
    )


def positions(candidate: Candidate) -> tuple[float, float]:
    """Lay-down and target position [in] of a candidate."""
    lay, aim = boards(candidate)
    return x_from_board(lay), x_from_board(aim)


def _steps(lay_downs: LayDownRange, stride: int) -> range:
    first = int(np.ceil(lay_downs.lowest_board / LAY_DOWN_STEP_BOARDS))
    last = int(np.floor(lay_downs.highest_board / LAY_DOWN_STEP_BOARDS))
    return range(first, last + 1, stride)


def _values(
    candidates: list[Candidate], table: ArrivalTable, objective: Objective, errors: FloatArray
) -> FloatArray:
    spots = np.array([positions(candidate) for candidate in candidates]).reshape(-1, 2)
    return averages(
        table,
        objective.chance,
        np.ascontiguousarray(spots[:, 0]),
        np.ascontiguousarray(spots[:, 1]),
        errors,
        mirrored=objective.mirrored,
    )


def _kind(leave: Leave, table: ArrivalTable, candidate: Candidate) -> tuple[int, str, int] | None:
    lay, aim = positions(candidate)
    x, angle, _, margin = arrive(table, lay, aim)
    contact = first_contact(leave, x, angle)
    if contact is None or margin < 0.0:
        return None
    third = min(REGIONS - 1, int(boards(candidate)[0] * REGIONS / 40))
    return contact.pin, "right" if contact.offset_in > 0 else "left", third


def _climb(
    start: Candidate,
    table: ArrivalTable,
    objective: Objective,
    errors: FloatArray,
    lay_downs: LayDownRange,
) -> Candidate:
    """Walk uphill over neighbouring lines, with ever smaller steps."""
    allowed = _steps(lay_downs, 1)
    best = start
    best_value = float(_values([best], table, objective, errors)[0])
    for lay_step, aim_step in ((4, 3), (2, 2), (1, 1)):
        while True:
            around = [
                (best[0] + i * lay_step, best[1] + j * aim_step)
                for i, j in product((-1, 0, 1), repeat=2)
                if (i, j) != (0, 0) and best[0] + i * lay_step in allowed
            ]
            values = _values(around, table, objective, errors)
            top = int(np.argmax(values))
            if values[top] <= best_value:
                break
            best, best_value = around[top], float(values[top])
    return best
