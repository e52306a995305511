"""Pieces of the contract that many operations share: problems, headers, examples."""

from __future__ import annotations

import inspect
import json
from functools import lru_cache
from importlib.resources import files
from typing import Any

from apispec import APISpec
from apispec.ext.marshmallow import MarshmallowPlugin
from apispec.ext.marshmallow.openapi import OpenAPIConverter
from marshmallow import Schema

from leaveline.web import answer_schemas as answers
from leaveline.web.fields import ListOf
from leaveline.web.problems import PROBLEM_TYPES

EXAMPLES = "examples.json"
"""Real answers, written by `leaveline.web.examples`: operation, status, request and answer."""

PROBLEM_OF_STATUS = {kind.status: name for name, kind in reversed(PROBLEM_TYPES.items())}
"""The usual kind of problem of a status: the first one listed."""
SAME_EVERYWHERE = (400, 401, 413, 415, 503)
"""Problems that do not depend on the operation; the contract tells each once."""

HEADERS: dict[str, dict[str, Any]] = {
    "RequestId": {
        "description": "The caller's `X-Request-ID` where it is 1 to 64 letters, digits, dots, "
        "hyphens or underscores, else a new one. Quote it when asking for help.",
        "schema": {"type": "string", "pattern": r"^[A-Za-z0-9._-]{1,64}$"},
        "example": "3f9c2a7e",
    },
    "ETag": {
        "description": "Strong; sent back as `If-None-Match` it saves the body (304).",
        "schema": {"type": "string"},
        "example": '"0f343b0931126a20f133d67c2b018a3b"',
    },
    "CacheControl": {
        "description": "How long the answer may be kept, if at all.",
        "schema": {"type": "string"},
        "example": "public, max-age=3600",
    },
    "RetryAfter": {
        "description": "When to come back [s].",
        "schema": {"type": "integer", "minimum": 0},
        "example": 1,
    },
    "Authenticate": {
        "description": "How to authenticate.",
        "schema": {"type": "string"},
        "example": "Bearer",
    },
}


class _Converter(OpenAPIConverter):
    """Schemas described by their class's docstring, numbers and lists by our own fields."""

    def schema2jsonschema(self, schema: Any) -> dict[str, Any]:
        kind = schema if isinstance(schema, type) else type(schema)
        described = super().schema2jsonschema(schema)  # type: ignore[no-untyped-call]
        return {"description": inspect.getdoc(kind), **described}


class Plugin(MarshmallowPlugin):
    """apispec's reading of marshmallow schemas, with what our fields check."""

    Converter = _Converter

    def __init__(self) -> None:
        super().__init__(schema_name_resolver=_schema_name)

    def init_spec(self, spec: APISpec) -> None:
        super().init_spec(spec)
        assert self.converter is not None  # nosec B101 # tells the type checker
        self.converter.add_attribute_function(_own_keywords)  # type: ignore[no-untyped-call]
        self.converter.add_parameter_attribute_function(_example_outside)


def add_shared(spec: APISpec) -> None:
    """Add the headers and the problems that operations refer to."""
    for name, header in HEADERS.items():
        spec.components.header(name, header, lazy=True)
    for status in SAME_EVERYWHERE:
        if status in PROBLEM_OF_STATUS:
            spec.components.response(response_name(status), _problem_response(status), lazy=True)


def problem(status: int, operation: str) -> Any:
    """A problem as an operation lists it: shared, or with an example of its own."""
    if status in SAME_EVERYWHERE:
        return response_name(status)
    return _problem_response(status, operation)


def answered(
    operation: str, answer: type[Schema] | None, *, also: dict[str, Any], cacheable: bool
) -> dict[str, Any]:
    """The response of status 200.

    Parameters
    ----------
    operation : str
        Whose.
    answer : type or None
        Schema of the JSON answer, where there is one.
    also : dict
        Other forms of the answer by media type.
    cacheable : bool
        Whether it carries an `ETag`.
    """
    content: dict[str, Any] = {}
    if answer:
        content["application/json"] = {"schema": answer, **_examples(operation, 200)}
    headers = {"X-Request-ID": "RequestId", "Cache-Control": "CacheControl"}
    if cacheable:
        headers["ETag"] = "ETag"
    return {"description": "Answered.", "headers": headers, "content": {**content, **also}}


def response_name(status: int) -> str:
    """A shared problem's name among the contract's responses: `UnreadableBody`."""
    return PROBLEM_OF_STATUS[status].title().replace("-", "")


def _problem_response(status: int, operation: str = "") -> dict[str, Any]:
    headers = {"X-Request-ID": "RequestId"}
    if status == 401:
        headers["WWW-Authenticate"] = "Authenticate"
    if status == 503:
        headers["Retry-After"] = "RetryAfter"
    content = {"schema": answers.ProblemAnswer, **_examples(operation, status)}
    return {
        "description": PROBLEM_TYPES[PROBLEM_OF_STATUS[status]].title + ".",
        "headers": headers,
        "content": {"application/problem+json": content},
    }


def _examples(operation: str, status: int) -> dict[str, Any]:
    """The recorded answer, named by what asks for it."""
    found = recorded().get(operation, {}).get(str(status))
    if found is None:
        return {}
    return {"examples": {"recorded": {"summary": found["asked"], "value": found["answer"]}}}


@lru_cache(maxsize=1)
def recorded() -> dict[str, Any]:
    """The real answers this package carries, by operation (shared ones under "") and status."""
    path = files("leaveline.web") / EXAMPLES
    found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8")) if path.is_file() else {}
    return found


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


def _example_outside(*_: Any, ret: dict[str, Any], **__: Any) -> dict[str, Any]:
    """A parameter's example belongs beside its schema, not into it."""
    example = ret["schema"].pop("example", None)
    return {} if example is None else {"example": example}


def _schema_name(schema: Any) -> str:
    name = schema.__name__ if isinstance(schema, type) else type(schema).__name__
    return str(name).removesuffix("Schema")
