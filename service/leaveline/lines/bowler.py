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
from leaveline.lane.oil import check_range
from leaveline.lines.line import Stance

LEAN_RANGE_BOARDS = (-7, 7)
HOOK_RANGE_BOARDS = (0, 6)
BALL_WEIGHT_RANGE_LB = (6, 16)


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
        aimed, as the bowler sees it, -7 to 7 [boards]; lines give the board to aim at.
    hook_boards : float
        Without `rolling`: a straight ball with this constant bend at the pins, away from the ball
        hand, 0 to 6 [boards].
    ball_weight_lb : float
        What the pins feel, 6 to 16 [lb].
    rolling : Rolling, optional
        Ball, release and lane, told as for a right-hander (boards count from the ball-hand side);
        where given, the ball's motion on the oil is worked out and `hook_boards` plays no part.

    Raises
    ------
    ValueError
        For a value out of range, or another hand.
    """

    hand: Hand = "right"
    spread: Spread = LEVELS["league"]
    stance: Stance = field(default_factory=Stance)
    lean_boards: float = 0.0
    hook_boards: float = 0.0
    ball_weight_lb: float = 15.0
    rolling: Rolling | None = None

    def __post_init__(self) -> None:
        if self.hand not in ("right", "left"):
            raise ValueError(f"hand = {self.hand!r}: must be right or left")
        check_range("lean_boards", self.lean_boards, *LEAN_RANGE_BOARDS)
        check_range("hook_boards", self.hook_boards, *HOOK_RANGE_BOARDS)
        check_range("ball_weight_lb", self.ball_weight_lb, *BALL_WEIGHT_RANGE_LB)

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
