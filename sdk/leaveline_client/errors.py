"""What can go wrong, as one tree:

    LeavelineError
    ├── TransportError       no answer arrived
    │   ├── ConnectFailed    no connection, or it broke before the answer was whole
    │   └── TimedOut         connecting, waiting for the answer, or altogether
    ├── ApiError             the service answered that there is a problem
    │   ├── InvalidRequest   400, 413, 415, 422
    │   ├── Unauthorized     401, 403
    │   ├── NotFound         404, 405
    │   ├── RateLimited      429
    │   └── ServiceFault     5xx
    ├── UnexpectedReply      the answer is not JSON, or not this service's
    └── BatchFailed          asked for by `raise_for_failures`: items of a batch have problems

Branch on the class and on `ApiError.type`, never on the text. The text leads with the request
id: quote it when asking for help. All of these pickle, so they cross process borders.

A value that cannot be put into a request at all (a number that is not finite, a leave without a
pin in an address) is a `ValueError` before anything is sent.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from leaveline_client.answers import BatchResultAnswer, FaultAnswer, ProblemAnswer

Phase = Literal["connect", "read", "total"]


class LeavelineError(Exception):
    """Whatever this package raises about a call."""


class TransportError(LeavelineError):
    """No answer arrived.

    Parameters
    ----------
    detail : str
        What happened.
    request_id : str
        Sent with every attempt; where the service got one, its log has it.
    attempts : int
        How often the request was sent.
    """

    def __init__(self, detail: str, request_id: str = "", attempts: int = 1) -> None:
        super().__init__(detail, request_id, attempts)
        self.detail = detail
        self.request_id = request_id
        self.attempts = attempts

    def __str__(self) -> str:
        return _led(self.request_id, f"{self.detail}{_tries(self.attempts)}")


class ConnectFailed(TransportError):
    """No connection, or it broke before the answer was whole."""


class TimedOut(TransportError):
    """Time ran out.

    Parameters
    ----------
    detail, request_id, attempts
        As in TransportError.
    phase : {"connect", "read", "total"}
        Which bound was passed: `timeout`'s first or second, or `total_timeout_s`.
    """

    def __init__(
        self, detail: str, request_id: str = "", attempts: int = 1, phase: Phase = "read"
    ) -> None:
        super().__init__(detail, request_id, attempts)
        self.args = (detail, request_id, attempts, phase)
        self.phase = phase


class ApiError(LeavelineError):
    """The service answered that there is a problem.

    Parameters
    ----------
    status : int
        HTTP status.
    type, title : str
        Kind of problem (branch on this), and the kind in words.
    detail : str
        What to do about it.
    errors : tuple of FaultAnswer
        Each fault of an invalid request: `pointer`, `code`, `detail`.
    request_id : str
        Quote it when asking for help.
    retry_after_s : float or None
        When the service asks to come back [s].
    attempts : int
        How often the request was sent.
    raw : dict
        The problem as it was sent; empty where it came without problem details.
    """

    def __init__(
        self,
        status: int,
        type: str,
        title: str,
        detail: str,
        errors: tuple[FaultAnswer, ...] = (),
        request_id: str = "",
        retry_after_s: float | None = None,
        attempts: int = 1,
        raw: Mapping[str, Any] | None = None,
    ) -> None:
        super().__init__(
            status, type, title, detail, errors, request_id, retry_after_s, attempts, raw
        )
        self.status = status
        self.type = type
        self.title = title
        self.detail = detail
        self.errors = errors
        self.request_id = request_id
        self.retry_after_s = retry_after_s
        self.attempts = attempts
        self.raw = raw or {}

    def __str__(self) -> str:
        wait = "" if self.retry_after_s is None else f" (retry after {self.retry_after_s:g} s)"
        text = f"{self.status} {self.title}: {self.detail}{wait}{_tries(self.attempts)}"
        return _led(self.request_id, text)

    @property
    def problem(self) -> ProblemAnswer:
        """The same as a plain value."""
        return ProblemAnswer(
            type=self.type,
            title=self.title,
            status=self.status,
            detail=self.detail,
            request_id=self.request_id,
            errors=self.errors,
            raw=self.raw,
        )


class InvalidRequest(ApiError):
    """The request could not be read, or is not valid: 400, 413, 415, 422. See `errors`."""


class Unauthorized(ApiError):
    """An API key is needed, or this one may not: 401, 403."""


class NotFound(ApiError):
    """There is nothing at this address, or it does not take this method: 404, 405."""


class RateLimited(ApiError):
    """Too many requests: 429. See `retry_after_s`."""


class ServiceFault(ApiError):
    """The fault is the service's, or of what stands before it: 5xx."""


class UnexpectedReply(LeavelineError):
    """An answer arrived, but it is not JSON or not this service's.

    Parameters
    ----------
    detail : str
        What was unexpected, and where.
    request_id : str
        Quote it when asking for help.
    status : int
        HTTP status.
    body : bytes
        The answer as it was sent.
    """

    def __init__(
        self, detail: str, request_id: str = "", status: int = 0, body: bytes = b""
    ) -> None:
        super().__init__(detail, request_id, status, body)
        self.detail = detail
        self.request_id = request_id
        self.status = status
        self.body = body

    def __str__(self) -> str:
        return _led(self.request_id, f"{self.detail} (HTTP status {self.status})")


class BatchFailed(LeavelineError):
    """Items of a batch have problems.

    Parameters
    ----------
    failures : tuple of BatchResultAnswer
        All of them.
    request_id : str
        Quote it when asking for help.
    """

    def __init__(self, failures: tuple[BatchResultAnswer, ...], request_id: str = "") -> None:
        super().__init__(failures, request_id)
        self.failures = failures
        self.request_id = request_id

    def __str__(self) -> str:
        each = [f"{f.id}: {f.problem.detail if f.problem else '?'}" for f in self.failures]
        return _led(self.request_id, "\n".join([f"{len(each)} items failed", *each]))


def error_class(status: int) -> type[ApiError]:
    """The class of an HTTP status of 400 or more."""
    return _CLASSES.get(status, ServiceFault if status >= 500 else ApiError)


_CLASSES: dict[int, type[ApiError]] = {
    400: InvalidRequest,
    401: Unauthorized,
    403: Unauthorized,
    404: NotFound,
    405: NotFound,
    413: InvalidRequest,
    415: InvalidRequest,
    422: InvalidRequest,
    429: RateLimited,
}


def _led(request_id: str, text: str) -> str:
    return f"{request_id or 'no request id'}: {text}"


def _tries(attempts: int) -> str:
    return f" (after {attempts} attempts)" if attempts > 1 else ""
