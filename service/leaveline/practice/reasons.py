"""What a fit cannot tell, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from leaveline.pins import Leave
from leaveline.practice.forward import HIGHEST_SCALE_BOARDS, LOWEST_SCALE_BOARDS, MakeTable
from leaveline.practice.intervals import Estimate

ReasonCode = Literal["no_throws", "few_throws", "leaves_say_little", "no_lowest", "no_highest"]

SAYS_LITTLE = 0.05
"""A leave says little when a third more or a quarter less spread changes its makes by less."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why the data cannot tell, or not on one side; the leaves it is about, and in words."""

    code: ReasonCode
    words: str
    leaves: tuple[Leave, ...] = ()


def reasons_for(
    throws: int, can_tell: bool, scale: Estimate, tables: Sequence[MakeTable]
) -> tuple[Reason, ...]:
    """List what stands in the way, given the spread [boards] and the leaves thrown at."""
    found = []
    if not throws:
        found.append(Reason("no_throws", "Nothing was thrown: this is the prior alone."))
    elif not can_tell:
        found.append(
            Reason("few_throws", "These throws are too few, or say too little, to tell the spread.")
        )
    say_little = tuple(dict.fromkeys(t.leave for t in tables if _says_little(t, scale.value)))
    if say_little:
        names = ", ".join(str(leave) for leave in say_little)
        found.append(
            Reason(
                "leaves_say_little",
                f"Any spread near this one makes (or misses) these about as often: {names}.",
                say_little,
            )
        )
    if scale.low <= LOWEST_SCALE_BOARDS * (1 + 1e-9):
        found.append(Reason("no_lowest", "The data set no lower end to the spread."))
    if scale.high >= HIGHEST_SCALE_BOARDS * (1 - 1e-9):
        found.append(Reason("no_highest", "The data set no upper end to the spread."))
    return tuple(found)


def _says_little(table: MakeTable, scale: float) -> bool:
    around = np.clip([scale * 3 / 4, scale * 4 / 3], LOWEST_SCALE_BOARDS, HIGHEST_SCALE_BOARDS)
    closer, wider = table.over(around, np.zeros(1))[:, 0]
    return bool(abs(closer - wider) < SAYS_LITTLE)
