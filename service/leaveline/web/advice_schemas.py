"""What `POST /v1/advice` takes, and how it becomes a game, strengths and a situation."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from marshmallow import ValidationError, post_load

from leaveline.lines.bowler import Bowler
from leaveline.lines.known import KnownLine
from leaveline.lines.solve import DEFAULT_SEED
from leaveline.pins.leave import Leave
from leaveline.scoring import (
    LEVELS,
    SCORINGS,
    TIE_RULES,
    Cut,
    GameState,
    Match,
    Score,
    SheetError,
    Situation,
    Strength,
    state_after,
    strength_for_average,
    strength_of_level,
)
from leaveline.web.fields import (
    LeaveField,
    ListOf,
    Number,
    OneOf,
    Part,
    Strict,
    StrictSchema,
    Whole,
    shown,
)
from leaveline.web.known_lines import known_in
from leaveline.web.line_schemas import MAX_SEED, BowlerSchema, LaneSchema, bowler_from
from leaveline.web.problems import Detail

KINDS = ("match", "cut", "score")
MOST_BALLS = 21
FIELDS_OF_KIND = {
    "match": {"opponent_rolls", "opponent_strength", "tie_rule", "lead_pins", "games_after"},
    "cut": {"pins_before", "games_after", "cut_pins", "cut_sd_pins"},
    "score": set(),
}
NEEDED_BY_KIND = {
    "match": {"own_rolls", "opponent_rolls"},
    "cut": {"pins_before", "games_after", "cut_pins"},
    "score": set(),
}


class BallField(Strict[Any]):
    """One ball: its pins as a whole number, or a sheet symbol (X, /, -, F, a digit, S7)."""

    def __init__(self, **kwargs: Any) -> None:
        openapi = {
            "oneOf": [
                {"type": "integer", "minimum": 0, "maximum": 10},
                {"type": "string", "minLength": 1, "maxLength": 2, "examples": ["X", "/", "S7"]},
            ]
        }
        super().__init__(metadata={"openapi": openapi}, **kwargs)

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> Any:
        is_pins = type(value) is int and 0 <= value <= 10
        if not is_pins and not (isinstance(value, str) and 1 <= len(value) <= 2):
            raise ValidationError(
                Detail(f"must be 0 to 10 or a sheet symbol, got {shown(value)}", "wrong_type")
            )
        return value


class StrengthSchema(StrictSchema):
    """How strong a bowler is over the frames to come: a level or an average, not both."""

    level = OneOf(LEVELS, metadata={"description": "Preset of strike and conversion rates."})
    average_pins = Number(90, 280, metadata={"description": "Average per game [pins]."})

    @post_load
    def _strength(self, data: dict[str, Any], **_: Any) -> Strength:
        if len(data) != 1:
            raise ValidationError(Detail("give either level or average_pins", "inconsistent"))
        if "level" in data:
            return strength_of_level(data["level"])
        return strength_for_average(data["average_pins"])


class SituationSchema(StrictSchema):
    """What is at stake. Which fields belong to which kind is said in each description."""

    kind = OneOf(KINDS, required=True, metadata={"description": "match, cut or score."})
    own_rolls = ListOf(
        BallField(),
        longest=MOST_BALLS,
        metadata={
            "description": "Own balls so far, the one that left the leave included; needed in a "
            "match. Where left out, the leave is taken to stand in the first frame."
        },
    )
    own_strength = Part(StrengthSchema)
    opponent_rolls = ListOf(
        BallField(),
        longest=MOST_BALLS,
        metadata={"description": "match: the opponent's balls so far."},
    )
    opponent_strength = Part(StrengthSchema)
    tie_rule = OneOf(TIE_RULES, metadata={"description": "match: what a tie is worth."})
    lead_pins = Whole(
        -3000, 3000, metadata={"description": "match: own pins ahead before this game [pins]."}
    )
    games_after = Whole(
        0, 32, metadata={"description": "match (total pins), cut: games after this one."}
    )
    pins_before = Whole(
        0, 20000, metadata={"description": "cut: own pins before this game [pins]."}
    )
    cut_pins = Number(
        0, 30000, metadata={"description": "cut: total that makes it, or its estimate [pins]."}
    )
    cut_sd_pins = Number(
        0, 500, metadata={"description": "cut: standard deviation of the estimate [pins]."}
    )


@dataclass(frozen=True, slots=True)
class AdviceRequest:
    """A checked request for advice."""

    leave: Leave
    bowler: Bowler
    state: GameState
    own: Strength
    situation: Situation
    seed: int
    known: tuple[KnownLine, ...] = ()


class AdviceRequestSchema(StrictSchema):
    """A leave, who throws at it, and what is at stake."""

    leave = LeaveField(required=True, metadata={"description": "The pins that stand."})
    bowler = Part(BowlerSchema)
    lane = Part(LaneSchema)
    situation = Part(SituationSchema, required=True)
    scoring = OneOf(SCORINGS, metadata={"description": "Scoring; traditional where left out."})
    seed = Whole(
        0, MAX_SEED, metadata={"description": "Seed of the fixed set of throws; 1 where left out."}
    )

    @post_load
    def _request(self, data: dict[str, Any], **_: Any) -> AdviceRequest:
        asked = data["situation"]
        kind, scoring = asked["kind"], data.get("scoring", "traditional")
        _check_fields(asked, kind)
        leave: Leave = data["leave"]
        own_rolls = asked.get("own_rolls", [10 - len(leave)])
        state = _state(own_rolls, scoring, "own_rolls")
        if state.over:
            raise _fault(
                "own_rolls", f"the game is over after these balls, no leave {leave} stands"
            )
        if state.standing != len(leave):
            raise _fault(
                "own_rolls",
                f"leave {state.standing} pins standing, but the leave {leave} has {len(leave)}",
            )
        own = asked.get("own_strength", strength_of_level("league"))
        bowler = data.get("bowler", {})
        return AdviceRequest(
            leave=leave,
            bowler=bowler_from(bowler, data.get("lane")),
            known=known_in(bowler),
            state=state,
            own=own,
            situation=_situation(kind, asked, scoring, own),
            seed=data.get("seed", DEFAULT_SEED),
        )


def _situation(kind: str, asked: dict[str, Any], scoring: Any, own: Strength) -> Situation:
    if kind == "match":
        return Match(
            opponent=_state(asked["opponent_rolls"], scoring, "opponent_rolls"),
            opponent_strength=asked.get("opponent_strength", own),
            tie_rule=asked.get("tie_rule", "roll_off"),
            lead_pins=asked.get("lead_pins", 0),
            games_after=asked.get("games_after", 0),
        )
    if kind == "cut":
        return Cut(
            pins_before=asked["pins_before"],
            games_after=asked["games_after"],
            cut_pins=asked["cut_pins"],
            cut_sd_pins=asked.get("cut_sd_pins", 0.0),
        )
    return Score()


def _check_fields(asked: dict[str, Any], kind: str) -> None:
    """Refuse fields of another kind, and ask for those this kind needs."""
    common = {"kind", "own_rolls", "own_strength"}
    faults: dict[str, Any] = {
        name: [Detail(f"does not belong to a situation of kind {kind}", "inconsistent")]
        for name in sorted(set(asked) - common - FIELDS_OF_KIND[kind])
    }
    for name in sorted(NEEDED_BY_KIND[kind] - set(asked)):
        faults[name] = [Detail(f"this field is required for kind {kind}", "required")]
    if faults:
        raise ValidationError({"situation": faults})


def _state(rolls: list[Any], scoring: Any, name: str) -> GameState:
    try:
        return state_after(rolls, scoring=scoring)
    except SheetError as error:
        fault = {error.index: [Detail(str(error), "illegal_ball")]}
        raise ValidationError({"situation": {name: fault}}) from None


def _fault(name: str, detail: str) -> ValidationError:
    return ValidationError({"situation": {name: [Detail(detail, "inconsistent")]}})
