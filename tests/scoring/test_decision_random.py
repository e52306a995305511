"""Spare or count at random states: against listing both plays out, and what every answer keeps."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from leaveline.scoring import (
    TIE_RULES,
    Cut,
    Match,
    Play,
    Score,
    decide,
    state_after,
    strength_of_level,
)
from leaveline.scoring.strength import weights_of

from tests.scoring import witness

LEAGUE, SCRATCH, TOUR = (strength_of_level(level) for level in ("league", "scratch", "tour"))


def listed_scores(pins, pinfall, scoring, strength):
    """Distribution of the final score when the next ball falls like `pinfall`."""
    weights = weights_of(strength)
    scores = [0.0] * 301
    for ball, chance in enumerate(pinfall):
        rest = witness.final_scores([*pins, ball], scoring, weights.first, weights.second)
        scores = [old + chance * new for old, new in zip(scores, rest, strict=True)]
    return scores


def listed_win(own, other, tie_share):
    """Every pair of final scores."""
    total = 0.0
    for mine, chance in enumerate(own):
        for theirs, other_chance in enumerate(other):
            if mine > theirs:
                total += chance * other_chance
            elif mine == theirs:
                total += tie_share * chance * other_chance
    return total


@pytest.mark.parametrize("scoring", ["traditional", "current_frame"])
@given(data=st.data())
@settings(derandomize=True, deadline=None, max_examples=12)
def test_against_both_plays_rolled_out(scoring, data):
    pins = data.draw(witness.leaves_in_frame(scoring, first_frame=10))
    opponent = data.draw(witness.leaves_in_frame(scoring, first_frame=10))
    state = state_after(pins, scoring=scoring)
    plays = {name: data.draw(witness.pinfalls(state.standing)) for name in ("spare", "count")}
    rule = data.draw(st.sampled_from(["half", "lose", "win"]))
    weights = weights_of(SCRATCH)
    other = witness.final_scores(opponent, scoring, weights.first, weights.second)
    share = {"half": 0.5, "lose": 0.0, "win": 1.0}[rule]
    cut = data.draw(st.integers(max(state.score - 5, 0), state.highest_final() + 5))
    expected = {"match": {}, "cut": {}, "score": {}}
    for name, pinfall in plays.items():
        scores = listed_scores(pins, pinfall, scoring, LEAGUE)
        expected["match"][name] = listed_win(scores, other, share)
        expected["cut"][name] = sum(scores[cut:])
        expected["score"][name] = sum(score * chance for score, chance in enumerate(scores))
    situations = {
        "match": Match(state_after(opponent, scoring=scoring), SCRATCH, rule),
        "cut": Cut(0, 0, cut),
        "score": Score(),
    }
    for kind, situation in situations.items():
        decision = decide(
            state,
            spare=Play(plays["spare"]),
            count=Play(plays["count"]),
            own=LEAGUE,
            situation=situation,
        )
        spare, count = expected[kind]["spare"], expected[kind]["count"]
        assert decision.spare.value == pytest.approx(spare, abs=1e-10)
        assert decision.count.value == pytest.approx(count, abs=1e-10)
        if abs(spare - count) > 1e-9:
            assert decision.play == ("spare" if spare > count else "count")
            assert decision.margin == pytest.approx(abs(spare - count), abs=1e-9)


def situations(data, scoring="traditional"):
    """Any situation, its numbers near where they matter."""
    kind = data.draw(st.sampled_from(["match", "cut", "score"]))
    if kind == "match":
        return Match(
            state_after(data.draw(witness.sheets(scoring, least=8)), scoring=scoring),
            data.draw(st.sampled_from([LEAGUE, TOUR])),
            data.draw(st.sampled_from(TIE_RULES)),
            lead_pins=data.draw(st.integers(-60, 60)),
            games_after=data.draw(st.sampled_from([0, 0, 1])),
        )
    if kind == "cut":
        return Cut(
            0,
            data.draw(st.sampled_from([0, 0, 1])),
            data.draw(st.integers(60, 300)),
            data.draw(st.sampled_from([0.0, 8.0])),
        )
    return Score()


def drawn_decision(data):
    """Any decision, and the same question with another make probability for the spare play."""
    first_frame = data.draw(st.integers(1, 10))
    state = state_after(data.draw(witness.leaves_in_frame(first_frame=first_frame)))
    spare, count = (data.draw(witness.pinfalls(state.standing)) for _ in range(2))
    situation = situations(data)

    def with_make(probability):
        rest = [(1 - probability) * value / (1 - spare[-1]) for value in spare[:-1]]
        return decide(
            state,
            spare=Play([*rest, probability]),
            count=Play(count),
            own=SCRATCH,
            situation=situation,
        )

    return state, situation, with_make(spare[-1]), with_make


@given(data=st.data())
@settings(derandomize=True, deadline=None, max_examples=150)
def test_the_answer_flips_where_it_says(data):
    _, _, decision, with_make = drawn_decision(data)
    scale = 300 if decision.maximised == "expected_score" else 1
    if decision.margin <= 1e-12 * scale:  # worth the same already: nothing turns
        assert decision.flips_at is None
        return
    if decision.flips_at is None:
        low, high = with_make(1e-9), with_make(1 - 1e-9)
        if min(low.margin, high.margin) > 1e-8 * scale:
            assert low.play == high.play
        return
    assert with_make(decision.flips_at).margin <= 1e-9 * scale
    below, above = (with_make(decision.flips_at * factor) for factor in (0.99, 1.0))
    assert below.margin >= above.margin - 1e-12 * scale
    if below.margin > 1e-9 * scale:
        assert below.play == "count"
    beyond = with_make((1 + decision.flips_at) / 2)
    if beyond.margin > 1e-9 * scale:
        assert beyond.play == "spare"


@given(data=st.data())
@settings(derandomize=True, deadline=None, max_examples=150)
def test_what_every_decision_keeps(data):
    state, situation, decision, _ = drawn_decision(data)
    values = {"spare": decision.spare.value, "count": decision.count.value}
    other = "count" if decision.play == "spare" else "spare"
    scale = 300 if decision.maximised == "expected_score" else 1
    assert values[decision.play] >= values[other] - 1e-12 * scale
    assert decision.margin == abs(values["spare"] - values["count"])
    assert len(decision.value_by_pinfall) == state.standing + 1
    for fewer, more in pairwise(decision.value_by_pinfall):
        assert more >= fewer - 1e-12 * scale
    for play in (decision.spare, decision.count):
        if isinstance(situation, Match):
            chances = play.chances
            assert chances.win + chances.tie + chances.lose == pytest.approx(1, abs=1e-12)
            assert chances.win - 1e-12 <= play.value <= chances.win + chances.tie + 1e-12
        else:
            assert play.chances is None
