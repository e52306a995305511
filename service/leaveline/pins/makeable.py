"""Can a leave be made at all, and can the ball do it alone?

For a perfectly repeated straight ball: the best cell of the carry map over every place and angle
a straight ball can arrive at. Working it out for all leaves takes some seconds, so the answers
are kept in `makeable.csv` beside this file; `python -m leaveline.pins.makeable` writes it anew,
and the tests compare a sample of it with the model.
"""

from __future__ import annotations

import csv
import math
import sys
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from pathlib import Path

import numpy as np

from leaveline.lane.dimensions import FOUL_TO_HEAD_PIN_IN, HALF_LANE_IN
from leaveline.pins.carry import (
    ANGLE_STEP_RAD,
    CELL_COUNT,
    DRAWS,
    USUAL_LAYER,
    carry_map,
    cell_centre_in,
    row_of,
    rows_for,
)
from leaveline.pins.collide import SENT_BIT, STANDING_BITS
from leaveline.pins.leave import ALL_LEAVES, Leave

FILE = "makeable.csv"
BALL_MASS_LB = 15.0
MAKEABLE_AT_LEAST = 0.01
"""A leave counts as makeable when the best straight ball makes it at least this often."""
NEIGHBOURS = 5
"""Cells averaged over (1.25 in): one cell's own share comes from few decks."""


@dataclass(frozen=True, slots=True)
class LeaveFacts:
    """What a perfectly repeated straight ball can do with a leave.

    Attributes
    ----------
    best_make_probability : float
        Over all arrivals of a straight ball, the deck varying as decks do.
    ball_alone : bool
        Whether some makes come from the ball touching every pin itself.
    """

    best_make_probability: float
    ball_alone: bool

    @property
    def makeable(self) -> bool:
        """Whether the leave can be made other than by a freak."""
        return self.best_make_probability >= MAKEABLE_AT_LEAST


def facts_of(leave: Leave) -> LeaveFacts:
    """Look a leave's facts up."""
    return _table()[leave]


def work_out(leave: Leave) -> LeaveFacts:
    """Work a leave's facts out from its carry map."""
    largest = math.atan(2 * HALF_LANE_IN / FOUL_TO_HEAD_PIN_IN)
    carry, _ = carry_map(leave, ball_mass_lb=BALL_MASS_LB)
    wanted = rows_for(-largest, largest)
    carry.fill(wanted)
    rows = np.array(wanted)
    angles = (rows - row_of(0.0)) * ANGLE_STEP_RAD
    cells = np.arange(CELL_COUNT)
    # The ball must have come down the lane: its line back to the foul line stays on the boards.
    at_head_pin = cell_centre_in(cells)[None, :] - carry.depth_in * np.tan(angles)[:, None]
    start = at_head_pin - FOUL_TO_HEAD_PIN_IN * np.tan(angles)[:, None]
    off_lane = np.maximum(np.abs(start), np.abs(at_head_pin)) > HALF_LANE_IN
    words = carry.outcomes[USUAL_LAYER, rows]
    made = (words & STANDING_BITS) == 0
    share = made.mean(axis=2)
    smooth = np.array(
        [np.convolve(row, np.full(NEIGHBOURS, 1 / NEIGHBOURS), mode="same") for row in share]
    )
    smooth[off_lane] = 0.0
    alone = made & ((words & SENT_BIT) == 0) & ~off_lane[:, :, None]
    return LeaveFacts(round(float(smooth.max()), 4), bool(alone.sum() >= DRAWS))


@lru_cache(maxsize=1)
def _table() -> dict[Leave, LeaveFacts]:
    text = resources.files("leaveline.pins").joinpath(FILE).read_text(encoding="utf-8")
    return {
        Leave.parse(row["leave"]): LeaveFacts(
            float(row["best_make_probability"]), row["ball_alone"] == "yes"
        )
        for row in csv.DictReader(text.splitlines())
    }


def main() -> None:
    """Write the table, with progress on standard error."""
    path = Path(__file__).with_name(FILE)
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["leave", "best_make_probability", "ball_alone"])
        for number, leave in enumerate(ALL_LEAVES, start=1):
            facts = work_out(leave)
            alone = "yes" if facts.ball_alone else "no"
            writer.writerow([str(leave), facts.best_make_probability, alone])
            if number % 100 == 0 or number == len(ALL_LEAVES):
                print(f"{number} of {len(ALL_LEAVES)} leaves", file=sys.stderr)


if __name__ == "__main__":
    main()
