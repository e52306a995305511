"""How strong a bowler is, as far as a score is concerned: what each ball is likely to fell.

A `Strength` says how often the first ball strikes, what it fells otherwise, how often the second
ball converts what is left, and how the pins fall when it does not. It is the same in every frame:
nobody tires, presses or settles in. `weights_of` turns it into the two tables the outlook works
with. Ready-made strengths are in `levels`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .game import PINS

# Share of splits among the leaves a first ball of 0, 1, ... 9 pins leaves. Assumed: a count of nine
# is never a split, most splits leave two to four pins, and a thin count rarely takes the head pin.
SPLIT_SHARE = (0.0, 0.02, 0.05, 0.10, 0.15, 0.25, 0.40, 0.35, 0.25, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class BallWeights:
    """What a ball may fell, with a weight for each outcome.

    The weights are probabilities for a bowler, ones to count games, fractions for exact means: any
    numbers that add and multiply.

    Attributes
    ----------
    first
        Shape (11,): weight of felling 0 to 10 pins of a fresh rack.
    second
        Shape (11, 11): ``second[standing, pins]`` for a ball at what the ball before left.
    """

    first: NDArray[Any]
    second: NDArray[Any]


@dataclass(frozen=True, slots=True)
class Strength:
    """What a bowler's balls fell.

    Parameters
    ----------
    strike_probability
        Probability that a ball at a fresh rack strikes, 0 to 1.
    first_ball_pinfall
        Ten probabilities: such a ball fells 0, 1, ... 9 pins, given that it does not strike.
    conversion_probability
        Ten probabilities, 0 to 1: the second ball clears the rest, after a first ball of 0, ... 9.
    miss_ratio
        When it does not, each pin fewer is this many times as likely, 0 to 1: with k standing,
        k - 1 pins fall most often, k - 2 `miss_ratio` times as often, and so on. Assumed: a missed
        spare is mostly chopped or picked off. After a gutter ball, at ten pins,
        `first_ball_pinfall` holds instead.

    Raises
    ------
    ValueError
        Naming the field, its value and what is allowed.
    """

    strike_probability: float
    first_ball_pinfall: tuple[float, ...]
    conversion_probability: tuple[float, ...]
    miss_ratio: float = field(default=0.35, kw_only=True)

    def __post_init__(self) -> None:
        _check_probability("strike_probability", self.strike_probability)
        _check_probability("miss_ratio", self.miss_ratio)
        for name in ("first_ball_pinfall", "conversion_probability"):
            values = tuple(float(value) for value in getattr(self, name))
            object.__setattr__(self, name, values)  # a tuple of floats, so that it hashes
            if len(values) != PINS:
                raise ValueError(f"{name} has {len(values)} values; allowed: 10")
            for pins, value in enumerate(values):
                _check_probability(f"{name}[{pins}]", value)
        if abs(sum(self.first_ball_pinfall) - 1) > 1e-9:
            raise ValueError(
                f"first_ball_pinfall sums to {sum(self.first_ball_pinfall)!r}; allowed: 1"
            )

    @classmethod
    def from_leave_groups(
        cls,
        *,
        strike_probability: float,
        first_ball_pinfall: Sequence[float],
        single_pin: float,
        multi_pin: float,
        split: float,
        split_share: Sequence[float] = SPLIT_SHARE,
        miss_ratio: float = 0.35,
    ) -> Strength:
        """Strength from conversion rates by kind of leave.

        A first ball of nine leaves a single pin; any other count leaves a split `split_share` of
        the time (ten shares, by count) and a multi-pin leave otherwise. A ball at all ten after a
        gutter ball clears them as often as a first ball does.
        """
        for name, value in (("single_pin", single_pin), ("multi_pin", multi_pin), ("split", split)):
            _check_probability(name, value)
        if len(split_share) != PINS:
            raise ValueError(f"split_share has {len(split_share)} values; allowed: 10")
        for pins, value in enumerate(split_share):
            _check_probability(f"split_share[{pins}]", value)
        conversion = [share * split + (1 - share) * multi_pin for share in split_share]
        conversion[0], conversion[-1] = strike_probability, single_pin
        return cls(
            strike_probability,
            tuple(first_ball_pinfall),
            tuple(conversion),
            miss_ratio=miss_ratio,
        )


@lru_cache(maxsize=256)
def weights_of(strength: Strength) -> BallWeights:
    """Probability tables of a bowler's balls; read-only."""
    first_ball = np.array(strength.first_ball_pinfall) / sum(strength.first_ball_pinfall)
    first = np.append((1 - strength.strike_probability) * first_ball, strength.strike_probability)
    second = np.zeros((PINS + 1, PINS + 1))
    for standing in range(1, PINS + 1):
        made = strength.conversion_probability[PINS - standing]
        if standing == PINS:
            missed = first_ball
        else:
            missed = strength.miss_ratio ** np.arange(standing - 1.0, -1.0, -1.0)
            missed /= missed.sum()
        second[standing, :standing] = (1 - made) * missed
        second[standing, standing] = made
    first.setflags(write=False)
    second.setflags(write=False)
    return BallWeights(first, second)


def counting_weights() -> BallWeights:
    """Ones, as Python's unbounded integers: every way a ball may fall counts once."""
    second = np.zeros((PINS + 1, PINS + 1), dtype=object)
    for standing in range(1, PINS + 1):
        second[standing, : standing + 1] = 1
    return BallWeights(np.ones(PINS + 1, dtype=object), second)


def _check_probability(name: str, value: float) -> None:
    if not 0 <= value <= 1:  # also catches NaN
        raise ValueError(f"{name} is {value!r}; allowed: 0 to 1")
