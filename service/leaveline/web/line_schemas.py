"""What `POST /v1/lines` takes: the schemas of its request, and how it becomes a bowler."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import Any, Literal

from marshmallow import ValidationError, post_load

from leaveline.delivery import LEVELS, Spread
from leaveline.lines.bowler import Bowler
from leaveline.lines.line import Play, Stance
from leaveline.lines.solve import DEFAULT_SEED
from leaveline.pins.leave import Leave
from leaveline.web.fields import LeaveField, Number, OneOf, Part, StrictSchema, Whole
from leaveline.web.problems import Detail

HANDS = ("right", "left")
PLAYS = ("spare", "count", "both")
DEFAULT_LEVEL = "league"
MAX_LIMIT = 8
MAX_SEED = 2**53 - 1

PlayAsked = Literal["spare", "count", "both"]


class SpreadSchema(StrictSchema):
    """Standard deviations of what leaves the hand; each given field replaces the preset's."""

    lay_down_boards = Number(
        0, 8, metadata={"description": "Board at the foul line, standard deviation [boards]."}
    )
    target_boards = Number(
        0, 8, metadata={"description": "Board at the target (15 ft), standard deviation [boards]."}
    )
    speed_mph = Number(
        0, 4, metadata={"description": "Ball speed off the hand, standard deviation [mph]."}
    )
    rotation_deg = Number(
        0, 30, metadata={"description": "Axis rotation, standard deviation [deg]."}
    )
    rev_rate_rpm = Number(0, 120, metadata={"description": "Rev rate, standard deviation [rpm]."})


class ReleaseSchema(StrictSchema):
    """How the ball leaves the hand."""

    speed_mph = Number(8, 28, metadata={"description": "Ball speed off the hand [mph]."})
    hook_boards = Number(
        0,
        6,
        metadata={
            "description": "Constant bend of a nearly straight ball, at the pins, away from the "
            "ball hand [boards]."
        },
    )


class BallSchema(StrictSchema):
    """The ball. Weight and fit are for qualified staff to choose, not for a number here."""

    weight_lb = Number(6, 16, metadata={"description": "Weight [lb]."})


class StanceSchema(StrictSchema):
    """How the feet relate to the ball."""

    lay_down_offset_boards = Number(
        0,
        16,
        metadata={
            "description": "From the ball's first board to the middle of the slide foot, which is "
            "on the side away from the ball hand [boards]; 7 where left out."
        },
    )
    drift_boards = Number(
        -12,
        12,
        metadata={
            "description": "How far the slide foot ends from where it started [boards], positive "
            "away from the ball hand; 0 where left out."
        },
    )


class BowlerSchema(StrictSchema):
    """Who throws: hand, level or own numbers, release, ball and stance."""

    hand = OneOf(HANDS, metadata={"description": "Ball hand; right where left out."})
    level = OneOf(
        LEVELS,
        metadata={"description": "Preset of spread; league where left out."},
    )
    spread = Part(SpreadSchema)
    release = Part(ReleaseSchema)
    ball = Part(BallSchema)
    stance = Part(StanceSchema)

    @post_load
    def _bowler(self, data: dict[str, Any], **_: Any) -> Bowler:
        return bowler_from(data)


def bowler_from(data: dict[str, Any]) -> Bowler:
    """Make a bowler of a checked request: the level's preset, then field by field."""
    preset = LEVELS[data.get("level", DEFAULT_LEVEL)]
    release = data.get("release", {})
    bowler = Bowler(
        hand=data.get("hand", "right"),
        spread=Spread(**{**asdict(preset), **data.get("spread", {})}),
        stance=replace(Stance(), **data.get("stance", {})),
    )
    changes = {
        "speed_mph": release.get("speed_mph"),
        "hook_boards": release.get("hook_boards"),
        "ball_weight_lb": data.get("ball", {}).get("weight_lb"),
    }
    return replace(bowler, **{k: v for k, v in changes.items() if v is not None})


@dataclass(frozen=True, slots=True)
class LinesRequest:
    """A checked request for lines."""

    leave: Leave
    bowler: Bowler
    play: PlayAsked
    limit: int
    seed: int

    @property
    def plays(self) -> tuple[Play, ...]:
        """The plays asked for, spare first."""
        return ("spare", "count") if self.play == "both" else (self.play,)


class LinesRequestSchema(StrictSchema):
    """A leave, who throws at it, and what is asked."""

    leave = LeaveField(required=True, metadata={"description": "The pins that stand."})
    bowler = Part(BowlerSchema)
    play = OneOf(PLAYS, metadata={"description": "Lines for the spare, for count, or both."})
    limit = Whole(
        1, MAX_LIMIT, metadata={"description": "Most lines for each play; 3 where left out."}
    )
    seed = Whole(
        0, MAX_SEED, metadata={"description": "Seed of the fixed set of throws; 1 where left out."}
    )

    @post_load
    def _request(self, data: dict[str, Any], **_: Any) -> LinesRequest:
        return LinesRequest(
            leave=data["leave"],
            bowler=data.get("bowler", Bowler()),
            play=data.get("play", "spare"),
            limit=data.get("limit", 3),
            seed=data.get("seed", DEFAULT_SEED),
        )


def not_together(first: str, second: str) -> ValidationError:
    """The fault of two fields that exclude each other."""
    return ValidationError({second: [Detail(f"must not be given with {first}", "inconsistent")]})
