"""What `POST /v1/lines` takes: the schemas of its request, and how it becomes a bowler."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from typing import Any, Literal, TypeVar

from marshmallow import ValidationError, post_load

from leaveline.delivery import COVERS, LEVELS, Ball, Rolling, Spread, default_release
from leaveline.delivery.ball import GRIT_RANGE
from leaveline.delivery.release import (
    AXIS_ROTATION_RANGE_DEG,
    AXIS_TILT_RANGE_DEG,
    REV_RATE_RANGE_RPM,
    SPEED_RANGE_MPH,
)
from leaveline.delivery.spread import SPREAD_HIGHEST
from leaveline.lane.oil import (
    AMOUNT_RANGE,
    GAMES_WORN_RANGE,
    LENGTH_RANGE_FT,
    RATIO_RANGE,
    SURFACE_FACTOR,
    OilPattern,
    OilZone,
)
from leaveline.lines.bowler import (
    BALL_WEIGHT_RANGE_LB,
    HOOK_RANGE_BOARDS,
    LEAN_RANGE_BOARDS,
    Bowler,
)
from leaveline.lines.known import KnownLine
from leaveline.lines.line import DRIFT_RANGE_BOARDS, OFFSET_RANGE_BOARDS, Play, Stance
from leaveline.lines.solve import DEFAULT_SEED, MOST_LINES
from leaveline.pins.leave import Leave
from leaveline.web.fields import Flag, LeaveField, ListOf, Number, OneOf, Part, StrictSchema, Whole
from leaveline.web.known_lines import MAX_KNOWN_LINES, KnownLineSchema, known_in
from leaveline.web.problems import Detail

T = TypeVar("T")

HANDS = ("right", "left")
PLAYS = ("spare", "count", "both")
DEFAULT_LEVEL = "league"
USUAL_OIL = OilPattern(40.0, 10.0)
"""A walled house shot of middle length (common practice), where the lane's oil is left out."""
MAX_LIMIT = MOST_LINES
MAX_COMPARED = 6
MAX_SEED = 2**53 - 1

PlayAsked = Literal["spare", "count", "both"]


class SpreadSchema(StrictSchema):
    """Standard deviations of what leaves the hand; each given field replaces the preset's."""

    lay_down_boards = Number(
        0,
        SPREAD_HIGHEST["lay_down_boards"],
        metadata={"description": "Board at the foul line, standard deviation [boards]."},
    )
    target_boards = Number(
        0,
        SPREAD_HIGHEST["target_boards"],
        metadata={"description": "Board at the target (15 ft), standard deviation [boards]."},
    )
    speed_mph = Number(
        0,
        SPREAD_HIGHEST["speed_mph"],
        metadata={"description": "Ball speed off the hand, standard deviation [mph]."},
    )
    rotation_deg = Number(
        0,
        SPREAD_HIGHEST["rotation_deg"],
        metadata={"description": "Axis rotation, standard deviation [deg]."},
    )
    rev_rate_rpm = Number(
        0,
        SPREAD_HIGHEST["rev_rate_rpm"],
        metadata={"description": "Rev rate, standard deviation [rpm]."},
    )


class ReleaseSchema(StrictSchema):
    """How the ball leaves the hand.

    `hook_boards` alone: a straight ball with a constant bend. Any other field: the ball's motion on
    the oil is worked out, and what is left out is the level's usual spare release.
    """

    speed_mph = Number(*SPEED_RANGE_MPH, metadata={"description": "Speed off the hand [mph]."})
    rev_rate_rpm = Number(*REV_RATE_RANGE_RPM, metadata={"description": "Rev rate [rpm]."})
    axis_rotation_deg = Number(
        *AXIS_ROTATION_RANGE_DEG,
        metadata={"description": "Axis rotation, 0 end over end, 90 sideways [deg]."},
    )
    axis_tilt_deg = Number(*AXIS_TILT_RANGE_DEG, metadata={"description": "Axis tilt [deg]."})
    hook_boards = Number(
        *HOOK_RANGE_BOARDS,
        metadata={
            "description": "Constant bend of a nearly straight ball, at the pins, away from the "
            "ball hand [boards]; not with the other fields, nor with a lane or a cover."
        },
    )


class BallSchema(StrictSchema):
    """The ball. Weight and fit are for qualified staff to choose, not for a number here."""

    weight_lb = Number(
        *BALL_WEIGHT_RANGE_LB, metadata={"description": "Weight [lb]; 15 where left out."}
    )
    cover = OneOf(COVERS, metadata={"description": "Cover; polyester where left out."})
    surface_grit = Number(
        *GRIT_RANGE,
        metadata={
            "description": "Surface, from coarse to polished; the cover's usual where left out."
        },
    )


class OilZoneSchema(StrictSchema):
    """A stretch of oil; boards from the ball-hand side, both included. Overlaps add up."""

    board_from = Number(1, 39, required=True, metadata={"description": "First board."})
    board_to = Number(1, 39, required=True, metadata={"description": "Last board."})
    feet_from = Number(0, 60, required=True, metadata={"description": "Start [ft]."})
    feet_to = Number(0, 60, required=True, metadata={"description": "End [ft]."})
    amount = Number(
        *AMOUNT_RANGE, required=True, metadata={"description": "1: the middle of a usual pattern."}
    )

    @post_load
    def _zone(self, data: dict[str, Any], **_: Any) -> OilZone:
        return _made(OilZone, data)


class OilSchema(StrictSchema):
    """An oil pattern: its length and ratio, or zones."""

    length_ft = Number(*LENGTH_RANGE_FT, metadata={"description": "Where the oil ends [ft]."})
    ratio = Number(
        *RATIO_RANGE,
        metadata={
            "description": "Oil in the middle over oil outside: 1 flat, 10 a walled house "
            "shot; 10 where left out."
        },
    )
    zones = ListOf(
        Part(OilZoneSchema), shortest=1, longest=40, metadata={"description": "Instead of both."}
    )

    @post_load
    def _oil(self, data: dict[str, Any], **_: Any) -> OilPattern:
        if "zones" in data:
            data["zones"] = tuple(data["zones"])
        elif "length_ft" in data:
            data.setdefault("ratio", USUAL_OIL.ratio)
        return _made(OilPattern, data)


class LaneSchema(StrictSchema):
    """The lane. Give it, and the ball's motion on the oil is worked out."""

    oil = Part(OilSchema)
    games_worn = Number(
        *GAMES_WORN_RANGE, metadata={"description": "Games bowled on it; 0 where left out."}
    )
    surface = OneOf(SURFACE_FACTOR, metadata={"description": "synthetic where left out."})


class StanceSchema(StrictSchema):
    """How the feet relate to the ball."""

    lay_down_offset_boards = Number(
        *OFFSET_RANGE_BOARDS,
        metadata={
            "description": "From the ball's first board to the middle of the slide foot, which is "
            "on the side away from the ball hand [boards]; 7 where left out."
        },
    )
    drift_boards = Number(
        *DRIFT_RANGE_BOARDS,
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
    lean_boards = Number(
        *LEAN_RANGE_BOARDS,
        metadata={
            "description": "How far, on average, the ball crosses the target's distance to the "
            "right of where it is aimed, as the bowler sees it [boards]; 0 where left out. Lines "
            "give the board to aim at. For lines and advice alone."
        },
    )
    known_lines = ListOf(
        Part(KnownLineSchema),
        shortest=1,
        longest=MAX_KNOWN_LINES,
        metadata={
            "description": "Lines this bowler already trusts: the lean, and the offset from slide "
            "foot to ball, are fitted to them, and lines are also told as moves from them. In the "
            "place of lean_boards, for lines and advice alone."
        },
    )


def bowler_from(data: dict[str, Any], lane: dict[str, Any] | None = None) -> Bowler:
    """Make a bowler of checked request parts: the level's presets, then field by field.

    Parameters
    ----------
    data : dict
        What BowlerSchema gives.
    lane : dict, optional
        What LaneSchema gives; where given, or where a cover or more of the release than its bend
        is, the ball rolls on oil.

    Raises
    ------
    ValidationError
        Where a constant bend is given together with what would work the bend out, or a lean
        together with lines that show it.
    """
    if "lean_boards" in data and "known_lines" in data:
        detail = Detail("must not be given with known_lines, which show the lean", "inconsistent")
        raise ValidationError({"bowler": {"lean_boards": [detail]}})
    level = data.get("level", DEFAULT_LEVEL)
    release = dict(data.get("release", {}))
    hook = release.pop("hook_boards", None)
    ball = dict(data.get("ball", {}))
    weight = ball.get("weight_lb", 15.0)
    rolls = bool(lane is not None or release or set(ball) - {"weight_lb"})
    if rolls and hook is not None:
        detail = Detail(
            "must not be given with a lane, a cover or more of the release", "inconsistent"
        )
        raise ValidationError({"bowler": {"release": {"hook_boards": [detail]}}})
    bowler = Bowler(
        hand=data.get("hand", "right"),
        spread=Spread(**{**asdict(LEVELS[level]), **data.get("spread", {})}),
        stance=replace(Stance(), **data.get("stance", {})),
        lean_boards=data.get("lean_boards", 0.0),
        hook_boards=hook or 0.0,
        ball_weight_lb=weight,
    )
    if not rolls:
        return bowler
    lane = lane or {}
    rolling = Rolling(
        ball=Ball(**{"cover": "polyester", **ball}),
        release=replace(default_release("spare", level=level), **release),
        oil=lane.get("oil", USUAL_OIL),
        games_worn=lane.get("games_worn", 0.0),
        lane_surface=lane.get("surface", "synthetic"),
    )
    return replace(bowler, rolling=rolling)


def _made(kind: Callable[..., T], data: dict[str, Any]) -> T:
    """Make a value that checks itself; what it refuses becomes a fault."""
    try:
        return kind(**data)
    except ValueError as error:
        raise ValidationError(Detail(str(error), "inconsistent")) from None


@dataclass(frozen=True, slots=True)
class LinesRequest:
    """A checked request for lines."""

    leave: Leave
    bowler: Bowler
    play: PlayAsked
    limit: int
    seed: int
    compared: tuple[Bowler, ...] = ()
    sensitivity: bool = False
    reach: bool = False
    known: tuple[KnownLine, ...] = ()

    @property
    def plays(self) -> tuple[Play, ...]:
        """The plays asked for, spare first."""
        return ("spare", "count") if self.play == "both" else (self.play,)


class LinesRequestSchema(StrictSchema):
    """A leave, who throws at it, and what is asked."""

    leave = LeaveField(required=True, metadata={"description": "The pins that stand."})
    bowler = Part(BowlerSchema)
    lane = Part(LaneSchema)
    balls = ListOf(
        Part(BallSchema),
        shortest=2,
        longest=MAX_COMPARED,
        metadata={"description": "Balls to compare, each in the place of `bowler.ball`."},
    )
    releases = ListOf(
        Part(ReleaseSchema),
        shortest=2,
        longest=MAX_COMPARED,
        metadata={"description": "Releases to compare, each in the place of `bowler.release`."},
    )
    sensitivity = Flag(
        metadata={
            "description": "Also say what one board, mph, rpm or degree more does to the best line."
        }
    )
    reach = Flag(
        metadata={
            "description": "Also say how far to the left and to the right the leave can be played, "
            "and what ends it there."
        }
    )
    play = OneOf(PLAYS, metadata={"description": "Lines for the spare, for count, or both."})
    limit = Whole(
        1, MAX_LIMIT, metadata={"description": "Most lines for each play; 3 where left out."}
    )
    seed = Whole(
        0, MAX_SEED, metadata={"description": "Seed of the fixed set of throws; 1 where left out."}
    )

    @post_load
    def _request(self, data: dict[str, Any], **_: Any) -> LinesRequest:
        if "balls" in data and "releases" in data:
            detail = Detail(
                "must not be given with balls; compare one or the other", "inconsistent"
            )
            raise ValidationError({"releases": [detail]})
        bowler, lane = data.get("bowler", {}), data.get("lane")
        variants = [{"ball": ball} for ball in data.get("balls", [])]
        variants += [{"release": release} for release in data.get("releases", [])]
        compared = tuple(bowler_from({**bowler, **variant}, lane) for variant in variants)
        return LinesRequest(
            leave=data["leave"],
            bowler=bowler_from(bowler, lane),
            compared=compared,
            sensitivity=data.get("sensitivity", False),
            reach=data.get("reach", False),
            known=known_in(bowler),
            play=data.get("play", "spare"),
            limit=data.get("limit", 3),
            seed=data.get("seed", DEFAULT_SEED),
        )


def request_in_query(leave: Leave, query: dict[str, Any]) -> LinesRequest:
    """Make the request that a leave in the path and a bowler in a few words stand for."""
    given = dict(query)
    length_ft = given.pop("oil_length_ft", None)
    lane = None if length_ft is None else {"oil": OilPattern(length_ft, USUAL_OIL.ratio)}
    return LinesRequest(
        leave=leave, bowler=bowler_from(given, lane), play="both", limit=3, seed=DEFAULT_SEED
    )
