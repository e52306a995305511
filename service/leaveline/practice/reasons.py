"""What a fit cannot tell, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from leaveline.pins import Leave
from leaveline.practice.forward import (
    HIGHEST_SCALE_BOARDS,
    LARGEST_LEAN_BOARDS,
    LOWEST_SCALE_BOARDS,
    MakeTable,
)
from leaveline.practice.intervals import Estimate
from leaveline.practice.posterior import Posterior

ReasonCode = Literal[
    "no_throws", "few_throws", "leaves_say_little", "no_lowest", "no_highest", "no_lean_end"
]

MOST_AT_RIM = 0.03
"""With more of the weight than this in the outermost cells of the range, it may go on beyond."""

SAYS_LITTLE = 0.05
"""A leave says little when a third more or a quarter less spread changes its makes by less."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why the data cannot tell, or not on one side; the leaves it is about, and in words."""

    code: ReasonCode
    words: str
    leaves: tuple[Leave, ...] = ()


@dataclass(frozen=True, slots=True)
class OpenEnds:
    """Where what is looked for may lie beyond the range that is looked at."""

    lowest: bool
    highest: bool
    lean: bool

    @property
    def any(self) -> bool:
        """Whether it may anywhere."""
        return self.lowest or self.highest or self.lean


def open_ends(
    posterior: Posterior, scale: Estimate, lean: Estimate, mean_miss_boards: float
) -> OpenEnds:
    """Tell the open ends from the weights, both intervals and the mean of the recorded misses.

    An end is open where weight piles up at it or an interval ends with it; the lean's also where
    the recorded misses themselves lean by more [boards].
    """
    at_lowest, at_highest, at_largest_lean = posterior.shares_at_rim()
    farthest = max(-lean.low, lean.high, abs(mean_miss_boards))
    return OpenEnds(
        lowest=at_lowest > MOST_AT_RIM or scale.low <= LOWEST_SCALE_BOARDS * (1 + 1e-9),
        highest=at_highest > MOST_AT_RIM or scale.high >= HIGHEST_SCALE_BOARDS * (1 - 1e-9),
        lean=at_largest_lean > MOST_AT_RIM or farthest >= LARGEST_LEAN_BOARDS * (1 - 1e-9),
    )


def reasons_for(
    throws: int, narrow: bool, ends: OpenEnds, scale: Estimate, tables: Sequence[MakeTable]
) -> tuple[Reason, ...]:
    """List what stands in the way.

    Parameters
    ----------
    throws : int
    narrow : bool
        Whether the spread is known to about a quarter within the range looked at.
    ends : OpenEnds
    scale : Estimate
        Spread [boards].
    tables : sequence of MakeTable
        The leaves thrown at.
    """
    found = []
    if not throws:
        found.append(Reason("no_throws", "Nothing was thrown: this is the prior alone."))
    elif not narrow:
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
    if ends.lowest:
        said = f"it may be less than {LOWEST_SCALE_BOARDS:g} boards, the closest looked at."
        found.append(Reason("no_lowest", f"The data set no lower end to the spread: {said}"))
    if ends.highest:
        said = f"it may be more than {HIGHEST_SCALE_BOARDS:g} boards, the widest looked at."
        found.append(Reason("no_highest", f"The data set no upper end to the spread: {said}"))
    if ends.lean:
        said = (
            f"it may be more than {LARGEST_LEAN_BOARDS:g} boards at the target, the most looked "
            "at, and then the spread is another."
        )
        found.append(Reason("no_lean_end", f"The data set no end to the lean: {said}"))
    return tuple(found)


def _says_little(table: MakeTable, scale: float) -> bool:
    around = np.clip([scale * 3 / 4, scale * 4 / 3], LOWEST_SCALE_BOARDS, HIGHEST_SCALE_BOARDS)
    closer, wider = table.over(around, np.zeros(1))[:, 0]
    return bool(abs(closer - wider) < SAYS_LITTLE)
