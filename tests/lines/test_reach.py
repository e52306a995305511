"""How far a leave can be played to either side, dry boards, and balls that reach nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from leaveline.delivery import LEVELS, Ball, Rolling, default_release
from leaveline.lane.oil import OilPattern, OilZone
from leaveline.lines import Bowler, solve
from leaveline.lines.line import Play
from leaveline.lines.reach import WORTH_PLAYING, Reach, reach_of
from leaveline.lines.solve import lay_down_range
from leaveline.lines.words import words_for
from leaveline.pins import Leave

SHORT_WITH_DRY_EDGES = OilPattern(zones=(OilZone(9, 31, 0, 36, 1.0), OilZone(1, 39, 0, 20, 0.05)))
LONG_TO_THE_EDGES = OilPattern(42.0, 2.0)


def spare_ball(oil: OilPattern) -> Bowler:
    rolling = Rolling(Ball(cover="polyester"), default_release("spare", level="scratch"), oil)
    return Bowler(spread=LEVELS["scratch"], rolling=rolling)


def reach(text: str, who: Bowler) -> Reach:
    leave = Leave.parse(text)
    return reach_of(leave, who, solve(leave, who, limit=1)[0])


def test_the_4_9_has_a_limit_to_the_left_where_the_edge_is_dry() -> None:
    """Common practice: the 4-9 is played from as far left as the lane lets you; on a short pattern
    (36 ft) the dry outside boards turn the ball into the near gutter, so there is a limit."""
    short, long = (
        reach("4-9", spare_ball(oil)).left for oil in (SHORT_WITH_DRY_EDGES, LONG_TO_THE_EDGES)
    )
    assert short.limited_by in {"gutter", "dry_boards"}
    assert long.limited_by == "lane"
    assert short.line.lay_down_board < long.line.lay_down_board
    assert long.line.lay_down_board == lay_down_range(spare_ball(LONG_TO_THE_EDGES)).highest_board


@pytest.mark.parametrize("text", ["4-9", "10", "3-6-10"])
def test_within_reach_it_is_worth_playing(text: str) -> None:
    leave, who = Leave.parse(text), spare_ball(SHORT_WITH_DRY_EDGES)
    best = solve(leave, who, limit=1)[0]
    both = reach_of(leave, who, best)
    enough = WORTH_PLAYING * best.make_probability
    for end in (both.left, both.right):
        assert end.line.make_probability >= enough - 1e-9
    assert both.right.line.lay_down_board <= best.lay_down_board <= both.left.line.lay_down_board


def test_a_left_handers_reach_is_the_mirror_image() -> None:
    leave, who = Leave.parse("4-9"), spare_ball(SHORT_WITH_DRY_EDGES)
    ours = reach_of(leave, who, solve(leave, who, limit=1)[0])
    other = replace(who, hand="left")
    theirs = reach_of(leave.mirror, other, solve(leave.mirror, other, limit=1)[0])
    for one, another in ((ours.left, theirs.right), (ours.right, theirs.left)):
        assert one.line.mirrored() == another.line
        assert one.limited_by == another.limited_by


def test_dry_boards_are_told() -> None:
    """A 10 pin shot up the right edge runs over dry boards where the edges are dry, else not."""
    leave = Leave.parse("10")
    dry, oiled = (
        reach_of(leave, who, solve(leave, who, limit=1)[0]).right.line.dry_probability
        for who in map(spare_ball, (SHORT_WITH_DRY_EDGES, LONG_TO_THE_EDGES))
    )
    assert dry > 0.5
    assert oiled == 0.0


HOOKS_OFF_THE_LANE = replace(
    default_release("strike", level="league"),
    speed_mph=10.0,
    rev_rate_rpm=600.0,
    axis_rotation_deg=90.0,
)


@pytest.mark.parametrize("text", ["7", "10", "1-2-3-4-5-6-7-8-9-10"])
@pytest.mark.parametrize("play", ["spare", "count"])
def test_a_ball_that_reaches_no_pin_is_an_answer(text: str, play: Play) -> None:
    """Slow, spun hard and on little oil: every line ends in the gutter, and the answer says so."""
    who = thrown_on(OilPattern(20.0, 20.0))
    leave = Leave.parse(text)
    line = solve(leave, who, play=play)[0]
    assert line.expected_pins < 0.05
    assert "out_of_reach" in {caution.code for caution in line.cautions}
    assert words_for(leave, line).startswith("No line of this ball on this lane reaches a pin")


@pytest.mark.parametrize("text", ["7", "10"])
def test_the_hardest_hook_on_a_dry_lane_is_solved(text: str) -> None:
    """It turns at once and then rolls straight on, slanting far across the lane."""
    line = solve(Leave.parse(text), thrown_on(OilPattern(zones=(OilZone(1, 1, 0, 1, 0.0),))))[0]
    assert line.lay_down_board - line.target_board > 20
    assert 0 <= line.make_probability < 0.9


def thrown_on(oil: OilPattern) -> Bowler:
    return Bowler(rolling=Rolling(Ball(cover="reactive_pearl"), HOOKS_OFF_THE_LANE, oil))
