"""Drills: so many balls at one leave on one line, and the score that would show improvement.

The score is that of a one-sided binomial test: a bowler who still makes the present share reaches
it less often than the stated confidence leaves over. The present share is itself known from few
attempts only, so that the test is averaged over what is known of it (see `present`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.stats import binom

from leaveline.lines import Line
from leaveline.lines.words import board, percent
from leaveline.pins import Leave
from leaveline.practice.present import PresentShare

SETS = range(20, 101, 10)
"""Numbers of balls a drill may have."""
WANTED_CHANCE = 0.7
"""The shortest drill is taken in which a bowler who has improved as hoped passes this often."""


@dataclass(frozen=True, slots=True)
class Drill:
    """What to throw, and what would show that it helped.

    Attributes
    ----------
    leave : Leave
    stand_board, lay_down_board, target_board : float
    throws : int
        Balls in the drill.
    score : int or None
        Makes that show improvement; None where even making all of them would not.
    confidence : float
        At the present share, fewer than 1 - confidence of such drills reach the score.
    present_probability, goal_probability : float
        Share made now, and the one hoped for.
    pass_probability : float
        How often a bowler at the goal reaches the score.
    words : str
    """

    leave: Leave
    stand_board: float
    lay_down_board: float
    target_board: float
    throws: int
    score: int | None
    confidence: float
    present_probability: float
    goal_probability: float
    pass_probability: float
    words: str


def drill_for(
    leave: Leave, line: Line, present: PresentShare, goal: float, *, confidence: float
) -> Drill:
    """Choose the shortest drill that would show the goal, or the longest where none would."""
    for throws in SETS:
        score = _score(throws, present, confidence)
        chance = 0.0 if score is None else float(binom.sf(score - 1, throws, goal))
        if chance >= WANTED_CHANCE:
            break
    return Drill(
        leave=leave,
        stand_board=line.stand_board,
        lay_down_board=line.lay_down_board,
        target_board=line.target_board,
        throws=throws,
        score=score,
        confidence=confidence,
        present_probability=present.mean,
        goal_probability=goal,
        pass_probability=chance,
        words=_words(leave, line, throws, score, confidence, present.mean, goal, chance),
    )


def _score(throws: int, present: PresentShare, confidence: float) -> int | None:
    """Fewest makes that the present share reaches less often than is left over."""
    reached = present.reaches(np.arange(throws + 1), throws)
    enough = np.flatnonzero(reached <= 1 - confidence)
    return int(enough[0]) if enough.size else None


def _words(
    leave: Leave,
    line: Line,
    throws: int,
    score: int | None,
    confidence: float,
    present: float,
    goal: float,
    chance: float,
) -> str:
    said = (
        f"Throw {throws} balls at the {leave}: slide foot starting on board "
        f"{board(line.stand_board)}, ball laid down on {board(line.lay_down_board)}, over board "
        f"{board(line.target_board)} at the arrows. You make about {percent(present)} of them now."
    )
    if score is None:
        return f"{said} So many are made already that {throws} balls cannot show improvement."
    either_way = "" if chance >= 0.5 else ", so that fewer say nothing either way"
    return (
        f"{said} {score} or more would show, with {percent(confidence)} confidence, that you have "
        f"improved; at {percent(goal)}, which is the aim, {percent(chance)} of such drills get "
        f"there{either_way}."
    )
