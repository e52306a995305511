"""What `POST /v1/accuracy` takes, and how it becomes throws to fit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from marshmallow import ValidationError, post_load

from leaveline.delivery.release import Level
from leaveline.lane.dimensions import BOARD_COUNT
from leaveline.lines.bowler import Bowler
from leaveline.practice import LeaveResult
from leaveline.practice.accuracy import (
    MOST_PINS_MISS_BOARDS,
    MOST_TARGET_MISS_BOARDS,
    MOST_THROWS,
)
from leaveline.web.fields import Flag, LeaveField, ListOf, Number, Part, StrictSchema, Whole
from leaveline.web.known_lines import refuse_lean
from leaveline.web.line_schemas import BowlerSchema, LaneSchema, bowler_from
from leaveline.web.problems import Detail

MAX_RESULTS = 200
MAX_MISSES = 20_000
LOWEST_CONFIDENCE, HIGHEST_CONFIDENCE = 0.5, 0.99
DEFAULT_CONFIDENCE = 0.8


def confidence_field(of: str, default: float = DEFAULT_CONFIDENCE, **metadata: Any) -> Number:
    """How sure the intervals are; more metadata is for the document."""
    description = f"Confidence of {of}; {default:g} where left out."
    return Number(
        LOWEST_CONFIDENCE, HIGHEST_CONFIDENCE, metadata={"description": description, **metadata}
    )


class LeaveResultSchema(StrictSchema):
    """Makes among attempts at one leave, all thrown on one line."""

    leave = LeaveField(required=True, metadata={"description": "The pins thrown at."})
    attempts = Whole(1, MOST_THROWS, required=True, metadata={"description": "Balls thrown."})
    made = Whole(
        0, MOST_THROWS, required=True, metadata={"description": "Makes, at most the attempts."}
    )
    lay_down_board = Number(
        0,
        BOARD_COUNT + 1,
        metadata={
            "description": "Line meant: board at the foul line. Without a line the best one for "
            "the fitted spread is assumed."
        },
    )
    target_board = Number(
        0,
        BOARD_COUNT + 1,
        metadata={"description": "Line meant: board at the target. Both boards or neither."},
    )

    @post_load
    def _result(self, data: dict[str, Any], **_: Any) -> LeaveResult:
        if data["made"] > data["attempts"]:
            detail = f"must be from 0 to the attempts, {data['attempts']}, got {data['made']}"
            raise ValidationError({"made": [Detail(detail, "out_of_range")]})
        boards = {"lay_down_board", "target_board"}
        if len(missing := boards - data.keys()) == 1:
            detail = f"must come with {missing.pop()}: a line has both boards"
            given = (boards & data.keys()).pop()
            raise ValidationError({given: [Detail(detail, "inconsistent")]})
        return LeaveResult(**data)


@dataclass(frozen=True, slots=True)
class AccuracyRequest:
    """A checked request for an accuracy."""

    results: tuple[LeaveResult, ...]
    target_misses_boards: tuple[float, ...]
    pins_misses_boards: tuple[float, ...]
    bowler: Bowler
    level: Level | None
    look_for_lean: bool
    confidence: float


class AccuracyRequestSchema(StrictSchema):
    """What was thrown, and by whom. A throw counts once: by its leave or by its recorded miss."""

    results = ListOf(
        Part(LeaveResultSchema),
        longest=MAX_RESULTS,
        metadata={"description": "Makes and attempts by leave; single pins say most."},
    )
    target_misses_boards = ListOf(
        Number(-MOST_TARGET_MISS_BOARDS, MOST_TARGET_MISS_BOARDS),
        longest=MAX_MISSES,
        metadata={
            "description": "Recorded misses at the target [boards], 0 for a hit, positive to the "
            "right as the bowler sees it. Taken as rounded to the coarsest of 1, 0.5 and 0.1 "
            "boards that fits them all. A mean beyond 10 boards is not told from the spread, and a "
            "reason says so."
        },
    )
    pins_misses_boards = ListOf(
        Number(-MOST_PINS_MISS_BOARDS, MOST_PINS_MISS_BOARDS),
        longest=MAX_MISSES,
        metadata={
            "description": "The same where the ball crossed the head-pin row, read as a straight "
            "ball's [boards]."
        },
    )
    bowler = Part(
        BowlerSchema,
        metadata={
            "description": "Who threw, without a spread: that is what is looked for. A level is "
            "where the search starts; without one every level is as likely."
        },
    )
    lane = Part(LaneSchema)
    look_for_lean = Flag(
        metadata={
            "description": "Whether the throws may go to one side on average; true where left "
            "out. Say false for the throws of many bowlers together."
        }
    )
    confidence = confidence_field("the intervals")

    @post_load
    def _request(self, data: dict[str, Any], **_: Any) -> AccuracyRequest:
        bowler = data.get("bowler", {})
        refuse_lean(bowler)
        if "spread" in bowler:
            detail = "must be left out: the spread is what is fitted"
            raise ValidationError({"bowler": {"spread": [Detail(detail, "inconsistent")]}})
        return AccuracyRequest(
            results=tuple(data.get("results", ())),
            target_misses_boards=tuple(data.get("target_misses_boards", ())),
            pins_misses_boards=tuple(data.get("pins_misses_boards", ())),
            bowler=bowler_from(bowler, data.get("lane")),
            level=bowler.get("level"),
            look_for_lean=data.get("look_for_lean", True),
            confidence=data.get("confidence", DEFAULT_CONFIDENCE),
        )
