"""`/openapi.json`: the contract, generated from the schemas that check the requests.

`python -m leaveline.web.document` prints it as YAML; `openapi/leaveline.yaml` is that text.
"""

from __future__ import annotations

import sys
from functools import lru_cache
from typing import Any

import yaml
from apispec import APISpec
from apispec.ext.marshmallow import MarshmallowPlugin
from flask import Blueprint, Response
from marshmallow import Schema

from leaveline import __version__
from leaveline.web import answer_schemas as answers
from leaveline.web.advice_schemas import AdviceRequestSchema
from leaveline.web.answers import cacheable
from leaveline.web.batch import BatchItemSchema, BatchRequestSchema
from leaveline.web.fields import ListOf
from leaveline.web.line_schemas import LinesRequestSchema
from leaveline.web.pictures import PictureQuerySchema
from leaveline.web.problems import PROBLEM_TYPES
from leaveline.web.query_schemas import LeavesQuerySchema, LineQuerySchema

blueprint = Blueprint("document", __name__)

DESCRIPTION = """\
Where to stand and what board to hit for any tenpin leave.

Boards count from the bowler's ball-hand side, the middle of board 20 is the lane's centre for both
hands, and boards may be fractional. Left and right are as the bowler sees them; angles are positive
to the right. A leave is the standing pins in ascending order, joined by hyphens: `3-6-9-10`.

Every number has a stated range; unknown fields, numeric strings and anything not finite are
refused, nothing is clamped. Errors are problem details (RFC 9457). The same request gives the
same bytes. A probability is not a promise; house and league rules win, and qualified staff decide
about ball weight and fit.
"""

SAFE = "Safe and idempotent: it creates nothing and may be repeated."


@blueprint.get("/openapi.json")
def openapi_json() -> Response:
    """The contract as JSON."""
    return cacheable(openapi_document())


@lru_cache(maxsize=1)
def openapi_document() -> dict[str, Any]:
    """Generate the OpenAPI 3.1 document."""
    plugin = MarshmallowPlugin(schema_name_resolver=_schema_name)
    spec = APISpec(
        title="Leaveline",
        version=__version__,
        openapi_version="3.1.0",
        plugins=[plugin],
        info={"description": DESCRIPTION, "license": {"name": "Proprietary"}},
        tags=[
            {"name": "leaves", "description": "What kind of leave it is."},
            {"name": "lines", "description": "Where to stand and what board to hit."},
            {"name": "advice", "description": "When the count is worth more than the spare."},
            {"name": "service", "description": "Probes and the contract itself."},
        ],
    )
    assert plugin.converter is not None
    plugin.converter.add_attribute_function(_own_keywords)  # type: ignore[no-untyped-call]
    spec.components.security_scheme("api_key", {"type": "http", "scheme": "bearer"})
    spec.components.schema("BatchItem", schema=BatchItemSchema)
    for path, operations in _paths().items():
        spec.path(path=path, operations=operations)
    return spec.to_dict()


def _own_keywords(self: Any, field: Any, **_: Any) -> dict[str, Any]:
    """Publish what our fields check: type and range from the field itself."""
    keywords = dict(field.metadata.get("openapi", {}))
    if isinstance(field, ListOf):
        keywords = {
            "type": "array",
            "items": self.field2property(field.item),
            "minItems": field.shortest,
            "maxItems": field.longest,
        }
    return keywords


def _schema_name(schema: Any) -> str:
    name = schema.__name__ if isinstance(schema, type) else type(schema).__name__
    return str(name).removesuffix("Schema")


def _paths() -> dict[str, dict[str, Any]]:
    leave = {
        "name": "leave",
        "in": "path",
        "required": True,
        "description": "Standing pins joined by hyphens, no pin twice.",
        "schema": {"type": "string", "pattern": answers.LEAVE_PATTERN, "maxLength": 21},
        "examples": {"a washout": {"value": "1-2-10"}},
    }
    return {
        "/v1/leaves": {
            "get": _operation(
                "listLeaves", "leaves", "All 1023 leaves, or those of one kind.",
                answers.LeavesAnswer, query=LeavesQuerySchema,
            )
        },
        "/v1/leaves/{leave}": {
            "get": _operation(
                "getLeave", "leaves", "What kind of leave it is.",
                answers.LeaveAnswer, parameters=[leave], refuses=(422,),
            )
        },
        "/v1/lines": {
            "post": _operation(
                "solveLines", "lines", "The best lines for one leave, bowler and lane.",
                answers.LinesAnswer, body=LinesRequestSchema, example=LINES_EXAMPLE,
                description="No line that makes the leave is an answer, not an error: the line "
                "with the most pins is given. With `Accept: image/svg+xml` the line is drawn. "
                + SAFE,
                drawn=True,
            )
        },
        "/v1/lines/{leave}": {
            "get": _operation(
                "getLines", "lines", "Lines for a leave and a bowler in a few words.",
                answers.LinesAnswer, parameters=[leave], query=LineQuerySchema,
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
                "line while the rest is computed. " + SAFE,
            )
        },
        "/v1/limits": {
            "get": _operation(
                "getLimits", "service", "What one request may ask for.", answers.LimitsAnswer
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
        "/healthz": {
            "get": _operation(
                "getHealth", "service", "Is the process up?", answers.HealthAnswer, keyed=False
            )
        },
        "/readyz": {
            "get": _operation(
                "getReadiness", "service", "Can it solve a line?", answers.HealthAnswer,
                keyed=False,
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
        "opponent_rolls": [9, "/", "X", 8, "/", "X", 9, "/", "X", 7, "/", "X", 9, "/"],
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
    "limit": 2,
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
    drawn: bool = False,
    keyed: bool = True,
) -> dict[str, Any]:
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
            content["examples"] = {"an example": {"value": example}}
        operation["requestBody"] = {"required": True, "content": {"application/json": content}}
    if keyed:
        statuses.add(401)
        operation["security"] = [{"api_key": []}, {}]
    operation["responses"] = {
        "200": {"description": "Answered.", "content": _answered(answer, drawn)},
        **{str(status): _problem(status) for status in sorted(statuses)},
    }
    return operation


def _answered(answer: type[Schema] | None, drawn: bool) -> dict[str, Any]:
    """The content of an answer: JSON of a schema, a picture, or either as the caller accepts."""
    content: dict[str, Any] = {"application/json": {"schema": answer}} if answer else {}
    if drawn or answer is None:
        content["image/svg+xml"] = {"schema": {"type": "string"}}
    return content


def _problem(status: int) -> dict[str, Any]:
    title = next(kind.title for kind in PROBLEM_TYPES.values() if kind.status == status)
    return {
        "description": title + ".",
        "content": {"application/problem+json": {"schema": answers.ProblemAnswer}},
    }


def to_yaml() -> str:
    """The document as committed under openapi/."""
    return yaml.safe_dump(openapi_document(), sort_keys=False, allow_unicode=True, width=100)


if __name__ == "__main__":
    sys.stdout.write(to_yaml())
