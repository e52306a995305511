"""Leaves that a different pocket hit would have avoided: named, no more.

Which leaves a high and a light hit bring is common practice, without a published source; told for
a right-hander, mirrored for a left-hander.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from leaveline.lane import Hand
from leaveline.pins import Leave

Hit = Literal["high", "light"]

USUAL: dict[Hit, tuple[str, ...]] = {
    "high": ("4", "9", "4-7", "4-9", "3-10", "6-10", "3-6-10", "4-6-7", "4-6-7-10"),
    "light": ("2", "5", "2-8", "2-4-5", "2-4-5-8", "5-7", "8-10", "7-10"),
}


@dataclass(frozen=True, slots=True)
class FirstBallLeaves:
    """How often leaves came up that a hit too high, or too light, usually brings."""

    hit: Hit
    leaves: tuple[Leave, ...]
    count: int
    words: str


def first_ball_leaves(attempts: Mapping[Leave, int], hand: Hand) -> tuple[FirstBallLeaves, ...]:
    """Count them, the commonest leaves first."""
    found = []
    for hit, names in USUAL.items():
        usual = [Leave.parse(name) for name in names]
        own = [leave.mirror if hand == "left" else leave for leave in usual]
        seen = sorted(
            (leave for leave in own if attempts.get(leave)),
            key=lambda leave: (-attempts[leave], leave),
        )
        if seen:
            count = sum(attempts[leave] for leave in seen)
            listed = ", ".join(str(leave) for leave in seen)
            words = f"{count} leaves that a {hit} hit usually brings: {listed}."
            found.append(FirstBallLeaves(hit, tuple(seen), count, words))
    return tuple(found)
