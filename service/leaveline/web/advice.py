"""`POST /v1/advice`: count or spare, in a match, against a cut, or for score."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response, request

from leaveline.lines.line import Line
from leaveline.lines.solve import TALLY_ERRORS
from leaveline.scoring import PlayValue, sentence, words
from leaveline.scoring.advice import advise
from leaveline.web.advice_schemas import AdviceRequest, AdviceRequestSchema
from leaveline.web.answers import computed
from leaveline.web.json_body import read_json
from leaveline.web.known_lines import fitted_to, leaning_like
from leaveline.web.views import input_digest, line_view, model_view

blueprint = Blueprint("advice", __name__)
VALUE_DIGITS = 6


@blueprint.post("/v1/advice")
def give_advice() -> Response:
    """Which play is worth more, by how much, and why."""
    asked: AdviceRequest = AdviceRequestSchema().load(read_json(request))
    fitted = fitted_to(asked.bowler, asked.known, asked.seed)
    advice = advise(
        asked.leave,
        leaning_like(fitted, asked.bowler),
        state=asked.state,
        own=asked.own,
        situation=asked.situation,
        known=asked.known,
        seed=asked.seed,
    )
    decision = advice.decision

    def play_view(line: Line, value: PlayValue) -> dict[str, Any]:
        chances = value.chances
        solved = line_view(asked.leave, line)
        view: dict[str, Any] = {
            "line": solved,
            "make_probability": round(value.make_probability, VALUE_DIGITS),
            "pinfall": solved["pinfall"],
            "win_probability": None,
            "tie_probability": None,
            "cut_probability": None,
            "expected_score": round(value.expected_score, VALUE_DIGITS),
            "value_standard_error": round(value.value_noise, VALUE_DIGITS),
        }
        view[decision.maximised] = round(value.value, VALUE_DIGITS)
        if chances is not None:
            view["tie_probability"] = round(chances.tie, VALUE_DIGITS)
        return view

    return computed(
        {
            "leave": str(asked.leave),
            "play": decision.play,
            "maximised": decision.maximised,
            "margin": round(decision.margin, VALUE_DIGITS),
            "plays": {
                "spare": play_view(advice.spare_line, decision.spare),
                "count": play_view(advice.count_line, decision.count),
            },
            "because": [
                {"code": reason.code, "words": sentence(reason)} for reason in decision.reasons
            ],
            "words": " ".join(words(decision)),
            "flips_at": None
            if decision.flips_at is None
            else round(decision.flips_at, VALUE_DIGITS),
            "input_digest": input_digest(asked),
            "model": model_view(seed=asked.seed, throws_count=TALLY_ERRORS),
        }
    )
