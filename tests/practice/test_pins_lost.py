"""Pins lost: against scoring the whole games again, all spares made at once."""

from __future__ import annotations

import numpy as np
import pytest
from leaveline.practice import season_from_rows
from leaveline.practice.pins_lost import average_first_ball, pins_lost
from leaveline.practice.season import Season
from leaveline.practice.tallies import count
from leaveline.scoring import Scoring, score_sheet

from tests.practice.synthetic import season_rows


def game_of(balls: str, scoring: Scoring = "traditional") -> Season:
    """One game from its frames' rolls, parted by bars."""
    rows = [
        {"game": "1", "frame": n, "rolls": rolls}
        for n, rolls in enumerate(balls.split("|"), start=1)
    ]
    season = season_from_rows(rows, scoring=scoring)
    assert not season.reports
    return season


@pytest.mark.parametrize(
    ("balls", "frame", "lost"),
    [
        # By the rule: a spare brings the missing pin and the next ball; after a strike that pin
        # counts once more; in the tenth the fill ball, taken as 7.5 here, or nothing after X.
        ("9-|7/|9-|9-|9-|9-|9-|9-|9-|9-", 1, 1 + 7),
        ("X|8 1|9-|9-|9-|9-|9-|9-|9-|9-", 2, 1 + 1 + 9),
        ("X|X|8 -|X|9-|9-|9-|9-|9-|9-", 3, 2 + 2 + 10),
        ("9-|9-|9-|9-|9-|9-|9-|9-|9-|8 1", 10, 1 + 7.5),
        ("9-|9-|9-|9-|9-|9-|9-|9-|X|8 1", 10, 1 + 1 + 7.5),
        ("9-|9-|9-|9-|9-|9-|9-|9-|9-|X 8 1", 10, 1),
        ("9-|9-|9-|9-|9-|9-|9-|9-|8 1|X X 9", 9, 1 + 10),
        ("9/|9-|9-|9-|9-|9-|9-|9-|9-|X X 9", 1, 0),
        ("X|9-|9-|9-|9-|9-|9-|9-|9-|X X 9", 10, 0),
    ],
)
def test_one_miss(balls: str, frame: int, lost: float) -> None:
    (game,) = game_of(balls).games
    one = game.frames[frame - 1]
    assert pins_lost(game, one, fill_ball_pins=7.5, scoring="traditional") == pytest.approx(lost)


def test_one_miss_in_current_frame_scoring() -> None:
    """An open frame of 8 and 1 would have been a spare: ten and its own first ball, 18 for 9."""
    (game,) = game_of("X|8 1|X|X|X|X|X|X|X|7-", "current_frame").games
    lost = [
        pins_lost(game, game.frames[place], fill_ball_pins=9, scoring="current_frame")
        for place in (0, 1, 9)
    ]
    assert lost == [0, 9, 10]


def all_made(balls: list[int], fill: int) -> list[int]:
    """The same first balls, every spare made, a fill ball where the tenth now earns one."""
    made: list[int] = []
    rest = list(balls)
    for _ in range(9):
        first = rest.pop(0)
        made.append(first)
        if first < 10:
            rest.pop(0)
            made.append(10 - first)
    first = rest.pop(0)
    if first == 10:
        second = rest.pop(0)
        return [*made, 10, second, 10 - second if second < 10 else rest.pop(0)]
    spare = first + rest.pop(0) == 10
    return [*made, first, 10 - first, rest.pop(0) if spare else fill]


@pytest.mark.parametrize("seed", range(3))
def test_sums_agree_with_scoring_the_season_again_with_every_spare_made(seed: int) -> None:
    """Fill balls nobody threw are averaged over the bowler's own first balls."""
    season = season_from_rows(season_rows(60, lambda _: 0.5, seed=seed))
    firsts = [frame.pins[0] for frame in season.frames]
    shares = np.bincount(firsts, minlength=11) / len(firsts)
    gained = 0.0
    for game in season.games:
        finals = [score_sheet(all_made(list(game.pins), fill)).final_score for fill in range(11)]
        assert game.score is not None
        gained += float(shares @ np.array(finals, dtype=float)) - game.score
    assert average_first_ball(season) == pytest.approx(float(shares @ np.arange(11)))
    assert count(season).pins_lost == pytest.approx(gained, abs=1e-6)


def test_leaves_not_given_lose_pins_too() -> None:
    rows = season_rows(20, lambda _: 0.3, seed=9)
    nameless = [{name: row[name] for name in row if name != "leave"} for row in rows]
    whole, bare = count(season_from_rows(rows)), count(season_from_rows(nameless))
    assert bare.pins_lost == pytest.approx(whole.pins_lost)
    # A gutter ball leaves all ten, so that the leave is known without being given.
    assert {len(leave) for leave in bare.by_leave} <= {10}
