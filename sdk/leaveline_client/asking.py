"""What is asked: the bowler, the ball, the lane, as plain typed objects.

Every field is optional and None means "left out": the service then uses its preset. A plain
mapping with the same names does as well wherever one of these is taken. Nothing is checked here
but that numbers are finite; the service knows its ranges and names them when one is left.

Ball weight and fit are for qualified staff to choose, not for a number here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from numbers import Integral, Real
from typing import Any, Literal

LeaveLike = str | Iterable[int]
"""A leave: `"3-6-9-10"`, or the standing pins in any order."""
Hand = Literal["right", "left"]
Level = Literal["tour", "scratch", "league", "casual"]
PlayAsked = Literal["spare", "count", "both"]
Cover = Literal["polyester", "urethane", "reactive_pearl", "reactive_hybrid", "reactive_solid"]
Surface = Literal["synthetic", "wood"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A part of a request."""

    def to_dict(self) -> dict[str, Any]:
        """The object as plain JSON, without what was left out."""
        return _given(self, "")


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
        Constant bend of a nearly straight ball, at the pins, away from the ball hand [boards].
    rev_rate_rpm : float, optional
        Rev rate [rpm].
    axis_rotation_deg, axis_tilt_deg : float, optional
        Axis rotation and axis tilt [deg].
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
    """

    cover: Cover | None = None
    weight_lb: float | None = None


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
class Bowler(Asked):
    """Who throws.

    Parameters
    ----------
    hand : {"right", "left"}, optional
        Ball hand.
    level : {"tour", "scratch", "league", "casual"}, optional
        Preset of spread.
    spread : Spread, optional
        Own numbers over the preset, field by field.
    release : Release, optional
        How the ball leaves the hand.
    ball : Ball, optional
        What is thrown.
    stance : Stance, optional
        How the feet relate to the ball.
    """

    hand: Hand | None = None
    level: Level | None = None
    spread: Spread | Mapping[str, Any] | None = None
    release: Release | Mapping[str, Any] | None = None
    ball: Ball | Mapping[str, Any] | None = None
    stance: Stance | Mapping[str, Any] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OilZone(Asked):
    """A stretch of oil.

    Parameters
    ----------
    board_from, board_to : float
        Boards, both included, counted from the bowler's ball-hand side.
    feet_from, feet_to : float
        Distance from the foul line [ft].
    amount : float
        Oil; 1 is what lies on the middle boards at the foul line of a fresh pattern.
    """

    board_from: float | None = None
    board_to: float | None = None
    feet_from: float | None = None
    feet_to: float | None = None
    amount: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Oil(Asked):
    """An oil pattern: its length and ratio, or its zones.

    Parameters
    ----------
    length_ft : float, optional
        Where the oil ends [ft from the foul line].
    ratio : float, optional
        Oil on the middle boards over oil on the outside boards.
    zones : sequence of OilZone, optional
        Instead of the two others.
    """

    length_ft: float | None = None
    ratio: float | None = None
    zones: Sequence[OilZone | Mapping[str, Any]] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane(Asked):
    """The lane.

    Parameters
    ----------
    oil : Oil, optional
        What lies on it.
    surface : {"synthetic", "wood"}, optional
        What it is made of.
    """

    oil: Oil | Mapping[str, Any] | None = None
    surface: Surface | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LinesRequest(Asked):
    """One question about lines, as `Client.lines` asks it and `Client.lines_many` takes it.

    Parameters
    ----------
    leave : str or iterable of int
        The standing pins.
    bowler, lane : optional
        Who throws, and on what.
    play : {"spare", "count", "both"}, optional
        What the lines are for.
    limit : int, optional
        Most lines for each play.
    seed : int, optional
        Seed of the fixed set of throws; the same seed gives the same answer.
    """

    leave: LeaveLike
    bowler: Bowler | Mapping[str, Any] | None = None
    lane: Lane | Mapping[str, Any] | None = None
    play: PlayAsked | None = None
    limit: int | None = None
    seed: int | None = None


def to_json(value: Any, name: str) -> Any:
    """Turn a value into plain JSON data: objects to dicts, whole numbers to int, and so on.

    Parameters
    ----------
    value : object
        Text, numbers (numpy's too), mappings, iterables, and the classes above. None inside a
        mapping means left out.
    name : str
        The value's field, for the error message.

    Raises
    ------
    ValueError
        For a number that is not finite and for anything JSON has no form for.
    """
    if isinstance(value, Asked):
        return _given(value, f"{name}.")
    if value is None or isinstance(value, str | bool):
        return value
    if isinstance(value, Integral):
        return int(value)
    if isinstance(value, Real):
        if not math.isfinite(value):
            raise ValueError(f"{name} = {value!r}: must be a finite number")
        return float(value)
    if isinstance(value, Mapping):
        return {
            str(key): to_json(item, f"{name}.{key}")
            for key, item in value.items()
            if item is not None
        }
    if isinstance(value, Iterable) and not isinstance(value, bytes | bytearray):
        return [to_json(item, f"{name}[{index}]") for index, item in enumerate(value)]
    raise ValueError(f"{name} = {value!r}: must be plain JSON data, not {type(value).__name__}")


def _given(asked: Asked, prefix: str) -> dict[str, Any]:
    named = {f.name: getattr(asked, f.name) for f in fields(asked)}
    return {k: to_json(v, prefix + k) for k, v in named.items() if v is not None}


def leave_in_path(leave: LeaveLike) -> str:
    """Write a leave as it stands in a path: its pins joined by hyphens.

    Raises
    ------
    ValueError
        For a text without a single digit or with a slash: it would ask for another address.
    """
    text = leave if isinstance(leave, str) else "-".join(str(int(pin)) for pin in leave)
    if not any(character.isdigit() for character in text) or "/" in text:
        raise ValueError(
            f"leave = {leave!r}: must be pin numbers 1 to 10 joined by hyphens, such as 3-6-9-10, "
            "or a sequence of them"
        )
    return text
