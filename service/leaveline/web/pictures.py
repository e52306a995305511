"""`GET /v1/pictures/{leave}.svg`, and the picture of a line for callers who accept SVG."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response, current_app, request

from leaveline.lines.picture import picture_of
from leaveline.lines.picture_carry import carry_picture
from leaveline.web.answers import cacheable
from leaveline.web.fields import OneOf, StrictSchema, Whole
from leaveline.web.leaves import leave_in_path
from leaveline.web.line_schemas import MAX_LIMIT, LinesRequest, request_in_query
from leaveline.web.problems import Problem
from leaveline.web.query import read_query
from leaveline.web.query_schemas import LineQuerySchema
from leaveline.web.solved import settled, told_lines

blueprint = Blueprint("pictures", __name__)

SVG = "image/svg+xml"
KINDS = ("lane", "carry")
MAX_INDEX = 2 * MAX_LIMIT - 1
SANDBOX = "default-src 'none'; sandbox"
"""Content security policy of a picture opened by itself: it needs nothing and may do nothing."""


class PictureChoiceSchema(StrictSchema):
    """Which picture of an answer."""

    kind = OneOf(
        KINDS,
        metadata={
            "description": "lane: one line on the lane and the deck; carry: how likely the leave "
            "is made over board at the pins and entry angle. lane where left out.",
            "example": "lane",
        },
    )
    line = Whole(
        0,
        MAX_INDEX,
        metadata={
            "description": "Which of the answer's lines, counted from 0; 0 where left out.",
            "example": 0,
        },
    )


class PictureQuerySchema(LineQuerySchema, PictureChoiceSchema):
    """A bowler in a few words, and which picture."""


@blueprint.get("/v1/pictures/<leave>.svg")
def show_picture(leave: str) -> Response:
    """Draw a line, or the carry, of what `GET /v1/lines/{leave}` answers to the same query."""
    query: dict[str, Any] = read_query(PictureQuerySchema(), request)
    kind, index = query.pop("kind", "lane"), query.pop("line", 0)
    asked = request_in_query(leave_in_path(leave), query)
    response = cacheable(picture(asked, kind=kind, index=index), mimetype=SVG)
    response.headers["Content-Security-Policy"] = SANDBOX
    return response


def picture_response(asked: LinesRequest, choice: dict[str, Any]) -> Response:
    """Answer a checked `POST /v1/lines` with a picture: its best line's, or the query's choice."""
    text = picture(asked, kind=choice.get("kind", "lane"), index=choice.get("line", 0))
    response = current_app.response_class(text, mimetype=SVG)
    response.headers["Cache-Control"] = "no-store"
    response.headers["Content-Security-Policy"] = SANDBOX
    return response


def picture(asked: LinesRequest, *, kind: str, index: int) -> str:
    """Draw one picture of an answer.

    Raises
    ------
    Problem
        422 where the answer has no line of that index.
    """
    asked, _ = settled(asked)
    lines = [line for line, _ in told_lines(asked)]
    if index >= len(lines):
        detail = f"must be from 0 to {len(lines) - 1}, the lines of this answer; got {index}"
        fault = {"pointer": "query/line", "code": "out_of_range", "detail": detail}
        raise Problem("invalid-request", f"query/line: {detail}", errors=[fault])
    if kind == "carry":
        return carry_picture(
            asked.leave,
            hand=asked.bowler.hand,
            lines=[line for line in lines if line.play == "spare"],
            ball_weight_lb=asked.bowler.ball_weight_lb,
        )
    return picture_of(asked.leave, lines[index], asked.bowler)
