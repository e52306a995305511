"""What a final score is worth: matches, tie rules, total pins, cuts."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from leaveline.scoring import (
    TIE_RULES,
    Cut,
    GameState,
    Match,
    Score,
    Strength,
    final_scores,
    meet,
    roll_off_win_probability,
    series_scores,
    state_after,
    strength_for_average,
    strength_of_level,
)
from leaveline.scoring.situation import worth
from scipy.stats import norm

from tests.scoring import witness

steady = settings(derandomize=True, deadline=None, max_examples=30)
LEAGUE, SCRATCH, TOUR = (strength_of_level(level) for level in ("league", "scratch", "tour"))


def win_probability(state, own, match):
    return float(final_scores(state, own) @ worth(match, own, state.scoring).value)


def test_meet_by_hand():
    """Two dice, written as distributions: 15 of 36 wins, 6 ties."""
    die = np.array([0, 1, 1, 1, 1, 1, 1]) / 6
    chances = meet(die, die)
    assert (chances.win, chances.tie, chances.lose) == pytest.approx((15 / 36, 6 / 36, 15 / 36))


@pytest.mark.parametrize("lengths", [(3, 7), (7, 3), (1, 1), (301, 601)])
def test_meet_against_every_pair(lengths):
    rng = np.random.default_rng(7)
    own, other = (rng.dirichlet(np.ones(length)) for length in lengths)
    pairs = np.outer(own, other)
    expected = (np.tril(pairs, -1).sum(), np.trace(pairs), np.triu(pairs, 1).sum())
    chances = meet(own, other)
    assert (chances.win, chances.tie, chances.lose) == pytest.approx(expected, abs=1e-14)


@given(st.floats(90, 280), st.floats(90, 280), st.data())
@steady
def test_win_tie_and_loss_sum_to_one_and_mirror(mine, theirs, data):
    own = final_scores(state_after(data.draw(witness.sheets())), strength_for_average(mine))
    other = final_scores(state_after(data.draw(witness.sheets())), strength_for_average(theirs))
    chances, mirrored = meet(own, other), meet(other, own)
    assert chances.win + chances.tie + chances.lose == pytest.approx(1, abs=1e-12)
    assert min(chances.win, chances.tie, chances.lose) >= 0
    assert (chances.win, chances.tie) == pytest.approx((mirrored.lose, mirrored.tie), abs=1e-14)


@given(st.data(), st.integers(-250, 250), st.sampled_from([0, 1, 3]))
@steady
def test_match_outcomes_against_the_whole_series(data, lead, games_after):
    """Worth of each score agrees with adding up both bowlers' totals first."""
    state = state_after(data.draw(witness.sheets()))
    opponent = state_after(data.draw(witness.sheets()))
    match = Match(opponent, SCRATCH, lead_pins=lead, games_after=games_after)
    outcomes = worth(match, LEAGUE, "traditional").outcomes
    assert outcomes.shape == (3, 301)
    assert outcomes.min() >= 0
    assert outcomes.sum(axis=0) == pytest.approx(1, abs=1e-12)
    own = np.convolve(
        final_scores(state, LEAGUE), series_scores(LEAGUE, "traditional", games_after)
    )
    other = np.convolve(
        final_scores(opponent, SCRATCH), series_scores(SCRATCH, "traditional", games_after)
    )
    ahead = np.pad(own, (max(lead, 0), 0))
    behind = np.pad(other, (max(-lead, 0), 0))
    expected = meet(ahead, behind)
    win, tie, lose = outcomes @ final_scores(state, LEAGUE)
    assert (win, tie, lose) == pytest.approx((expected.win, expected.tie, expected.lose), abs=1e-12)


def test_tie_rules():
    """Level scores, opponent finished: all that counts is the tie."""
    opponent = state_after([9, "-"] * 10)
    values = {
        rule: worth(Match(opponent, SCRATCH, rule), LEAGUE, "traditional").value
        for rule in TIE_RULES
    }
    for value in values.values():
        assert not value[:90].any()
        assert (value[91:] == 1).all()
    assert (values["lose"][90], values["half"][90], values["win"][90]) == (0, 0.5, 1)
    expected = roll_off_win_probability(LEAGUE, SCRATCH, "traditional")
    assert values["roll_off"][90] == pytest.approx(expected, abs=1e-15)
    assert 0 < expected < 0.5


@pytest.mark.parametrize("frames", [1, 2, 10])
def test_roll_offs(frames):
    """Equal bowlers win one in two, and both bowlers' chances add up to one."""
    even = roll_off_win_probability(SCRATCH, SCRATCH, "traditional", frames)
    assert even == pytest.approx(0.5, abs=1e-14)
    there = roll_off_win_probability(SCRATCH, LEAGUE, "traditional", frames)
    back = roll_off_win_probability(LEAGUE, SCRATCH, "traditional", frames)
    assert there + back == pytest.approx(1, abs=1e-14)
    assert there > 0.5


@pytest.mark.parametrize("frames", [1, 2, 10])
def test_roll_offs_round_by_round(frames):
    """Win the first, or tie and win the second, and so on for 200 rounds."""
    start = GameState(frame=11 - frames)
    chances = meet(final_scores(start, LEAGUE), final_scores(start, TOUR))
    expected = sum(chances.tie**rounds * chances.win for rounds in range(200))
    found = roll_off_win_probability(LEAGUE, TOUR, "traditional", frames)
    assert found == pytest.approx(expected, abs=1e-12)


def test_a_longer_roll_off_suits_the_better_bowler():
    chances = [
        roll_off_win_probability(SCRATCH, LEAGUE, "traditional", frames) for frames in (1, 2, 10)
    ]
    assert chances == sorted(chances)


def test_a_roll_off_that_never_ends_is_even():
    striker = Strength(1.0, (0.0,) * 9 + (1.0,), (1.0,) * 10)
    assert roll_off_win_probability(striker, striker, "traditional") == 0.5


@given(st.data(), st.integers(-100, 99), st.sampled_from(TIE_RULES))
@steady
def test_a_pin_more_of_lead_never_hurts(data, lead, rule):
    state = state_after(data.draw(witness.sheets()))
    opponent = state_after(data.draw(witness.sheets()))
    fewer, more = (
        win_probability(state, LEAGUE, Match(opponent, SCRATCH, rule, lead_pins=pins))
        for pins in (lead, lead + 1)
    )
    assert more >= fewer - 1e-12


@given(st.data(), st.floats(90, 270), st.floats(90, 270), st.sampled_from(TIE_RULES))
@steady
def test_own_strength_helps_and_the_opponents_hurts(data, mine, theirs, rule):
    state = state_after(data.draw(witness.sheets()))
    opponent = state_after(data.draw(witness.sheets()))
    own, other = strength_for_average(mine), strength_for_average(theirs)
    base = win_probability(state, own, Match(opponent, other, rule))
    stronger = win_probability(state, strength_for_average(mine + 10), Match(opponent, other, rule))
    harder = win_probability(state, own, Match(opponent, strength_for_average(theirs + 10), rule))
    assert stronger >= base - 1e-12
    assert harder <= base + 1e-12


@pytest.mark.parametrize("games_after", [0, 2])
def test_known_cut(games_after):
    """The chance of reaching it, counted from the total's distribution."""
    state = state_after([7])
    cut = Cut(pins_before=500, games_after=games_after, cut_pins=690 + 175 * games_after)
    total = np.convolve(
        final_scores(state, LEAGUE), series_scores(LEAGUE, "traditional", games_after)
    )
    value = worth(cut, LEAGUE, "traditional").value
    expected = total[190 + 175 * games_after :].sum()
    assert final_scores(state, LEAGUE) @ value == pytest.approx(expected, abs=1e-12)


def test_unknown_cut_is_averaged_over():
    """The same as weighing every whole-pin cut by its normal probability."""
    mean, sd = 1203.7, 11.0
    value = worth(Cut(1000, 0, mean, sd), LEAGUE, "traditional").value
    cuts = np.arange(1000, 1401)
    weights = norm.cdf(cuts + 0.5, mean, sd) - norm.cdf(cuts - 0.5, mean, sd)
    expected = sum(
        weight * worth(Cut(1000, 0, float(cut)), LEAGUE, "traditional").value
        for cut, weight in zip(cuts, weights, strict=True)
    )
    assert value == pytest.approx(expected, abs=1e-12)


def test_score_is_worth_itself():
    assert worth(Score(), LEAGUE, "traditional").value.tolist() == list(range(301))


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Match(GameState(), LEAGUE, "coin"), "tie_rule is 'coin'; allowed: roll_off"),
        (lambda: Match(GameState(), LEAGUE, games_after=65), "games_after is 65; allowed: 0 to 64"),
        (lambda: Match(GameState(), LEAGUE, roll_off_frames=0), "roll_off_frames is 0"),
        (lambda: Match(GameState(), LEAGUE, lead_pins=10**9), "lead_pins is 1000000000"),
        (lambda: Cut(-1, 0, 100), "pins_before is -1; allowed: 0 to 100000"),
        (lambda: Cut(0, 0, float("nan")), "cut_pins is nan"),
        (lambda: Cut(0, 0, 100, float("inf")), "cut_sd_pins is inf"),
        (
            lambda: worth(Match(GameState("current_frame"), LEAGUE), LEAGUE, "traditional"),
            "opponent's scoring is 'current_frame'; allowed: traditional",
        ),
    ],
)
def test_bad_situations_are_refused(make, message):
    with pytest.raises(ValueError, match=message):
        make()
