"""A line in words: numbers as they are spoken, and nothing called certain that is not."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from leaveline.lines import Bowler, Line, evaluate, solve
from leaveline.lines.line import Caution, MissRoom
from leaveline.lines.words import chance, percent, words_for
from leaveline.pins import Leave

TEN = Leave.parse("10")


@pytest.fixture(scope="module")
def line() -> Line:
    return solve(TEN, Bowler(), limit=1)[0]


@pytest.mark.parametrize(
    ("probability", "said", "said_whole"),
    [
        (0.0, "under 0.1 %", "under 1 %"), (0.0004, "under 0.1 %", "under 1 %"),
        (0.0006, "0.1 %", "under 1 %"), (0.004, "0.4 %", "under 1 %"), (0.01, "1 %", "1 %"),
        (0.0934, "9.3 %", "9 %"), (0.0996, "10 %", "10 %"), (0.5, "50 %", "50 %"),
        (0.9899, "99 %", "99 %"), (0.994, "99.4 %", "99 %"), (0.996, "99.6 %", "over 99 %"),
        (0.9994, "99.9 %", "over 99 %"), (0.9996, "over 99.9 %", "over 99 %"),
        (1.0, "over 99.9 %", "over 99 %"),
    ],
)  # fmt: skip
def test_a_chance_is_never_none_and_never_certain(
    probability: float, said: str, said_whole: str
) -> None:
    assert chance(probability) == said
    assert chance(probability, decimals=0) == said_whole


@given(st.floats(0, 1), st.sampled_from([0, 1]))
def test_a_chance_says_the_number_it_stands_for(probability: float, decimals: int) -> None:
    said = chance(probability, decimals=decimals)
    number = float(re.sub("[a-z %]", "", said))
    assert 0 < number < 100
    if said.startswith("under"):
        assert 100 * probability < number
    elif said.startswith("over"):
        assert 100 * probability > number
    else:
        assert abs(100 * probability - number) <= 0.5


def test_a_share_that_was_counted_may_be_none_or_all() -> None:
    assert [percent(share) for share in (0.0, 1.0)] == ["0.0 %", "100.0 %"]
    assert [percent(share) for share in (1e-5, 1 - 1e-5)] == ["under 0.1 %", "over 99.9 %"]


def test_a_sure_line_is_not_called_certain(line: Line) -> None:
    said = words_for(TEN, replace(line, make_probability=1.0))
    assert "it makes over 99.9 %." in said
    assert "100" not in said


def test_a_sentence_begins_with_a_capital(line: Line) -> None:
    cautions = (Caution("gutter", "right", 1.0), Caution("wall_needed", None, 1.0))
    said = words_for(TEN, replace(line, cautions=cautions))
    assert "Over 99.9 % of throws find the right gutter." in said
    assert "Over 99.9 % of the makes need a pin back off the side wall." in said


@pytest.mark.parametrize(
    ("left", "right", "said"),
    [
        (0.0, 0.0, "There is no room"),
        (0.03, 0.0, "There is next to no room at the arrows."),
        (
            0.0,
            0.6,
            "There is room to the right alone, 0.6 board at the arrows: if you miss, miss r",
        ),
        (1.0, 1.04, "There is about 1.0 board of room either way at the arrows."),
        (1.2, 1.3, "There are about 1.2 boards of room either way at the arrows."),
        (1.3, 0.1, "There are 1.3 boards of room to the left and 0.1 board to the right at the"),
        (0.4, 2.0, "There is 0.4 board of room to the left and 2.0 boards to the right at the"),
    ],
)
def test_room_is_said_as_it_is(line: Line, left: float, right: float, said: str) -> None:
    assert said in words_for(TEN, replace(line, miss_room=MissRoom(left, right)))


def test_what_misses_everything_is_said() -> None:
    aside = evaluate(Leave.parse("7-10"), Bowler(), lay_down_board=20, target_board=20)
    said = words_for(Leave.parse("7-10"), aside)
    assert "It passes every pin" in said
