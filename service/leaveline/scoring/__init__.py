"""The game: its rules, the exact outlook from any state, and whether spare or count is worth more.

Nothing here knows pins, lanes or oil: a play comes in as the chances of what it fells.

`score_sheet` and `state_after` read a game; `final_scores` and its kin give the exact distribution
of the final score; `decide` chooses between spare and count in a `Match`, before a `Cut` or for the
`Score`; `words` says why.
"""

from .because import sentence, words
from .decision import Decision, decide
from .game import SCORINGS, Frame, Game, GameState, Scoring, score_sheet, state_after
from .levels import LEVELS, Level, strength_for_average, strength_of_level
from .outlook import (
    final_scores,
    final_scores_by_pinfall,
    final_scores_with,
    mean_and_sd,
    series_scores,
)
from .plays import Play, PlayValue
from .reasons import Reason
from .sheet import Ball, SheetError
from .situation import (
    TIE_RULES,
    Chances,
    Cut,
    Match,
    Score,
    Situation,
    TieRule,
    meet,
    roll_off_win_probability,
)
from .strength import Strength

__all__ = [
    "LEVELS",
    "SCORINGS",
    "TIE_RULES",
    "Ball",
    "Chances",
    "Cut",
    "Decision",
    "Frame",
    "Game",
    "GameState",
    "Level",
    "Match",
    "Play",
    "PlayValue",
    "Reason",
    "Score",
    "Scoring",
    "SheetError",
    "Situation",
    "Strength",
    "TieRule",
    "decide",
    "final_scores",
    "final_scores_by_pinfall",
    "final_scores_with",
    "mean_and_sd",
    "meet",
    "roll_off_win_probability",
    "score_sheet",
    "sentence",
    "series_scores",
    "state_after",
    "strength_for_average",
    "strength_of_level",
    "words",
]
