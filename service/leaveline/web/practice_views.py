"""Accuracy, reviews and comparisons of balls as JSON objects."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from leaveline.delivery import Spread
from leaveline.lines.line import Line
from leaveline.pins.leave import Leave
from leaveline.practice import Accuracy, Season
from leaveline.practice.accuracy import FittedResult
from leaveline.practice.drills import Drill
from leaveline.practice.findings import GroupReview, LeaveReview, Review
from leaveline.practice.intervals import Estimate
from leaveline.practice.more_throws import MoreThrows
from leaveline.practice.review_words import summary_words
from leaveline.practice.spare_ball import BallComparison
from leaveline.practice.verdicts import Lean
from leaveline.practice.what_next import PracticeItem

DIGITS = 6


def accuracy_view(fit: Accuracy) -> dict[str, Any]:
    """A fitted accuracy."""
    lean = fit.lean_boards
    side = "neither"
    if fit.lean_shown:
        side = "right" if lean.value > 0 else "left"
    return {
        "spread": spread_view(fit.spread),
        "target_boards": estimate_view(fit.target_boards),
        "lean_boards": estimate_view(lean),
        "lean_side": side,
        "looked_for_lean": fit.with_lean,
        "throws": fit.throws,
        "level": fit.level,
        "confidence": fit.confidence,
        "can_tell": fit.can_tell,
        "reasons": [
            {"code": reason.code, "leaves": _names(reason.leaves), "words": reason.words}
            for reason in fit.reasons
        ],
        "more_throws": [_more_throws(one) for one in fit.more_throws],
        "leaves": [_fitted(one) for one in fit.fitted],
        "words": fit.words,
    }


def spread_view(spread: Spread) -> dict[str, float]:
    """A spread, as requests take it."""
    return {name: _round(value) for name, value in asdict(spread).items()}


def estimate_view(estimate: Estimate) -> dict[str, float]:
    """A value with its interval."""
    return {
        "value": _round(estimate.value),
        "low": _round(estimate.low),
        "high": _round(estimate.high),
    }


def review_view(found: Review) -> dict[str, Any]:
    """A whole review."""
    fitted = found.accuracy if isinstance(found.accuracy, Accuracy) else None
    spread = found.accuracy if isinstance(found.accuracy, Spread) else found.accuracy.spread
    return {
        "rows": rows_view(found.season),
        "frames": len(found.season.frames),
        "games": _round(found.games),
        "complete_games": len(found.season.complete_games),
        "average_pins": None if found.average is None else _round(found.average),
        "confidence": found.confidence,
        "spread": spread_view(spread),
        "accuracy": None if fitted is None else accuracy_view(fitted),
        "pins_lost_per_game": _round(found.pins_lost_per_game),
        "unknown_leaves": found.unknown_leaves,
        "unknown_leaves_pins_lost_per_game": _round(found.unknown_leaves_pins_lost_per_game),
        "lean": _lean(found.lean),
        "practice": [_practice(item) for item in found.practice],
        "not_worth_practising": [
            {
                "leave": str(one.leave),
                "attempts": one.attempts,
                "make_probability": _round(one.make_probability),
                "gain_pins_per_game": _round(one.gain_pins_per_game),
                "words": one.words,
            }
            for one in found.not_worth_practising
        ],
        "groups": [_group(one) for one in found.groups],
        "leaves": [_leave(one) for one in found.leaves],
        "first_ball": [
            {
                "hit": one.hit,
                "leaves": _names(one.leaves),
                "count": one.count,
                "words": one.words,
            }
            for one in found.first_ball
        ],
        "cautions": list(found.cautions),
        "words": summary_words(found),
    }


def rows_view(season: Season) -> dict[str, Any]:
    """What was read of a season, and everything that was not."""
    return {
        "given": season.row_count,
        "used": len(season.frames),
        "not_used": len(season.rows_not_used),
        "encoding": season.encoding or None,
        "separator": season.separator or None,
        "ignored_columns": list(season.ignored_columns),
        "reports": [
            {
                "row": report.row,
                "field": report.field,
                "row_used": report.row_used,
                "reason": report.reason,
            }
            for report in season.reports
        ],
    }


def comparison_view(found: BallComparison) -> dict[str, Any]:
    """Ways to throw spares side by side."""
    return {
        "confidence": found.confidence,
        "options": [
            {
                "name": one.name,
                "conversion": estimate_view(one.conversion),
                "gain_makes_per_game": estimate_view(one.gain_makes_per_game),
                "gain_pins_per_game": estimate_view(one.gain_pins_per_game),
                "shown": one.shown,
                "words": one.words,
            }
            for one in found.options
        ],
        "leaves": [
            {
                "leave": str(one.leave),
                "leaves_per_game": _round(one.leaves_per_game),
                "make_probabilities": [_round(chance) for chance in one.make_probabilities],
                "standard_errors": [_round(error) for error in one.standard_errors],
            }
            for one in found.leaves
        ],
        "leaves_per_game": _round(found.leaves_per_game),
        "cautions": list(found.cautions),
        "words": " ".join(one.words for one in found.options),
    }


def _more_throws(one: MoreThrows) -> dict[str, Any]:
    return {
        "leave": None if one.leave is None else str(one.leave),
        "throws_to_tell": one.throws_to_tell,
        "throws_to_halve": one.throws,
        "lay_down_board": one.lay_down_board and _round(one.lay_down_board),
        "target_board": one.target_board and _round(one.target_board),
        "words": one.words_to_tell or one.words,
    }


def _fitted(one: FittedResult) -> dict[str, Any]:
    return {
        "leave": str(one.result.leave),
        "attempts": one.result.attempts,
        "made": one.result.made,
        "make_probability": estimate_view(one.make_probability),
        "lay_down_board": _round(one.lay_down_board),
        "target_board": _round(one.target_board),
        "line_assumed": one.line_assumed,
    }


def _leave(one: LeaveReview) -> dict[str, Any]:
    return {
        "leave": str(one.leave),
        "category": one.category,
        "attempts": one.attempts,
        "made": one.made,
        "attempts_per_game": _round(one.attempts_per_game),
        "made_share": estimate_view(one.share),
        "expected": None if one.expected is None else estimate_view(one.expected),
        "line": None if one.line is None else _boards(one.line),
        "cost_of_lines": _round(one.cost_of_lines),
        "pins_lost": _round(one.pins_lost),
        "pins_lost_per_game": _round(one.pins_lost_per_game),
        "verdict": one.verdict,
        "p_value": None if one.p_value is None else _round(one.p_value),
        "lean": _lean(one.lean),
        "words": one.words,
    }


def _group(one: GroupReview) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "name": one.name,
        "attempts": one.attempts,
        "made": one.made,
        "made_share": estimate_view(one.share),
        "expected_made": _round(one.expected_made),
        "pins_lost_per_game": _round(one.pins_lost_per_game),
        "verdict": one.verdict,
        "p_value": _round(one.p_value),
        "words": one.words,
    }


def _practice(item: PracticeItem) -> dict[str, Any]:
    return {
        "leave": str(item.leave),
        "kind": item.kind,
        "gain_pins_per_game": estimate_view(item.gain_pins_per_game),
        "of_gap_pins_per_game": _round(item.of_gap_pins_per_game),
        "drill": _drill(item.drill),
        "words": item.words,
    }


def _drill(drill: Drill) -> dict[str, Any]:
    return {
        "leave": str(drill.leave),
        **_boards(drill),
        "throws": drill.throws,
        "score": drill.score,
        "confidence": drill.confidence,
        "present_probability": _round(drill.present_probability),
        "goal_probability": _round(drill.goal_probability),
        "pass_probability": _round(drill.pass_probability),
        "words": drill.words,
    }


def _boards(line: Line | Drill) -> dict[str, float]:
    return {
        "stand_board": _round(line.stand_board),
        "lay_down_board": _round(line.lay_down_board),
        "target_board": _round(line.target_board),
    }


def _lean(lean: Lean | None) -> dict[str, Any] | None:
    if lean is None:
        return None
    mean = Estimate(lean.mean_boards, lean.low_boards, lean.high_boards)
    return {"throws": lean.throws, "mean_boards": estimate_view(mean), "side": lean.side}


def _names(leaves: Iterable[Leave]) -> list[str]:
    return [str(leave) for leave in leaves]


def _round(value: float) -> float:
    return round(value, DIGITS)
