"""`POST /v1/comparisons`: what another ball, speed or axis control would bring at spares."""

from __future__ import annotations

from flask import Blueprint, Response, request

from leaveline.lines.solve import DEFAULT_SEED, TALLY_ERRORS
from leaveline.practice import compare_balls
from leaveline.web.answers import computed
from leaveline.web.comparison_schemas import ComparisonRequest, ComparisonRequestSchema
from leaveline.web.json_body import read_json
from leaveline.web.practice_views import comparison_view, rows_view
from leaveline.web.views import input_digest, model_view
from leaveline.web.work import work

blueprint = Blueprint("comparisons", __name__)


@blueprint.post("/v1/comparisons")
def give_comparison() -> Response:
    """Ways to throw spares side by side, over the leaves as they come up."""
    asked: ComparisonRequest = ComparisonRequestSchema().load(read_json(request))
    mix = asked.mix
    found = compare_balls(
        asked.options,
        mix.leaves_per_game,
        games_counted=mix.games,
        spread_factors=asked.spread_factors,
        confidence=asked.confidence,
        check=work().check,
    )
    return computed(
        {
            **comparison_view(found),
            "leaves_from": mix.source,
            "games": mix.games,
            "left_out_per_game": mix.left_out_per_game,
            "rows": None if asked.season is None else rows_view(asked.season),
            "input_digest": input_digest(asked),
            "model": model_view(seed=DEFAULT_SEED, throws_count=TALLY_ERRORS),
        }
    )
