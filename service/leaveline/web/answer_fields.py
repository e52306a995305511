"""The fields that answers are made of, for the OpenAPI document."""

from __future__ import annotations

from typing import Any

from marshmallow import INCLUDE, Schema, fields

LEAVE_PATTERN = r"^(?:[1-9]|10)(?:-(?:[1-9]|10)){0,9}$"


class Answer(Schema):
    """An answer's object: fields may be added."""

    class Meta:
        unknown = INCLUDE


def text(description: str, **openapi: Any) -> fields.Field[Any]:
    """A text of an answer."""
    return raw(description, {"type": "string", **openapi})


def open_word(description: str, examples: list[str]) -> fields.Field[Any]:
    """A word of an open set: callers must bear new ones."""
    return raw(description + " The set may grow.", {"type": "string", "examples": examples})


def number(description: str, **openapi: Any) -> fields.Field[Any]:
    """A number of an answer."""
    return raw(description, {"type": "number", **openapi})


def maybe_number(description: str, **openapi: Any) -> fields.Field[Any]:
    """A number that may be null, with the reason in its description."""
    return raw(description, {"type": ["number", "null"], **openapi})


def maybe_probability(description: str) -> fields.Field[Any]:
    """A probability, 0 to 1, that may be null."""
    return maybe_number(description, minimum=0, maximum=1)


def whole(description: str, **openapi: Any) -> fields.Field[Any]:
    """A whole number of an answer."""
    return raw(description, {"type": "integer", **openapi})


def flag(description: str) -> fields.Field[Any]:
    """A yes or no."""
    return raw(description, {"type": "boolean"})


def a_probability(description: str) -> fields.Field[Any]:
    """A probability, 0 to 1."""
    return number(description, minimum=0, maximum=1)


def a_pin(description: str) -> fields.Field[Any]:
    """A pin's number."""
    return whole(description, minimum=1, maximum=10)


def some_pins(description: str, **openapi: Any) -> fields.Field[Any]:
    """A list of pins, ascending."""
    items = {"type": "integer", "minimum": 1, "maximum": 10}
    return raw(description, {"type": "array", "items": items, "maxItems": 10, **openapi})


def a_leave(description: str) -> fields.Field[Any]:
    """A leave, written with hyphens."""
    return text(description, pattern=LEAVE_PATTERN)


def part(schema: type[Schema], description: str = "") -> fields.Field[Any]:
    """An object inside an answer."""
    metadata = {"description": description} if description else {}
    return fields.Nested(schema, required=True, metadata=metadata)


def parts(schema: type[Schema], description: str) -> fields.Field[Any]:
    """A list of objects inside an answer."""
    return fields.List(fields.Nested(schema), required=True, metadata={"description": description})


def optional(description: str, kind: str) -> fields.Field[Any]:
    """A value that an answer may leave out."""
    return fields.Raw(metadata={"description": description, "openapi": {"type": kind}})


def raw(description: str, openapi: dict[str, Any]) -> fields.Field[Any]:
    """A value of an answer, told by its JSON schema."""
    return fields.Raw(required=True, metadata={"description": description, "openapi": openapi})
