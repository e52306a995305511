"""`POST /v1/reviews`: what bowled games show, and what to practise."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response, request

from leaveline.lines.solve import DEFAULT_SEED, TALLY_ERRORS
from leaveline.practice import review
from leaveline.web.answers import computed
from leaveline.web.json_body import read_json
from leaveline.web.practice_views import review_view
from leaveline.web.problems import Problem
from leaveline.web.query import read_query
from leaveline.web.review_schemas import ReviewQuerySchema, ReviewRequestSchema, review_request
from leaveline.web.season_schemas import CSV, DEFAULT_SCORING, season_in, season_in_body
from leaveline.web.views import input_digest, model_view
from leaveline.web.work import work

blueprint = Blueprint("reviews", __name__)


@blueprint.post("/v1/reviews")
def give_review() -> Response:
    """Review games: JSON rows, a CSV file's text in JSON, or the file itself as `text/csv`."""
    if request.mimetype not in (CSV, "application/json"):
        sent = request.mimetype or "none"
        raise Problem(
            "unsupported-media-type", f"send {CSV} or application/json; the body is {sent[:60]}"
        )
    query: dict[str, Any] = read_query(ReviewQuerySchema(), request)
    if request.mimetype == CSV:
        asked = review_request({}, query)
        season = season_in_body(request, query.get("scoring", DEFAULT_SCORING))
    else:
        body: dict[str, Any] = ReviewRequestSchema().load(read_json(request))
        asked = review_request(body, query)
        season = season_in({**query, **body})
    found = review(
        season,
        asked.spread,
        bowler=asked.bowler,
        level=asked.level,
        confidence=asked.confidence,
        drill_confidence=asked.drill_confidence,
        limit=asked.limit,
        check=work().check,
    )
    return computed(
        {
            **review_view(found),
            "input_digest": input_digest((asked, season)),
            "model": model_view(seed=DEFAULT_SEED, throws_count=TALLY_ERRORS),
        }
    )
