"""`POST /v1/accuracy`: how accurate a bowler is, from what a bowler can really give."""

from __future__ import annotations

from flask import Blueprint, Response, request

from leaveline.lines.solve import DEFAULT_SEED, TALLY_ERRORS
from leaveline.practice import fit_accuracy
from leaveline.web.accuracy_schemas import AccuracyRequest, AccuracyRequestSchema
from leaveline.web.answers import computed
from leaveline.web.json_body import read_json
from leaveline.web.practice_views import accuracy_view
from leaveline.web.views import input_digest, model_view
from leaveline.web.work import work

blueprint = Blueprint("accuracy", __name__)


@blueprint.post("/v1/accuracy")
def give_accuracy() -> Response:
    """Spread and lean that best explain what was thrown, and how sure they are."""
    asked: AccuracyRequest = AccuracyRequestSchema().load(read_json(request))
    fit = fit_accuracy(
        asked.results,
        target_misses_boards=asked.target_misses_boards,
        pins_misses_boards=asked.pins_misses_boards,
        bowler=asked.bowler,
        level=asked.level,
        with_lean=asked.look_for_lean,
        confidence=asked.confidence,
        check=work().check,
    )
    return computed(
        {
            **accuracy_view(fit),
            "input_digest": input_digest(asked),
            "model": model_view(seed=DEFAULT_SEED, throws_count=TALLY_ERRORS),
        }
    )
