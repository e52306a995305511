"""The exact outlook: counted games, closed forms, listing every game, and sampling."""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from leaveline.scoring import (
    GameState,
    Strength,
    final_scores,
    final_scores_by_pinfall,
    final_scores_with,
    mean_and_sd,
    series_scores,
    state_after,
    strength_of_level,
)
from leaveline.scoring.game import OPENING
from leaveline.scoring.outlook import to_go_table
from leaveline.scoring.strength import BallWeights, counting_weights, weights_of

from tests.scoring import witness

SCORINGS = ("traditional", "current_frame")
steady = settings(derandomize=True, deadline=None, max_examples=30)

# OEIS A060853, read there: number of games with score 0, 1, 2, ...
A060853 = [
    1, 20, 210, 1540, 8855, 42504, 177100, 657800, 2220075, 6906900, 20030010, 54627084,
    141116637, 347336412, 818558424, 1854631380, 4053948342, 8574134256, 17590903116,
    35084425512, 68153183370, 129156542039,
]  # fmt: skip


@pytest.fixture(scope="module")
def counts():
    """Number of games by score, in whole numbers, from the table the outlook uses."""
    return to_go_table(counting_weights(), "traditional")[OPENING].tolist()


def test_number_of_games(counts):
    # Cooper & Kennedy, Mathematics Magazine 63 (1990) 239-243; OEIS A060853, comment.
    assert sum(counts) == 66**9 * 241 == 5_726_805_883_325_784_576


def test_games_by_score(counts):
    # OEIS A060853.
    assert counts[: len(A060853)] == A060853
    assert max(range(301), key=counts.__getitem__) == 77
    assert counts[77] == 172_542_309_343_731_946
    assert counts[288:291] == [12, 11, 11]
    assert counts[291:] == [1] * 10


def test_moments_of_all_games(counts):
    # Recounted exactly, apart from this code; the mean near 80 is in Cooper & Kennedy, "Is the mean
    # bowling score awful?" (memory), and 79.74 in OEIS A060853.
    games = sum(counts)
    mean = Fraction(sum(score * count for score, count in enumerate(counts)), games)
    square = Fraction(sum(score**2 * count for score, count in enumerate(counts)), games)
    assert mean == Fraction(125_572_265, 1_574_694)
    assert float(mean) == pytest.approx(79.743915, abs=5e-7)
    assert math.sqrt(square - mean**2) == pytest.approx(13.674748, abs=5e-7)
    assert sum(counts[:79]) < games / 2 < sum(counts[:80])
    assert [counts[score] for score in (50, 100, 150, 200, 250)] == [
        11_193_770_355_829_009,
        50_613_244_155_051_856,
        29_843_343_433_392,
        1_526_313_637,
        37_965,
    ]


def uniform_weights():
    """Every ball fells 0 to all pins standing, each as likely, in exact fractions."""
    second = np.zeros((11, 11), dtype=object)
    for standing in range(1, 11):
        second[standing, : standing + 1] = Fraction(1, standing + 1)
    return BallWeights(np.array([Fraction(1, 11)] * 11, dtype=object), second)


def test_every_ball_uniform():
    # Recounted exactly, apart from this code.
    scores = to_go_table(uniform_weights(), "traditional")[OPENING].tolist()
    mean = sum(score * chance for score, chance in enumerate(scores))
    square = sum(score**2 * chance for score, chance in enumerate(scores))
    assert sum(scores) == 1
    assert mean == Fraction(2_787_355, 30_492)
    assert math.sqrt(square - mean**2) == pytest.approx(17.532149, abs=5e-7)


def test_current_frame_counts():
    # Derived from the definition: no frame is worth 20 to 29, so no game 290 to 299; the 66
    # outcomes of a frame add up to 505.
    counts = to_go_table(counting_weights(), "current_frame")[OPENING].tolist()
    assert sum(counts) == 66**10
    assert counts[290:] == [0] * 10 + [1]
    mean = Fraction(sum(score * count for score, count in enumerate(counts)), sum(counts))
    assert mean == 10 * Fraction(505, 66)


@pytest.mark.parametrize("scoring", SCORINGS)
def test_certain_bowlers(scoring):
    """Who always strikes bowls 300; who always leaves a nine and makes it, 190 (worked example)."""
    nines = (0,) * 9 + (1,)
    striker = Strength(1.0, nines, (1,) * 10)
    sparer = Strength(0.0, nines, (1,) * 10)
    opener = Strength(0.0, nines, (0,) * 10)
    for strength, score in ((striker, 300), (sparer, 190), (opener, 90)):
        scores = final_scores(GameState(scoring), strength)
        assert scores[score] == 1
        assert scores.sum() == 1


@pytest.mark.parametrize("scoring", SCORINGS)
@pytest.mark.parametrize("level", ["tour", "scratch", "league", "casual"])
@given(data=st.data())
@steady
def test_sums_to_one_between_lowest_and_highest(scoring, level, data):
    state = state_after(data.draw(witness.sheets(scoring)), scoring=scoring)
    scores = final_scores(state, strength_of_level(level))
    assert scores.shape == (301,)
    assert scores.min() >= 0
    assert scores.sum() == pytest.approx(1, abs=1e-12)
    assert scores[: state.lowest_final()].sum() == 0
    assert scores[state.highest_final() + 1 :].sum() == 0


@pytest.mark.parametrize("scoring", SCORINGS)
@given(data=st.data())
@settings(derandomize=True, deadline=None, max_examples=8)
def test_against_every_game_of_the_last_two_frames(scoring, data):
    """From the ninth frame on, with every pinfall possible: up to 16,000 games listed."""
    strength = strength_of_level(data.draw(st.sampled_from(["tour", "casual"])))
    weights = weights_of(strength)
    pins = data.draw(witness.leaves_in_frame(scoring, first_frame=9))
    expected = witness.final_scores(pins, scoring, weights.first, weights.second)
    state = state_after(pins, scoring=scoring)
    assert final_scores(state, strength) == pytest.approx(expected, abs=1e-13)


@pytest.mark.parametrize("scoring", SCORINGS)
@pytest.mark.parametrize("marks", [[], [10], [10, 10], [7, 3], [0, 10], [10, 10, 10]])
def test_against_every_game_of_the_last_three_frames(scoring, marks):
    """A bowler of few outcomes (strike, seven, nine; make, or one short) keeps the list short."""
    strength = Strength(0.4, (0, 0, 0, 0, 0, 0, 0, 0.3, 0, 0.7), (0.5,) * 10, miss_ratio=0.0)
    weights = weights_of(strength)
    pins = [3, 4] * 7
    if marks:
        frames = len(witness.frames_of(marks, scoring))
        pins = [3, 4] * (7 - frames) + marks
    expected = witness.final_scores(pins, scoring, weights.first, weights.second)
    state = state_after(pins, scoring=scoring)
    assert final_scores(state, strength) == pytest.approx(expected, abs=1e-13)


@pytest.mark.parametrize("level", ["tour", "scratch", "league", "casual"])
def test_against_sampled_games(level):
    """Mean, spread and three shares of 100,000 sampled whole games, within 4.5 standard errors."""
    weights = weights_of(strength_of_level(level))
    exact = final_scores(GameState(), strength_of_level(level))
    sampled = sample_games(weights.first, weights.second, 100_000, np.random.default_rng(20_240))
    mean, sd = mean_and_sd(exact)
    assert abs(sampled.mean() - mean) < 4.5 * sd / math.sqrt(len(sampled))
    fourth = float((np.arange(301) - mean) ** 4 @ exact)
    error_of_variance = math.sqrt((fourth - sd**4) / len(sampled))
    assert abs(sampled.var() - sd**2) < 4.5 * error_of_variance
    for score in (mean - sd, mean, mean + sd):
        share = exact[: math.floor(score) + 1].sum()
        error = math.sqrt(share * (1 - share) / len(sampled))
        assert abs((sampled <= score).mean() - share) < 4.5 * error


def sample_games(first, second, games, rng):
    """Final scores of whole traditional games, each ball drawn in turn; shape (games,)."""

    def at_the_rest(left):
        """Pins felled of those left, one draw for each game; none where none are left."""
        edges = np.cumsum(second[left], axis=1)[:, :-1]
        return np.minimum((rng.random(games)[:, None] >= edges).sum(axis=1), left)

    balls = rng.choice(11, (12, games), p=first)  # at a fresh rack: ten frames and two fill balls
    seconds = [at_the_rest(10 - ball) for ball in balls[:10]]
    next_one = balls[10]
    next_two = np.where(next_one == 10, balls[11], at_the_rest(10 - next_one))
    total = np.zeros(games, dtype=int)
    for ball, second_ball in zip(balls[9::-1], reversed(seconds), strict=True):
        strike, own = ball == 10, ball + second_ball
        bonus = np.where(strike, next_one + next_two, np.where(own == 10, next_one, 0))
        total += own + bonus
        next_one, next_two = ball, np.where(strike, next_one, second_ball)
    return total


@pytest.mark.parametrize("scoring", SCORINGS)
@given(data=st.data())
@steady
def test_a_balls_usual_pinfall_changes_nothing(scoring, data):
    """Forcing the pinfall the bowler has anyway gives the plain outlook."""
    strength = strength_of_level("league")
    pins = data.draw(witness.sheets(scoring, most=9))
    state = state_after(pins, scoring=scoring)
    weights = weights_of(strength)
    usual = weights.first if state.fresh_rack else weights.second[state.standing]
    forced = final_scores_with(state, strength, usual[: state.standing + 1])
    assert forced == pytest.approx(final_scores(state, strength), abs=1e-14)


@given(data=st.data())
@steady
def test_a_forced_ball_is_a_mixture(data):
    strength = strength_of_level("scratch")
    state = state_after(data.draw(witness.leaves_in_frame()))
    pinfall = data.draw(witness.pinfalls(state.standing))
    by_pinfall = final_scores_by_pinfall(state, strength)
    forced = final_scores_with(state, strength, pinfall)
    assert forced.sum() == pytest.approx(1, abs=1e-12)
    assert forced == pytest.approx(np.array(pinfall) @ by_pinfall, abs=1e-15)
    for pins in range(state.standing + 1):
        assert by_pinfall[pins] == pytest.approx(final_scores(state.throw(pins), strength), abs=0)


@pytest.mark.parametrize(
    ("pinfall", "message"),
    [
        ([1.0], r"pinfall has shape \(1,\); allowed: \(4,\)"),
        ([0.5, 0.5, 0.5, -0.5], r"pinfall\[3\] is -0.5; allowed: 0 to 1"),
        ([0.5, float("nan"), 0.5, 0], r"pinfall\[1\] is nan; allowed: 0 to 1"),
        ([0.5, 0.4, 0, 0], r"pinfall sums to 0.9; allowed: 1"),
    ],
)
def test_bad_pinfalls_are_refused(pinfall, message):
    with pytest.raises(ValueError, match=message):
        final_scores_with(state_after([7]), strength_of_level("league"), pinfall)


def test_a_finished_game_has_no_next_ball():
    state = state_after(["X"] * 12)
    assert final_scores(state, strength_of_level("casual"))[300] == 1
    with pytest.raises(ValueError, match="the game is over"):
        final_scores_by_pinfall(state, strength_of_level("casual"))


@pytest.mark.parametrize("games", [0, 1, 2, 3, 7, 64])
def test_series(games):
    """Games add up: their number, means and variances (independent games)."""
    strength = strength_of_level("league")
    total = series_scores(strength, "traditional", games)
    mean, sd = mean_and_sd(final_scores(GameState(), strength))
    assert total.shape == (300 * games + 1,)
    assert total.sum() == pytest.approx(1, abs=1e-12)
    assert mean_and_sd(total) == pytest.approx((games * mean, math.sqrt(games) * sd), rel=1e-9)


def test_series_are_bounded():
    with pytest.raises(ValueError, match="games is 65; allowed: 0 to 64"):
        series_scores(strength_of_level("league"), "traditional", 65)
