"""Every error the service answers with, as RFC 9457 problem details."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from flask import Flask, Response, current_app, g, json, request
from marshmallow import ValidationError
from werkzeug.exceptions import (
    HTTPException,
    MethodNotAllowed,
    NotFound,
    RequestEntityTooLarge,
)

from leaveline.web import metrics

LOGGER = logging.getLogger("leaveline")
MAX_ERRORS = 50
"""More errors of one request than this are not listed; the first ones are."""


@dataclass(frozen=True, slots=True)
class ProblemType:
    """A kind of problem: its fixed title and status."""

    status: int
    title: str


PROBLEM_TYPES: dict[str, ProblemType] = {
    "unreadable-body": ProblemType(400, "The request could not be read"),
    "unauthorized": ProblemType(401, "An API key is needed"),
    "not-found": ProblemType(404, "There is nothing at this address"),
    "method-not-allowed": ProblemType(405, "The address does not take this method"),
    "not-acceptable": ProblemType(406, "No such form of the answer"),
    "body-too-large": ProblemType(413, "The request body is too large"),
    "unsupported-media-type": ProblemType(415, "The body's content type is not supported"),
    "invalid-request": ProblemType(422, "The request is readable but not valid"),
    "too-much-work": ProblemType(422, "The request asks for more work than one request may"),
    "overloaded": ProblemType(503, "The service is busy"),
    "time-budget-passed": ProblemType(503, "The work took longer than one request may"),
    "internal-error": ProblemType(500, "The service failed"),
    "http-error": ProblemType(400, "The request failed"),
}
_BY_STATUS = {
    400: "unreadable-body", 401: "unauthorized", 404: "not-found", 405: "method-not-allowed",
    406: "not-acceptable", 413: "body-too-large", 415: "unsupported-media-type",
    422: "invalid-request", 500: "internal-error", 503: "overloaded",
}  # fmt: skip


class Detail(str):
    """An error message that also carries a machine-readable code."""

    code: str

    def __new__(cls, message: str, code: str) -> Detail:
        made = super().__new__(cls, message)
        made.code = code
        return made


class Problem(Exception):
    """A problem to answer with.

    Parameters
    ----------
    kind : str
        A key of PROBLEM_TYPES.
    detail : str
        One sentence the caller can act on.
    errors : list of dict
        For invalid input: `pointer`, `code`, `detail` of each fault.
    retry_after_s : int, optional
        Sent as `Retry-After`.
    """

    def __init__(
        self,
        kind: str,
        detail: str,
        *,
        errors: list[dict[str, str]] | None = None,
        retry_after_s: int | None = None,
    ) -> None:
        super().__init__(detail)
        self.kind = kind
        self.detail = detail
        self.errors = errors or []
        self.retry_after_s = retry_after_s

    def body(self) -> dict[str, Any]:
        """The problem as a JSON object, without the request id."""
        kind = PROBLEM_TYPES[self.kind]
        body: dict[str, Any] = {
            "type": f"/problems/{self.kind}",
            "title": kind.title,
            "status": kind.status,
            "detail": self.detail,
        }
        if self.errors:
            body["errors"] = self.errors
        return body


def invalid(error: ValidationError, *, base: str = "#") -> Problem:
    """Turn marshmallow's nested messages into a problem that lists each fault."""
    faults = list(_faults(error.messages, base))[:MAX_ERRORS]
    first = faults[0]
    more = f" (and {len(faults) - 1} more)" if len(faults) > 1 else ""
    return Problem("invalid-request", f"{first['pointer']}: {first['detail']}{more}", errors=faults)


def register(app: Flask) -> None:
    """Answer every exception as a problem."""

    @app.errorhandler(Problem)
    def _problem(problem: Problem) -> Response:
        return _respond(problem)

    @app.errorhandler(ValidationError)
    def _validation(error: ValidationError) -> Response:
        return _respond(invalid(error))

    @app.errorhandler(HTTPException)
    def _http(error: HTTPException) -> Response:
        status = error.code or 500
        kind = _BY_STATUS.get(status, "http-error")
        response = _respond(Problem(kind, _detail_of(error)), status)
        for name, value in error.get_headers():
            if name.lower() in {"allow", "retry-after"}:
                response.headers[name] = value
        return response

    @app.errorhandler(Exception)
    def _unforeseen(error: Exception) -> Response:
        log_unforeseen(error)
        return _respond(internal_error())


def internal_error() -> Problem:
    """What callers are told of an error that nobody foresaw."""
    return Problem("internal-error", "the service failed; the fault is ours")


def log_unforeseen(error: Exception) -> None:
    """Log an error that nobody foresaw, with its stack trace."""
    rule = request.url_rule
    fields = {"request_id": g.get("request_id", ""), "route": rule.rule if rule else ""}
    LOGGER.error("unforeseen error", exc_info=error, extra={"fields": fields})


def _detail_of(error: HTTPException) -> str:
    """Say what was wrong and what is allowed, where the framework says it vaguely."""
    if isinstance(error, NotFound):
        return "there is nothing at this address; /docs lists those there are"
    if isinstance(error, MethodNotAllowed):
        return f"the address takes {', '.join(sorted(error.valid_methods or ()))}"
    if isinstance(error, RequestEntityTooLarge):
        limit = current_app.config["MAX_CONTENT_LENGTH"]
        return f"the body is larger than {limit} bytes, the most that is taken"
    return error.description or "the request failed"


def _respond(problem: Problem, status: int | None = None) -> Response:
    metrics.count_refusal(problem.kind)
    body = problem.body()
    body["status"] = status = status or body["status"]
    body["request_id"] = g.get("request_id", "")
    response = current_app.response_class(
        json.dumps(body, allow_nan=False), status=status, mimetype="application/problem+json"
    )
    response.headers["Cache-Control"] = "no-store"
    if problem.retry_after_s is not None:
        response.headers["Retry-After"] = str(problem.retry_after_s)
    return response


def _faults(messages: Any, pointer: str) -> Iterator[dict[str, str]]:
    if isinstance(messages, dict):
        for key, inner in messages.items():
            step = "" if key == "_schema" else f"/{_escape(str(key))}"
            yield from _faults(inner, pointer + step)
    elif isinstance(messages, list):
        for message in messages:
            yield from _faults(message, pointer)
    else:
        code = getattr(messages, "code", "invalid")
        yield {"pointer": pointer, "code": code, "detail": str(messages)}


def _escape(key: str) -> str:
    """A key as a JSON pointer's step (RFC 6901), cut short."""
    return key[:80].replace("~", "~0").replace("/", "~1")
