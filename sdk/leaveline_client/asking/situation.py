"""What is at stake: a match, a cut, or the score."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from leaveline_client.asking.plain import Asked
from leaveline_client.asking.throwing import Level

SituationKind = Literal["match", "cut", "score"]
TieRule = Literal["roll_off", "half", "lose", "win"]
Scoring = Literal["traditional", "current_frame"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Strength(Asked):
    """How strong a bowler is over the frames to come: a level or an average, not both.

    Parameters
    ----------
    level : {"tour", "scratch", "league", "casual"}, optional
        Preset of strike and conversion rates.
    average_pins : float, optional
        Average per game [pins].
    """

    level: Level | None = None
    average_pins: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation(Asked):
    """What is at stake when a leave stands.

    Balls are pins as whole numbers or sheet symbols: `X`, `/`, `-`, `F`, a digit, `S7` for a split.

    Parameters
    ----------
    kind : {"match", "cut", "score"}
        Win a match, make a cut, or score as much as possible.
    own_rolls : sequence of int or str, optional
        Own balls of this game, the one that left the leave included; needed in a match.
    own_strength : Strength, optional
        How the rest of the game will go.
    opponent_rolls, opponent_strength : optional
        match: the same of the opponent.
    tie_rule : {"roll_off", "half", "lose", "win"}, optional
        match: what a tie is worth.
    lead_pins : int, optional
        match: own pins ahead before this game [pins].
    games_after : int, optional
        match (total pins), cut: games after this one.
    pins_before : int, optional
        cut: own pins before this game [pins].
    cut_pins, cut_sd_pins : float, optional
        cut: total that makes it, or its estimate, and that estimate's standard deviation [pins].
    """

    kind: SituationKind
    own_rolls: Sequence[int | str] | None = None
    own_strength: Strength | Mapping[str, Any] | None = None
    opponent_rolls: Sequence[int | str] | None = None
    opponent_strength: Strength | Mapping[str, Any] | None = None
    tie_rule: TieRule | None = None
    lead_pins: int | None = None
    games_after: int | None = None
    pins_before: int | None = None
    cut_pins: float | None = None
    cut_sd_pins: float | None = None
