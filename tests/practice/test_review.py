"""Reviews of invented seasons: what was planted is found, what was not is called luck."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from leaveline.delivery import LEVELS
from leaveline.lines import Bowler, Stance, make_probabilities
from leaveline.pins import ALL_LEAVES, Leave
from leaveline.practice import (
    LeaveResult,
    accuracy_of_season,
    fit_accuracy,
    review,
    season_from_csv,
    season_from_rows,
    usual_leaves,
)
from leaveline.practice.drills import drill_for
from leaveline.practice.findings import Review
from leaveline.practice.forward import line_for, table_of
from leaveline.practice.present import PresentShare
from leaveline.practice.verdicts import (
    beyond_luck,
    group_tail_probabilities,
    lean_of,
    tail_probabilities,
)
from scipy.stats import binomtest, ttest_1samp

from tests.practice.synthetic import Row, as_csv, season_rows

SCALE = 1.3
LEAGUE = replace(Bowler(), spread=LEVELS["league"])
TEN, BUCKET = Leave.parse("10"), Leave.parse("2-4-5-8")


@cache
def chance(leave: Leave, lean: float = 0.0) -> float:
    line = line_for(leave, LEAGUE, target_boards=SCALE)
    return table_of(leave, LEAGUE, line).at(SCALE, lean)


def planted(weak: Leave, share: float, games: int, seed: int) -> Review:
    """A review of a league bowler who makes one leave at a share of what the accuracy makes."""
    rows = season_rows(
        games, lambda leave: chance(leave) * (share if leave == weak else 1), seed=seed
    )
    return review(season_from_rows(rows), level="league")


def of_leave(found: Review, leave: Leave) -> Any:
    return next(one for one in found.leaves if one.leave == leave)


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("weak", ["10", "3-6-10", "6-10"])
def test_a_planted_weakness_is_found_first(weak: str, seed: int) -> None:
    leave = Leave.parse(weak)
    found = planted(leave, 0.5, 300, seed)
    first = found.practice[0]
    assert (first.leave, first.kind) == (leave, "weakness")
    assert of_leave(found, leave).verdict == "skill"
    assert first.gain_pins_per_game.low <= first.gain_pins_per_game.value
    assert first.gain_pins_per_game.value <= first.gain_pins_per_game.high
    gains = [item.gain_pins_per_game.value for item in found.practice]
    assert gains == sorted(gains, reverse=True)
    assert first.of_gap_pins_per_game > 0.5 * first.gain_pins_per_game.value
    assert f"Throw {first.drill.throws} balls at the {weak}" in first.words


def test_a_planted_strength_is_called_one() -> None:
    rows = season_rows(
        300, lambda leave: min(0.97, chance(leave) * (1.5 if leave == TEN else 1)), seed=5
    )
    found = review(season_from_rows(rows), LEVELS["league"])
    assert of_leave(found, TEN).verdict == "above"


def test_an_honest_season_is_luck_at_nearly_every_leave() -> None:
    """The accuracy known and right: of so many leaves hardly one may be called odd."""
    odd = looked_at = 0
    for seed in range(6):
        rows = season_rows(150, chance, seed=seed)
        found = review(season_from_rows(rows), LEVELS["league"])
        odd += sum(one.verdict != "luck" for one in found.leaves)
        looked_at += len(found.leaves)
    assert looked_at > 200
    assert odd <= 3


def test_the_seasons_own_accuracy_is_fitted_where_none_is_given() -> None:
    rows = season_rows(250, chance, seed=11)
    found = review(season_from_rows(rows), level="league", confidence=0.95)
    accuracy = found.accuracy
    assert not isinstance(accuracy, type(LEVELS["league"]))
    assert accuracy.target_boards.low <= SCALE <= accuracy.target_boards.high
    everything = next(group for group in found.groups if group.kind == "all")
    assert everything.verdict == "luck"
    assert everything.expected_made == pytest.approx(everything.made, rel=0.1)


def test_pins_lost_and_attempts_add_up() -> None:
    rows = season_rows(40, chance, seed=12)
    for row in rows[::7]:
        row.pop("leave", None)
    season = season_from_rows(rows)
    found = review(season, LEVELS["league"])
    assert found.pins_lost_per_game == pytest.approx(
        sum(one.pins_lost_per_game for one in found.leaves)
        + found.unknown_leaves_pins_lost_per_game
    )
    thrown = sum(frame.made is not None for frame in season.frames)
    assert sum(one.attempts for one in found.leaves) + found.unknown_leaves == thrown
    by_category = [group for group in found.groups if group.kind == "category"]
    assert sum(group.attempts for group in by_category) == sum(o.attempts for o in found.leaves)
    scores = [game.score for game in season.complete_games]
    assert found.average == pytest.approx(np.mean([s for s in scores if s is not None]))


def test_a_lean_at_one_leave_is_a_matter_of_line() -> None:
    """Makes and recorded misses at the 10 pin both come from throws that lean a board right."""

    def about(rng: np.random.Generator, leave: Leave) -> Row:
        return {"missed_target_by_boards": round(rng.normal(1.2 if leave == TEN else 0, SCALE))}

    rows = season_rows(
        300,
        lambda leave: chance(leave, 1.2) if leave == TEN else chance(leave),
        seed=13,
        about_the_ball=about,
    )
    found = review(season_from_rows(rows), LEVELS["league"])
    ten = of_leave(found, TEN)
    assert ten.lean.side == "right"
    assert ten.verdict == "line"
    item = next(item for item in found.practice if item.leave == TEN)
    assert item.kind == "line"
    assert "to the right" in item.words


def test_a_poor_line_is_named() -> None:
    line = line_for(BUCKET, LEAGUE, target_boards=SCALE)
    poor = {"lay_down_board": line.lay_down_board, "target_board": line.target_board + 1.5}
    often = usual_leaves() | {BUCKET: 0.8}
    made = make_probabilities(
        BUCKET,
        LEAGUE,
        lay_down_board=poor["lay_down_board"],
        target_boards=np.array([poor["target_board"]]),
    )[0]
    rows = season_rows(
        200,
        lambda leave: float(made) if leave == BUCKET else chance(leave),
        seed=14,
        mix=often,
        about_the_ball=lambda _, leave: poor if leave == BUCKET else {},
    )
    found = review(season_from_rows(rows), LEVELS["league"])
    bucket = of_leave(found, BUCKET)
    assert bucket.cost_of_lines > 0.05
    assert bucket.verdict == "line"
    assert next(item for item in found.practice if item.leave == BUCKET).kind == "line"


def test_the_fit_takes_makes_as_thrown_on_the_lines_recorded() -> None:
    """All 10 pins thrown at two boards off: the spread is no wider for it."""
    line = line_for(TEN, LEAGUE, target_boards=SCALE)
    thrown = {"lay_down_board": line.lay_down_board, "target_board": line.target_board + 2}
    made = make_probabilities(
        TEN,
        LEAGUE,
        lay_down_board=thrown["lay_down_board"],
        target_boards=np.array([thrown["target_board"]]),
        seed=7,
    )[0]
    assert made < chance(TEN) - 0.1
    often = {TEN: 3.0, Leave.parse("9"): 0.5}
    rows = season_rows(
        300,
        lambda leave: float(made) if leave == TEN else chance(leave),
        seed=23,
        mix=often,
        about_the_ball=lambda _, leave: thrown if leave == TEN else {},
    )
    bare = [{name: row[name] for name in row if not name.endswith("_board")} for row in rows]
    recorded = accuracy_of_season(season_from_rows(rows), confidence=0.99)
    assert recorded.target_boards.value == pytest.approx(SCALE, rel=0.12)
    assert {one.result.leave for one in recorded.fitted} == set(often)
    assert accuracy_of_season(season_from_rows(bare)).target_boards.value > SCALE * 1.15


def test_lines_alike_to_half_a_board_are_one_and_their_mean_stands_for_them() -> None:
    best = line_for(TEN, LEAGUE, target_boards=SCALE)
    lay_down, target = round(2 * best.lay_down_board) / 2, round(2 * best.target_board) / 2
    boards = [(0.0, 0.2), (0.0, 0.2), (0.1, 0.1), (0.2, -0.1), (-4.0, -3.0)]
    rows = [
        {
            "leave": "10",
            "made": "yes" if place else "no",
            "lay_down_board": round(lay_down + more, 1),
            "target_board": round(target + over, 1),
        }
        for place, (more, over) in enumerate(boards)
    ]
    (one,) = accuracy_of_season(season_from_rows(rows)).fitted
    assert one.lay_down_board == pytest.approx(lay_down + 0.1)
    assert one.target_board == pytest.approx(target + 0.1)
    assert one.result.attempts == 5
    assert not one.line_assumed


def test_a_lean_of_all_throws_is_something_to_practise() -> None:
    def about(rng: np.random.Generator, _: Leave) -> Row:
        return {"missed_target_by_boards": round(rng.normal(-0.9, SCALE))}

    rows = season_rows(100, lambda leave: chance(leave, -0.9), seed=15, about_the_ball=about)
    found = review(season_from_rows(rows))
    assert found.lean is not None
    assert found.lean.side == "left"
    aim = next(item for item in found.practice if item.kind == "aim")
    assert "lean 0.9 boards to the left" in aim.words
    assert "to the right" in aim.words


def test_big_splits_are_not_worth_practising_and_corner_pins_have_their_row() -> None:
    found = review(season_from_rows(season_rows(200, chance, seed=16)), LEVELS["league"])
    skipped = {str(one.leave) for one in found.not_worth_practising}
    assert {"7-10", "4-6-7-10"} <= skipped
    assert not skipped & {str(item.leave) for item in found.practice}
    corner = next(group for group in found.groups if group.kind == "corner_pins")
    assert corner.attempts == sum(of_leave(found, Leave.parse(pin)).attempts for pin in ("7", "10"))
    assert {one.hit for one in found.first_ball} == {"high", "light"}


def test_balls_are_told_apart() -> None:
    """One ball is given six tenths of the other's makes."""
    rows = []
    for seed, (name, share) in enumerate((("plastic", 1.0), ("strike", 0.6))):
        made = {leave: share * chance(leave) for leave in usual_leaves()}
        for row in season_rows(100, made.__getitem__, seed=seed):
            rows.append(row | {"game": f"{name} {row['game']}", "ball": name})
    found = review(season_from_rows(rows), LEVELS["league"])
    balls = {group.name: group for group in found.groups if group.kind == "ball"}
    assert balls["plastic"].verdict == "luck"
    assert balls["strike"].verdict == "skill"


def test_a_left_hander_gets_the_mirror_image() -> None:
    rows = season_rows(60, chance, seed=18)
    mirrored = [
        row | ({"leave": str(Leave.parse(row["leave"]).mirror)} if "leave" in row else {})
        for row in rows
    ]
    right = review(season_from_rows(rows), LEVELS["league"], bowler=Bowler(hand="right"))
    left = review(season_from_rows(mirrored), LEVELS["league"], bowler=Bowler(hand="left"))
    assert {(one.leave.mirror, one.verdict, one.pins_lost) for one in left.leaves} == {
        (one.leave, one.verdict, one.pins_lost) for one in right.leaves
    }
    drills = [(i.leave, i.drill.lay_down_board, i.drill.target_board) for i in right.practice]
    assert drills == [
        (i.leave.mirror, i.drill.lay_down_board, i.drill.target_board) for i in left.practice
    ]
    assert [one.count for one in right.first_ball] == [one.count for one in left.first_ball]
    assert [set(one.leaves) for one in right.first_ball] == [
        {leave.mirror for leave in one.leaves} for one in left.first_ball
    ]


def test_the_stance_sets_where_the_drill_stands() -> None:
    season = season_from_rows(season_rows(20, chance, seed=19))
    stance = Stance(lay_down_offset_boards=9.0, drift_boards=2.0)
    found = review(season, LEVELS["league"], bowler=Bowler(stance=stance))
    for item in found.practice:
        assert item.drill.stand_board == item.drill.lay_down_board + 7.0


def test_same_season_same_review() -> None:
    content = as_csv(season_rows(15, chance, seed=20)).encode()
    one, other = (review(season_from_csv(content), level="league") for _ in range(2))
    assert one.leaves == other.leaves
    assert one.practice == other.practice
    assert one.groups == other.groups


@pytest.mark.parametrize(
    "rows",
    [
        [],
        [{"rolls": "X"}],
        [{"rolls": "9 9"}],
        [{"leave": "10", "made": "yes"}],
        [{"leave": "7-10", "made": "no"}] * 3,
        [{"game": "1", "frame": n, "rolls": "X" if n < 10 else "XXX"} for n in range(1, 11)],
        [{"rolls": "9/"}, {"rolls": "-/"}],
    ],
)
def test_little_or_nothing_is_reviewed_all_the_same(rows: list[Row]) -> None:
    found = review(season_from_rows(rows))
    assert found.cautions
    assert found.games == len(found.season.frames) / 10
    for one in found.leaves:
        assert one.words


def test_what_could_not_be_read_is_said() -> None:
    content = as_csv([*season_rows(1, chance, seed=21), {"rolls": "ä"}]).encode("latin-1")
    said = " ".join(review(season_from_csv(content), LEVELS["league"]).cautions)
    assert "1 row could not be read" in said
    assert "Only 10 frames read" in said
    assert "Latin-1" in said


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ({"confidence": 1.0}, "confidence is 1.0; allowed: 0.5 to 0.99"),
        ({"drill_confidence": 0.2}, "drill_confidence is 0.2"),
        ({"limit": 0}, "limit is 0; allowed: 1 to 20"),
    ],
)
def test_arguments_out_of_range_are_refused(arguments: dict[str, Any], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        review(season_from_rows([]), **arguments)


@pytest.mark.parametrize("confidence", [0.8, 0.9, 0.95])
@pytest.mark.parametrize("share", [0.3, 0.6, 0.85])
def test_the_score_of_a_drill_is_that_of_a_binomial_test(share: float, confidence: float) -> None:
    """scipy.stats.binomtest, one-sided, the present share known."""
    line = line_for(TEN, LEAGUE, target_boards=SCALE)
    known = PresentShare(np.array([share]), np.array([1.0]))
    drill = drill_for(TEN, line, known, min(0.99, share + 0.12), confidence=confidence)
    assert drill.score is not None
    at_score, below = (
        binomtest(makes, drill.throws, share, alternative="greater").pvalue
        for makes in (drill.score, drill.score - 1)
    )
    assert at_score <= 1 - confidence < below


def test_a_drill_no_score_of_which_would_show_anything_says_so() -> None:
    line = line_for(TEN, LEAGUE, target_boards=SCALE)
    sure = PresentShare(np.array([0.999]), np.array([1.0]))
    drill = drill_for(TEN, line, sure, 1.0, confidence=0.9)
    assert drill.score is None
    assert "cannot show improvement" in drill.words


def test_few_misses_at_a_rare_leave_are_no_weakness_and_many_are() -> None:
    expected = np.full(5, 0.6)
    assert PresentShare.of(0, 2, expected).mean == pytest.approx(0.6, abs=0.1)
    assert PresentShare.of(10, 50, expected).mean == pytest.approx(0.22, abs=0.04)
    low, high = PresentShare.of(30, 50, expected).interval(0.8)
    assert low <= 0.6 <= high


@pytest.mark.parametrize("expected", [0.0, 1e-300, 1.0])
def test_a_leave_nothing_makes_has_a_present_share_too(expected: float) -> None:
    for made in (0, 500):
        share = PresentShare.of(made, 500, np.full(3, expected))
        assert 0 <= share.mean <= 1
        assert share.weights.sum() == pytest.approx(1)


def test_tails_of_a_known_chance_are_the_binomials() -> None:
    """scipy.stats.binomtest; for several leaves together the sum of them, nearly normal."""
    few, many = tail_probabilities(12, 20, np.full(3, 0.8))
    assert few == pytest.approx(binomtest(12, 20, 0.8, alternative="less").pvalue)
    assert many == pytest.approx(binomtest(12, 20, 0.8, alternative="greater").pvalue)
    few, _ = group_tail_probabilities(110, [100, 100], [np.full(3, 0.6)] * 2)
    assert few == pytest.approx(binomtest(110, 200, 0.6, alternative="less").pvalue, rel=0.05)


def test_lean_is_students_t() -> None:
    """scipy.stats.ttest_1samp."""
    misses = [1.0, 0.0, 2.0, 1.0, -1.0, 1.0, 2.0]
    lean = lean_of(misses, confidence=0.9)
    theirs = ttest_1samp(misses, 0).confidence_interval(0.9)
    assert lean is not None
    assert (lean.low_boards, lean.high_boards) == pytest.approx((theirs.low, theirs.high))
    assert lean.side == "right"
    assert lean_of(misses[:1], confidence=0.9) is None
    four = lean_of([1.0, 1.0, 1.0, 1.1], confidence=0.9)
    assert four is not None
    assert four.side == "neither"


def test_false_discoveries_are_held() -> None:
    """Benjamini and Hochberg by hand: k-th smallest of m at most k q / m."""
    assert beyond_luck([]) == []
    assert beyond_luck([0.04, 0.9, 0.9, 0.9]) == [False] * 4
    assert beyond_luck([0.02, 0.04, 0.9, 0.9]) == [True, True, False, False]


def test_nobody_is_promised_more_than_every_spare() -> None:
    """A leave always made, far above the accuracy: only the last misses are to be gained."""
    season = season_from_rows([{"leave": "10", "made": True}] * 500)
    found = review(season, LEVELS["casual"])
    assert of_leave(found, TEN).verdict == "above"
    for item in found.practice:
        assert item.kind == "sharpness"
        assert item.drill.goal_probability <= 1
        # Ten attempts in ten frames, and a make is worth less than eleven pins.
        left = 1 - item.drill.present_probability
        assert item.gain_pins_per_game.value <= 10 * 11 * left
        assert "more than this accuracy makes" in item.words


def test_rare_leaves_beyond_the_limit_are_counted_but_not_judged() -> None:
    rows = [{"leave": str(leave), "made": True} for leave in ALL_LEAVES[:150]]
    found = review(season_from_rows([*rows, *rows[:120]]), LEVELS["league"])
    judged = [one for one in found.leaves if one.expected is not None]
    assert (len(found.leaves), len(judged)) == (150, 120)
    assert all("too rare to be judged" in o.words for o in found.leaves if o.expected is None)


def test_the_bowlers_own_lean_is_put_aside() -> None:
    season = season_from_rows(season_rows(5, chance, seed=23))
    for accuracy in (None, LEVELS["scratch"]):
        plain = review(season, accuracy, bowler=Bowler())
        leaning = review(season, accuracy, bowler=Bowler(lean_boards=0.55))
        assert leaning.leaves == plain.leaves
        assert leaning.groups == plain.groups
        assert leaning.practice == plain.practice


def test_a_given_accuracy_is_used_as_it_is() -> None:
    fitted = fit_accuracy([LeaveResult(TEN, 200, 120)], bowler=Bowler(hand="left"))
    found = review(season_from_rows(season_rows(5, chance, seed=22)), fitted)
    assert found.accuracy is fitted
    lay_down = of_leave(found, found.leaves[0].leave).line.lay_down_board
    assert (
        lay_down
        == line_for(
            found.leaves[0].leave, fitted.bowler, target_boards=fitted.target_boards.value
        ).lay_down_board
    )
