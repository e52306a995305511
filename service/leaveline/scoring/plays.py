"""What the spare and the count are worth, side by side, in one situation.

Each play is a pinfall distribution for the ball about to be thrown. The rest of the game follows
the bowler's usual strength, so every count of this ball has one value, and a play's value is the
average of those.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from .game import PERFECT, GameState
from .outlook import checked_pinfall, final_scores_by_pinfall
from .situation import Chances, Maximised, Situation, Worth, worth
from .strength import Strength

PlayName: TypeAlias = Literal["spare", "count"]

EQUAL = 1e-12  # values closer than this differ by rounding only


@dataclass(frozen=True, slots=True, eq=False)
class Play:
    """One way to play the pins standing.

    Attributes
    ----------
    pinfall
        Probabilities of felling 0, 1, ... k of the k pins standing, summing to one within 1e-9;
        the last is the make probability.
    standard_error
        Standard error of the make probability, 0 where it is not known.
    """

    pinfall: Sequence[float] | NDArray[np.float64]
    standard_error: float = 0.0


@dataclass(frozen=True, slots=True)
class PlayValue:
    """What one play is worth.

    Attributes
    ----------
    make_probability, expected_pins
        Of this ball.
    value
        What is being maximised.
    value_noise
        Standard error of the value, from that of the make probability.
    expected_score
        Mean final score of this game.
    chances
        Win, tie and loss in a match (a tie before any roll-off); None otherwise.
    """

    make_probability: float
    expected_pins: float
    value: float
    value_noise: float
    expected_score: float
    chances: Chances | None


@dataclass(frozen=True, slots=True)
class Comparison:
    """Both plays in one situation.

    Attributes
    ----------
    state, situation, own
        What was compared.
    maximised
        ``win_probability`` (ties counted by the tie rule), ``cut_probability`` or
        ``expected_score``.
    spare, count
        The plays.
    same_line
        Whether both fell the pins alike.
    value_by_pinfall
        Value of felling 0, 1, ... k pins with this ball.
    flips_at
        Make probability of the spare play at which both plays are worth the same, its misses kept
        in proportion and the count play as it is. None if no probability strictly between 0 and 1
        does that, if the spare play never misses, so that nothing is known of its misses, or if
        both plays are worth the same already, so that nothing turns.
    """

    state: GameState
    situation: Situation
    own: Strength
    maximised: Maximised
    spare: PlayValue
    count: PlayValue
    same_line: bool
    value_by_pinfall: tuple[float, ...]
    flips_at: float | None

    @property
    def lead(self) -> float:
        """Value of the spare less that of the count, in what is being maximised."""
        return self.spare.value - self.count.value

    @property
    def equal(self) -> bool:
        """Whether both plays are worth the same, up to rounding."""
        return _equal(self.lead, self.maximised)

    @property
    def better(self) -> PlayName:
        """The play worth more.

        Where both are worth the same, the one with the higher expected score; where that is the
        same too, the spare.
        """
        if not self.equal:
            return "spare" if self.lead > 0 else "count"
        more_pins = self.count.expected_score - self.spare.expected_score
        return "count" if more_pins > EQUAL * PERFECT else "spare"


def compare(
    state: GameState, *, spare: Play, count: Play, own: Strength, situation: Situation
) -> Comparison:
    """Value both plays; arguments and errors as in `decision.decide`."""
    if state.over or state.fresh_rack:
        raise ValueError(
            f"state is frame {state.frame} with balls {list(state.balls)}; allowed: a state with "
            "pins left standing by the first ball at a rack"
        )
    try_for = checked_pinfall(spare.pinfall, state.standing, "spare.pinfall")
    settle_for = checked_pinfall(count.pinfall, state.standing, "count.pinfall")
    finals = final_scores_by_pinfall(state, own)
    at_stake = worth(situation, own, state.scoring)
    by_pinfall = finals @ at_stake.value
    tried = _value(try_for, _checked_error("spare", spare), by_pinfall, finals, at_stake)
    counted = _value(settle_for, _checked_error("count", count), by_pinfall, finals, at_stake)
    same_line = bool(np.allclose(try_for, settle_for, rtol=0, atol=EQUAL))
    nothing_turns = same_line or _equal(tried.value - counted.value, at_stake.maximised)
    return Comparison(
        state=state,
        situation=situation,
        own=own,
        maximised=at_stake.maximised,
        spare=tried,
        count=counted,
        same_line=same_line,
        value_by_pinfall=tuple(by_pinfall.tolist()),
        flips_at=None if nothing_turns else _flips_at(try_for, by_pinfall, counted.value),
    )


def _equal(lead: float, maximised: Maximised) -> bool:
    return abs(lead) <= EQUAL * (PERFECT if maximised == "expected_score" else 1)


def _value(
    pinfall: NDArray[np.float64],
    standard_error: float,
    by_pinfall: NDArray[np.float64],
    finals: NDArray[np.float64],
    at_stake: Worth,
) -> PlayValue:
    scores = pinfall @ finals
    missed = _value_of_missing(pinfall, by_pinfall)
    chances = None
    if at_stake.outcomes is not None:
        win, tie, lose = at_stake.outcomes @ scores
        chances = Chances(float(win), float(tie), float(lose))
    return PlayValue(
        make_probability=float(pinfall[-1]),
        expected_pins=float(pinfall @ np.arange(len(pinfall))),
        value=float(pinfall @ by_pinfall),
        value_noise=0.0 if missed is None else abs(by_pinfall[-1] - missed) * standard_error,
        expected_score=float(scores @ np.arange(PERFECT + 1)),
        chances=chances,
    )


def _value_of_missing(
    pinfall: NDArray[np.float64], by_pinfall: NDArray[np.float64]
) -> float | None:
    """Mean value of a play's misses, None if it never misses."""
    missing = float(pinfall[:-1].sum())
    return float(pinfall[:-1] @ by_pinfall[:-1]) / missing if missing > 0 else None


def _flips_at(
    pinfall: NDArray[np.float64], by_pinfall: NDArray[np.float64], count_value: float
) -> float | None:
    """Solve (1 - p) missed + p made = count value for the make probability p."""
    missed, made = _value_of_missing(pinfall, by_pinfall), float(by_pinfall[-1])
    if missed is None or made == missed:
        return None
    probability = (count_value - missed) / (made - missed)
    return probability if EQUAL < probability < 1 - EQUAL else None


def _checked_error(name: str, play: Play) -> float:
    if not 0 <= play.standard_error <= 1:
        raise ValueError(f"{name}.standard_error is {play.standard_error!r}; allowed: 0 to 1")
    return play.standard_error
