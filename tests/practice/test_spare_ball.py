"""Comparing balls: against exact scores, and what any fair comparison must do."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from leaveline.delivery import LEVELS, Ball, Release, Rolling
from leaveline.lines import Bowler, solve
from leaveline.pins import ALL_LEAVES, Leave
from leaveline.practice import BallOption, compare_balls, leaves_of, usual_leaves
from leaveline.practice.ball_options import usual_options
from leaveline.practice.leave_mix import PUBLISHED, commonest
from leaveline.practice.spare_ball import pins_of_a_make
from leaveline.scoring import GameState, Strength, final_scores, mean_and_sd

LEAGUE = Bowler(spread=LEVELS["league"])
SCRATCH = Bowler(spread=LEVELS["scratch"])
SOME = {Leave.parse(name): often for name, often in {"10": 1.5, "7": 0.8, "3-10": 0.3}.items()}
NOW, SHARPER = BallOption("now", LEAGUE), BallOption("sharper", SCRATCH)


@settings(max_examples=20)
@given(st.dictionaries(st.sampled_from(ALL_LEAVES), st.floats(0.05, 1.0), min_size=1, max_size=8))
def test_pins_of_a_make_give_the_exact_mean_score(often: dict[Leave, float]) -> None:
    """Any mix of conversions: the exact outlook's mean is the sum of the worths."""
    rng = np.random.default_rng(len(often))
    by_count = np.zeros(11)
    for leave, frequency in often.items():
        by_count[len(leave)] += frequency
    first = by_count[10:0:-1]
    conversions = rng.random(10)
    strikes = 1 - first.sum() / 10
    shares = tuple(first / first.sum())
    none, some = (
        mean_and_sd(final_scores(GameState(), Strength(strikes, shares, tuple(made))))[0]
        for made in (np.zeros(10), conversions)
    )
    worth = pins_of_a_make(often)
    added = sum(worth[10 - pins] * first[pins] * conversions[pins] for pins in range(10)
                if first[pins])  # fmt: skip
    assert some == pytest.approx(none + added, rel=1e-9)


def test_conversions_are_those_of_the_solved_lines() -> None:
    found = compare_balls([NOW, SHARPER], SOME)
    lines = {leave: solve(leave, LEAGUE, limit=1)[0] for leave in SOME}
    for row in found.leaves:
        assert row.make_probabilities[0] == lines[row.leave].make_probability
        assert row.standard_errors[0] == lines[row.leave].standard_error
    made = sum(SOME[leave] * lines[leave].make_probability for leave in SOME) / sum(SOME.values())
    assert found.options[0].conversion.value == pytest.approx(made)
    assert found.leaves_per_game == pytest.approx(2.6)


def test_a_sharper_bowler_gains_and_the_same_one_does_not() -> None:
    found = compare_balls([NOW, SHARPER, BallOption("same", LEAGUE)], SOME)
    now, sharper, same = found.options
    assert (now.gain_pins_per_game.value, now.gain_pins_per_game.high, now.shown) == (0, 0, False)
    assert sharper.shown
    assert sharper.gain_pins_per_game.low > 0
    assert same.gain_pins_per_game.value == 0
    assert not same.shown
    assert "no difference" in same.words
    assert "more than now" in sharper.words
    worth = pins_of_a_make(SOME)
    gained = sum(
        row.leaves_per_game
        * (row.make_probabilities[1] - row.make_probabilities[0])
        * worth[len(row.leave)]
        for row in found.leaves
    )
    assert sharper.gain_pins_per_game.value == pytest.approx(gained)


def test_exchanging_the_options_turns_the_gain_round() -> None:
    one = compare_balls([NOW, SHARPER], SOME).options[1].gain_pins_per_game
    other = compare_balls([SHARPER, NOW], SOME).options[1].gain_pins_per_game
    assert (other.value, other.low, other.high) == pytest.approx((-one.value, -one.high, -one.low))


def test_the_bowlers_own_lean_is_put_aside() -> None:
    def leaning(option: BallOption) -> BallOption:
        return replace(option, bowler=replace(option.bowler, lean_boards=0.55))

    plain = compare_balls([NOW, SHARPER], SOME)
    assert compare_balls([leaning(NOW), leaning(SHARPER)], SOME) == plain


def test_counted_frequencies_and_an_unsure_spread_widen_the_interval() -> None:
    def gain(**known: Any) -> tuple[float, float, float]:
        found = compare_balls([NOW, SHARPER], SOME, **known).options[1].gain_pins_per_game
        return found.value, found.low, found.high

    known, few = gain(), gain(games_counted=4)
    many, unsure = gain(games_counted=400), gain(spread_factors=(1.0, 0.9, 1.1))
    assert known[0] == few[0] == unsure[0]
    assert few[1] < many[1] < known[1] < known[2] < many[2] < few[2]
    assert unsure[1] <= known[1] < known[2] <= unsure[2]


def test_a_left_hander_at_the_mirrored_leaves_gains_the_same() -> None:
    mirrored = {leave.mirror: often for leave, often in SOME.items()}
    left = [BallOption(o.name, replace(o.bowler, hand="left")) for o in (NOW, SHARPER)]
    one, other = compare_balls([NOW, SHARPER], SOME), compare_balls(left, mirrored)
    for ours, theirs in zip(one.options, other.options, strict=True):
        assert theirs.conversion.value == pytest.approx(ours.conversion.value, rel=1e-12)
        assert theirs.gain_pins_per_game.low == pytest.approx(ours.gain_pins_per_game.low)
    assert {row.leave.mirror: row.make_probabilities for row in one.leaves} == {
        row.leave: row.make_probabilities for row in other.leaves
    }


def test_cautions_defer_to_qualified_staff() -> None:
    assert any(
        "qualified staff" in caution for caution in compare_balls([NOW, SHARPER], SOME).cautions
    )


def test_usual_leaves_hold_the_published_counts() -> None:
    """Televised professional finals: of 2781 first balls that did not strike, 710 left the 10."""
    often = usual_leaves(strike_probability=4374 / 7155)
    assert sum(often.values()) == pytest.approx(10 * 2781 / 7155)
    for name, count in PUBLISHED.items():
        assert often[Leave.parse(name)] == pytest.approx(10 * count / 7155)
    assert {leave.mirror: f for leave, f in usual_leaves().items()} == usual_leaves(hand="left")


def test_own_leaves_are_counts_over_games() -> None:
    assert leaves_of({Leave.parse("10"): 6, Leave.parse("7"): 0}, 4) == {Leave.parse("10"): 1.5}
    with pytest.raises(ValueError, match="games is 0; allowed: above 0"):
        leaves_of({}, 0)
    with pytest.raises(ValueError, match="strike_probability is 2"):
        usual_leaves(strike_probability=2)


def test_the_commonest_leaves_and_the_rest_are_all_leaves() -> None:
    mix = usual_leaves()
    kept, left_out = commonest(mix, 10)
    assert len(kept) == 10
    assert min(kept.values()) >= max(often for leave, often in mix.items() if leave not in kept)
    assert sum(kept.values()) + left_out == pytest.approx(sum(mix.values()))
    assert commonest(mix, 100) == (mix, 0.0)


def test_the_usual_options_change_one_thing_each() -> None:
    rolling = Rolling(
        ball=Ball(cover="urethane", surface_grit=500),
        release=Release(speed_mph=17, rev_rate_rpm=250, axis_rotation_deg=45, axis_tilt_deg=12),
    )
    bowler = replace(LEAGUE, rolling=rolling)
    now, polyester, slower, steadier = usual_options(bowler)
    assert now.bowler == bowler
    ball = Ball(cover="polyester")
    assert polyester.bowler == replace(bowler, rolling=replace(rolling, ball=ball))
    release = replace(rolling.release, speed_mph=15)
    assert slower.bowler == replace(bowler, rolling=replace(rolling, release=release))
    assert steadier.bowler == replace(bowler, spread=replace(LEAGUE.spread, rotation_deg=3.0))
    assert [option.name for option in usual_options(LEAGUE)] == ["as now"]
    slow = replace(rolling, ball=ball, release=replace(rolling.release, speed_mph=9))
    assert [option.name for option in usual_options(replace(bowler, rolling=slow))] == [
        "as now", "steadier axis",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("options", "leaves", "more", "says"),
    [
        ([NOW], SOME, {}, "2 to 6 different names"),
        ([NOW, NOW], SOME, {}, "2 to 6 different names"),
        ([NOW, SHARPER], {}, {}, "adds up to 0.0; allowed: above 0"),
        ([NOW, SHARPER], {Leave(1): 11.0}, {}, "leaves_per_game of 1 is 11.0; allowed: 0 to 10"),
        ([NOW, SHARPER], {Leave(1): 6.0, Leave(2): 6.0}, {}, "adds up to 12.0"),
        ([NOW, SHARPER], dict.fromkeys(ALL_LEAVES, 0.001), {}, "1023 leaves; allowed: 60"),
        ([NOW, SHARPER], SOME, {"games_counted": 0}, "games_counted is 0"),
        ([NOW, SHARPER], SOME, {"spread_factors": ()}, "spread_factors are"),
        ([NOW, SHARPER], SOME, {"spread_factors": (9,)}, "spread_factors are"),
        ([NOW, SHARPER], SOME, {"spread_factors": (1, 1, 1, 1)}, "spread_factors are"),
        ([NOW, SHARPER], SOME, {"confidence": 0.1}, "confidence is 0.1"),
    ],
)
def test_what_cannot_be_compared_is_refused(
    options: list[BallOption], leaves: dict[Leave, float], more: dict[str, Any], says: str
) -> None:
    with pytest.raises(ValueError, match=says):
        compare_balls(options, leaves, **more)
