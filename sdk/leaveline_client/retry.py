"""Whether a failed call is sent again, and how long to wait before: pure functions.

Every operation of the service is declared safe to repeat, POST included, which is what RFC 9110
section 9.2.2 asks for before a client may repeat it. Not repeated: 500, which is our fault and
would fail the same way again, and other 4xx; nor a read timeout, because a computation that was
too slow stays slow, unless `retry_read_timeouts` says so.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime

from leaveline_client.errors import ApiError, ConnectFailed, LeavelineError, TimedOut

RETRIED_STATUSES = frozenset({429, 502, 503, 504})
FIRST_WAIT_S = 0.5  # [s] upper end of the first wait; doubles with every attempt
LONGEST_WAIT_S = 8.0  # [s] where the doubling ends
LONGEST_RETRY_AFTER_S = 30.0  # [s] a service that asks for more gets no second call


def full_jitter(longest_s: float) -> float:
    """A wait anywhere between nothing and the longest [s], so that callers spread out."""
    return random.uniform(0, longest_s)  # nosec B311 # spreads callers out, keeps no secret


def is_retried(error: LeavelineError, *, retry_read_timeouts: bool = False) -> bool:
    """Whether sending the same again may help."""
    if isinstance(error, ApiError):
        return error.status in RETRIED_STATUSES
    if isinstance(error, TimedOut):
        return error.phase == "connect" or (error.phase == "read" and retry_read_timeouts)
    return isinstance(error, ConnectFailed)


def wait_s(error: LeavelineError, attempt: int, jitter: Callable[[float], float]) -> float | None:
    """How long to wait before the next attempt [s].

    Parameters
    ----------
    error : LeavelineError
        Why the last attempt failed.
    attempt : int
        Its number, from 1.
    jitter : callable
        Picks a wait between 0 and its argument [s].

    Returns
    -------
    float or None
        Never less than the service asked for; None where that is longer than
        LONGEST_RETRY_AFTER_S.
    """
    # The exponent is capped so that a very large number of retries cannot overflow.
    longest_s = min(LONGEST_WAIT_S, FIRST_WAIT_S * 2 ** min(attempt - 1, 10))
    asked_s = error.retry_after_s if isinstance(error, ApiError) else None
    if asked_s is None:
        return jitter(longest_s)
    return None if asked_s > LONGEST_RETRY_AFTER_S else max(asked_s, jitter(longest_s))


def retry_after_s(value: str | None, *, date: str | None = None) -> float | None:
    """Read a `Retry-After` header [s].

    Parameters
    ----------
    value : str or None
        Whole seconds or an HTTP date (RFC 9110 section 10.2.3).
    date : str or None
        The answer's `Date`; measured from it, a date does not depend on two clocks agreeing.

    Returns
    -------
    float or None
        None where there is none or it cannot be read; a moment that has passed is 0.
    """
    if value is None:
        return None
    text = value.strip()
    if text.isascii() and text.isdigit():
        return float(text)
    then = _moment(text)
    if then is None:
        return None
    now = _moment(date or "") or datetime.now(UTC)
    return max(0.0, (then - now).total_seconds())


def _moment(text: str) -> datetime | None:
    try:
        moment = parsedate_to_datetime(text)
    except ValueError:
        return None
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)
