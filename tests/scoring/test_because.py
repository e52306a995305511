"""Reasons and their words: every code has a sentence, and what is called certain is certain."""

import re
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from leaveline.scoring import (
    TIE_RULES,
    Cut,
    GameState,
    Match,
    Play,
    Reason,
    Score,
    decide,
    sentence,
    state_after,
    strength_of_level,
    words,
)
from leaveline.scoring.because import SENTENCES
from leaveline.scoring.reasons import Code

from tests.scoring import witness

LEAGUE = strength_of_level("league")
EVERY_BALL = ([1] * 11, [[1] * (standing + 1) for standing in range(11)])
NINE_OPENS = [9, "-"] * 9


def ask(state, situation, *, spare=(0.2, 0.2, 0.3, 0.3), count=(0.05, 0.1, 0.83, 0.02)):
    return decide(state, spare=Play(spare), count=Play(count), own=LEAGUE, situation=situation)


def test_every_code_has_a_sentence():
    assert set(SENTENCES) == set(get_args(Code))


def test_words_of_a_match():
    decision = ask(
        state_after([*NINE_OPENS, 7]), Match(state_after([*NINE_OPENS, 8, "-"]), LEAGUE, "half")
    )
    # 88 against 89: one pin ties, two win. Count 0.83 + 0.02 + 0.10 / 2, spare 0.6 + 0.2 / 2.
    assert words(decision)[:4] == (
        "Play for the count: it wins the match with 90.0%, the spare with 70.0%.",
        "This ball settles it: it takes at least 2 pins to win the match. One pin fewer can still "
        "tie.",
        "A count of 2 wins the match outright, whatever follows.",
        "The opponent has finished with 89.",
    )


def test_words_of_a_score():
    text = words(ask(state_after([7]), Score()))
    assert text[0].startswith("Play for the spare: the game comes to about ")
    assert text[1].startswith("Against the best count, making it adds ")
    assert text[1].endswith(" pins to the game.")


def test_words_of_equal_plays():
    same = (0.2, 0.2, 0.3, 0.3)
    text = words(ask(state_after([7]), Score(), spare=same, count=same))
    assert text[0] == "Either play will do; by the score, play for the spare."


def test_close_values_are_told_apart():
    """A count made 0.0002 better is not shown as the same percentage."""
    text = words(
        ask(
            state_after([*NINE_OPENS, 7]),
            Cut(0, 0, 90),
            spare=(0.3, 0.2, 0.2, 0.3),
            count=(0.3, 0.1998, 0.2002, 0.3),
        )
    )
    assert text[0] == "Play for the count: it makes the cut with 50.02%, the spare with 50.00%."


@pytest.mark.parametrize(
    ("pins", "text"), [(1, "1 pin behind"), (0.4, "0.4 pins behind"), (23.4, "23 pins behind")]
)
def test_pins_have_their_noun(pins, text):
    numbers = (("pins", pins), ("expected_total", 1.0), ("cut", 2.0))
    assert text in sentence(Reason("behind_cut_by", "cut", numbers))


def drawn_situation(data, state):
    kind = data.draw(st.sampled_from(["match", "match", "cut", "unknown cut", "score"]))
    if kind == "match":
        opponent = data.draw(witness.sheets(least=19))
        return Match(
            state_after(opponent),
            LEAGUE,
            data.draw(st.sampled_from(TIE_RULES)),
            lead_pins=data.draw(st.integers(-40, 40)),
        )
    if kind == "score":
        return Score()
    cut = data.draw(st.integers(max(0, state.score - 2), state.highest_final() + 2))
    return Cut(0, 0, cut, 0.0 if kind == "cut" else 9.0)


@given(data=st.data())
@settings(derandomize=True, deadline=None, max_examples=200)
def test_every_decision_can_be_said(data):
    """Whole sentences, nothing left to fill in, no bare nan."""
    first_frame = data.draw(st.integers(1, 10))
    state = state_after(data.draw(witness.leaves_in_frame(first_frame=first_frame)))
    spare, count = (data.draw(witness.pinfalls(state.standing)) for _ in range(2))
    for text in words(ask(state, drawn_situation(data, state), spare=spare, count=count)):
        assert re.fullmatch(r"[A-Z0-9][^{}]*\.", text)
        assert "nan" not in text.split()


@given(data=st.data())
@settings(derandomize=True, deadline=None, max_examples=100)
def test_certain_and_impossible_are_what_they_say(data):
    """Against every final score both bowlers can still reach, listed by the witness."""
    pins = data.draw(witness.leaves_in_frame(first_frame=10))
    state = state_after(pins)
    standing = state.standing
    opponent = data.draw(witness.leaves_in_frame(first_frame=10))
    if data.draw(st.booleans()):
        while not witness.finished(opponent, "traditional"):
            opponent.append(0)
    lead = state_after(opponent).score - state.score + data.draw(st.integers(-25, 25))
    rule = data.draw(st.sampled_from(TIE_RULES))
    match = Match(state_after(opponent), LEAGUE, rule, lead_pins=lead)
    spare, count = (data.draw(witness.pinfalls(standing)) for _ in range(2))
    found = {one.code: one for one in ask(state, match, spare=spare, count=count).reasons}

    theirs = reachable(opponent)
    after = [{score + lead for score in reachable([*pins, ball])} for ball in range(standing + 1)]
    wins_level = rule == "win"
    certain = [min(mine) + wins_level > max(theirs) for mine in after]
    possible = [max(mine) + wins_level > min(theirs) for mine in after]
    may_tie = [
        rule in ("roll_off", "half") and any(score in theirs for score in mine) for mine in after
    ]

    assert ("already_won" in found) == certain[0]
    hopeless = not possible[-1]
    assert ("out_of_reach" in found or "only_a_tie_left" in found) == hopeless
    if hopeless:
        assert ("only_a_tie_left" in found) == may_tie[-1]
    open_yet = not certain[0] and not hopeless
    assert ("spare_wins_outright" in found) == (open_yet and certain[-1] and not certain[-2])
    assert ("count_wins_outright" in found) == (open_yet and certain[-2])
    if "count_wins_outright" in found:
        assert found["count_wins_outright"]["pins"] == certain.index(True)
    assert ("needs_exactly_n" in found) == (open_yet and certain == possible)
    if "needs_exactly_n" in found:
        assert found["needs_exactly_n"]["pins"] == certain.index(True)
    only_make = open_yet and not possible[-2]
    assert ("only_a_mark_can_win" in found) == (only_make and not state.fill_ball)
    for code, flag in (
        ("needs_exactly_n", "one_fewer_ties"),
        ("needs_at_least_n", "one_fewer_ties"),
        ("only_a_mark_can_win", "count_can_tie"),
    ):
        if code in found:
            needed = possible.index(True)
            assert found[code][flag] == (needed > 0 and may_tie[needed - 1])


def reachable(pins):
    """Every final score this game can still end with."""
    games = witness.whole_games(pins, "traditional", *EVERY_BALL)
    return {witness.final_score(game, "traditional") for game, _ in games}


def test_a_known_cut_says_the_same_as_a_match():
    """Making a cut of 90 and winning against a finished 89 are one thing."""
    state = state_after([*NINE_OPENS, 7])
    match = ask(state, Match(state_after([*NINE_OPENS, 8, "-"]), LEAGUE, "lose"))
    cut = ask(state, Cut(0, 0, 90))
    assert match.spare.value == pytest.approx(cut.spare.value)
    assert match.count.value == pytest.approx(cut.count.value)
    shared = {"needs_exactly_n", "count_wins_outright"}
    assert shared <= {one.code for one in match.reasons}
    assert shared <= {one.code for one in cut.reasons}


def test_lead_and_opponent_are_told():
    decision = ask(state_after([7]), Match(GameState(), LEAGUE, lead_pins=-12, games_after=1))
    found = {one.code: one for one in decision.reasons}
    assert found["behind_before"]["pins"] == 12
    assert found["opponent_heading_for"]["score"] == pytest.approx(176.2, abs=0.1)
    assert found["opponent_heading_for"]["highest_score"] == 300
