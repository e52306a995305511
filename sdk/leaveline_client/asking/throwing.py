"""Who throws: hand, spread, release, ball and stance."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from leaveline_client.answers.practice import SpreadAnswer
from leaveline_client.asking.plain import Asked, LeaveLike

Hand = Literal["right", "left"]
Level = Literal["tour", "scratch", "league", "casual"]
Cover = Literal["polyester", "urethane", "reactive_pearl", "reactive_hybrid", "reactive_solid"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread(Asked):
    """How a bowler misses: standard deviations, each of which replaces the level's preset.

    Parameters
    ----------
    lay_down_boards, target_boards : float, optional
        Board at the foul line, and board at the target 15 ft out [boards].
    speed_mph : float, optional
        Ball speed off the hand [mph].
    rotation_deg : float, optional
        Axis rotation [deg].
    rev_rate_rpm : float, optional
        Rev rate [rpm].
    """

    lay_down_boards: float | None = None
    target_boards: float | None = None
    speed_mph: float | None = None
    rotation_deg: float | None = None
    rev_rate_rpm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Release(Asked):
    """How the ball leaves the hand.

    Parameters
    ----------
    speed_mph : float, optional
        Ball speed off the hand [mph]; a display at the pins shows less.
    hook_boards : float, optional
        Constant bend of a nearly straight ball, at the pins, away from the ball hand [boards];
        instead of the other fields, a lane and a cover.
    rev_rate_rpm : float, optional
        Rev rate [rpm].
    axis_rotation_deg, axis_tilt_deg : float, optional
        Axis rotation, 0 end over end and 90 sideways, and axis tilt [deg].
    """

    speed_mph: float | None = None
    hook_boards: float | None = None
    rev_rate_rpm: float | None = None
    axis_rotation_deg: float | None = None
    axis_tilt_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ball(Asked):
    """The ball. Its weight and fit are for qualified staff to choose.

    Parameters
    ----------
    cover : str, optional
        What its surface is made of.
    weight_lb : float, optional
        Weight [lb].
    surface_grit : float, optional
        How the surface is prepared, from coarse (small) to polished (large).
    """

    cover: Cover | None = None
    weight_lb: float | None = None
    surface_grit: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stance(Asked):
    """How the feet relate to the ball.

    Parameters
    ----------
    lay_down_offset_boards : float, optional
        From the ball's first board to the middle of the slide foot, which is on the side away
        from the ball hand [boards].
    drift_boards : float, optional
        How far the slide foot ends from where it started [boards], positive away from the ball
        hand.
    """

    lay_down_offset_boards: float | None = None
    drift_boards: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownLine(Asked):
    """A line the bowler trusts.

    Parameters
    ----------
    leave : str or iterable of int
        The pins it is for.
    stand_board, target_board : float
        Where the slide foot starts, and the board aimed at, 15 ft out [board].
    lay_down_board : float, optional
        Where the ball then crosses the foul line [board].
    """

    leave: LeaveLike
    stand_board: float
    target_board: float
    lay_down_board: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bowler(Asked):
    """Who throws.

    Parameters
    ----------
    hand : {"right", "left"}, optional
        Ball hand.
    level : {"tour", "scratch", "league", "casual"}, optional
        Preset of spread.
    spread : Spread, optional
        Own numbers over the preset, field by field; an accuracy's answer has them fitted.
    release : Release, optional
        How the ball leaves the hand.
    ball : Ball, optional
        What is thrown.
    stance : Stance, optional
        How the feet relate to the ball.
    lean_boards : float, optional
        How far, on average, the ball crosses to the right of where it is aimed [boards]; for lines
        and advice alone.
    known_lines : sequence of KnownLine, optional
        Lines the bowler trusts: the lean is fitted to them, and lines are also told as moves from
        them; in the place of `lean_boards`, for lines and advice alone.
    """

    hand: Hand | None = None
    level: Level | None = None
    spread: Spread | SpreadAnswer | Mapping[str, Any] | None = None
    release: Release | Mapping[str, Any] | None = None
    ball: Ball | Mapping[str, Any] | None = None
    stance: Stance | Mapping[str, Any] | None = None
    lean_boards: float | None = None
    known_lines: Sequence[KnownLine | Mapping[str, Any]] | None = None
