"""Strict marshmallow fields: nothing is converted, nothing is clamped, every range is said.

The library's own number fields take numeric strings and booleans, its integers cut decimals off,
and none bounds what is not finite; these do not. Their ranges appear in the OpenAPI document.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

from marshmallow import RAISE, Schema, ValidationError, fields

from leaveline.pins.leave import Leave, LeaveError
from leaveline.web.problems import Detail

T = TypeVar("T")


class StrictSchema(Schema):
    """A request object: unknown fields are refused."""

    class Meta:
        unknown = RAISE

    error_messages: dict[str, str] = {  # noqa: RUF012 - marshmallow declares it so
        "unknown": Detail("this field is not known here", "unknown_field"),
        "type": Detail("must be an object", "wrong_type"),
    }


MISSING_OR_NULL: dict[str, str | list[Any] | dict[Any, Any]] = {
    "required": Detail("this field is required", "required"),
    "null": Detail("must not be null; leave the field out instead", "wrong_type"),
}


class Strict(fields.Field[T]):
    """What all strict fields say when they are missing or null."""

    default_error_messages = MISSING_OR_NULL


class Number(Strict[float]):
    """A finite JSON number between two bounds, both included."""

    def __init__(self, low: float, high: float, **kwargs: Any) -> None:
        super().__init__(**_published(kwargs, {"type": "number", "minimum": low, "maximum": high}))
        self.low, self.high = low, high

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValidationError(
                Detail(
                    f"must be a number from {self.low:g} to {self.high:g}, got {shown(value)}",
                    "wrong_type",
                )
            )
        if not math.isfinite(value) or not self.low <= value <= self.high:
            raise ValidationError(
                Detail(
                    f"must be from {self.low:g} to {self.high:g}, got {shown(value)}",
                    "out_of_range",
                )
            )
        return float(value)


class Whole(Strict[int]):
    """A JSON whole number between two bounds, both included."""

    def __init__(self, low: int, high: int, **kwargs: Any) -> None:
        super().__init__(**_published(kwargs, {"type": "integer", "minimum": low, "maximum": high}))
        self.low, self.high = low, high

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int | float) or value != value // 1:
            raise ValidationError(
                Detail(
                    f"must be a whole number from {self.low} to {self.high}, got {shown(value)}",
                    "wrong_type",
                )
            )
        if not self.low <= value <= self.high:
            raise ValidationError(
                Detail(
                    f"must be from {self.low} to {self.high}, got {shown(value)}", "out_of_range"
                )
            )
        return int(value)


class OneOf(Strict[str]):
    """One of a closed set of words."""

    def __init__(self, choices: Iterable[str], **kwargs: Any) -> None:
        choices = tuple(choices)
        super().__init__(**_published(kwargs, {"type": "string", "enum": list(choices)}))
        self.choices = choices

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> str:
        if not isinstance(value, str) or value not in self.choices:
            raise ValidationError(
                Detail(
                    f"must be one of {', '.join(self.choices)}; got {shown(value)}", "not_one_of"
                )
            )
        return value


class Words(Strict[str]):
    """A short text of printable characters."""

    def __init__(self, longest: int, **kwargs: Any) -> None:
        super().__init__(
            **_published(kwargs, {"type": "string", "minLength": 1, "maxLength": longest})
        )
        self.longest = longest

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> str:
        if not isinstance(value, str):
            raise ValidationError(Detail(f"must be text, got {shown(value)}", "wrong_type"))
        if not 1 <= len(value) <= self.longest:
            raise ValidationError(
                Detail(f"must be 1 to {self.longest} characters, got {len(value)}", "out_of_range")
            )
        return value


class ListOf(Strict[list[Any]]):
    """A list of bounded length, each item checked by a field."""

    def __init__(
        self, item: fields.Field[Any], *, shortest: int = 0, longest: int, **kwargs: Any
    ) -> None:
        super().__init__(**kwargs)
        self.item, self.shortest, self.longest = item, shortest, longest

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> list[Any]:
        if not isinstance(value, list):
            raise ValidationError(Detail(f"must be a list, got {shown(value)}", "wrong_type"))
        if not self.shortest <= len(value) <= self.longest:
            raise ValidationError(
                Detail(
                    f"must have {self.shortest} to {self.longest} items, got {len(value)}",
                    "out_of_range",
                )
            )
        items, faults = [], {}
        for index, entry in enumerate(value):
            try:
                items.append(self.item.deserialize(entry))
            except ValidationError as error:
                faults[index] = error.messages
        if faults:
            raise ValidationError(faults)
        return items


class Flag(Strict[bool]):
    """JSON true or false, nothing that looks like it."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**_published(kwargs, {"type": "boolean"}))

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> bool:
        if not isinstance(value, bool):
            raise ValidationError(
                Detail(f"must be true or false, got {shown(value)}", "wrong_type")
            )
        return value


class RawObject(Strict[dict[str, Any]]):
    """An object taken as it is; `schema_name` tells the document what it should look like."""

    def __init__(self, schema_name: str, **kwargs: Any) -> None:
        reference = {"$ref": f"#/components/schemas/{schema_name}"}
        super().__init__(**_published(kwargs, reference))

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> dict[str, Any]:
        if not isinstance(value, dict):
            raise ValidationError(Detail(f"must be an object, got {shown(value)}", "wrong_type"))
        return value


class Part(fields.Nested):
    """An object inside an object."""

    default_error_messages = MISSING_OR_NULL

    def _deserialize(
        self, value: Any, attr: Any, data: Any, partial: Any = None, **kwargs: Any
    ) -> Any:
        if not isinstance(value, Mapping):
            raise ValidationError(Detail(f"must be an object, got {shown(value)}", "wrong_type"))
        return super()._deserialize(value, attr, data, partial, **kwargs)


class LeaveField(Strict[Leave]):
    """A leave: `3-6-9-10`, or a list of pin numbers in any order."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            **_published(
                kwargs,
                {
                    "oneOf": [
                        {
                            "type": "string",
                            "pattern": r"^(?:[1-9]|10)(?:-(?:[1-9]|10)){0,9}$",
                            "description": "Standing pins joined by hyphens, no pin twice.",
                        },
                        {
                            "type": "array",
                            "items": {"type": "integer", "minimum": 1, "maximum": 10},
                            "minItems": 1,
                            "maxItems": 10,
                            "uniqueItems": True,
                            "description": "Standing pins in any order, no pin twice.",
                        },
                    ]
                },
            )
        )

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> Leave:
        try:
            if isinstance(value, str):
                return Leave.parse(value)
            if isinstance(value, list) and len(value) <= 10 and all(type(p) is int for p in value):
                return Leave.of(value)
        except LeaveError as error:
            raise ValidationError(Detail(str(error), "invalid_leave")) from None
        raise ValidationError(
            Detail(
                "must be pins joined by hyphens (3-6-9-10) or a list of at most 10 whole numbers "
                f"1 to 10, got {shown(value)}",
                "wrong_type",
            )
        )


def _published(kwargs: dict[str, Any], openapi: dict[str, Any]) -> dict[str, Any]:
    """A field's arguments, with what the OpenAPI document says of it added to the metadata."""
    return {**kwargs, "metadata": {"openapi": openapi, **kwargs.get("metadata", {})}}


def shown(value: Any) -> str:
    """A value as an error message shows it: short, and safe to print."""
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."
