"""The model run backwards is the model: tables against direct answers, mirror, order."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from leaveline.delivery import LEVELS
from leaveline.lines import Bowler, Stance, make_probabilities
from leaveline.pins import Leave
from leaveline.practice.forward import (
    HIGHEST_SCALE_BOARDS,
    LARGEST_LEAN_BOARDS,
    LINE_SPREADS_BOARDS,
    LOWEST_SCALE_BOARDS,
    line_for,
    spread_in_proportion,
    table_of,
)

TEN = Leave.parse("10")
LEAVES = [Leave.parse(name) for name in ("10", "7", "9", "1", "3-10", "3-6-10", "2-4-5-8")]


@pytest.mark.parametrize("level", LEVELS)
def test_a_preset_is_in_its_own_proportion(level: str) -> None:
    spread = LEVELS[level]
    found = spread_in_proportion(spread.target_boards)
    for name in ("lay_down_boards", "target_boards", "speed_mph", "rotation_deg", "rev_rate_rpm"):
        assert getattr(found, name) == pytest.approx(getattr(spread, name), rel=1e-12)


@given(st.floats(LOWEST_SCALE_BOARDS, HIGHEST_SCALE_BOARDS / 2), st.floats(1.01, 2.0))
def test_a_wider_spread_is_wider_in_everything(target: float, factor: float) -> None:
    closer, wider = spread_in_proportion(target), spread_in_proportion(target * factor)
    for name in ("lay_down_boards", "target_boards", "speed_mph", "rotation_deg", "rev_rate_rpm"):
        assert getattr(closer, name) < getattr(wider, name)


def test_presets_are_among_the_spreads_that_lines_are_solved_for() -> None:
    assert {spread.target_boards for spread in LEVELS.values()} <= set(LINE_SPREADS_BOARDS)


@pytest.mark.parametrize("leave", LEAVES, ids=str)
def test_table_against_the_model_asked_directly(leave: Leave) -> None:
    """A table is interpolated: it may be off by no more than another set of throws would be."""
    rng = np.random.default_rng(5)
    bowler = Bowler()
    line = line_for(leave, bowler, target_boards=1.3)
    table = table_of(leave, bowler, line)
    off, sampling = [], []
    for _ in range(40):
        scale, lean = float(np.exp(rng.uniform(np.log(0.3), np.log(4)))), float(rng.uniform(-2, 2))
        thrown = replace(bowler, spread=spread_in_proportion(scale))
        direct = [
            make_probabilities(
                leave,
                thrown,
                lay_down_board=line.lay_down_board,
                target_boards=np.array([line.target_board - lean]),
                seed=seed,
            )[0]
            for seed in (1, 2)
        ]
        off.append(table.at(scale, lean) - direct[0])
        sampling.append(direct[1] - direct[0])
    assert np.abs(off).max() < 0.015
    assert np.std(off) < max(np.std(sampling), 0.003)


@pytest.mark.parametrize("leave", LEAVES[:4], ids=str)
def test_table_far_out_against_the_model_asked_directly(leave: Leave) -> None:
    """Aimed six boards aside, only a lean of about as much makes the leave: cells are coarser
    there, but no spread under half a board, the best preset's, is asked of them."""
    rng = np.random.default_rng(6)
    bowler = Bowler()
    line = line_for(leave, bowler, target_boards=1.3)
    aside = replace(line, target_board=line.target_board + 6)
    table = table_of(leave, bowler, aside)
    made = []
    for _ in range(40):
        scale, lean = float(np.exp(rng.uniform(np.log(0.5), np.log(4)))), float(rng.uniform(4, 10))
        direct = make_probabilities(
            leave,
            replace(bowler, spread=spread_in_proportion(scale)),
            lay_down_board=aside.lay_down_board,
            target_boards=np.array([aside.target_board - lean]),
            seed=1,
        )[0]
        assert table.at(scale, lean) == pytest.approx(direct, abs=0.025)
        made.append(direct)
    assert max(made) > 0.5


@pytest.mark.parametrize("leave", LEAVES, ids=str)
def test_a_left_hander_is_the_mirror_image(leave: Leave) -> None:
    right, left = Bowler(hand="right"), Bowler(hand="left")
    scale, lean = np.array([0.4, 1.0, 2.5]), np.array([-1.0, 0.0, 0.3, 2.0])
    ours = table_of(leave, right, line_for(leave, right, target_boards=1.0))
    mirrored = table_of(leave.mirror, left, line_for(leave.mirror, left, target_boards=1.0))
    assert ours.lay_down_board == mirrored.lay_down_board
    np.testing.assert_allclose(
        ours.over(scale, lean), mirrored.over(scale, -lean[::-1])[:, ::-1], atol=1e-12
    )


def test_a_lean_to_the_right_sends_the_ball_to_the_right() -> None:
    """Aimed a board too far to the left, leaning a board to the right makes up for it."""
    for hand, to_the_left in (("right", 1.0), ("left", -1.0)):
        bowler = Bowler(hand=hand)
        line = line_for(TEN, bowler, target_boards=0.65)
        aside = replace(line, target_board=line.target_board + to_the_left)
        assert table_of(TEN, bowler, aside).at(0.65, 1.0) == pytest.approx(
            table_of(TEN, bowler, line).at(0.65, 0.0), abs=0.01
        )


@pytest.mark.parametrize("pin", range(1, 11))
def test_a_wider_spread_makes_fewer_single_pins(pin: int) -> None:
    leave = Leave.of([pin])
    table = table_of(leave, Bowler(), line_for(leave, Bowler(), target_boards=1.3))
    chances = table.over(np.geomspace(0.5, 4, 12), np.zeros(1))[:, 0]
    assert (np.diff(chances) < 0).all()


@settings(max_examples=20)
@given(
    st.sampled_from(LEAVES),
    st.floats(LOWEST_SCALE_BOARDS, HIGHEST_SCALE_BOARDS),
    st.floats(-LARGEST_LEAN_BOARDS, LARGEST_LEAN_BOARDS),
)
def test_chances_are_probabilities(leave: Leave, scale: float, lean: float) -> None:
    table = table_of(leave, Bowler(), line_for(leave, Bowler(), target_boards=1.3))
    assert 0 <= table.at(scale, lean) <= 1


def test_the_bowlers_own_spread_plays_no_part_and_the_stance_only_sets_the_line() -> None:
    one = Bowler(spread=LEVELS["tour"], stance=Stance(8.0))
    other = replace(one, spread=LEVELS["casual"])
    line = line_for(TEN, one, target_boards=1.0)
    assert line is line_for(TEN, other, target_boards=1.0)
    assert table_of(TEN, one, line) is table_of(TEN, other, line)
