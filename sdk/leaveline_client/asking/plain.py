"""From objects, mappings and numpy's numbers to plain JSON, checked to be finite."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from numbers import Integral, Real
from typing import Any

from leaveline_client.reading import Part

LeaveLike = str | Iterable[int]
"""A leave: `"3-6-9-10"`, or the standing pins in any order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A part of a request."""

    def to_dict(self) -> dict[str, Any]:
        """The object as plain JSON, without what was left out."""
        return _given(self, "")


def to_json(value: Any, name: str) -> Any:
    """Turn a value into plain JSON data: objects to dicts, whole numbers to int, and so on.

    Parameters
    ----------
    value : object
        Text, numbers (numpy's too), mappings, iterables, parts of answers, and the
        classes above. None inside a
        mapping means left out.
    name : str
        The value's field, for the error message.

    Raises
    ------
    ValueError
        For a number that is not finite and for anything JSON has no form for.
    """
    if isinstance(value, Asked):
        return _given(value, f"{name}.")
    if isinstance(value, Part):
        return value.to_dict()
    if value is None or isinstance(value, str | bool):
        return value
    if isinstance(value, Integral):
        return int(value)
    if isinstance(value, Real):
        if not math.isfinite(value):
            raise ValueError(f"{name} = {value!r}: must be a finite number")
        return float(value)
    if isinstance(value, Mapping):
        return {
            str(key): to_json(item, f"{name}.{key}")
            for key, item in value.items()
            if item is not None
        }
    if isinstance(value, Iterable) and not isinstance(value, bytes | bytearray):
        return [to_json(item, f"{name}[{index}]") for index, item in enumerate(value)]
    raise ValueError(f"{name} = {value!r}: must be plain JSON data, not {type(value).__name__}")


def _given(asked: Asked, prefix: str) -> dict[str, Any]:
    named = {f.name: getattr(asked, f.name) for f in fields(asked)}
    return {k: to_json(v, prefix + k) for k, v in named.items() if v is not None}


def leave_in_path(leave: LeaveLike) -> str:
    """Write a leave as it stands in a path: its pins joined by hyphens.

    Raises
    ------
    ValueError
        For a text without a single digit or with a slash: it would ask for another address.
    """
    text = leave if isinstance(leave, str) else "-".join(str(int(pin)) for pin in leave)
    if not any(character.isdigit() for character in text) or "/" in text:
        raise ValueError(
            f"leave = {leave!r}: must be pin numbers 1 to 10 joined by hyphens, such as 3-6-9-10, "
            "or a sequence of them"
        )
    return text
