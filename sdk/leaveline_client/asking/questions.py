"""Whole questions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from leaveline_client.asking.lane import Lane
from leaveline_client.asking.plain import Asked, LeaveLike
from leaveline_client.asking.situation import Scoring, Situation
from leaveline_client.asking.throwing import Ball, Bowler, Release

CategoryAsked = Literal["single_pin", "multi_pin", "split", "washout"]
PlayAsked = Literal["spare", "count", "both"]


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
    balls, releases : sequence, optional
        Balls, or releases, to compare, each in the place of the bowler's own.
    sensitivity : bool, optional
        Also say what one board, mph, rpm or degree more does to the best line.
    reach : bool, optional
        Also say how far to either side the leave can be played, and what ends it there.
    """

    leave: LeaveLike
    bowler: Bowler | Mapping[str, Any] | None = None
    lane: Lane | Mapping[str, Any] | None = None
    play: PlayAsked | None = None
    limit: int | None = None
    seed: int | None = None
    balls: Sequence[Ball | Mapping[str, Any]] | None = None
    releases: Sequence[Release | Mapping[str, Any]] | None = None
    sensitivity: bool | None = None
    reach: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchItem(LinesRequest):
    """One question among many.

    Parameters
    ----------
    leave, bowler, lane, play, limit, seed, balls, releases, sensitivity, reach
        As in LinesRequest.
    id : str, optional
        Your name for it, returned with its answer.
    """

    id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AdviceRequest(Asked):
    """One question about count or spare, as `Client.advice` asks it.

    Parameters
    ----------
    leave : str or iterable of int
        The standing pins.
    situation : Situation
        What is at stake.
    bowler, lane : optional
        Who throws, and on what.
    scoring : {"traditional", "current_frame"}, optional
        How the game is scored.
    seed : int, optional
        Seed of the fixed set of throws; the same seed gives the same answer.
    """

    leave: LeaveLike
    situation: Situation | Mapping[str, Any]
    bowler: Bowler | Mapping[str, Any] | None = None
    lane: Lane | Mapping[str, Any] | None = None
    scoring: Scoring | None = None
    seed: int | None = None
