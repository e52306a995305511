"""Who throws, with what, on which lane: all the solver needs to know, checked."""

from __future__ import annotations

from dataclasses import dataclass, field

from leaveline.delivery import LEVELS, Spread
from leaveline.lane import Hand
from leaveline.lines.line import Stance


@dataclass(frozen=True, slots=True)
class Bowler:
    """A bowler with one ball, throwing it (nearly) straight.

    Attributes
    ----------
    hand : {"right", "left"}
    spread : Spread
    stance : Stance
    speed_mph : float
        Ball speed off the hand [mph].
    hook_boards : float
        Small constant bend at the pins, away from the ball hand [boards].
    ball_weight_lb : float
    """

    hand: Hand = "right"
    spread: Spread = LEVELS["league"]
    stance: Stance = field(default_factory=Stance)
    speed_mph: float = 18.0
    hook_boards: float = 0.0
    ball_weight_lb: float = 15.0
