"""`POST /v1/lines` and `GET /v1/lines/{leave}`."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response, request

from leaveline.lines.compare import Option, compare
from leaveline.lines.reach import Reach, reach_of
from leaveline.lines.sensitivity import Sensitivity, sensitivities
from leaveline.lines.solve import TALLY_ERRORS
from leaveline.web.answers import cacheable, computed
from leaveline.web.json_body import read_json
from leaveline.web.leaves import leave_in_path
from leaveline.web.line_schemas import LinesRequest, LinesRequestSchema, request_in_query
from leaveline.web.pictures import SVG, PictureChoiceSchema, picture_response
from leaveline.web.query import read_query
from leaveline.web.query_schemas import LineQuerySchema
from leaveline.web.solved import settled, told_lines
from leaveline.web.views import (
    input_digest,
    known_view,
    line_view,
    model_view,
    option_view,
    reach_view,
    sensitivity_view,
)
from leaveline.web.work import InTime, work

blueprint = Blueprint("lines", __name__)


@blueprint.post("/v1/lines")
def solve_lines() -> Response:
    """The best lines for one leave, bowler and lane; drawn where the caller wants a picture."""
    asked: LinesRequest = LinesRequestSchema().load(read_json(request))
    # Checked for every form of the answer, though only a picture has a choice.
    choice: dict[str, Any] = read_query(PictureChoiceSchema(), request)
    if request.accept_mimetypes.best == SVG:
        return picture_response(asked, choice)
    return computed(lines_answer(asked))


@blueprint.get("/v1/lines/<leave>")
def show_lines(leave: str) -> Response:
    """The best lines for a leave and a bowler described in a few query parameters."""
    query: dict[str, Any] = read_query(LineQuerySchema(), request)
    asked = request_in_query(leave_in_path(leave), query)
    return cacheable(lines_answer(asked))


def lines_answer(asked: LinesRequest) -> dict[str, Any]:
    """Solve a checked request and give the answer's object.

    Raises
    ------
    Problem
        503 where the request's time has passed between two of its steps.
    """
    digest = input_digest(asked)
    asked, fitted = settled(asked)
    told = told_lines(asked)
    lines = [line for line, _ in told]
    current = work()
    changes: tuple[Sensitivity, ...] = ()
    if asked.sensitivity:
        current.check()
        changes = sensitivities(asked.leave, asked.bowler, lines[0], seed=asked.seed)
        current.add("sensitivities", len(changes))
    reach: Reach | None = None
    if asked.reach:
        current.check()
        reach = reach_of(asked.leave, asked.bowler, lines[0], seed=asked.seed)
        current.add("reaches")
    options: tuple[Option, ...] = ()
    if asked.compared:
        options = compare(asked.leave, InTime(asked.compared), seed=asked.seed)
        current.add("searches", len(options))
    return {
        "leave": str(asked.leave),
        "lines": [
            line_view(asked.leave, line, hand=asked.bowler.hand, moves=moves)
            for line, moves in told
        ],
        "known": None if fitted is None else known_view(fitted),
        "reach": None if reach is None else reach_view(reach),
        "sensitivity": [sensitivity_view(change) for change in changes],
        "comparison": [option_view(asked.leave, option) for option in options],
        "input_digest": digest,
        "model": model_view(seed=asked.seed, throws_count=TALLY_ERRORS),
    }
