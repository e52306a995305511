"""`/metrics`: what the service has done, for Prometheus, over all its workers.

Each worker counts in files of its own under PROMETHEUS_MULTIPROC_DIR, and whichever worker is
asked adds them up. The files are named by the worker's place (1, 2, …), not by its process: a
worker that takes the place of another goes on counting where that one stopped, so their number
stays the same however often workers are renewed. Without the variable, one process counts in its
memory.

Labels are bounded: a route is its rule, never a path, and what matches none is `unmatched`.
"""

from __future__ import annotations

import os
import struct
import threading
import time
from collections.abc import Callable
from typing import Any

from flask import Blueprint, Response, current_app
from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram, values
from prometheus_client.exposition import CONTENT_TYPE_LATEST, generate_latest
from prometheus_client.multiprocess import MultiProcessCollector, mark_process_dead

from leaveline.delivery import rolling_arrivals
from leaveline.pins.carry import maps_asked_for

blueprint = Blueprint("metrics", __name__)

DIRECTORY = "PROMETHEUS_MULTIPROC_DIR"
UNMATCHED = "unmatched"
READS, READ_AGAIN_S = 3, 0.02
"""How often the workers' files are read, and what passes in between [s]."""
METHODS = frozenset({"GET", "HEAD", "POST", "OPTIONS", "PUT", "PATCH", "DELETE"})
REFUSALS = frozenset(
    {"unauthorized", "body-too-large", "too-much-work", "overloaded", "time-budget-passed"}
)
"""Kinds of problem that stand for work that was not taken on, or not finished."""
BUCKETS_S = (
    0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0, 60.0,
)  # fmt: skip

_place: list[str] = []


def take_worker_place(place: int) -> None:
    """Say which of the workers this process is, from 1; called in the worker once it is forked.

    What the caches counted before that was the parent's doing.
    """
    _place[:] = [str(place)]
    _seen.update((name, _hits_and_misses(info)) for name, info in _CACHES.items())


def forget_worker(place: int) -> None:
    """Drop what a worker that has ended was doing just then; what it has done stays counted."""
    if os.environ.get(DIRECTORY):
        mark_process_dead(place)  # type: ignore[no-untyped-call]


def _counting_as() -> str:
    return _place[0] if _place else f"p{os.getpid()}"


if os.environ.get(DIRECTORY):
    values.ValueClass = values.MultiProcessValue(_counting_as)  # type: ignore[no-untyped-call]

REGISTRY = CollectorRegistry()
REQUESTS = Counter(
    "leaveline_requests_total",
    "Requests answered.",
    ["route", "method", "status"],
    registry=REGISTRY,
)
SECONDS = Histogram(
    "leaveline_request_seconds",
    "From reading a request to its answer's last byte.",
    ["route"],
    buckets=BUCKETS_S,
    registry=REGISTRY,
)
IN_FLIGHT = Gauge(
    "leaveline_requests_in_flight",
    "Requests being answered.",
    multiprocess_mode="livesum",
    registry=REGISTRY,
)
COMPUTING = Gauge(
    "leaveline_requests_computing",
    "Requests that hold one of the places for computing.",
    multiprocess_mode="livesum",
    registry=REGISTRY,
)
REFUSED = Counter(
    "leaveline_refused_total", "Work not taken on or not finished.", ["reason"], registry=REGISTRY
)
WORK = Counter("leaveline_work_total", "Work done, by kind.", ["kind"], registry=REGISTRY)
LOOKUPS = Counter(
    "leaveline_cache_lookups_total",
    "Look-ups in what is kept.",
    ["cache", "outcome"],
    registry=REGISTRY,
)

_CACHES: dict[str, Callable[[], Any]] = {
    "carry_maps": maps_asked_for,
    "arrival_tables": rolling_arrivals.cache_info,
}
_seen: dict[str, tuple[int, int]] = {}
_seen_lock = threading.Lock()


@blueprint.get("/metrics")
def show_metrics() -> Response:
    """The metrics as text."""
    text = _of_all_workers() if os.environ.get(DIRECTORY) else generate_latest(REGISTRY)
    response = current_app.response_class(text)
    response.headers["Content-Type"] = CONTENT_TYPE_LATEST
    response.headers["Cache-Control"] = "no-store"
    return response


def _of_all_workers() -> bytes:
    """Add up the workers' files; again where one was read while it was being made.

    A file is empty for a moment before it gets its size, and cannot be read then.
    """
    registry = CollectorRegistry()
    MultiProcessCollector(registry)  # type: ignore[no-untyped-call]
    for _ in range(READS - 1):
        try:
            return generate_latest(registry)
        except struct.error:
            time.sleep(READ_AGAIN_S)
    return generate_latest(registry)


def count_request(
    *, route: str, method: str, status: int, seconds: float, done: dict[str, int]
) -> None:
    """Count one answered request and what it did."""
    REQUESTS.labels(route, method if method in METHODS else "other", status).inc()
    SECONDS.labels(route).observe(seconds)
    for kind, count in done.items():
        WORK.labels(kind).inc(count)


def count_refusal(kind: str) -> None:
    """Count a problem, where it stands for refused work."""
    if kind in REFUSALS:
        REFUSED.labels(kind).inc()


def count_lookup(cache: str, *, hit: bool) -> None:
    """Count one look-up in a cache."""
    LOOKUPS.labels(cache, "hit" if hit else "miss").inc()


def read_caches() -> None:
    """Take over what the model's own caches have counted since the last time."""
    with _seen_lock:
        for name, info in _CACHES.items():
            found, before = _hits_and_misses(info), _seen.get(name, (0, 0))
            for outcome, now, then in zip(("hit", "miss"), found, before, strict=True):
                if now > then:
                    LOOKUPS.labels(name, outcome).inc(now - then)
            _seen[name] = found


def _hits_and_misses(info: Callable[[], Any]) -> tuple[int, int]:
    found = info()
    return found.hits, found.misses
