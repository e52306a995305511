"""How many requests a worker computes at once.

One worker has one core's worth of work to give, so a queue only makes everybody wait: what is
beyond the limit is refused at once with 503 and `Retry-After`. A body is read before its request
takes a place, so a slow sender holds none. Probes, documents, metrics, the kiosk's files and
answers that are kept take no place.
"""

from __future__ import annotations

import logging
import threading

from flask import current_app, g, request
from werkzeug.exceptions import HTTPException, RequestEntityTooLarge

from leaveline.web import metrics
from leaveline.web.problems import Problem

LOGGER = logging.getLogger("leaveline")
COMPUTED = "/v1/"
FREE = frozenset({"/v1/limits"})
RETRY_AFTER_S = 1
"""A place is free again within a line's time; callers add their own jitter."""


class Limiter:
    """Places for requests that compute."""

    def __init__(self, places: int) -> None:
        self.places = places
        self._free = threading.Semaphore(places)

    def enter(self) -> bool:
        """Take a place if one is free; never waits."""
        return self._free.acquire(blocking=False)

    def leave(self) -> None:
        """Give the place back."""
        self._free.release()


def take_place() -> None:
    """Before a request that computes: read its body, then take a place.

    Raises
    ------
    Problem
        503 where the worker computes as much as it may.
    """
    rule = request.url_rule
    if rule is None or not rule.rule.startswith(COMPUTED) or rule.rule in FREE:
        return
    if request.method == "OPTIONS":
        return
    _read_body()
    limiter: Limiter = current_app.extensions["leaveline_limiter"]
    if not limiter.enter():
        raise Problem(
            "overloaded",
            f"this worker computes {limiter.places} requests already; try again in a moment",
            retry_after_s=RETRY_AFTER_S,
        )
    g.place = limiter
    metrics.COMPUTING.inc()


def _read_body() -> None:
    """Read the whole body into the request, which keeps it.

    Where the server ends the stream itself, it is left to us to notice that it ended early or was
    cut at the limit, and chunks that make no sense are told of in errors of the server's own.
    """
    try:
        body = request.get_data()
    except HTTPException:
        raise
    except Exception as error:
        LOGGER.info("a body could not be read: %s", type(error).__name__)
        raise Problem("unreadable-body", "the body could not be read to its end") from None
    if len(body) > current_app.config["LEAVELINE"].max_body_bytes:
        raise RequestEntityTooLarge
    length = request.content_length
    if length is not None and len(body) < length:
        raise Problem(
            "unreadable-body", f"the body ended after {len(body)} of {length} bytes announced"
        )


def give_back(limiter: Limiter) -> None:
    """After the last byte of the answer is made: free the place that was taken."""
    limiter.leave()
    metrics.COMPUTING.dec()
