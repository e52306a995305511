"""Leaves: reading, writing, mirror."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from leaveline.pins import ALL_LEAVES, Leave, LeaveError

LEAVES = st.sampled_from(ALL_LEAVES)


def test_there_are_1023() -> None:
    """2^10 - 1 non-empty sets of pins: arithmetic."""
    assert len(set(ALL_LEAVES)) == 1023


@given(LEAVES, st.randoms(use_true_random=False))
def test_reads_what_it_writes_in_any_order(leave: Leave, random: object) -> None:
    assert Leave.parse(str(leave)) == leave
    shuffled = list(leave.pins)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    assert Leave.of(shuffled) == leave
    assert Leave.parse("-".join(map(str, shuffled))) == leave


@given(LEAVES)
def test_mirror_is_its_own_inverse_and_keeps_the_count(leave: Leave) -> None:
    assert leave.mirror.mirror == leave
    assert len(leave.mirror) == len(leave)


@pytest.mark.parametrize(("leave", "mirror"), [("2-8", "3-9"), ("3-6-9-10", "2-4-7-8"), ("5", "5")])
def test_mirror_examples(leave: str, mirror: str) -> None:
    assert str(Leave.parse(leave).mirror) == mirror


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "hyphens"), ("0", "got 0"), ("11", "got 11"), ("3-3", "twice"), ("3--10", "hyphens"),
        ("a", "hyphens"), ("3-10-", "hyphens"), (" 3", "hyphens"), ("٣", "hyphens"),
        ("9" * 5000, "got 999"), ("-3", "hyphens"), ("3.0", "hyphens"),
    ],
)  # fmt: skip
def test_bad_text_is_refused_with_a_reason(text: str, says: str) -> None:
    with pytest.raises(LeaveError, match=says):
        Leave.parse(text)


@pytest.mark.parametrize("pins", [[], [0], [11], [1, 1]])
def test_bad_lists_are_refused(pins: list[int]) -> None:
    with pytest.raises(LeaveError):
        Leave.of(pins)
