"""Spare or count: answers that can be proved by hand."""

import pytest
from leaveline.scoring import (
    Cut,
    GameState,
    Match,
    Play,
    Score,
    decide,
    final_scores,
    mean_and_sd,
    roll_off_win_probability,
    state_after,
    strength_of_level,
)
from leaveline.scoring.strength import weights_of

LEAGUE, SCRATCH, TOUR = (strength_of_level(level) for level in ("league", "scratch", "tour"))

# Own games below stand at 81 after nine opens of nine. The opponents' tenth frames add to the same.
NINE_OPENS = [9, "-"] * 9
FINISHED = {
    89: state_after([*NINE_OPENS, 8, "-"]),
    95: state_after([*NINE_OPENS, 5, "/", 4]),
    101: state_after([*NINE_OPENS, "X", "X", "-"]),
    111: state_after([*NINE_OPENS, "X", "X", "X"]),
}


def codes(decision):
    return [reason.code for reason in decision.reasons]


def reason(decision, code):
    return next(one for one in decision.reasons if one.code == code)


@pytest.mark.parametrize("score", FINISHED)
def test_finished_opponents_are_what_they_are_called(score):
    assert (FINISHED[score].score, FINISHED[score].over) == (score, True)


SPARE = Play([0.25, 0.30, 0.15, 0.30])
COUNT = Play([0.01, 0.03, 0.94, 0.02])


def test_two_pins_win_the_match_outright():
    """Own 81 + 7 = 88 with three standing, opponent finished with 89: two pins make it 90."""
    state = state_after([*NINE_OPENS, 7])
    decision = decide(
        state, spare=SPARE, count=COUNT, own=LEAGUE, situation=Match(FINISHED[89], LEAGUE)
    )
    # One pin ties, two or more win: worth 1 with two or three, and the roll-off's share with one.
    even = roll_off_win_probability(LEAGUE, LEAGUE, "traditional")
    assert decision.play == "count"
    assert decision.spare.value == pytest.approx(0.45 + 0.30 * even, abs=1e-12)
    assert decision.count.value == pytest.approx(0.96 + 0.03 * even, abs=1e-12)
    assert decision.margin == pytest.approx(decision.count.value - decision.spare.value)
    assert reason(decision, "count_wins_outright")["pins"] == 2
    assert reason(decision, "needs_exactly_n")["pins"] == 2
    assert reason(decision, "needs_exactly_n")["one_fewer_ties"] == 1
    assert reason(decision, "opponent_finished")["score"] == 89
    # Made with p, the spare play is worth p + (1 - p)(0.15 + 0.30 even) / 0.70.
    missed = (0.15 + 0.30 * even) / 0.70
    expected = (decision.count.value - missed) / (1 - missed)
    assert decision.flips_at == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("make", [0.02, 0.001, 1e-6])
def test_only_a_mark_can_still_win_then_the_spare_however_thin(make):
    """Own 88, opponent finished with 95: a count reaches 90 at most, a spare 91 to 101."""
    state = state_after([*NINE_OPENS, 7])
    decision = decide(
        state,
        spare=Play([0.5, 0.3, 0.2 - make, make]),
        count=Play([0, 0, 1, 0]),
        own=LEAGUE,
        situation=Match(FINISHED[95], LEAGUE, "lose"),
    )
    # After the spare, 91 + the fill ball: six pins or more win.
    wins = weights_of(LEAGUE).first[5:].sum()
    assert decision.play == "spare"
    assert decision.count.value == 0
    assert decision.spare.value == pytest.approx(make * wins, abs=1e-12)
    assert decision.flips_at is None
    assert "only_a_mark_can_win" in codes(decision)
    assert "count_wins_outright" not in codes(decision)
    assert reason(decision, "striking_out_reaches").numbers == (
        ("after_spare", 101),
        ("after_count", 90),
        ("best_count_pins", 2),
        ("count_ends_game", 1),
    )


def test_behind_the_cut_by_more_than_the_count_can_give():
    """Own 88, 95 needed: only the spare can reach it."""
    state = state_after([*NINE_OPENS, 7])
    decision = decide(
        state,
        spare=Play([0.9, 0.04, 0.03, 0.03]),
        count=Play([0, 0, 1, 0]),
        own=LEAGUE,
        situation=Cut(pins_before=1000, games_after=0, cut_pins=1095),
    )
    assert decision.play == "spare"
    assert decision.maximised == "cut_probability"
    assert decision.spare.value == pytest.approx(0.03 * weights_of(LEAGUE).first[4:].sum())
    assert {"only_a_mark_can_win", "behind_cut_by"} <= set(codes(decision))


def test_the_count_makes_the_cut_outright():
    state = state_after([*NINE_OPENS, 7])
    decision = decide(state, spare=SPARE, count=COUNT, own=LEAGUE, situation=Cut(1000, 0, 1090))
    assert decision.play == "count"
    assert reason(decision, "count_wins_outright")["pins"] == 2
    assert decision.count.value == pytest.approx(0.96)
    assert decision.spare.value == pytest.approx(0.45)


def test_equal_plays_say_so():
    state = state_after([7])
    decision = decide(
        state, spare=SPARE, count=SPARE, own=LEAGUE, situation=Match(GameState(), LEAGUE)
    )
    assert (decision.play, decision.margin) == ("spare", 0)
    assert codes(decision)[:2] == ["same_line", "equal_plays"]
    assert decision.flips_at is None
    assert "flips_at" not in codes(decision)


def test_a_match_already_won_is_decided_by_the_score():
    """Own 88 against a finished 60: both plays win for certain, the count scores more."""
    state = state_after([*NINE_OPENS, 7])
    decision = decide(
        state,
        spare=Play([0.95, 0, 0, 0.05]),
        count=Play([0, 0, 1, 0]),
        own=LEAGUE,
        situation=Match(state_after([6, "-"] * 10), LEAGUE),
    )
    assert decision.spare.value == decision.count.value == 1
    assert decision.play == "count"
    assert {"equal_plays", "already_won"} <= set(codes(decision))
    assert reason(decision, "already_won")["to_spare_pins"] == 27


def test_a_match_out_of_reach_says_so():
    decision = decide(
        state_after([*NINE_OPENS, 7]),
        spare=SPARE,
        count=COUNT,
        own=LEAGUE,
        situation=Match(FINISHED[111], LEAGUE),
    )
    assert reason(decision, "out_of_reach")["short_pins"] == 111 - 101 + 1
    assert decision.spare.value == decision.count.value == 0


def test_a_tie_left():
    decision = decide(
        state_after([*NINE_OPENS, 7]),
        spare=SPARE,
        count=COUNT,
        own=LEAGUE,
        situation=Match(FINISHED[101], LEAGUE, "half"),
    )
    assert "only_a_tie_left" in codes(decision)
    assert decision.spare.value == pytest.approx(0.3 * LEAGUE.strike_probability / 2)


def test_the_last_fill_ball_is_worth_its_pins():
    """After a strike and a seven in the tenth, a spare earns nothing: expected pins decide."""
    state = state_after([*NINE_OPENS, "X", 7])
    decision = decide(state, spare=SPARE, count=COUNT, own=LEAGUE, situation=Score())
    assert decision.value_by_pinfall == pytest.approx([98, 99, 100, 101])
    assert decision.play == "count"
    assert decision.margin == pytest.approx(1.97 - 1.50)
    assert "tenth_frame_fill_ball" in codes(decision)


def test_all_pins_of_a_fill_ball_are_no_mark():
    """Own 98 with three standing and nothing after: 101 wins, 100 ties, and no mark is in it."""
    state = state_after([*NINE_OPENS, "X", 7])
    opponent = state_after([*NINE_OPENS, "X", 9, "-"])
    assert opponent.score == 100
    decision = decide(
        state, spare=SPARE, count=COUNT, own=LEAGUE, situation=Match(opponent, LEAGUE, "half")
    )
    assert reason(decision, "needs_exactly_n").numbers == (("pins", 3), ("one_fewer_ties", 1))
    assert "only_a_mark_can_win" not in codes(decision)
    assert decision.count.value == pytest.approx(0.02 + 0.94 / 2)


@pytest.mark.parametrize("frame", range(1, 11))
def test_a_spare_earns_the_next_first_ball(frame):
    """For the score, a make is worth one pin and the mean of the next first ball over a count one
    short, in every frame: by the rule."""
    state = state_after([3, 4] * (frame - 1) + [7])
    decision = decide(state, spare=SPARE, count=COUNT, own=LEAGUE, situation=Score())
    first = weights_of(LEAGUE).first
    adds = 1 + sum(pins * chance for pins, chance in enumerate(first))
    assert reason(decision, "making_adds")["value"] == pytest.approx(adds, abs=1e-10)
    assert ("foundation_frame" in codes(decision)) == (frame == 9)
    assert ("tenth_frame_mark_earns_ball" in codes(decision)) == (frame == 10)


def test_a_pending_strike_doubles_the_ball():
    decision = decide(
        state_after(["X", 7]), spare=SPARE, count=COUNT, own=LEAGUE, situation=Score()
    )
    zero, one, two, _ = decision.value_by_pinfall
    assert (one - zero, two - one) == pytest.approx((2, 2))
    assert reason(decision, "ball_counts_times")["times"] == 2


def test_current_frame_spare_is_worth_its_own_first_ball():
    decision = decide(
        state_after([7], scoring="current_frame"),
        spare=SPARE,
        count=COUNT,
        own=LEAGUE,
        situation=Score(),
    )
    assert reason(decision, "making_adds")["value"] == pytest.approx(1 + 7)


def test_current_frame_tenth_has_a_mark_but_no_fill_ball():
    """Own 88, a spare gives 98: against 95 only the mark wins, and it wins outright."""
    state = state_after([*NINE_OPENS, 7], scoring="current_frame")
    opponent = state_after([9, "-"] * 9 + [5, "/"], scoring="current_frame")  # 96
    decision = decide(state, spare=SPARE, count=COUNT, own=LEAGUE, situation=Match(opponent, TOUR))
    assert opponent.score == 96
    assert {"only_a_mark_can_win", "spare_wins_outright"} <= set(codes(decision))
    assert "tenth_frame_fill_ball" not in codes(decision)
    assert decision.spare.value == pytest.approx(0.30)


def test_a_margin_below_noise_says_so():
    state = state_after([3, 4] * 4 + [7])
    noisy = Play([0.1, 0.2, 0.5, 0.2], standard_error=0.02)
    close = Play([0.1, 0.2, 0.505, 0.195])
    decision = decide(state, spare=noisy, count=close, own=LEAGUE, situation=Score())
    assert reason(decision, "margin_below_noise")["margin"] == decision.margin
    sharp = decide(
        state,
        spare=Play(noisy.pinfall, standard_error=1e-4),
        count=close,
        own=LEAGUE,
        situation=Score(),
    )
    assert "margin_below_noise" not in codes(sharp)


def test_ahead_and_behind_the_cut():
    state = state_after([7])
    usual, _ = mean_and_sd(final_scores(GameState(), LEAGUE))
    decision = decide(state, spare=SPARE, count=COUNT, own=LEAGUE, situation=Cut(900, 2, 1400, 15))
    best = max(decision.spare, decision.count, key=lambda play: play.value)
    behind = 1400 - (900 + best.expected_score + 2 * usual)
    assert reason(decision, "ahead_of_cut_by")["pins"] == pytest.approx(-behind)


@pytest.mark.parametrize(
    ("rolls", "spare", "message"),
    [
        ([], SPARE, "state is frame 1 with balls \\[\\]; allowed: a state with pins left"),
        (["X"], SPARE, "state is frame 2"),
        (["X"] * 12, SPARE, "state is frame 11"),
        ([8], SPARE, r"spare.pinfall has shape \(4,\); allowed: \(3,\)"),
        ([7], Play([0.5, 0.5, 0.5, 0]), r"spare.pinfall sums to 1.5; allowed: 1"),
        ([7], Play(SPARE.pinfall, -0.1), r"spare.standard_error is -0.1; allowed: 0 to 1"),
    ],
)
def test_bad_questions_are_refused(rolls, spare, message):
    with pytest.raises(ValueError, match=message):
        decide(state_after(rolls), spare=spare, count=COUNT, own=LEAGUE, situation=Score())
