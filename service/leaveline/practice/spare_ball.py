"""The pro shop's question: what would another ball, or another release, bring at spares?

Each option is a `Bowler`: the same person with another ball, speed, release or spread. Every
option plays its own best line at every leave; conversions are averaged over the leaves as they
come up, and pins a game follow from the exact mean of the score, which is linear in the
conversions. Whether a ball fits and what it should weigh is for qualified staff to say.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import astuple, dataclass, replace
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from leaveline.delivery import Spread
from leaveline.lines import Bowler, Line, solve
from leaveline.lines.words import percent
from leaveline.pins import Leave
from leaveline.practice.intervals import Estimate, normal_quantile
from leaveline.practice.steps import Check, go_on
from leaveline.scoring import GameState, Strength, final_scores, mean_and_sd
from leaveline.scoring.game import FRAMES, PINS

FloatArray = npt.NDArray[np.float64]

MOST_OPTIONS = 6
MOST_LEAVES = 60
MOST_FACTORS = 3
FACTOR_RANGE = (0.25, 4.0)
CAUTIONS = (
    "Fit, span and weight of a ball are for qualified staff to choose; a ball that hurts or is too "
    "heavy loses more than any line gains.",
    "These are probabilities from a model of lane, ball and pins, not a promise; house and league "
    "rules on equipment come first.",
)


@dataclass(frozen=True, slots=True)
class BallOption:
    """One way to throw spares: a plain name and the bowler as thrown that way."""

    name: str
    bowler: Bowler


@dataclass(frozen=True, slots=True)
class LeaveComparison:
    """One leave with every option.

    Attributes
    ----------
    leave : Leave
    leaves_per_game : float
    make_probabilities, standard_errors : tuple of float
        Of each option's best line, in the order of the options.
    """

    leave: Leave
    leaves_per_game: float
    make_probabilities: tuple[float, ...]
    standard_errors: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class OptionReview:
    """What one option makes over all leaves.

    Attributes
    ----------
    name : str
    conversion : Estimate
        Share of all leaves made.
    gain_makes_per_game, gain_pins_per_game : Estimate
        Over the first option; zero for that one itself.
    shown : bool
        Whether the interval of the gain in pins leaves out zero.
    words : str
    """

    name: str
    conversion: Estimate
    gain_makes_per_game: Estimate
    gain_pins_per_game: Estimate
    shown: bool
    words: str


@dataclass(frozen=True, slots=True)
class BallComparison:
    """All options side by side.

    Attributes
    ----------
    confidence : float
        Of every interval.
    options : tuple of OptionReview
        In the order given; the first is what the others are compared with.
    leaves : tuple of LeaveComparison
        Those where the options differ most in pins a game first.
    leaves_per_game : float
    cautions : tuple of str
    """

    confidence: float
    options: tuple[OptionReview, ...]
    leaves: tuple[LeaveComparison, ...]
    leaves_per_game: float
    cautions: tuple[str, ...] = CAUTIONS


def compare_balls(
    options: Sequence[BallOption],
    leaves_per_game: Mapping[Leave, float],
    *,
    games_counted: float | None = None,
    spread_factors: Sequence[float] = (1.0,),
    confidence: float = 0.8,
    check: Check = go_on,
) -> BallComparison:
    """Compare ways to throw spares over the leaves as they come up.

    Parameters
    ----------
    options : sequence of BallOption
        2 to 6, of different names; the first is the one now in use. A bowler's own lean is put
        aside: whoever knows it aims off by as much.
    leaves_per_game : mapping
        How often each leave comes up in a game, at most 60 leaves and 10 a game together: the
        bowler's own (`leaves_of`) or usual ones (`usual_leaves`).
    games_counted : float, optional
        Games the frequencies were counted over; they then add to the interval as counts do
        (Poisson). Without it they are taken as known.
    spread_factors : sequence of float
        One to three of what every option's spread may have to be multiplied by, 0.25 to 4, the
        middle one first (as 1, then the ends of a fitted interval over its middle): the interval
        covers all.
    confidence : float
        0.5 to 0.99.
    check : callable, optional
        Called before the work on each leave; may raise to stop.

    Returns
    -------
    BallComparison

    Raises
    ------
    ValueError
        Names the argument, its value and the allowed range.

    Notes
    -----
    The lines' standard errors count as if options were independent, though they share one set of
    throws: the interval of a gain is on the wide side.
    """
    _check(options, leaves_per_game, games_counted, spread_factors, confidence)
    options = [
        replace(option, bowler=replace(option.bowler, lean_boards=0.0)) for option in options
    ]
    leaves = sorted(leave for leave, often in leaves_per_game.items() if often > 0)
    often = np.array([leaves_per_game[leave] for leave in leaves])
    worth = pins_of_a_make(leaves_per_game)
    pins = np.array([worth[len(leave)] for leave in leaves])
    by_factor = [_lines(options, leaves, factor, check) for factor in spread_factors]
    mix = _Mix(often, pins, games_counted, normal_quantile(confidence))
    chance, error = by_factor[0]
    rows = [
        LeaveComparison(leave, float(own), tuple(chances.tolist()), tuple(errors.tolist()))
        for leave, own, chances, errors in zip(leaves, often, chance.T, error.T, strict=True)
    ]
    differs = dict(zip(leaves, np.ptp(chance, axis=0) * often * pins, strict=True))
    return BallComparison(
        confidence=confidence,
        options=tuple(_reviewed(options, place, by_factor, mix) for place in range(len(options))),
        leaves=tuple(sorted(rows, key=lambda row: (-differs[row.leave], row.leave))),
        leaves_per_game=float(often.sum()),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Mix:
    """Leaves a game, pins of a make at each, games they were counted over, deviations wanted."""

    often: FloatArray
    pins: FloatArray
    games: float | None
    z: float


def _reviewed(
    options: Sequence[BallOption],
    place: int,
    by_factor: Sequence[tuple[FloatArray, FloatArray]],
    mix: _Mix,
) -> OptionReview:
    """Sum one option up, by itself and over the first one."""
    often, total = mix.often, float(mix.often.sum())
    conversions, makes, gains = [], [], []
    for chance, error in by_factor:
        more = chance[place] - chance[0]
        variance = error[place] ** 2 + error[0] ** 2 if place else np.zeros(often.size)
        conversions.append(_sum(chance[place] / total, (error[place] / total) ** 2, often, None))
        makes.append(_sum(more, variance, often, mix.games))
        gains.append(_sum(more * mix.pins, variance * mix.pins**2, often, mix.games))
    conversion, gain = _estimate(conversions, mix.z), _estimate(gains, mix.z)
    name, first_name = options[place].name, options[0].name
    return OptionReview(
        name=name,
        conversion=conversion,
        gain_makes_per_game=_estimate(makes, mix.z),
        gain_pins_per_game=gain,
        shown=gain.low > 0 or gain.high < 0,
        words=_words(name, first_name, conversion, gain, first=not place),
    )


def pins_of_a_make(leaves_per_game: Mapping[Leave, float]) -> dict[int, float]:
    """Give what one make is worth over a miss, by how many pins stand, in pins of score.

    The exact mean score of a bowler who leaves these leaves is linear in the conversions (a spare
    adds the ball after it, a strike the next two), so two values tell its slope. How many pins a
    miss leaves is as in `leaveline.scoring.Strength`: mostly one.

    Parameters
    ----------
    leaves_per_game : mapping
        Leaves in ten frames; the rest of the first balls strike.
    """
    by_count = np.zeros(PINS + 1)
    for leave, often in leaves_per_game.items():
        by_count[len(leave)] += often
    first = np.array([by_count[PINS - pins] for pins in range(PINS)])
    strikes = max(0.0, 1 - float(first.sum()) / FRAMES)
    first_ball = tuple(map(float, first / first.sum()))
    none = _mean_score(strikes, first_ball, None)
    worth = {}
    for count in np.flatnonzero(by_count):
        # In ten frames the leave comes up so often; the tenth's fill balls may bring it once more.
        gained = _mean_score(strikes, first_ball, int(count)) - none
        worth[int(count)] = gained / float(by_count[count])
    return worth


def _mean_score(strikes: float, first_ball: tuple[float, ...], made: int | None) -> float:
    """Mean score of a bowler who makes every leave of `made` pins and no other."""
    conversion = tuple(float(made is not None and PINS - pins == made) for pins in range(PINS))
    strength = Strength(strikes, first_ball, conversion)
    return mean_and_sd(final_scores(GameState(), strength))[0]


def _lines(
    options: Sequence[BallOption], leaves: Sequence[Leave], factor: float, check: Check
) -> tuple[FloatArray, FloatArray]:
    """Make probability and standard error of each option's best line at each leave."""
    lines: list[list[Line]] = []
    for option in options:
        bowler = _spread_times(option.bowler, factor)
        lines.append([])
        for leave in leaves:
            check()
            lines[-1].append(_best(leave, bowler))
    chance = np.array([[line.make_probability for line in own] for own in lines])
    error = np.array([[line.standard_error for line in own] for own in lines])
    return chance, error


def _spread_times(bowler: Bowler, factor: float) -> Bowler:
    if factor == 1.0:
        return bowler
    return replace(bowler, spread=Spread(*(factor * value for value in astuple(bowler.spread))))


@lru_cache(maxsize=4096)
def _best(leave: Leave, bowler: Bowler) -> Line:
    return solve(leave, bowler, limit=1)[0]


def _sum(
    values: FloatArray, variances: FloatArray, often: FloatArray, games: float | None
) -> tuple[float, float]:
    """Sum over the leaves of a game, with its standard error.

    Counted over so many games, a frequency f has variance f / games (Poisson).
    """
    variance = float((often**2 * variances).sum())
    if games is not None:
        variance += float((values**2 * often).sum()) / games
    return float(values @ often), math.sqrt(variance)


def _estimate(found: Sequence[tuple[float, float]], z: float) -> Estimate:
    """The first value, with an interval that covers those of all."""
    return Estimate(
        found[0][0],
        min(value - z * error for value, error in found),
        max(value + z * error for value, error in found),
    )


def _words(name: str, first_name: str, conversion: Estimate, gain: Estimate, *, first: bool) -> str:
    makes = f"{name}: makes {percent(conversion.value)} of all spares"
    if first:
        return f"{makes}; the others are compared with it."
    pins = f"{abs(gain.value):.1f} pins a game"
    interval = f"(interval {gain.low:+.1f} to {gain.high:+.1f})"
    if gain.low <= 0 <= gain.high:
        return f"{makes}; no difference to {first_name} shows {interval}."
    more = "more" if gain.value > 0 else "fewer"
    return f"{makes}; {pins} {more} than {first_name} {interval}."


def _check(
    options: Sequence[BallOption],
    leaves: Mapping[Leave, float],
    games: float | None,
    factors: Sequence[float],
    confidence: float,
) -> None:
    names = [option.name for option in options]
    if not 2 <= len(names) <= MOST_OPTIONS or len(set(names)) < len(names):
        raise ValueError(
            f"options are named {', '.join(names) or 'nothing'}; allowed: 2 to {MOST_OPTIONS} "
            "different names"
        )
    if len(leaves) > MOST_LEAVES:
        raise ValueError(f"leaves_per_game has {len(leaves)} leaves; allowed: {MOST_LEAVES}")
    for leave, often in leaves.items():
        if not 0 <= often <= FRAMES:
            raise ValueError(f"leaves_per_game of {leave} is {often!r}; allowed: 0 to {FRAMES}")
    if not 0 < math.fsum(leaves.values()) <= FRAMES + 1e-9:
        raise ValueError(
            f"leaves_per_game adds up to {math.fsum(leaves.values())!r}; allowed: above 0, at "
            f"most {FRAMES}"
        )
    if games is not None and not games > 0:
        raise ValueError(f"games_counted is {games!r}; allowed: above 0")
    low, high = FACTOR_RANGE
    if not 1 <= len(factors) <= MOST_FACTORS or not all(low <= f <= high for f in factors):
        raise ValueError(
            f"spread_factors are {list(factors)[: MOST_FACTORS + 1]}; allowed: 1 to "
            f"{MOST_FACTORS}, each {low} to {high}"
        )
    if not 0.5 <= confidence <= 0.99:
        raise ValueError(f"confidence is {confidence!r}; allowed: 0.5 to 0.99")
