"""What `POST /v1/comparisons` takes: ways to throw spares, and the leaves they are thrown at."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from marshmallow import ValidationError, post_load

from leaveline.lines.bowler import Bowler
from leaveline.pins.leave import Leave
from leaveline.practice import Season
from leaveline.practice.ball_options import usual_options
from leaveline.practice.leave_mix import commonest, leaves_of, usual_leaves
from leaveline.practice.spare_ball import FACTOR_RANGE, MOST_LEAVES, MOST_OPTIONS, BallOption
from leaveline.practice.tallies import count
from leaveline.scoring import strength_of_level
from leaveline.scoring.game import FRAMES
from leaveline.web.accuracy_schemas import DEFAULT_CONFIDENCE, confidence_field
from leaveline.web.fields import LeaveField, ListOf, Number, Part, StrictSchema, Whole, Words
from leaveline.web.known_lines import refuse_lean
from leaveline.web.line_schemas import (
    DEFAULT_LEVEL,
    BallSchema,
    BowlerSchema,
    LaneSchema,
    ReleaseSchema,
    SpreadSchema,
    bowler_from,
)
from leaveline.web.problems import Detail
from leaveline.web.season_schemas import SeasonSchema, season_in

MOST_COUNTED = 100_000
MOST_GAMES = 10_000
LONGEST_NAME = 40
BENDS = "must be left out: how the ball bends is worked out here"


class ComparedOptionSchema(StrictSchema):
    """A way to throw spares: what it changes of the bowler, and a plain name for it."""

    name = Words(LONGEST_NAME, required=True, metadata={"description": "Plain name, no two alike."})
    ball = Part(
        BallSchema,
        metadata={"description": "In the place of the bowler's; the weight stays if left out."},
    )
    release = Part(
        ReleaseSchema, metadata={"description": "Over the bowler's release, field by field."}
    )
    spread = Part(
        SpreadSchema, metadata={"description": "Over the bowler's spread, field by field."}
    )


class LeaveCountSchema(StrictSchema):
    """How often one leave came up."""

    leave = LeaveField(required=True, metadata={"description": "The standing pins."})
    count = Whole(0, MOST_COUNTED, required=True, metadata={"description": "How often."})


class IntervalSchema(StrictSchema):
    """A fitted value with its interval, as `POST /v1/accuracy` answers it."""

    value = Number(0.05, 8, required=True, metadata={"description": "The value."})
    low = Number(0.05, 8, required=True, metadata={"description": "Lower end."})
    high = Number(0.05, 8, required=True, metadata={"description": "Upper end."})

    @post_load
    def _ordered(self, data: dict[str, float], **_: Any) -> dict[str, float]:
        if not data["low"] <= data["value"] <= data["high"]:
            raise ValidationError(Detail("must have low <= value <= high", "inconsistent"))
        return data


@dataclass(frozen=True, slots=True)
class Mix:
    """Leaves a game, and where they come from.

    `source` is `usual`, `counts` or `season`; `games` those they were counted over.
    """

    source: str
    leaves_per_game: Mapping[Leave, float]
    left_out_per_game: float
    games: float | None


@dataclass(frozen=True, slots=True)
class ComparisonRequest:
    """A checked comparison of ways to throw spares."""

    options: tuple[BallOption, ...]
    mix: Mix
    spread_factors: tuple[float, ...]
    confidence: float
    season: Season | None


class ComparisonRequestSchema(SeasonSchema):
    """Ways to throw spares, and the leaves they are thrown at: counted, of bowled games, or usual.

    The bowler is as spares are thrown now. The ball's motion on the oil is always worked out.
    """

    bowler = Part(BowlerSchema)
    lane = Part(LaneSchema)
    options = ListOf(
        Part(ComparedOptionSchema),
        shortest=2,
        longest=MOST_OPTIONS,
        metadata={
            "description": "Ways to compare, the present one first. Where left out: as now, a "
            "polyester ball, 2 mph slower, and half the spread in axis rotation."
        },
    )
    leave_counts = ListOf(
        Part(LeaveCountSchema),
        shortest=1,
        longest=MOST_LEAVES,
        metadata={"description": "Leaves as counted over `games`; instead of rows and csv."},
    )
    games = Number(
        0.1, MOST_GAMES, metadata={"description": "Games that `leave_counts` were counted over."}
    )
    target_boards = Part(
        IntervalSchema,
        metadata={
            "description": "What is known of the spread at the target [boards], as POST "
            "/v1/accuracy answers it; the intervals then cover it."
        },
    )
    confidence = confidence_field("the intervals")

    @post_load
    def _request(self, data: dict[str, Any], **_: Any) -> ComparisonRequest:
        told: dict[str, Any] = data.get("bowler", {})
        refuse_lean(told)
        _check_bends(told, data.get("options", []))
        lane = data.get("lane", {})
        bowler = bowler_from(told, lane)
        season = season_in(data) if data.keys() & {"rows", "csv"} else None
        return ComparisonRequest(
            options=_options(data.get("options"), told, lane, bowler),
            mix=_mix(data, season, bowler, told.get("level", DEFAULT_LEVEL)),
            spread_factors=_factors(data.get("target_boards")),
            confidence=data.get("confidence", DEFAULT_CONFIDENCE),
            season=season,
        )


def _check_bends(bowler: dict[str, Any], options: list[dict[str, Any]]) -> None:
    """Refuse a constant bend."""
    fault = {"release": {"hook_boards": [Detail(BENDS, "inconsistent")]}}
    faults: dict[str, Any] = {}
    if "hook_boards" in bowler.get("release", {}):
        faults["bowler"] = fault
    bent = {
        place: fault
        for place, option in enumerate(options)
        if "hook_boards" in option.get("release", {})
    }
    if bent:
        faults["options"] = bent
    if faults:
        raise ValidationError(faults)


def _options(
    given: list[dict[str, Any]] | None,
    told: dict[str, Any],
    lane: dict[str, Any],
    bowler: Bowler,
) -> tuple[BallOption, ...]:
    if given is None:
        usual = usual_options(bowler)
        if len(usual) < 2:
            detail = "this field is required here: no usual way would be a change"
            raise ValidationError({"options": [Detail(detail, "required")]})
        return tuple(usual)
    names = [option["name"] for option in given]
    if twice := [place for place, name in enumerate(names) if name in names[:place]]:
        fault = {"name": [Detail("must be a name that no other option has", "duplicate")]}
        raise ValidationError({"options": dict.fromkeys(twice, fault)})
    return tuple(
        BallOption(option["name"], bowler_from(_thrown_so(told, option), lane)) for option in given
    )


def _thrown_so(told: dict[str, Any], option: dict[str, Any]) -> dict[str, Any]:
    """The bowler as told, with what an option changes."""
    changed = dict(told)
    if "ball" in option:
        weight = {k: v for k, v in told.get("ball", {}).items() if k == "weight_lb"}
        changed["ball"] = {**weight, **option["ball"]}
    for part in ("release", "spread"):
        if part in option:
            changed[part] = {**told.get(part, {}), **option[part]}
    return changed


def _mix(data: dict[str, Any], season: Season | None, bowler: Bowler, level: Any) -> Mix:
    """Leaves a game from the one source that is given."""
    counted = data.get("leave_counts")
    if counted is not None and season is not None:
        detail = "must not come with rows or csv as well"
        raise ValidationError({"leave_counts": [Detail(detail, "inconsistent")]})
    if (counted is None) != ("games" not in data):
        missing = "games" if counted is not None else "leave_counts"
        detail = "this field is required: leave_counts and games go together"
        raise ValidationError({missing: [Detail(detail, "required")]})
    if season is not None:
        tally = count(season)
        attempts = {leave: own.attempts for leave, own in tally.by_leave.items()}
        if not attempts:
            detail = "hold no spare ball at a leave that is told: nothing to compare over"
            name = "rows" if "rows" in data else "csv"
            raise ValidationError({name: [Detail(detail, "inconsistent")]})
        kept, left_out = commonest(leaves_of(attempts, tally.games), MOST_LEAVES)
        return Mix("season", kept, left_out, tally.games)
    if counted is not None:
        return _counted(counted, data["games"])
    strikes = strength_of_level(level).strike_probability
    return Mix("usual", usual_leaves(hand=bowler.hand, strike_probability=strikes), 0.0, None)


def _counted(counts: list[dict[str, Any]], games: float) -> Mix:
    total: Counter[Leave] = Counter()
    for place, one in enumerate(counts):
        if one["leave"] in total:
            fault = {"leave": [Detail(f"{one['leave']} is counted twice", "duplicate")]}
            raise ValidationError({"leave_counts": {place: fault}})
        total[one["leave"]] = one["count"]
    if not 0 < total.total() <= FRAMES * games:
        detail = (
            f"add up to {total.total()} leaves in {games:g} games; allowed: more than 0, at most "
            f"{FRAMES} a game"
        )
        raise ValidationError({"leave_counts": [Detail(detail, "out_of_range")]})
    return Mix("counts", leaves_of(total, games), 0.0, games)


def _factors(known: dict[str, float] | None) -> tuple[float, ...]:
    """What the spread may have to be multiplied by: one, and the ends of its interval."""
    if known is None:
        return (1.0,)
    factors = {name: known[name] / known["value"] for name in ("low", "high")}
    lowest, highest = FACTOR_RANGE
    faults = {
        name: [
            Detail(
                f"must be from {lowest:g} to {highest:g} times the value, {known['value']:g}, "
                f"got {known[name]:g}",
                "out_of_range",
            )
        ]
        for name, factor in factors.items()
        if not lowest <= factor <= highest
    }
    if faults:
        raise ValidationError({"target_boards": faults})
    return (1.0, factors["low"], factors["high"])
