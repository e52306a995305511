"""The exact distribution of the final score, from any state of a game.

The pins still to come depend on the frame, the balls of it already thrown and the bonuses pending,
and on nothing else: some three hundred nodes. `to_go_table` walks them once, from the last ball
back, with the very function that keeps the score (`game.next_ball`). Nothing is sampled or cut off.

Distributions are arrays over pins: entry s is the probability of s. Those of one game have length
301, those of n games 300 n + 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .game import FRAMES, OPENING, PERFECT, GameState, Node, Scoring, next_ball, rack
from .strength import BallWeights, Strength, weights_of

MOST_GAMES = 64  # more than any event's qualifying block


def final_scores(state: GameState, strength: Strength) -> NDArray[np.float64]:
    """Distribution of the final score, shape (301,).

    Parameters
    ----------
    state
        Any state of a game, a finished one included.
    strength
        The bowler, for every ball still to come.
    """
    scores = np.zeros(PERFECT + 1)
    to_go = _table(strength, state.scoring)[state.node]
    scores[state.score : state.score + len(to_go)] = to_go
    return scores


def final_scores_by_pinfall(state: GameState, strength: Strength) -> NDArray[np.float64]:
    """Distribution of the final score for each pinfall of the next ball.

    Returns
    -------
    ndarray
        Shape (standing + 1, 301): row j if the next ball fells j pins and the bowler's usual game
        follows.

    Raises
    ------
    ValueError
        If the game is over.
    """
    if state.over:
        raise ValueError("the game is over; allowed: a state with a ball still to throw")
    return np.stack(
        [final_scores(state.throw(pins), strength) for pins in range(state.standing + 1)]
    )


def final_scores_with(
    state: GameState, strength: Strength, pinfall: Sequence[float] | NDArray[np.float64]
) -> NDArray[np.float64]:
    """Distribution of the final score if the next ball's pinfall is this one instead of the usual.

    Parameters
    ----------
    state
        A state with a ball still to throw.
    strength
        The bowler, for the balls after it.
    pinfall
        Probabilities of felling 0, 1, ... of the pins standing: one more value than pins stand,
        summing to one within 1e-9.

    Returns
    -------
    ndarray
        Shape (301,).
    """
    return checked_pinfall(pinfall, state.standing) @ final_scores_by_pinfall(state, strength)


def checked_pinfall(
    pinfall: Sequence[float] | NDArray[np.float64], standing: int, name: str = "pinfall"
) -> NDArray[np.float64]:
    """The pinfall distribution as an array that sums to one to the last bit or so.

    Raises
    ------
    ValueError
        Naming the field, its value and what is allowed.
    """
    probabilities = np.asarray(pinfall, dtype=np.float64)
    if probabilities.shape != (standing + 1,):
        raise ValueError(
            f"{name} has shape {probabilities.shape}; allowed: ({standing + 1},), the chances of "
            f"felling 0 to {standing} pins"
        )
    for pins, value in enumerate(probabilities):
        if not 0 <= value <= 1:
            raise ValueError(f"{name}[{pins}] is {float(value)!r}; allowed: 0 to 1")
    total = float(probabilities.sum())
    if abs(total - 1) > 1e-9:
        raise ValueError(f"{name} sums to {total!r}; allowed: 1")
    return probabilities / total


@lru_cache(maxsize=256)
def series_scores(strength: Strength, scoring: Scoring, games: int) -> NDArray[np.float64]:
    """Distribution of the total of so many whole games, shape (300 games + 1,); read-only.

    `games` is 0 to 64; ValueError outside that.
    """
    if not 0 <= games <= MOST_GAMES:
        raise ValueError(f"games is {games}; allowed: 0 to {MOST_GAMES}")
    if games == 0:
        total = np.ones(1)
    elif games == 1:
        total = final_scores(GameState(scoring), strength)
    else:
        half = games // 2
        total = np.convolve(
            series_scores(strength, scoring, half), series_scores(strength, scoring, games - half)
        )
    total.setflags(write=False)
    return total


def mean_and_sd(scores: NDArray[np.float64]) -> tuple[float, float]:
    """Mean and standard deviation of a distribution over pins."""
    pins = np.arange(len(scores))
    mean = float(pins @ scores)
    return mean, float(np.sqrt((pins - mean) ** 2 @ scores))


def to_go_table(weights: BallWeights, scoring: Scoring) -> dict[Node, NDArray[Any]]:
    """For every state a game can be in, the weight of each number of pins still to come.

    Works in whatever numbers the weights are: floats give probabilities, Python integers count
    games, fractions give exact means.

    Parameters
    ----------
    weights
        What a ball may fell.
    scoring
        ``traditional`` or ``current_frame``.

    Returns
    -------
    dict
        From ``(frame, balls, pending)`` to an array over the pins still to be credited, from none
        to the most the rules allow from there.
    """
    table: dict[Node, NDArray[Any]] = {}

    def fill(node: Node) -> NDArray[Any]:
        if node in table:
            return table[node]
        frame, balls, _ = node
        if frame > FRAMES:
            table[node] = np.ones(1, dtype=weights.first.dtype)
            return table[node]
        standing, fresh = rack(balls)
        chances = (weights.first if fresh else weights.second[standing])[: standing + 1]
        steps = [next_ball(scoring, node, pins) for pins in range(standing + 1)]
        rests = [fill(after) for after, _ in steps]
        length = max(credit + len(rest) for (_, credit), rest in zip(steps, rests, strict=True))
        to_go = np.zeros(length, dtype=weights.first.dtype)
        for chance, (_, credit), rest in zip(chances, steps, rests, strict=True):
            to_go[credit : credit + len(rest)] += chance * rest
        table[node] = to_go
        return to_go

    fill(OPENING)
    return table


@lru_cache(maxsize=64)
def _table(strength: Strength, scoring: Scoring) -> dict[Node, NDArray[np.float64]]:
    return to_go_table(weights_of(strength), scoring)
