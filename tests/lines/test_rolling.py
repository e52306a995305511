"""Lines for a ball that rolls on oil: the solver with the ball's real motion."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from leaveline.delivery import (
    LEVELS,
    Ball,
    Release,
    Rolling,
    default_release,
    rolling_arrivals,
    rolling_path,
    straight_arrivals,
)
from leaveline.delivery.arrivals import ANGLE, X
from leaveline.lane import x_from_board
from leaveline.lane.oil import OilPattern
from leaveline.lines import Bowler, solve
from leaveline.lines.integrate import arrivals_as_meant
from leaveline.lines.sensitivity import sensitivities
from leaveline.pins import Leave

SCRATCH = LEVELS["scratch"]
EASY, HARD = OilPattern(40.0, 10.0), OilPattern(40.0, 1.5)
SPARE = default_release("spare", level="scratch")
STRIKE = default_release("strike", level="scratch")


def bowler(cover: str, release: Release, oil: OilPattern) -> Bowler:
    return Bowler(spread=SCRATCH, rolling=Rolling(Ball(cover=cover), release, oil))  # type: ignore[arg-type]


def made(text: str, who: Bowler) -> float:
    return solve(Leave.parse(text), who, limit=1)[0].make_probability


@pytest.mark.parametrize("text", ["10", "3-6-10"])
def test_the_harder_the_pattern_the_more_a_spare_ball_gains(text: str) -> None:
    """Common practice: the harder the pattern, the less a hooking ball can be trusted at spares; a
    polyester ball goes straight with a near-normal release."""
    gain = {
        oil: made(text, bowler("polyester", SPARE, oil))
        - made(text, bowler("reactive_solid", STRIKE, oil))
        for oil in (EASY, HARD)
    }
    assert gain[HARD] > gain[EASY] > 0


def test_no_revs_is_a_straight_ball() -> None:
    """A ball thrown without side spin is not turned by friction: symmetry."""
    rolling = Rolling(Ball(cover="polyester"), replace(SPARE, axis_rotation_deg=0.0), EASY)
    lay, aim = (np.array([x_from_board(board)]) for board in (25.0, 20.0))
    rolled = arrivals_as_meant(rolling_arrivals(rolling, SCRATCH), lay, aim)[0]
    straight = arrivals_as_meant(straight_arrivals(), lay, aim)[0]
    assert rolled[X] == pytest.approx(straight[X], abs=0.05)
    assert rolled[ANGLE] == pytest.approx(straight[ANGLE], abs=1e-3)


@pytest.mark.parametrize(("lay", "target"), [(12.0, 12.0), (25.3, 18.1), (30.0, 20.7)])
def test_the_table_agrees_with_the_path_itself(lay: float, target: float) -> None:
    rolling = Rolling(Ball(cover="reactive_hybrid"), STRIKE, EASY)
    lay_x, aim_x = x_from_board(lay), x_from_board(target)
    table = rolling_arrivals(rolling, SCRATCH)
    tabled = arrivals_as_meant(table, np.array([lay_x]), np.array([aim_x]))[0]
    path = rolling_path(rolling, lay_x, aim_x)
    assert path.x_in[15] == pytest.approx(aim_x, abs=0.05)
    # Between the table's two-board columns friction bends; half a board there is little.
    assert tabled[X] == pytest.approx(path.x_in[-1], abs=0.5)
    assert tabled[ANGLE] == pytest.approx(path.angle_rad[-1], abs=0.005)


def test_a_hooking_left_hander_is_the_mirror_image() -> None:
    right = bowler("reactive_solid", STRIKE, HARD)
    leave = Leave.parse("3-6-10")
    ours = solve(leave, right, limit=2)
    theirs = solve(leave.mirror, replace(right, hand="left"), limit=2)
    assert theirs == tuple(line.mirrored() for line in ours)


def test_the_hook_comes_in_from_the_ball_hand_side() -> None:
    line = solve(Leave.parse("2-4-5-8"), bowler("reactive_solid", STRIKE, EASY), limit=1)[0]
    assert line.entry_angle_rad < -0.02
    assert line.board_at_pins > line.target_board


def test_sensitivity_of_a_straight_ball_is_similar_triangles() -> None:
    """(60 - 15) : 15: a board at the target is four at the pins, one at the feet takes three."""
    who = Bowler(spread=SCRATCH)
    line = solve(Leave.parse("5"), who, limit=1)[0]
    change = {s.of: s.board_at_pins for s in sensitivities(Leave.parse("5"), who, line)}
    assert change == {"lay_down_board": pytest.approx(-3.0), "target_board": pytest.approx(4.0)}


def test_a_slower_or_more_turned_ball_hooks_more() -> None:
    """Common practice: less speed and more rotation hook more, here to higher boards."""
    who = bowler("reactive_solid", STRIKE, HARD)
    leave = Leave.parse("3-6-10")
    line = solve(leave, who, limit=1)[0]
    change = {s.of: s.board_at_pins for s in sensitivities(leave, who, line)}
    assert change["speed_mph"] < 0 < change["axis_rotation_deg"]
    assert set(change) == {
        "lay_down_board", "target_board", "speed_mph", "rev_rate_rpm", "axis_rotation_deg",
    }  # fmt: skip
