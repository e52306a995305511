"""What is at stake: a match, a cut or the score, and what each final score is worth in it.

Everything here turns on one fact: once the own final score is known, the rest is a number. So a
situation becomes an array over final scores (`worth`), and what a ball is worth is a dot product.

All distributions are taken as independent: own and opponent's balls do not influence each other,
and both go on with their usual game. Who finishes first therefore makes no difference here. It
does on the lanes, where whoever closes knows what is needed and may choose strike, spare or count
by it; that advantage is not counted.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, TypeAlias, get_args

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from .game import FRAMES, PERFECT, GameState, Scoring
from .outlook import MOST_GAMES, final_scores, series_scores
from .strength import Strength

TieRule: TypeAlias = Literal["roll_off", "half", "lose", "win"]
Maximised: TypeAlias = Literal["win_probability", "cut_probability", "expected_score"]

TIE_RULES: tuple[TieRule, ...] = get_args(TieRule)
MOST_PINS = 100_000  # of a lead, a total or a cut: more than any event has


@dataclass(frozen=True, slots=True)
class Match:
    """One game against an opponent, or what is left of a total-pin match.

    In a best-of match, take the game at hand: a better chance in it is a better chance in all.

    Attributes
    ----------
    opponent
        Where the opponent's game stands.
    opponent_strength
        The opponent's balls to come.
    tie_rule
        ``roll_off``: both bowl `roll_off_frames` fresh frames, again and again until one is ahead;
        ``half``: a tie is worth half a win; ``lose`` and ``win``: what it says.
    lead_pins
        Own pins ahead (negative: behind) before this game, handicap included.
    games_after
        Whole games of a total-pin match after this one, 0 to 64.
    roll_off_frames
        Length of a roll-off, 1 to 10 frames counted from the end of a game: 1 is the tenth frame.
    """

    opponent: GameState
    opponent_strength: Strength
    tie_rule: TieRule = "roll_off"
    lead_pins: int = 0
    games_after: int = 0
    roll_off_frames: int = FRAMES

    def __post_init__(self) -> None:
        if self.tie_rule not in TIE_RULES:
            raise ValueError(f"tie_rule is {self.tie_rule!r}; allowed: {', '.join(TIE_RULES)}")
        _check_games_after(self.games_after)
        if not abs(self.lead_pins) <= MOST_PINS:
            raise ValueError(f"lead_pins is {self.lead_pins}; allowed: {-MOST_PINS} to {MOST_PINS}")
        if not 1 <= self.roll_off_frames <= FRAMES:
            raise ValueError(f"roll_off_frames is {self.roll_off_frames}; allowed: 1 to {FRAMES}")


@dataclass(frozen=True, slots=True)
class Cut:
    """A total that has to be reached.

    Attributes
    ----------
    pins_before
        Own pins before this game, 0 or more.
    games_after
        Whole games left after this one, 0 to 64.
    cut_pins
        The total that makes the cut (reaching it is enough), or its mean while it is not known.
    cut_sd_pins
        Standard deviation of a cut not known yet, taken as normal; 0 when it is known.
    """

    pins_before: int
    games_after: int
    cut_pins: float
    cut_sd_pins: float = 0.0

    def __post_init__(self) -> None:
        _check_games_after(self.games_after)
        for name in ("pins_before", "cut_pins", "cut_sd_pins"):
            value = getattr(self, name)
            if not 0 <= value <= MOST_PINS:
                raise ValueError(f"{name} is {value!r}; allowed: 0 to {MOST_PINS}")


@dataclass(frozen=True, slots=True)
class Score:
    """Nothing but the score of this game counts."""


Situation: TypeAlias = Match | Cut | Score


@dataclass(frozen=True, slots=True)
class Chances:
    """Probabilities of winning, tying and losing; they sum to one."""

    win: float
    tie: float
    lose: float


def meet(own: NDArray[np.float64], other: NDArray[np.float64]) -> Chances:
    """Chances of `own` against `other`, two independent distributions over pins of any length."""
    win, tie, lose = _against(other, np.arange(len(own))) @ own
    return Chances(float(win), float(tie), float(lose))


@lru_cache(maxsize=256)
def roll_off_win_probability(
    own: Strength, opponent: Strength, scoring: Scoring, frames: int = FRAMES
) -> float:
    """Probability of winning roll-offs of so many frames, repeated until one bowler is ahead.

    One half if they would tie for ever.
    """
    start = GameState(scoring, frame=FRAMES + 1 - frames)
    chances = meet(final_scores(start, own), final_scores(start, opponent))
    decided = chances.win + chances.lose
    return chances.win / decided if decided > 0 else 0.5


@dataclass(frozen=True, slots=True, eq=False)
class Worth:
    """What each own final score of this game is worth.

    Attributes
    ----------
    maximised
        What the value is: ``win_probability`` (ties by the rule), ``cut_probability`` or
        ``expected_score``.
    value
        Shape (301,): worth of each final score.
    outcomes
        Shape (3, 301) in a match: chance of win, tie and loss at each final score; None otherwise.
    """

    maximised: Maximised
    value: NDArray[np.float64]
    outcomes: NDArray[np.float64] | None = None


def worth(situation: Situation, own: Strength, scoring: Scoring) -> Worth:
    """What each final score is worth.

    Parameters
    ----------
    situation
        Match, cut or score.
    own
        The bowler, for games and roll-offs to come.
    scoring
        How the own game is scored; an opponent's must be scored alike (ValueError otherwise).
    """
    if isinstance(situation, Match):
        return _match_worth(situation, own, scoring)
    if isinstance(situation, Cut):
        return _cut_worth(situation, own, scoring)
    return Worth("expected_score", np.arange(PERFECT + 1.0))


def _match_worth(match: Match, own: Strength, scoring: Scoring) -> Worth:
    if match.opponent.scoring != scoring:
        raise ValueError(f"opponent's scoring is {match.opponent.scoring!r}; allowed: {scoring}")
    theirs = np.convolve(
        final_scores(match.opponent, match.opponent_strength),
        series_scores(match.opponent_strength, scoring, match.games_after),
    )
    totals = np.arange(PERFECT * (match.games_after + 1) + 1) + match.lead_pins
    rest = series_scores(own, scoring, match.games_after)
    outcomes = np.stack([np.correlate(chance, rest) for chance in _against(theirs, totals)])
    win, tie, _ = outcomes
    return Worth("win_probability", win + _tie_share(match, own) * tie, outcomes)


def _against(theirs: NDArray[np.float64], totals: NDArray[np.int_]) -> NDArray[np.float64]:
    """Chances of win, tie and loss for each own total, shape (3, number of totals)."""
    exactly = np.pad(theirs, 1)  # a nought at both ends stands for every total out of their reach
    less = np.append(0.0, np.cumsum(exactly)[:-1])
    more = np.append(np.cumsum(exactly[::-1])[-2::-1], 0.0)
    return np.stack([less, exactly, more])[:, np.clip(totals + 1, 0, len(exactly) - 1)]


def _tie_share(match: Match, own: Strength) -> float:
    """What a tie is worth, in wins."""
    if match.tie_rule == "roll_off":
        return roll_off_win_probability(
            own, match.opponent_strength, match.opponent.scoring, match.roll_off_frames
        )
    return {"half": 0.5, "lose": 0.0, "win": 1.0}[match.tie_rule]


def _cut_worth(cut: Cut, own: Strength, scoring: Scoring) -> Worth:
    totals = cut.pins_before + np.arange(PERFECT * (cut.games_after + 1) + 1.0)
    if cut.cut_sd_pins > 0:
        # Totals and cuts are whole pins: a total of t passes any cut that rounds to t or less.
        passed = ndtr((totals + 0.5 - cut.cut_pins) / cut.cut_sd_pins)
    else:
        passed = (totals >= cut.cut_pins).astype(np.float64)
    return Worth(
        "cut_probability", np.correlate(passed, series_scores(own, scoring, cut.games_after))
    )


def _check_games_after(games: int) -> None:
    if not 0 <= games <= MOST_GAMES:
        raise ValueError(f"games_after is {games}; allowed: 0 to {MOST_GAMES}")
