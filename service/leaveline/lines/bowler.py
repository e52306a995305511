"""Who throws, with what, on which lane: all the solver needs to know, checked."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Self

from leaveline.delivery import (
    LEVELS,
    ArrivalTable,
    Rolling,
    Spread,
    rolling_arrivals,
    straight_arrivals,
)
from leaveline.lane import Hand
from leaveline.lines.line import Stance


@dataclass(frozen=True, slots=True)
class Bowler:
    """A bowler with one ball on one lane.

    Attributes
    ----------
    hand : {"right", "left"}
    spread : Spread
    stance : Stance
    lean_boards : float
        How far, on average, the ball crosses the target's distance to the right of where it is
        aimed, as the bowler sees it [boards]; lines give the board to aim at.
    hook_boards : float
        Without `rolling`: a straight ball with this constant bend at the pins, away from the ball
        hand [boards].
    ball_weight_lb : float
        What the pins feel, 6 to 16.
    rolling : Rolling, optional
        Ball, release and lane, told as for a right-hander (boards count from the ball-hand side);
        where given, the ball's motion on the oil is worked out and `hook_boards` plays no part.
    """

    hand: Hand = "right"
    spread: Spread = LEVELS["league"]
    stance: Stance = field(default_factory=Stance)
    lean_boards: float = 0.0
    hook_boards: float = 0.0
    ball_weight_lb: float = 15.0
    rolling: Rolling | None = None

    def as_right_hander(self) -> Self:
        """The same bowler in a mirror where left-handed; the lane is told from the ball hand."""
        if self.hand == "right":
            return self
        return replace(self, hand="right", lean_boards=0.0 - self.lean_boards)

    @property
    def arrivals(self) -> ArrivalTable:
        """Where the ball arrives for every lay-down and target, as a right-hander's."""
        if self.rolling is not None:
            return rolling_arrivals(self.rolling, self.spread)
        return straight_arrivals(hook_boards=self.hook_boards)
