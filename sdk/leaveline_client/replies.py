"""From what came over the wire to a typed answer or an error: pure functions."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any, NoReturn, TypeVar

from leaveline_client.answers import Answer, FaultAnswer, Meta
from leaveline_client.errors import ApiError, UnexpectedReply, error_class
from leaveline_client.reading import Mismatch, read
from leaveline_client.retry import retry_after_s

A = TypeVar("A", bound=Answer)

JSON, NDJSON = "application/json", "application/x-ndjson"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """What came over the wire.

    Attributes
    ----------
    status : int
        HTTP status.
    headers : dict
        Names in lower case.
    body : bytes
        Whole and decompressed.
    request_id : str
        The service's own, or else the one that was sent.
    attempts : int
        How often the request was sent.
    elapsed_s : float
        From the call to this reply [s].
    """

    status: int
    headers: Mapping[str, str]
    body: bytes
    request_id: str
    attempts: int
    elapsed_s: float


def answer(cls: type[A], reply: Reply) -> A:
    """Read a reply of status 200 as an answer; a batch's may have come one result a line.

    Raises
    ------
    UnexpectedReply
        Where it is not JSON or not what this class holds.
    """
    try:
        in_lines = reply.headers.get("content-type", "").startswith(NDJSON)
        body = _batch(reply.body) if in_lines else _json(reply.body)
        return read(cls, body, meta=_meta(reply, body))
    except (ValueError, RecursionError) as error:
        raise UnexpectedReply(
            _why(error, reply), reply.request_id, reply.status, reply.body
        ) from error


def picture(reply: Reply) -> str:
    """Read a reply of status 200 as an SVG picture.

    Raises
    ------
    UnexpectedReply
        Where it is not one.
    """
    kind = reply.headers.get("content-type", "no content type")
    if not kind.startswith("image/svg+xml"):
        detail = f"the answer is not a picture ({kind}, {len(reply.body)} bytes)"
        raise UnexpectedReply(detail, reply.request_id, reply.status, reply.body)
    return reply.body.decode("utf-8")


def api_error(reply: Reply) -> ApiError:
    """Make the error of a reply of status 400 or more, with or without problem details."""
    try:
        body = _json(reply.body)
        problem = body if isinstance(body, dict) else {}
    except (ValueError, RecursionError):
        problem = {}
    title, detail = _words(reply)
    return error_class(reply.status)(
        reply.status,
        _text(problem, "type") or "about:blank",
        _text(problem, "title") or title,
        _text(problem, "detail") or detail,
        _faults(problem.get("errors")),
        reply.request_id,
        retry_after_s(reply.headers.get("retry-after"), date=reply.headers.get("date")),
        reply.attempts,
        problem,
    )


def redirected(reply: Reply) -> UnexpectedReply:
    """Make the error of any status that is neither 200 nor an error."""
    to = reply.headers.get("location")
    detail = f"the service sends elsewhere: use {to[:200]} as base_url" if to else "not an answer"
    return UnexpectedReply(detail, reply.request_id, reply.status, reply.body)


def _json(body: bytes) -> Any:
    return json.loads(body.decode("utf-8"), parse_constant=_no_constant)


def _batch(lines: bytes) -> dict[str, Any]:
    """A batch's answer as it would have come in one piece."""
    results = [_json(line) for line in lines.splitlines()]
    failed = sum(isinstance(result, dict) and "problem" in result for result in results)
    return {
        "results": results,
        "succeeded_count": len(results) - failed,
        "failed_count": failed,
    }


def _no_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is not JSON")


def _meta(reply: Reply, body: Any) -> Meta:
    return Meta(
        request_id=reply.request_id,
        model_version=_model_version(body),
        status=reply.status,
        attempts=reply.attempts,
        elapsed_s=reply.elapsed_s,
        headers=reply.headers,
        body=reply.body,
    )


def _model_version(body: Any) -> str | None:
    found = body if isinstance(body, dict) else {}
    model = found.get("model")
    version = (model if isinstance(model, dict) else found).get("model_version")
    return version if isinstance(version, str) else None


def _why(error: Exception, reply: Reply) -> str:
    if isinstance(error, Mismatch):
        return f"the answer is not what this client reads: {error}"
    kind = reply.headers.get("content-type", "no content type")
    return f"the answer is not JSON ({kind}, {len(reply.body)} bytes): {error}"


def _words(reply: Reply) -> tuple[str, str]:
    """A title and a detail for an error that came without problem details."""
    try:
        title = HTTPStatus(reply.status).phrase
    except ValueError:
        title = "Error"
    kind = reply.headers.get("content-type", "no content type")
    return title, f"answered without problem details ({kind}, {len(reply.body)} bytes)"


def _text(problem: Mapping[str, Any], name: str) -> str:
    value = problem.get(name)
    return value if isinstance(value, str) else ""


def _faults(errors: Any) -> tuple[FaultAnswer, ...]:
    """The faults that can be read; an error about an error would help nobody."""
    found = []
    for fault in errors if isinstance(errors, list) else []:
        try:
            found.append(read(FaultAnswer, fault))
        except Mismatch:
            continue
    return tuple(found)
