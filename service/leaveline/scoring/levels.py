"""Ready-made strengths: four levels by name, and any average in between.

The levels are invented bowlers, not measured ones. What is published is used; the rest is assumed
and chosen so that the exact average comes out where such bowlers are. Averages and standard
deviations of one game, traditional scoring:

=========== ======= ====
level       average s.d.
=========== ======= ====
``tour``    227.3   24.2
``scratch`` 201.2   22.7
``league``  176.2   23.8
``casual``  140.0   21.3
=========== ======= ====
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise
from typing import Literal, TypeAlias, get_args

import numpy as np
from scipy.optimize import brentq

from .game import OPENING
from .outlook import to_go_table
from .strength import Strength, weights_of

Level: TypeAlias = Literal["tour", "scratch", "league", "casual"]
LEVELS: tuple[Level, ...] = get_args(Level)
LOWEST_AVERAGE, HIGHEST_AVERAGE = 90.0, 280.0

_STRENGTHS: dict[Level, Strength] = {
    # Strikes: 4374 of 7155 first balls, televised professional finals 2005-06 to 2009-10 (a sports
    # magazine's frame-by-frame study, as reported). Single pins: the same study's 10 pin 95.9 % of
    # 710, 7 pin 95.5 % of 333 and 9 pin 98.9 % of 88, together 96.0 %. Splits: its 3-10 17 of 35,
    # 4-6-7-10 1 of 30 and 7-10 0 of 53 come to 15 %; 25 % is assumed, as easier splits come up too.
    # First balls and multi-pin leaves: assumed, chosen so that the average is about 227.
    "tour": Strength.from_leave_groups(
        strike_probability=4374 / 7155,
        first_ball_pinfall=(0, 0, 0, 0.005, 0.005, 0.01, 0.04, 0.07, 0.17, 0.70),
        single_pin=0.96,
        multi_pin=0.85,
        split=0.25,
    ),
    # Assumed, chosen so that the average is about 201.
    "scratch": Strength.from_leave_groups(
        strike_probability=0.45,
        first_ball_pinfall=(0, 0, 0.005, 0.005, 0.01, 0.02, 0.05, 0.09, 0.20, 0.62),
        single_pin=0.92,
        multi_pin=0.78,
        split=0.18,
    ),
    # Assumed, chosen so that the average is about 176. Single pins sit between `casual` and here
    # where an amateur of about 160 made 92 of 132 (league journal, 2010).
    "league": Strength.from_leave_groups(
        strike_probability=0.36,
        first_ball_pinfall=(0.005, 0.005, 0.01, 0.01, 0.02, 0.04, 0.08, 0.14, 0.24, 0.45),
        single_pin=0.80,
        multi_pin=0.60,
        split=0.10,
    ),
    # Assumed, chosen so that the average is about 140.
    "casual": Strength.from_leave_groups(
        strike_probability=0.23,
        first_ball_pinfall=(0.02, 0.02, 0.02, 0.03, 0.05, 0.08, 0.12, 0.18, 0.23, 0.25),
        single_pin=0.60,
        multi_pin=0.38,
        split=0.05,
    ),
}

# Ends for `strength_for_average` beyond the levels: assumed, averages 88 and 283.
_LOWEST = Strength.from_leave_groups(
    strike_probability=0.02,
    first_ball_pinfall=(0.15, 0.05, 0.06, 0.08, 0.10, 0.12, 0.12, 0.12, 0.11, 0.09),
    single_pin=0.30,
    multi_pin=0.12,
    split=0.01,
)
_HIGHEST = Strength.from_leave_groups(
    strike_probability=0.92,
    first_ball_pinfall=(0, 0, 0, 0, 0, 0, 0.01, 0.04, 0.15, 0.80),
    single_pin=0.995,
    multi_pin=0.97,
    split=0.40,
)


def strength_of_level(level: Level) -> Strength:
    """The strength of a named level; ValueError if there is no such level."""
    if level not in LEVELS:
        raise ValueError(f"level is {level!r}; allowed: {', '.join(LEVELS)}")
    return _STRENGTHS[level]


@lru_cache(maxsize=512)
def strength_for_average(average: float) -> Strength:
    """A strength whose exact average is this one.

    An opponent is often known by the average alone. The two levels on either side of it are
    blended, every probability in the same proportion, until the average fits. Two bowlers of one
    average may well differ in strikes and spares: give a `Strength` where more is known.

    Parameters
    ----------
    average
        Pins a game in traditional scoring, 90 to 280.

    Raises
    ------
    ValueError
        For an average out of that range.
    """
    if not LOWEST_AVERAGE <= average <= HIGHEST_AVERAGE:
        raise ValueError(
            f"average is {average!r}; allowed: {LOWEST_AVERAGE:g} to {HIGHEST_AVERAGE:g}"
        )
    weaker, stronger = next(rungs for rungs in pairwise(_ladder()) if rungs[1][1] >= average)

    def off_by(share: float) -> float:
        if share in (0.0, 1.0):  # the ends are known
            return (weaker, stronger)[int(share)][1] - average
        return _average(_blend(weaker[0], stronger[0], share)) - average

    # A share off by 1e-9 moves the average by less than a ten-millionth of a pin.
    return _blend(weaker[0], stronger[0], brentq(off_by, 0.0, 1.0, xtol=1e-9))


@lru_cache(maxsize=1)
def _ladder() -> tuple[tuple[Strength, float], ...]:
    """Strengths with their averages, weakest first."""
    rungs = (_LOWEST, *(_STRENGTHS[level] for level in reversed(LEVELS)), _HIGHEST)
    return tuple((strength, _average(strength)) for strength in rungs)


def _average(strength: Strength) -> float:
    scores = to_go_table(weights_of(strength), "traditional")[OPENING]
    return float(np.arange(len(scores)) @ scores)


def _blend(weaker: Strength, stronger: Strength, share: float) -> Strength:
    def mix(low: float, high: float) -> float:
        return (1 - share) * low + share * high

    return Strength(
        mix(weaker.strike_probability, stronger.strike_probability),
        tuple(map(mix, weaker.first_ball_pinfall, stronger.first_ball_pinfall)),
        tuple(map(mix, weaker.conversion_probability, stronger.conversion_probability)),
        miss_ratio=mix(weaker.miss_ratio, stronger.miss_ratio),
    )
