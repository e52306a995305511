"""Spare or count: which play is worth more in this game, by how much, and why.

The numbers are in `plays`, the reasons in `reasons`, their words in `because`. An answer is a
probability under stated assumptions, not a promise; the rules of the house or the league win.
"""

from __future__ import annotations

from dataclasses import dataclass

from .game import GameState
from .plays import Play, PlayName, PlayValue, compare
from .reasons import Reason, find_reasons
from .situation import Match, Maximised, Situation, TieRule
from .strength import Strength


@dataclass(frozen=True, slots=True)
class Decision:
    """The answer.

    Attributes
    ----------
    play
        The play worth more. Where both are worth the same, the one with the higher expected score;
        where that is the same too, the spare.
    maximised
        ``win_probability`` (ties counted by the tie rule), ``cut_probability`` or
        ``expected_score``.
    tie_rule
        The match's; None for a cut or the score.
    margin
        Value of the better play less that of the other, never negative.
    spare, count
        Both plays.
    value_by_pinfall
        Value of felling 0, 1, ... k pins with this ball.
    flips_at
        How likely the spare play would have to make it for both to be worth the same; None where
        no make probability does that, or both are worth the same as it is (see
        `plays.Comparison`).
    reasons
        Why, most telling first.
    """

    play: PlayName
    maximised: Maximised
    tie_rule: TieRule | None
    margin: float
    spare: PlayValue
    count: PlayValue
    value_by_pinfall: tuple[float, ...]
    flips_at: float | None
    reasons: tuple[Reason, ...]


def decide(
    state: GameState, *, spare: Play, count: Play, own: Strength, situation: Situation
) -> Decision:
    """Choose between the spare and the count.

    Parameters
    ----------
    state
        Own game with the first ball at this rack thrown and pins left standing.
    spare, count
        What each play fells.
    own
        The bowler's strength for the balls after this one.
    situation
        `Match`, `Cut` or `Score`.

    Raises
    ------
    ValueError
        If no pins are left to play at, a distribution does not fit them, or the opponent's game is
        scored in another way.
    """
    compared = compare(state, spare=spare, count=count, own=own, situation=situation)
    return Decision(
        play=compared.better,
        maximised=compared.maximised,
        tie_rule=situation.tie_rule if isinstance(situation, Match) else None,
        margin=abs(compared.lead),
        spare=compared.spare,
        count=compared.count,
        value_by_pinfall=compared.value_by_pinfall,
        flips_at=compared.flips_at,
        reasons=find_reasons(compared),
    )
