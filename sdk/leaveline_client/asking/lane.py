"""What is thrown on: the lane and its oil."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from leaveline_client.asking.plain import Asked

Surface = Literal["synthetic", "wood"]


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
    games_worn : float, optional
        Games bowled on it since it was oiled.
    surface : {"synthetic", "wood"}, optional
        What it is made of.
    """

    oil: Oil | Mapping[str, Any] | None = None
    games_worn: float | None = None
    surface: Surface | None = None
