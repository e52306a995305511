"""Reasons and their words: every code has a sentence, and what is called certain is certain."""

import re
from decimal import Decimal
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
        "Play for the count: it is worth 90.0 % of the match, the spare 70.0 %, a tie counted as "
        "half a win. The count wins with 85.0 % and ties with 10.0 %, the spare with 60.0 % and "
        "20.0 %.",
        "This ball settles it: it takes at least 2 pins to win the match. One pin fewer can still "
        "tie.",
        "A count of 2 wins the match outright, whatever follows.",
        "The opponent has finished with 89.",
    )


def test_words_of_a_score():
    text = words(ask(state_after([7]), Score()))
    assert text[0].startswith("Play for the spare: the game comes to about ")
    assert text[1].startswith("Against the best count, 2 of the 3 pins felled, making it adds ")
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
    assert text[0] == "Play for the count: it makes the cut with 50.02 %, the spare with 50.00 %."


def said(decision):
    return {one.code: sentence(one) for one in decision.reasons}


def test_where_only_a_tie_is_left_no_win_is_promised():
    """88 with three standing against 101: a spare and a strike tie, nothing wins."""
    opponent = state_after([*NINE_OPENS, "X", "X", "-"])
    half, roll_off = (
        ask(state_after([*NINE_OPENS, 7]), Match(opponent, LEAGUE, rule))
        for rule in ("half", "roll_off")
    )
    # A spare with 0.3, then a strike with 0.36.
    assert words(half)[0] == (
        "Play for the spare: it is worth 5.4 % of the match, the count 0.4 %, a tie counted as "
        "half a win. The spare wins with 0.0 % and ties with 10.8 %, the count with 0.0 % and "
        "0.7 %."
    )
    assert "a win is out of reach, a tie is not" in said(half)["only_a_tie_left"]
    assert "it wins the match, in a roll-off if need be, with" in words(roll_off)[0]
    assert said(roll_off)["only_a_tie_left"].endswith("the match can be won in a roll-off only.")


@pytest.mark.parametrize("rule", TIE_RULES)
def test_ties_are_named_where_they_are_in_the_number(rule):
    """One pin ties, two win (88 against 89): only where a tie is lost does "wins" say it all."""
    text = words(
        ask(state_after([*NINE_OPENS, 7]), Match(state_after([*NINE_OPENS, 8, "-"]), LEAGUE, rule))
    )[0]
    assert ("it wins the match with 85.0 %, the spare with 60.0 %." in text) == (rule == "lose")
    apart = "he count wins with 85.0 % and ties with 10.0 %, the spare with 60.0 % and 20.0 %."
    assert (apart in text) == (rule != "lose")
    assert ("Before any roll-off" in text) == (rule == "roll_off")


def test_the_numbers_of_making_it_subtract():
    """The second number is named, and what is said to be added is the difference of the two."""
    text = said(ask(state_after([3, 4] * 4 + [7]), Match(GameState(), LEAGUE)))["making_adds"]
    found = re.fullmatch(
        r"Against the best count, 2 of the 3 pins felled, making it adds ([\d.]+) %: ([\d.]+) % "
        r"instead of ([\d.]+) %\.",
        text,
    )
    adds, made, short = map(Decimal, found.groups())
    assert adds == made - short > 0


def test_a_single_pin_has_no_best_count():
    decision = ask(state_after([9]), Score(), spare=(0.3, 0.7), count=(0.4, 0.6))
    assert said(decision)["making_adds"].startswith("Against a miss, making it adds ")


def test_no_striking_out_without_a_ball():
    """An open tenth ends the game; an open ninth leaves the tenth to strike out in."""
    opponent = Match(state_after([*NINE_OPENS, 8, "-"]), LEAGUE)
    tenth, ninth = (
        said(ask(state_after(rolls), opponent))["striking_out_reaches"]
        for rolls in ([*NINE_OPENS, 7], [*NINE_OPENS[:-2], 7])
    )
    assert tenth == "The spare and striking out reach 101; the best count ends the game at 90."
    assert ninth == "The spare and striking out reach 122, the best count and striking out 111."


def test_noise_is_compared_with_what_is_shown():
    numbers = (("margin", 0.16), ("standard_error", 0.09))
    assert sentence(Reason("margin_below_noise", "score", numbers)) == (
        "The margin of 0.16 pins is less than two standard errors, 0.18 pins: too close to call."
    )
    numbers = (("margin", 0.0179), ("standard_error", 0.009))
    assert "margin of 1.79 % is less than two standard errors, 1.80 %:" in sentence(
        Reason("margin_below_noise", "match", numbers)
    )


def test_the_cut_is_named_as_it_was_given():
    """600 before, and the last three pins bring this game to 119 at most: a cut of 719.5 is missed
    by half a pin."""
    state = state_after([*NINE_OPENS[:-2], "X", "X", 7])
    best = 600 + 72 + 27 + 20
    text = said(ask(state, Cut(600, 0, best + 0.5), spare=(0, 0, 0.5, 0.5)))
    assert "falls 0.5 pins short" in text["out_of_reach"]
    assert text["behind_cut_by"].endswith(f"behind the cut at {best + 0.5}.")


def test_nothing_turns_where_both_plays_are_the_same():
    same = (0.418, 0.582)
    decision = ask(state_after([9]), Match(GameState(), LEAGUE), spare=same, count=same)
    assert decision.flips_at is None
    assert "flips_at" not in said(decision)


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
        assert not re.search(r"\d%", text)


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
