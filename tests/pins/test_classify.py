"""What kind a leave is, held against the rule and its published examples."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import pytest
from leaveline.pins import ALL_LEAVES, Leave
from leaveline.pins.classify import category, gaps, hidden_pins
from leaveline.pins.deck import PIN_X_IN

# The 24 two-pin splits, recounted from the governing body's rule.
TWO_PIN_SPLITS = {
    *("2-3", "2-6", "2-7", "2-9", "2-10", "3-4", "3-7", "3-8", "3-10", "4-5", "4-6", "4-9"),
    *("4-10", "5-6", "5-7", "5-10", "6-7", "6-8", "7-8", "7-9", "7-10", "8-9", "8-10", "9-10"),
}
# By the same rule never splits.
NEVER_SPLITS = ["2-8", "3-9", "4-7", "6-10", "3-6-10", "2-4-5-8", "3-6-9-10"]
# Washouts named by a trade article.
WASHOUTS = ["1-2-10", "1-2-4-10", "1-3-7", "1-3-6-7"]


def kind(text: str) -> str:
    return category(Leave.parse(text))


def test_two_pin_splits_are_exactly_those_of_the_rule() -> None:
    pairs = [leave for leave in ALL_LEAVES if len(leave) == 2]
    assert {str(p) for p in pairs if category(p) == "split"} == TWO_PIN_SPLITS


@pytest.mark.parametrize("text", NEVER_SPLITS)
def test_never_a_split(text: str) -> None:
    assert kind(text) == "multi_pin"


@pytest.mark.parametrize("text", WASHOUTS)
def test_washouts(text: str) -> None:
    assert kind(text) == "washout"


def test_459_splits_by_number_of_pins() -> None:
    """459 is commonly quoted (from memory); by number of pins recounted from the rule."""
    counts = Counter(len(leave) for leave in ALL_LEAVES if category(leave) == "split")
    assert [counts[n] for n in range(2, 10)] == [24, 71, 116, 120, 82, 36, 9, 1]
    assert counts.total() == 459


def test_312_washouts_and_ten_single_pins() -> None:
    """312 recounted from the rule."""
    counts = Counter(category(leave) for leave in ALL_LEAVES)
    assert counts["washout"] == 312
    assert counts["single_pin"] == 10
    assert counts.total() == 1023


def test_split_rule_recounted_from_pin_positions_alone() -> None:
    """A second reading of the rule, from coordinates and not from columns and tables."""
    for leave in ALL_LEAVES:
        xs = sorted({PIN_X_IN[pin - 1] for pin in leave.pins})
        hole = any(b - a > 6.001 for a, b in pairwise(xs))
        beside = any(
            {a, b} <= set(leave.pins) and ahead not in leave
            for a, b, ahead in [(2, 3, 1), (4, 5, 2), (5, 6, 3), (7, 8, 4), (8, 9, 5), (9, 10, 6)]
        )
        assert (category(leave) == "split") == (1 not in leave and (hole or beside)), str(leave)


def test_mirror_images_are_alike() -> None:
    for leave in ALL_LEAVES:
        assert category(leave) == category(leave.mirror)
        assert len(hidden_pins(leave)) == len(hidden_pins(leave.mirror))
        assert sorted(g.clear_in for g in gaps(leave)) == pytest.approx(
            sorted(g.clear_in for g in gaps(leave.mirror))
        )


def test_hidden_pins() -> None:
    def hidden(text: str) -> list[tuple[int, int]]:
        return [(h.pin, h.behind) for h in hidden_pins(Leave.parse(text))]

    assert hidden("2-4-5-8") == [(8, 2)]
    assert hidden("1-5-9") == [(5, 1)]
    assert hidden("3-6-9-10") == [(9, 3)]
    assert hidden("7-10") == []


def test_no_ball_fits_between_neighbours() -> None:
    """Derived from the specification: 12 - 4.766 = 7.234 in, less than any legal ball."""
    (gap,) = gaps(Leave.parse("4-5"))
    assert gap.clear_in == pytest.approx(7.234)
    assert not gap.ball_fits
    (gap,) = gaps(Leave.parse("4-6"))
    assert gap.clear_in == pytest.approx(19.234)
    assert gap.ball_fits
