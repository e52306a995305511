"""`/openapi.json`: the contract, generated from the schemas that check the requests.

`python -m leaveline.web.document` prints it as YAML; `openapi/leaveline.yaml` is that text. The
answers it shows are real ones, which `python -m leaveline.web.examples` asks for and writes down.
"""

from __future__ import annotations

import sys
from functools import lru_cache
from typing import Any

import yaml
from apispec import APISpec
from flask import Blueprint, Response
from marshmallow import Schema

from leaveline import __version__
from leaveline.web import answer_schemas as answers
from leaveline.web.advice_schemas import AdviceRequestSchema
from leaveline.web.answer_fields import LEAVE_PATTERN
from leaveline.web.answers import cacheable
from leaveline.web.batch import NDJSON, BatchItemSchema, BatchRequestSchema
from leaveline.web.contract_parts import Plugin, add_shared, answered, problem
from leaveline.web.line_schemas import LinesRequestSchema
from leaveline.web.pictures import SVG, PictureChoiceSchema, PictureQuerySchema
from leaveline.web.practice_paths import practice_paths
from leaveline.web.query_schemas import LeavesQuerySchema, LineQuerySchema
from leaveline.web.season_schemas import SeasonRowSchema

blueprint = Blueprint("document", __name__)

DESCRIPTION = """\
Where to stand and what board to hit for any tenpin leave.

Boards count from the bowler's ball-hand side, the middle of board 20 is the lane's centre for both
hands, and boards may be fractional. Left and right are as the bowler sees them; angles are positive
to the right. A leave is the standing pins in ascending order, joined by hyphens: `3-6-9-10`.

Every number has a stated range; unknown fields, numeric strings and anything not finite are
refused, nothing is clamped. Errors are problem details (RFC 9457), also for an unknown address
(404) and a method that an address does not take (405). The same request gives the same bytes.

Requests are safe to repeat, `POST` too. Within v1 answers may gain fields, and words marked as
growing may be joined by others; nothing is removed or tightened.

A probability is not a promise; house and league rules win, and qualified staff decide about ball
weight and fit.
"""

SAFE = "Safe and idempotent: it creates nothing and may be repeated."


@blueprint.get("/openapi.json")
def openapi_json() -> Response:
    """The contract as JSON."""
    return cacheable(openapi_document())


@lru_cache(maxsize=1)
def openapi_document() -> dict[str, Any]:
    """Generate the OpenAPI 3.1 document."""
    spec = APISpec(
        title="Leaveline",
        version=__version__,
        openapi_version="3.1.0",
        plugins=[Plugin()],
        info={"description": DESCRIPTION, "license": {"name": "Proprietary"}},
        servers=[{"url": "/", "description": "The service that this document comes from."}],
        tags=[
            {"name": "leaves", "description": "What kind of leave it is."},
            {"name": "lines", "description": "Where to stand and what board to hit."},
            {"name": "advice", "description": "When the count is worth more than the spare."},
            {"name": "practice", "description": "How accurate a bowler is, and what to practise."},
            {"name": "service", "description": "Probes and the contract itself."},
        ],
    )
    spec.components.security_scheme(
        "api_key",
        {
            "type": "http",
            "scheme": "bearer",
            "description": "Asked for where the service was set up with keys; else left out.",
        },
    )
    add_shared(spec)
    spec.components.schema("BatchItem", schema=BatchItemSchema)
    spec.components.schema("SeasonRow", schema=SeasonRowSchema)
    for path, operations in _paths().items():
        spec.path(path=path, operations=operations)
    return spec.to_dict()


def _paths() -> dict[str, dict[str, Any]]:
    leave = {
        "name": "leave",
        "in": "path",
        "required": True,
        "description": "Standing pins joined by hyphens, no pin twice.",
        "schema": {"type": "string", "pattern": LEAVE_PATTERN, "maxLength": 21},
        "example": "1-2-10",
    }
    return {
        "/v1/leaves": {
            "get": _operation(
                "listLeaves", "leaves", "All 1023 leaves, or those of one kind.",
                answers.LeavesAnswer, query=LeavesQuerySchema,
                description="By number of pins, then pin by pin. They never change within a "
                "model version.",
            )
        },
        "/v1/leaves/{leave}": {
            "get": _operation(
                "getLeave", "leaves", "What kind of leave it is.",
                answers.LeaveAnswer, parameters=[leave], refuses=(422,),
                description="Category, gaps a ball does or does not fit through, hidden pins, "
                "what the trade calls it, and whether it can be made.",
            )
        },
        "/v1/lines": {
            "post": _operation(
                "solveLines", "lines", "The best lines for one leave, bowler and lane.",
                answers.LinesAnswer, body=LinesRequestSchema, example=LINES_EXAMPLE,
                query=PictureChoiceSchema,
                description="No line that makes the leave is an answer, not an error: the line "
                "with the most pins is given. With `Accept: image/svg+xml` one of the lines is "
                "drawn, or the carry; `kind` and `line` say which and mean nothing to the JSON "
                "answer. " + SAFE,
                also={SVG: {"schema": PICTURE}},
            )
        },
        "/v1/lines/{leave}": {
            "get": _operation(
                "getLines", "lines", "Lines for a leave and a bowler in a few words.",
                answers.LinesAnswer, parameters=[leave], query=LineQuerySchema,
                description="The best lines for the spare and for count, in a form that caches "
                "can keep.",
            )
        },
        "/v1/pictures/{leave}.svg": {
            "get": _operation(
                "getPicture",
                "lines",
                "A line drawn on the lane and the deck, or the carry of a leave, as SVG.",
                None,
                parameters=[leave],
                query=PictureQuerySchema,
                description="Draws what `GET /v1/lines/{leave}` answers to the same parameters. "
                "The picture is complete in itself: no script, nothing loaded.",
                also={SVG: {"schema": PICTURE, "examples": PICTURE_EXAMPLES}},
            )
        },
        "/v1/lines/batch": {
            "post": _operation(
                "solveLinesBatch",
                "lines",
                "Lines for many leaves and bowlers in one request.",
                answers.BatchAnswer,
                body=BatchRequestSchema,
                example={"items": [{"id": "a", "leave": "3-10"}, {"id": "b", "leave": "2-4-5-8"}]},
                description="Always 200 once the envelope is readable: each item has a result or a "
                "problem, in order. With `Accept: application/x-ndjson` the results come one a "
                "line while the rest is computed. An item's problem has no `request_id`: the "
                "batch's is in the `X-Request-ID` header, and the same items give the same bytes. "
                + SAFE,
                also={NDJSON: {"schema": NDJSON_LINES}},
            )
        },
        "/v1/limits": {
            "get": _operation(
                "getLimits", "service", "What one request may ask for.", answers.LimitsAnswer,
                computes=False, description="Ask once and size batches by it.",
            )
        },
        "/v1/advice": {
            "post": _operation(
                "giveAdvice",
                "advice",
                "Count or spare, in a match, against a cut, or for score.",
                answers.AdviceAnswer,
                body=AdviceRequestSchema,
                example=ADVICE_EXAMPLE,
                description="The rest of each game follows fixed strengths: later balls do not "
                "react to the score. " + SAFE,
            )
        },
        **practice_paths(_operation, SAFE),
        "/healthz": {
            "get": _operation(
                "getHealth", "service", "Is the process up?", answers.HealthAnswer, keyed=False,
                kept=False, description="Asks nothing of the model. Never needs a key.",
            )
        },
        "/readyz": {
            "get": _operation(
                "getReadiness", "service", "Can it solve a line?", answers.HealthAnswer,
                keyed=False, kept=False, description="Solves one to find out; 503 with the "
                "same body where none can be. Never needs a key.",
            )
        },
    }  # fmt: skip


ADVICE_EXAMPLE = {
    "leave": "4-6-7-10",
    "bowler": {"level": "scratch"},
    "situation": {
        "kind": "match",
        "own_rolls": ["X", 7, "/", 9, "/", "X", "X", 8, "/", 9, "-", "X", 9, "/", "S6"],
        "own_strength": {"average_pins": 205},
        "opponent_rolls": [9, "/", 8, "/", 8, "-", "X", 9, "/", 7, "/", 7, "/", "X", 9, "/"],
        "opponent_strength": {"average_pins": 210},
    },
}

LINES_EXAMPLE = {
    "leave": "1-2-10",
    "bowler": {
        "hand": "right",
        "level": "scratch",
        "ball": {"cover": "polyester", "weight_lb": 15},
        "release": {"speed_mph": 18},
    },
    "lane": {"oil": {"length_ft": 41, "ratio": 8}},
    "play": "both",
    "limit": 1,
}

PICTURE = {"type": "string", "description": "An SVG picture."}
PICTURE_EXAMPLES = {
    "drawn": {
        "summary": "A washout, drawn",
        "externalValue": "/v1/pictures/1-2-10.svg?kind=lane&line=0&hand=left&level=scratch",
    }
}
NDJSON_LINES = {
    "type": "string",
    "description": "Each line is a BatchResultAnswer as JSON, in the items' order.",
}


def _operation(
    name: str,
    tag: str,
    summary: str,
    answer: type[Schema] | None,
    *,
    description: str = "",
    body: type[Schema] | None = None,
    example: Any = None,
    query: type[Schema] | None = None,
    parameters: list[dict[str, Any]] | None = None,
    refuses: tuple[int, ...] = (),
    also: dict[str, Any] | None = None,
    keyed: bool = True,
    computes: bool = True,
    kept: bool = True,
) -> dict[str, Any]:
    """Write one operation.

    Parameters
    ----------
    name, tag, summary, description : str
        As shown.
    answer : type or None
        Schema of the JSON answer, where there is one; its example is a recorded one.
    body, query : type, optional
        Schema of the request's body or of its query parameters.
    example : object, optional
        Of the body. `leaveline.web.examples` sends it.
    parameters : list of dict, optional
        In the path.
    refuses : tuple of int, optional
        Statuses beyond those that follow from the rest.
    also : dict, optional
        Other forms of the answer by media type.
    keyed : bool
        Whether it asks for a key where there are keys.
    computes : bool
        Whether it works under `/v1` and so may find the service busy (503).
    kept : bool
        Whether a cache may keep the answer (never a POST's).
    """
    operation: dict[str, Any] = {"operationId": name, "tags": [tag], "summary": summary}
    if description:
        operation["description"] = description
    listed: list[Any] = list(parameters or [])
    if query:
        listed.append({"in": "query", "schema": query})
    if listed:
        operation["parameters"] = listed
    statuses = set(refuses) | ({422} if query or body else set())
    if body:
        statuses |= {400, 413, 415}
        content: dict[str, Any] = {"schema": body}
        if example is not None:
            content["examples"] = {"recorded": {"value": example}}
        operation["requestBody"] = {"required": True, "content": {"application/json": content}}
    if keyed:
        statuses |= {401, 503} if computes else {401}
        operation["security"] = [{"api_key": []}, {}]
    operation["responses"] = {
        "200": answered(name, answer, also=also or {}, cacheable=kept and not body),
        **{str(status): problem(status, name) for status in sorted(statuses)},
    }
    return operation


def to_yaml() -> str:
    """The document as committed under openapi/."""
    return yaml.dump(
        openapi_document(),
        Dumper=_Plain,
        default_flow_style=None,  # what holds nothing nested stands on one line
        sort_keys=False,
        allow_unicode=True,
        width=100,
    )


class _Plain(yaml.SafeDumper):
    """YAML for people: no references between places, paragraphs as they are."""

    def ignore_aliases(self, data: Any) -> bool:  # noqa: ARG002 - yaml fixes the signature
        return True


def _text(dumper: yaml.SafeDumper, text: str) -> yaml.Node:
    style = "|" if "\n" in text else None
    return dumper.represent_scalar("tag:yaml.org,2002:str", text, style=style)


_Plain.add_representer(str, _text)


if __name__ == "__main__":
    sys.stdout.write(to_yaml())
