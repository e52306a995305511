"""Read a JSON body strictly: what is not plain, finite, unambiguous JSON is refused."""

from __future__ import annotations

import json
import re
from typing import Any, NoReturn

from flask import Request

from leaveline.web.problems import Problem

MAX_DEPTH = 16
"""Deepest nesting of objects and arrays; the deepest request needs seven."""

HALF_CHARACTER = re.compile(r"\\u[dD][89a-fA-F]")
"""An escape that is half of a surrogate pair; the other half may follow."""


def read_json(request: Request) -> Any:
    """Parse the request's body.

    Raises
    ------
    Problem
        415 for another content type, 413 for a body over the limit (from the framework), 400
        for text that is not UTF-8 or not JSON, for NaN, infinities or numbers too long, for a
        key given twice, for nesting deeper than MAX_DEPTH, and for half a surrogate pair.
    """
    if request.mimetype != "application/json":
        sent = request.mimetype or "none"
        raise Problem("unsupported-media-type", f"send application/json; the body is {sent[:60]}")
    return parse_json(request.get_data(cache=False))


def parse_json(data: bytes) -> Any:
    """Parse bytes as `read_json` does."""
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise Problem(
            "unreadable-body", f"the body is not UTF-8 (byte {error.start} is the first bad one)"
        ) from None
    _check_depth(text)
    try:
        body = json.loads(
            text, parse_constant=_no_constant, parse_int=_integer, object_pairs_hook=_no_twins
        )
    except json.JSONDecodeError as error:
        raise Problem(
            "unreadable-body",
            f"the body is not JSON: {error.msg} at line {error.lineno}, column {error.colno}",
        ) from None
    if HALF_CHARACTER.search(text):
        _check_characters(body)
    return body


def _check_characters(body: Any) -> None:
    """Refuse a text with half of a surrogate pair: no answer could quote it."""
    try:
        json.dumps(body, ensure_ascii=False).encode()
    except UnicodeEncodeError:
        raise Problem(
            "unreadable-body", "a text holds half of a surrogate pair, which is no character"
        ) from None


def _check_depth(text: str) -> None:
    """Count brackets outside strings, before a parser recurses into them."""
    depth = 0
    in_string = escaped = False
    for character in text:
        if in_string:
            if escaped:
                escaped = False
            elif character == "\\":
                escaped = True
            elif character == '"':
                in_string = False
        elif character == '"':
            in_string = True
        elif character in "[{":
            depth += 1
            if depth > MAX_DEPTH:
                raise Problem(
                    "unreadable-body", f"the body is nested deeper than {MAX_DEPTH} levels"
                )
        elif character in "]}":
            depth -= 1


def _no_constant(name: str) -> NoReturn:
    raise Problem("unreadable-body", f"{name} is not JSON; every number must be finite")


def _integer(digits: str) -> int:
    if len(digits) > 20:
        raise Problem("unreadable-body", f"a whole number of {len(digits)} digits is too long")
    return int(digits)


def _no_twins(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise Problem("unreadable-body", f"the key {key[:60]!r} is given twice in one object")
        found[key] = value
    return found
