"""Invented seasons of bowlers whose every chance is known. For tests and benchmarks only."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

import numpy as np
from leaveline.pins import Leave
from leaveline.practice import usual_leaves

Row = dict[str, Any]
COLUMNS = (
    "date", "game", "frame", "rolls", "leave", "ball", "missed_target_by_boards", "made",
    "lay_down_board", "target_board",
)  # fmt: skip


def season_rows(
    games: int,
    chance: Callable[[Leave], float],
    *,
    seed: int,
    strikes: float = 0.36,
    mix: Mapping[Leave, float] | None = None,
    about_the_ball: Callable[[np.random.Generator, Leave], Row] | None = None,
) -> list[Row]:
    """Rows of whole games of a bowler who makes each leave with a known chance.

    `about_the_ball` may add fields to the row of every spare ball.
    """
    rng = np.random.default_rng(seed)
    often = mix or usual_leaves()
    leaves, weights = list(often), np.array(list(often.values()))
    weights = weights / weights.sum()
    known = {leave: chance(leave) for leave in leaves}
    rows = []
    for game in range(1, games + 1):
        for frame in range(1, 11):
            rolls: list[str] = []
            row: Row = {"date": "2025-01-01", "game": str(game), "frame": str(frame)}
            limit = 3 if frame == 10 else 1
            while len(rolls) < limit:
                if rng.random() < strikes:
                    rolls.append("X")
                    continue
                leave = leaves[rng.choice(len(leaves), p=weights)]
                rolls.append(_symbol(10 - len(leave)))
                if frame == 10 and len(rolls) == 3:
                    break
                made = bool(rng.random() < known[leave])
                rolls.append("/" if made else _symbol(_felled(rng, len(leave))))
                row |= {"leave": str(leave), "made": "yes" if made else "no"}
                row |= about_the_ball(rng, leave) if about_the_ball else {}
                if frame == 10 and made and len(rolls) == 2:
                    rolls.append("X" if rng.random() < strikes else "9")
                break
            rows.append(row | {"rolls": " ".join(rolls)})
    return rows


def _felled(rng: np.random.Generator, standing: int) -> int:
    missed = 1 + int(rng.geometric(0.65)) - 1
    return max(0, standing - missed)


def _symbol(pins: int) -> str:
    return str(pins) if pins else "-"


def as_csv(rows: Iterable[Row], *, separator: str = ",", end: str = "\n") -> str:
    """The same rows as a file."""
    lines = [separator.join(COLUMNS)]
    lines += [separator.join(str(row.get(name, "")) for name in COLUMNS) for row in rows]
    return end.join(lines) + end
