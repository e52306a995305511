"""What `POST /v1/reviews` takes: games, who bowled them, and what is known of the accuracy."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from marshmallow import ValidationError

from leaveline.delivery import Spread
from leaveline.delivery.release import Level
from leaveline.lane.oil import OilPattern
from leaveline.lines.bowler import Bowler
from leaveline.web.accuracy_schemas import DEFAULT_CONFIDENCE, confidence_field
from leaveline.web.fields import Part, Whole
from leaveline.web.known_lines import refuse_lean
from leaveline.web.line_schemas import USUAL_OIL, BowlerSchema, LaneSchema, bowler_from
from leaveline.web.problems import Detail
from leaveline.web.query_schemas import LineQuerySchema
from leaveline.web.season_schemas import SeasonSchema, scoring_field

MAX_ITEMS = 20
DEFAULT_ITEMS = 5
DEFAULT_DRILL_CONFIDENCE = 0.9


def _limit_field(**metadata: Any) -> Whole:
    description = f"Most things to practise; {DEFAULT_ITEMS} where left out."
    return Whole(1, MAX_ITEMS, metadata={"description": description, **metadata})


class ReviewRequestSchema(SeasonSchema):
    """Bowled games, and by whom.

    With a spread in `bowler` the accuracy is taken as known; without one it is fitted to the
    games, from the level if there is one.
    """

    bowler = Part(BowlerSchema)
    lane = Part(LaneSchema)
    confidence = confidence_field("the intervals")
    drill_confidence = confidence_field("the drills' scores", DEFAULT_DRILL_CONFIDENCE)
    limit = _limit_field()


class ReviewQuerySchema(LineQuerySchema):
    """A bowler in a few words, and how to review; each here or in the body, not in both."""

    scoring = scoring_field(example="traditional")
    confidence = confidence_field("the intervals", example=0.8)
    drill_confidence = confidence_field("the drills' scores", DEFAULT_DRILL_CONFIDENCE, example=0.9)
    limit = _limit_field(example=3)


@dataclass(frozen=True, slots=True)
class ReviewRequest:
    """How to review: the games come beside it."""

    bowler: Bowler
    spread: Spread | None
    level: Level | None
    confidence: float
    drill_confidence: float
    limit: int


def review_request(body: dict[str, Any], query: dict[str, Any]) -> ReviewRequest:
    """Make a request of what the body and the query say.

    Raises
    ------
    ValidationError
        For something said in both.
    """
    twice = [name for name in query if name in body]
    if query.keys() & LineQuerySchema().fields.keys():
        twice += [name for name in ("bowler", "lane") if name in body]
    if twice:
        detail = "is told in the query too; tell it in one place"
        raise ValidationError({name: [Detail(detail, "inconsistent")] for name in twice})
    given = {**query, **body}
    length_ft = given.get("oil_length_ft")
    if length_ft is not None:
        given["lane"] = {"oil": OilPattern(length_ft, USUAL_OIL.ratio)}
    told: dict[str, Any] = given.get("bowler", {})
    told = told | {name: given[name] for name in ("hand", "level") if name in given}
    refuse_lean(told)
    bowler = bowler_from(told, given.get("lane"))
    return ReviewRequest(
        bowler=bowler,
        spread=bowler.spread if "spread" in told else None,
        level=told.get("level"),
        confidence=given.get("confidence", DEFAULT_CONFIDENCE),
        drill_confidence=given.get("drill_confidence", DEFAULT_DRILL_CONFIDENCE),
        limit=given.get("limit", DEFAULT_ITEMS),
    )
