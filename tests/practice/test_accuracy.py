"""Known bowlers are recovered, closed forms are met, and little data stays little.

The synthetic bowlers' makes come from the model asked directly, with another set of throws than
the fit's own tables and without interpolation.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from leaveline.delivery import LEVELS
from leaveline.lines import Bowler, make_probabilities
from leaveline.pins import Leave
from leaveline.practice import LeaveResult, fit_accuracy
from leaveline.practice.accuracy import TOLD_APART_LOG
from leaveline.practice.forward import line_for, spread_in_proportion
from leaveline.practice.more_throws import MOST_WORTH_NAMING
from leaveline.practice.posterior import (
    LEAN_PRIOR_FREEDOM,
    LEAN_PRIOR_SHARE,
    LEVEL_PRIOR_LOG,
    BinnedMisses,
)
from scipy.stats import binom, chi2, norm

TEN, SEVEN, NINE, BEDPOSTS = (Leave.parse(name) for name in ("10", "7", "9", "7-10"))
SCALE = 1.3


@cache
def boards(leave: Leave) -> tuple[float, float]:
    line = line_for(leave, Bowler(), target_boards=SCALE)
    return line.lay_down_board, line.target_board


def true_chance(leave: Leave, scale: float, lean: float) -> float:
    return chance_on(leave, boards(leave), scale, lean)


def chance_on(leave: Leave, line: tuple[float, float], scale: float, lean: float) -> float:
    lay_down, target = line
    bowler = replace(Bowler(), spread=spread_in_proportion(scale))
    aimed = np.array([target - lean])
    return float(
        make_probabilities(leave, bowler, lay_down_board=lay_down, target_boards=aimed, seed=11)[0]
    )


def result(
    rng: np.random.Generator, leave: Leave, throws: int, scale: float, lean: float
) -> LeaveResult:
    made = int(rng.binomial(throws, true_chance(leave, scale, lean)))
    return LeaveResult(leave, throws, made, *boards(leave))


def rounded_misses(
    rng: np.random.Generator, throws: int, scale: float, lean: float, step: float = 1.0
) -> list[float]:
    return (np.round(rng.normal(lean, scale, throws) / step) * step).tolist()


def even_misses(throws: int, scale: float, lean: float) -> list[float]:
    """Misses of exactly this mean and deviation, spaced as a normal's quantiles, to a tenth."""
    ideal = norm.ppf((np.arange(throws) + 0.5) / throws)
    misses: list[float] = np.round(lean + scale * ideal / ideal.std(), 1).tolist()
    return misses


def codes(fit: Any) -> set[str]:
    return {reason.code for reason in fit.reasons}


def within_counting(hits: int, of: int, rate: float) -> bool:
    """Whether a count agrees with a rate: two-sided, one chance in a thousand to be wrong."""
    low, high = binom.ppf([0.0005, 0.9995], of, rate)
    return bool(low <= hits <= high)


def test_coverage_over_bowlers_drawn_from_the_prior() -> None:
    """The posterior's interval holds the truth as often as it says, whoever the bowler is."""
    rng = np.random.default_rng(1)
    trials, confidence = 200, 0.8
    scales = leans = 0
    for _ in range(trials):
        scale = float(np.exp(rng.normal(math.log(SCALE), LEVEL_PRIOR_LOG)))
        scale = min(max(scale, 0.26), 4.9)
        lean = LEAN_PRIOR_SHARE * scale * float(rng.standard_t(LEAN_PRIOR_FREEDOM))
        lean = min(max(lean, -9.9), 9.9)
        fit = fit_accuracy(
            [result(rng, leave, 40, scale, lean) for leave in (TEN, SEVEN)],
            target_misses_boards=rounded_misses(rng, 10, scale, lean),
            level="league",
            confidence=confidence,
        )
        scales += fit.target_boards.low <= scale <= fit.target_boards.high
        leans += fit.lean_boards.low <= lean <= fit.lean_boards.high
    assert within_counting(scales, trials, confidence)
    assert within_counting(leans, trials, confidence)


@pytest.mark.parametrize(
    ("method", "confidence"), [("posterior", 0.8), ("posterior", 0.95), ("likelihood", 0.9)]
)
def test_coverage_for_one_bowler_over_many_seeds(method: Any, confidence: float) -> None:
    """With sixty throws the prior hardly matters, and the interval holds for a fixed truth too."""
    scale, lean, trials = 1.1, 0.4, 150
    rng = np.random.default_rng(2)
    scales = leans = 0
    for _ in range(trials):
        fit = fit_accuracy(
            [result(rng, TEN, 60, scale, lean), result(rng, NINE, 30, scale, lean)],
            target_misses_boards=rounded_misses(rng, 60, scale, lean),
            method=method,
            confidence=confidence,
        )
        scales += fit.target_boards.low <= scale <= fit.target_boards.high
        leans += fit.lean_boards.low <= lean <= fit.lean_boards.high
    assert within_counting(scales, trials, confidence)
    assert within_counting(leans, trials, confidence)


def test_makes_and_attempts_alone_recover_the_spread() -> None:
    """Where no lean is looked for; else a lean of either side explains the same misses, and the
    interval reaches far down to the spreads that go with one, but holds the truth."""
    rng = np.random.default_rng(3)
    for scale in (0.5, 0.65, 1.3, 1.9):
        throws = [result(rng, leave, 400, scale, 0.0) for leave in (TEN, SEVEN, NINE)]
        fit = fit_accuracy(throws, confidence=0.99, with_lean=False)
        assert fit.can_tell
        assert fit.target_boards.low <= scale <= fit.target_boards.high
        assert fit.target_boards.value == pytest.approx(scale, rel=0.08)
        leaning = fit_accuracy(throws, confidence=0.99)
        assert leaning.target_boards.low <= scale <= leaning.target_boards.high
        assert leaning.target_boards.low < fit.target_boards.low
        assert leaning.lean_boards.low <= 0 <= leaning.lean_boards.high
        # Without lines the best ones for the fitted spread are assumed: nearly the same answer.
        unlined = [LeaveResult(one.leave, one.attempts, one.made) for one in throws]
        again = fit_accuracy(unlined, confidence=0.99, with_lean=False)
        assert again.target_boards.value == pytest.approx(fit.target_boards.value, rel=0.08)
        assert all(one.line_assumed for one in again.fitted)
        assert not any(one.line_assumed for one in fit.fitted)


@pytest.mark.parametrize("kind", ["makes", "misses"])
def test_estimates_tighten_with_the_square_root_of_the_throws(kind: str) -> None:
    rng = np.random.default_rng(4)
    widths = []
    for throws in (100, 400, 1600):
        width = []
        for _ in range(12):
            if kind == "makes":
                given: dict[str, Any] = {
                    "results": [result(rng, leave, throws, SCALE, 0.0) for leave in (TEN, SEVEN)]
                }
            else:
                given = {"target_misses_boards": rounded_misses(rng, throws, SCALE, 0.0)}
            fit = fit_accuracy(**given, with_lean=kind == "misses")
            width.append(math.log(fit.target_boards.high / fit.target_boards.low))
        widths.append(np.mean(width))
    assert widths[0] / widths[1] == pytest.approx(2.0, rel=0.12)
    assert widths[1] / widths[2] == pytest.approx(2.0, rel=0.12)


def test_a_lean_is_found_where_it_is_and_not_where_it_is_not() -> None:
    rng = np.random.default_rng(5)
    found = dict.fromkeys((-0.8, 0.0, 0.8), 0)
    seeds = 60
    for lean in found:
        for _ in range(seeds):
            fit = fit_accuracy(target_misses_boards=rounded_misses(rng, 40, SCALE, lean))
            found[lean] += fit.lean_shown and (fit.lean_boards.value > 0) == (lean >= 0)
    assert found[0.8] > 0.9 * seeds
    assert found[-0.8] > 0.9 * seeds
    # Half of the one in twenty false alarms point to the right; binomial, one in a thousand.
    assert found[0.0] <= binom.ppf(0.999, seeds, 0.05)


@pytest.mark.parametrize("leave", [TEN, SEVEN, NINE], ids=str)
@pytest.mark.parametrize("lean", [0.7, -0.7])
def test_makes_on_two_lines_tell_a_lean_to_the_right_from_one_to_the_left(
    leave: Leave, lean: float
) -> None:
    """Aimed half a board to either side of the best line, a lean helps one and spoils the other."""
    rng = np.random.default_rng(6)
    lay_down, best = boards(leave)
    throws = []
    for aside in (-0.5, 0.5):
        line = lay_down, best + aside
        made = int(rng.binomial(1500, chance_on(leave, line, 0.65, lean)))
        throws.append(LeaveResult(leave, 1500, made, *line))
    fit = fit_accuracy(throws, confidence=0.95)
    assert fit.can_tell
    assert fit.lean_shown
    assert fit.lean_boards.value == pytest.approx(lean, abs=0.1)
    assert fit.target_boards.value == pytest.approx(0.65, rel=0.1)


def test_makes_on_the_best_lines_hardly_part_a_lean_from_a_wider_spread() -> None:
    """A best line has about as much room on either side, so a lean only makes it miss more often.

    Even 1500 throws at each of three pins leave more than a quarter of a board of doubt of the
    lean, and the interval says so; with as little as one miss in a hundred written down it is half
    as wide.
    """
    rng = np.random.default_rng(6)
    throws = [result(rng, leave, 1500, 0.65, 0.7) for leave in (TEN, SEVEN, NINE)]
    fit = fit_accuracy(throws, confidence=0.99)
    told = fit_accuracy(throws, target_misses_boards=even_misses(45, 0.65, 0.7), confidence=0.99)
    for one in (fit, told):
        assert one.lean_boards.low <= 0.7 <= one.lean_boards.high
        assert one.target_boards.low <= 0.65 <= one.target_boards.high
    doubt, doubt_told = (one.lean_boards.high - one.lean_boards.low for one in (fit, told))
    assert doubt > 0.25
    assert doubt_told < doubt / 2
    assert told.lean_shown


@pytest.mark.parametrize("share", [2.0, 3.0, 4.0])
def test_a_lean_of_several_spreads_hardly_widens_the_spread(share: float) -> None:
    """The density of a Student t over the lean, per board, goes as spread^-1 at no lean and as
    spread^freedom far out; the likelihood of n misses goes as spread^-n near its top. So n throws
    bring the spread out wider by about (freedom + 1) / 2 n, however far they lean."""
    throws = 60
    for scale in (0.6, 1.1):
        straight = fit_accuracy(target_misses_boards=even_misses(throws, scale, 0.0))
        fit = fit_accuracy(target_misses_boards=even_misses(throws, scale, share * scale))
        assert fit.can_tell
        assert not fit.reasons
        wider = fit.target_boards.value / straight.target_boards.value
        assert 1 < wider < 1 + 1.2 * (LEAN_PRIOR_FREEDOM + 1) / (2 * throws)
        assert wider < 1.06
        assert fit.target_boards.low < scale < fit.target_boards.high
        # Its logarithm slopes by at most (freedom + 1) / lean, against n / spread^2 of the throws.
        drawn_in = (LEAN_PRIOR_FREEDOM + 1) * scale / (share * throws)
        assert fit.lean_boards.value == pytest.approx(share * scale, abs=1.2 * drawn_in)


@pytest.mark.parametrize("share", [2.0, 3.0])
def test_coverage_at_leans_of_several_spreads(share: float) -> None:
    scale, trials, confidence = 0.7, 150, 0.8
    rng = np.random.default_rng(12)
    scales = leans = 0
    for _ in range(trials):
        misses = rounded_misses(rng, 60, scale, share * scale, step=0.5)
        fit = fit_accuracy(target_misses_boards=misses, confidence=confidence)
        scales += fit.target_boards.low <= scale <= fit.target_boards.high
        leans += fit.lean_boards.low <= share * scale <= fit.lean_boards.high
    assert within_counting(scales, trials, confidence)
    assert within_counting(leans, trials, confidence)


@pytest.mark.parametrize(("lean", "scale"), [(3.6, 0.6), (4.96, 0.55), (-8.5, 1.0)])
def test_a_large_lean_is_not_cut_off(lean: float, scale: float) -> None:
    fit = fit_accuracy(target_misses_boards=even_misses(60, scale, lean))
    assert fit.can_tell
    assert not fit.reasons
    assert fit.lean_boards.low < lean < fit.lean_boards.high
    assert fit.target_boards.value == pytest.approx(scale, rel=0.09)


@pytest.mark.parametrize(
    ("lean", "scale", "code"),
    [
        (1.72, 6.85, "no_highest"),
        (0.0, 4.8, "no_highest"),
        (9.9, 0.6, "no_lean_end"),
        (12.0, 0.6, "no_lean_end"),
        (-15.0, 2.0, "no_lean_end"),
        (0.3, 0.05, "no_lowest"),
    ],
)
@pytest.mark.parametrize("method", ["posterior", "likelihood"])
def test_what_may_lie_beyond_the_range_is_not_told(
    lean: float, scale: float, code: str, method: Any
) -> None:
    """Spreads of 0.25 to 5 boards and leans of 10 are looked at; farther off, nothing is sure."""
    fit = fit_accuracy(target_misses_boards=even_misses(60, scale, lean), method=method)
    assert not fit.can_tell
    assert code in codes(fit)
    assert "few_throws" not in codes(fit)
    assert next(reason for reason in fit.reasons if reason.code == code).words in fit.words
    assert not fit.more_throws


def test_a_single_miss_beyond_the_largest_lean_says_so() -> None:
    assert "no_lean_end" in codes(fit_accuracy(target_misses_boards=[12.0]))
    assert "no_lean_end" not in codes(fit_accuracy(target_misses_boards=[12.0], with_lean=False))


def test_none_made_is_a_lean_to_either_side_or_a_wide_spread_and_tells_neither() -> None:
    fit = fit_accuracy([LeaveResult(TEN, 1000, 0)])
    assert not fit.can_tell
    assert "few_throws" in codes(fit)
    assert fit.lean_boards.low < -5
    assert fit.lean_boards.high > 5
    assert fit.target_boards.high / fit.target_boards.low > 3


def test_a_thin_ridge_is_weighed_as_on_a_finer_grid(monkeypatch: pytest.MonkeyPatch) -> None:
    """100,000 makes and misses at one leave fix one curve of spread and lean, and nothing else."""
    thrown = [LeaveResult(TEN, 100_000, 60_000, *boards(TEN))]
    fit = fit_accuracy(thrown)
    monkeypatch.setattr("leaveline.practice.posterior.CELLS", 601)
    finer = fit_accuracy(thrown)
    for one, other in zip(
        (fit.target_boards, fit.lean_boards), (finer.target_boards, finer.lean_boards), strict=True
    ):
        assert (one.value, one.low, one.high) == pytest.approx(
            (other.value, other.low, other.high), abs=0.005
        )


@pytest.mark.parametrize("throws", [2000, 20_000])
def test_a_narrow_peak_far_out_is_found(throws: int) -> None:
    """Far narrower than the cells of the first grid, wherever between them it lies."""
    for lean in (3.14, -6.27, 8.03):
        misses = even_misses(throws, 0.5, lean)
        fit = fit_accuracy(target_misses_boards=misses)
        assert fit.lean_boards.value == pytest.approx(np.mean(misses), abs=0.002)
        assert fit.target_boards.value == pytest.approx(0.5, rel=0.01)


def test_the_bowlers_own_lean_is_put_aside() -> None:
    """A line given is where the ball was aimed; the lean found is the whole of it."""
    thrown = [LeaveResult(TEN, 200, 120, *boards(TEN)), LeaveResult(SEVEN, 50, 40)]
    misses = [1.0, 0.0, 2.0, 1.0]
    plain = fit_accuracy(thrown, target_misses_boards=misses)
    leaning = fit_accuracy(thrown, target_misses_boards=misses, bowler=Bowler(lean_boards=0.6))
    assert leaning.bowler == plain.bowler
    assert leaning.target_boards == plain.target_boards
    assert leaning.lean_boards == plain.lean_boards
    assert leaning.words == plain.words


def test_maximum_likelihood_of_recorded_misses_is_the_textbooks() -> None:
    """Normal sample, finely recorded: mean and deviation (dividing by n) maximise the likelihood.

    The profile likelihood of the mean drops by n/2 log(1 + (x - mean)^2 / s^2): textbook.
    """
    rng = np.random.default_rng(7)
    misses = rounded_misses(rng, 80, 1.7, -0.3, step=0.1)
    fit = fit_accuracy(target_misses_boards=misses, method="likelihood", confidence=0.95)
    mean, deviation = np.mean(misses), np.std(misses)
    assert fit.lean_boards.value == pytest.approx(mean, abs=0.04)
    assert fit.target_boards.value == pytest.approx(deviation, rel=0.02)
    half = deviation * math.sqrt(math.exp(chi2.ppf(0.95, 1) / len(misses)) - 1)
    assert fit.lean_boards.low == pytest.approx(mean - half, abs=0.01)
    assert fit.lean_boards.high == pytest.approx(mean + half, abs=0.01)


def test_misses_at_the_pins_are_four_target_errors_less_three_lay_down_errors() -> None:
    """Similar triangles (pins at 60 ft, target at 15 ft), thrown out here one by one."""
    rng = np.random.default_rng(8)
    spread = LEVELS["league"]
    target = rng.normal(0.5, spread.target_boards, 2000)
    lay_down = rng.normal(0.0, spread.lay_down_boards, 2000)
    at_pins = np.round(lay_down + (target - lay_down) * 60 / 15)
    fit = fit_accuracy(pins_misses_boards=at_pins[np.abs(at_pins) <= 39].tolist())
    assert fit.target_boards.value == pytest.approx(spread.target_boards, rel=0.05)
    assert fit.lean_boards.value == pytest.approx(0.5, abs=0.1)
    assert fit.spread.lay_down_boards == pytest.approx(spread.lay_down_boards, rel=0.05)


def test_whole_boards_written_down_do_not_widen_the_spread() -> None:
    """Rounding to whole boards adds 1/12 to the plain variance; the fit allows for it."""
    rng = np.random.default_rng(9)
    misses = rounded_misses(rng, 3000, 0.5, 0.1)
    plain = float(np.std(misses))
    assert plain == pytest.approx(math.sqrt(0.25 + 1 / 12), rel=0.04)
    fit = fit_accuracy(target_misses_boards=misses)
    assert fit.target_boards.value == pytest.approx(0.5, rel=0.04)


@pytest.mark.parametrize(
    ("misses", "resolution"),
    [
        ([], 1.0),
        ([0, 1, -2], 1.0),
        ([0, 0.5, -1], 0.5),
        ([0, 0.5, 0.3], 0.1),
        ([0.123], 0.1),
    ],
)
def test_what_misses_were_rounded_to(misses: list[float], resolution: float) -> None:
    assert BinnedMisses.of(misses).resolution_boards == resolution


def test_four_of_five_is_no_certainty() -> None:
    for made in (4, 5):
        fit = fit_accuracy([LeaveResult(TEN, 5, made)], confidence=0.8)
        assert not fit.can_tell
        assert "few_throws" in {reason.code for reason in fit.reasons}
        assert fit.target_boards.high / fit.target_boards.low > 2.0
        assert fit.target_boards.high > LEVELS["scratch"].target_boards
        assert fit.more_throws


def test_all_made_leaves_the_likelihood_open_below_and_says_so() -> None:
    fit = fit_accuracy([LeaveResult(TEN, 5, 5)], method="likelihood")
    assert "no_lowest" in {reason.code for reason in fit.reasons}
    fit = fit_accuracy([LeaveResult(TEN, 20, 0)], method="likelihood", with_lean=False)
    assert "no_highest" in {reason.code for reason in fit.reasons}


def test_leaves_that_any_spread_misses_say_little() -> None:
    """Nobody makes the 7-10 more than once in 40, so 15 misses are at most half as likely again for
    one bowler as for another: the median moves no farther than such a factor can move it."""
    attempts = 15
    fit, prior = fit_accuracy([LeaveResult(BEDPOSTS, attempts, 0)]), fit_accuracy()
    assert not fit.can_tell
    said = {reason.code: reason for reason in fit.reasons}
    assert said["leaves_say_little"].leaves == (BEDPOSTS,)
    chances, _ = prior.posterior.chances(fit.fitted[0].table)
    factor = ((1 - chances.min()) / (1 - chances.max())) ** attempts
    assert 1 < factor < 1.5
    low, high = prior.posterior.quantiles_of_scale((1 / (1 + factor), factor / (1 + factor)))
    assert low < fit.target_boards.value < high
    assert codes(prior) == {"no_throws"}


def test_nobody_is_asked_for_more_throws_than_are_worth_naming() -> None:
    for thrown in (20, 1500, 20_000):
        fit = fit_accuracy(target_misses_boards=even_misses(thrown, 1.1, 0.2))
        assert all(one.throws <= MOST_WORTH_NAMING for one in fit.more_throws)
        assert any(one.leave is None for one in fit.more_throws) == (thrown < 20_000)


def test_the_throws_asked_for_halve_the_interval() -> None:
    """Throw them as the fitted bowler would and fit again, many times: about half as wide.

    The number asked for takes the posterior as normal, which it is not quite.
    """
    rng = np.random.default_rng(10)
    makes, misses = [result(rng, TEN, 60, 1.0, 0.0)], rounded_misses(rng, 15, 1.0, 0.0)
    first = fit_accuracy(makes, target_misses_boards=misses)
    assert [one.throws for one in first.more_throws] == sorted(
        one.throws for one in first.more_throws
    )
    scale, lean = first.target_boards.value, first.lean_boards.value
    width = math.log(first.target_boards.high / first.target_boards.low)
    for asked in first.more_throws:
        widths = []
        for _ in range(20):
            if asked.leave is None or asked.lay_down_board is None or asked.target_board is None:
                more: dict[str, Any] = {
                    "results": makes,
                    "target_misses_boards": misses
                    + rounded_misses(rng, asked.throws, scale, lean, step=1.0),
                }
            else:
                line = asked.lay_down_board, asked.target_board
                made = int(rng.binomial(asked.throws, chance_on(asked.leave, line, scale, lean)))
                extra = LeaveResult(asked.leave, asked.throws, made, *line)
                more = {"results": [*makes, extra], "target_misses_boards": misses}
            fit = fit_accuracy(**more)
            widths.append(math.log(fit.target_boards.high / fit.target_boards.low))
        assert 0.4 < np.mean(widths) / width < 0.65


def test_the_throws_asked_for_tell_the_spread() -> None:
    """Recorded misses as asked for bring the log spread to the deviation at which it is told."""
    first = fit_accuracy([LeaveResult(TEN, 5, 3)])
    assert not first.can_tell
    for one in first.more_throws:
        assert one.throws_to_tell is None or 0 < one.throws_to_tell <= one.throws
    recorded = next(one for one in first.more_throws if one.leave is None)
    assert recorded.throws_to_tell
    assert recorded.words_to_tell in first.words
    deviations = []
    for seed in range(20):
        rng = np.random.default_rng(seed)
        misses = rounded_misses(rng, recorded.throws_to_tell, first.target_boards.value, 0.0)
        fit = fit_accuracy([LeaveResult(TEN, 5, 3)], target_misses_boards=misses)
        deviations.append(math.sqrt(fit.posterior.covariance()[0, 0]))
    assert 0.75 * TOLD_APART_LOG < np.mean(deviations) < 1.25 * TOLD_APART_LOG
    told = fit_accuracy([LeaveResult(TEN, 2000, 1200)], with_lean=False)
    assert told.can_tell
    assert {one.throws_to_tell for one in told.more_throws} == {0}
    assert {one.words_to_tell for one in told.more_throws} == {""}


def test_the_spread_goes_straight_into_a_bowler() -> None:
    fit = fit_accuracy([LeaveResult(TEN, 50, 30)], bowler=Bowler(hand="left"))
    assert fit.bowler == replace(Bowler(hand="left"), spread=fit.spread)
    assert fit.spread == spread_in_proportion(fit.target_boards.value)


def test_a_mirrored_bowler_is_fitted_mirrored() -> None:
    misses = [0.0, 1.0, 1.0, -1.0, 2.0]
    right = fit_accuracy([LeaveResult(TEN, 50, 30)], target_misses_boards=misses)
    left = fit_accuracy(
        [LeaveResult(SEVEN, 50, 30)],
        target_misses_boards=[-miss for miss in misses],
        bowler=Bowler(hand="left"),
    )
    assert left.target_boards.value == pytest.approx(right.target_boards.value, rel=1e-6)
    assert left.lean_boards.value == pytest.approx(-right.lean_boards.value, abs=1e-6)


def test_order_and_splitting_of_the_throws_do_not_matter() -> None:
    whole = [LeaveResult(TEN, 50, 30, 28, 22.6), LeaveResult(SEVEN, 20, 9, 2, 9.8)]
    parts = [
        LeaveResult(SEVEN, 20, 9, 2, 9.8),
        LeaveResult(TEN, 20, 20, 28, 22.6),
        LeaveResult(TEN, 30, 10, 28, 22.6),
    ]
    one = fit_accuracy(whole, target_misses_boards=[1, 0, -1])
    other = fit_accuracy(parts, target_misses_boards=[0, -1, 1])
    assert one.target_boards.value == pytest.approx(other.target_boards.value, rel=1e-9)
    assert one.words.split(".")[0] == other.words.split(".")[0]


def test_without_a_lean_there_is_none() -> None:
    fit = fit_accuracy(target_misses_boards=[2, 3, 2, 2, 3, 2], with_lean=False)
    assert (fit.lean_boards.low, fit.lean_boards.high, fit.lean_shown) == (0, 0, False)
    assert "lean" not in fit.words


def test_words_name_the_side() -> None:
    misses = [2, 3, 2, 2, 1, 2] * 5
    assert "to the right" in fit_accuracy(target_misses_boards=misses).words
    assert "to the left" in fit_accuracy(target_misses_boards=[-m for m in misses]).words


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ({"target_misses_boards": [0, 21]}, r"target_misses_boards\[1\] is 21; allowed: -20 to 20"),
        ({"target_misses_boards": [math.nan]}, r"target_misses_boards\[0\] is nan"),
        ({"pins_misses_boards": [40.0]}, r"pins_misses_boards\[0\] is 40.0; allowed: -39 to 39"),
        ({"method": "guess"}, "method is 'guess'; allowed: posterior, likelihood"),
        ({"level": "pro"}, "level is 'pro'; allowed: tour"),
        ({"confidence": 1.0}, "confidence is 1.0; allowed: 0.5 to 0.99"),
        ({"method": "likelihood"}, "no throw is given"),
        ({"target_misses_boards": [0.0] * 100_001}, "has 100001 values"),
    ],
)
def test_what_cannot_be_fitted_is_refused(arguments: dict[str, Any], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        fit_accuracy(**arguments)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ((0, 0), "attempts is 0; allowed: 1"),
        ((5, 6), "made is 6; allowed: 0 to attempts, 5"),
        ((5, -1), "made is -1"),
        ((5, 5, 10.0), "lay_down_board is given alone"),
        ((5, 5, None, 10.0), "target_board is given alone"),
        ((5, 5, 41.0, 10.0), "lay_down_board is 41.0; allowed: 0 to 40"),
        ((5, 5, 10.0, math.nan), "target_board is nan"),
    ],
)
def test_impossible_results_are_refused(arguments: tuple[Any, ...], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        LeaveResult(TEN, *arguments)
