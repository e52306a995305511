"""What missed spares cost: the game scored again with the spare made.

Nothing is estimated but one thing: a spare made in the tenth frame earns a fill ball nobody threw,
which counts as the bowler's average first ball. Since a spare adds only the ball after it, and a
strike only what its next two balls fell, the pins that single misses cost add up exactly to what
all of them together cost.
"""

from __future__ import annotations

from leaveline.practice.row import BowledFrame
from leaveline.practice.season import BowledGame, Season
from leaveline.scoring import Scoring, score_sheet
from leaveline.scoring.game import FRAMES, PINS

ASSUMED_FIRST_BALL_PINS = 9.0
"""Average first ball where no rolls are given (assumed)."""


def average_first_ball(season: Season) -> float:
    """Average pins of the first balls of all frames with rolls."""
    firsts = [frame.pins[0] for frame in season.frames if frame.pins]
    return sum(firsts) / len(firsts) if firsts else ASSUMED_FIRST_BALL_PINS


def pins_lost(
    game: BowledGame, frame: BowledFrame, *, fill_ball_pins: float, scoring: Scoring
) -> float:
    """Give the pins one missed spare cost its game, none where it was made or not thrown.

    Parameters
    ----------
    game : BowledGame
        A complete one.
    frame : BowledFrame
        One of its frames.
    fill_ball_pins : float
        What a fill ball is taken to fell, 0 to 10.
    scoring : {"traditional", "current_frame"}
    """
    index = frame.spare_ball_index
    if index is None or frame.made or game.score is None:
        return 0.0
    before = 0
    for other in game.frames:
        if other is frame:
            break
        before += len(other.pins)
    pins = list(game.pins)
    pins[before + index] = PINS - frame.pins[index - 1]
    earns_fill = scoring == "traditional" and frame.frame == FRAMES and index == 1
    if earns_fill:
        pins.append(0)
    again = score_sheet(pins, scoring=scoring).state.score
    return again - game.score + (fill_ball_pins if earns_fill else 0.0)
