"""How fast the exact outlook and a match decision are, beside naive sampling.

Run from the project's root with ``service`` on the Python path. Everything is timed in one run on
one core, so read the ratios; the times alone depend on the machine. Nothing is asserted.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable

import numpy as np
from leaveline.scoring import (
    Decision,
    GameState,
    Match,
    Play,
    Strength,
    decide,
    final_scores,
    levels,
    mean_and_sd,
    outlook,
    situation,
    state_after,
    strength,
    strength_for_average,
    strength_of_level,
)
from leaveline.scoring.strength import weights_of

GAMES = 20_000  # sampled for one naive outlook
CACHES = (
    outlook._table,
    outlook.series_scores,
    situation.roll_off_win_probability,
    strength.weights_of,
    levels.strength_for_average,
    levels._ladder,
)
OWN, OPPONENT = strength_of_level("scratch"), strength_of_level("tour")
STATE = state_after(["X", 9, "/", 8, 1, "X", "X", 7, "/", 9, "/", "X", "S7"])
THEIRS = state_after(["X", "X", 9, "/", 9, "-", "X", 8, "/", "X", 9, "/"])
SPARE, COUNT = Play([0.20, 0.25, 0.25, 0.30]), Play([0.01, 0.04, 0.93, 0.02])


def main() -> None:
    mean, sd = mean_and_sd(final_scores(GameState(), OWN))
    cold = seconds(lambda: final_scores(GameState(), OWN), repeats=50, cold=True)
    warm = seconds(lambda: final_scores(STATE, OWN), repeats=2000)
    rng = random.Random(2_024)
    start = time.perf_counter()
    sampled = [naive_rest(GameState(), OWN, rng) for _ in range(GAMES)]
    naive = time.perf_counter() - start
    print("outlook of a whole game")
    row("exact, first time for a bowler", cold, f"{1 / cold:10.0f} a second")
    row("exact, bowler seen before", warm, f"{1 / warm:10.0f} a second")
    row(f"naive sampling, {GAMES} games", naive, f"{naive / cold:10.0f} times the first line")
    print(f"  mean exact {mean:.3f}, sampled {np.mean(sampled):.3f} +- {sd / GAMES**0.5:.3f}")

    match = Match(THEIRS, OPPONENT, "half")
    fresh = seconds(lambda: ask(match), repeats=30, cold=True)
    again = seconds(lambda: ask(match), repeats=500)
    fitted = seconds(lambda: strength_for_average(213.0), repeats=10, cold=True)
    answer = ask(match)
    print("match decision, both plays' pinfalls at hand")
    row("both bowlers new", fresh, f"{1 / fresh:10.0f} a second")
    row("both bowlers seen before", again, f"{1 / again:10.0f} a second")
    row("strength for an average, first one", fitted, f"{1 / fitted:10.0f} a second")
    print(f"  {answer.play} by {answer.margin:.4f}")
    # To tell the plays apart, the margin must be two standard errors of a difference of shares.
    games = round(2 * 0.25 / (answer.margin / 2) ** 2)
    start = time.perf_counter()
    spare, count = (naive_value(play, games, rng) for play in (SPARE, COUNT))
    naive = time.perf_counter() - start
    row(f"naive, {games} rests of the game a play", naive, f"{naive / fresh:10.0f} times the first")
    print(f"  exact {answer.spare.value:.3f} and {answer.count.value:.3f}, ", end="")
    print(f"sampled {spare:.3f} and {count:.3f} +- {(0.25 / games) ** 0.5:.3f}")


def ask(match: Match) -> Decision:
    return decide(STATE, spare=SPARE, count=COUNT, own=OWN, situation=match)


def seconds(task: Callable[[], object], *, repeats: int, cold: bool = False) -> float:
    """Median time of one run; with `cold`, everything remembered is forgotten before each."""
    times = []
    for _ in range(repeats):
        if cold:
            for cache in CACHES:
                cache.cache_clear()
        start = time.perf_counter()
        task()
        times.append(time.perf_counter() - start)
    return float(np.median(times))


def row(name: str, time_s: float, note: str) -> None:
    print(f"  {name:<36}{1e3 * time_s:12.3f} ms {note}")


def naive_value(play: Play, games: int, rng: random.Random) -> float:
    """Share of sampled rests of the match that are won, a tie by the toss of a coin."""
    won = 0.0
    for _ in range(games):
        ball = rng.choices(range(STATE.standing + 1), play.pinfall)[0]
        own = naive_rest(STATE.throw(ball), OWN, rng)
        theirs = naive_rest(THEIRS, OPPONENT, rng)
        won += 0.5 if own == theirs else own > theirs
    return won / games


def naive_rest(state: GameState, bowler: Strength, rng: random.Random) -> int:
    """Final score of one sampled game from here, ball by ball."""
    weights = weights_of(bowler)
    while not state.over:
        chances = weights.first if state.fresh_rack else weights.second[state.standing]
        state = state.throw(rng.choices(range(11), chances)[0])
    return state.score


if __name__ == "__main__":
    main()
