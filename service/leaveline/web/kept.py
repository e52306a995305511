"""Answers to GET that are given again as they are, headers and all.

What GET answers depends on nothing but the address, so the bytes made once are good until they
are pushed out by others. Bounded by memory, per worker.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass

from flask import Response, current_app, g, request

from leaveline.web import metrics

Key = tuple[str, bytes]
OVERHEAD_BYTES = 1_500
"""Of an entry beside its body: address, headers, bookkeeping; rounded up."""
LARGEST_SHARE = 8
"""An answer larger than this part of the memory is not kept."""


@dataclass(frozen=True, slots=True)
class Kept:
    """An answer's bytes and headers."""

    body: bytes
    headers: tuple[tuple[str, str], ...]

    @property
    def size(self) -> int:
        """Memory it takes, about [bytes]."""
        return len(self.body) + OVERHEAD_BYTES


class KeptAnswers:
    """The most recently asked answers that fit into some memory."""

    def __init__(self, megabytes: int) -> None:
        self._room = megabytes * 1_000_000
        self._answers: OrderedDict[Key, Kept] = OrderedDict()
        self._size = 0
        self._lock = threading.Lock()

    def get(self, key: Key) -> Kept | None:
        """Find an answer."""
        with self._lock:
            found = self._answers.get(key)
            if found is not None:
                self._answers.move_to_end(key)
            return found

    def put(self, key: Key, answer: Kept) -> None:
        """Keep an answer; the ones asked least lately make room."""
        if answer.size * LARGEST_SHARE > self._room:
            return
        with self._lock:
            old = self._answers.pop(key, None)
            self._size += answer.size - (old.size if old else 0)
            self._answers[key] = answer
            while self._size > self._room:
                _, dropped = self._answers.popitem(last=False)
                self._size -= dropped.size


def give() -> Response | None:
    """Answer a GET from what is kept."""
    if request.method not in ("GET", "HEAD") or request.url_rule is None:
        return None
    kept: KeptAnswers = current_app.extensions["leaveline_kept"]
    found = kept.get((request.path, request.query_string))
    if found is None:
        return None
    g.kept = True
    metrics.count_lookup("answers", hit=True)
    response = current_app.response_class(found.body, headers=list(found.headers))
    if "HTTP_IF_NONE_MATCH" in request.environ or "HTTP_IF_MODIFIED_SINCE" in request.environ:
        response.make_conditional(request)
    return response


def keep(response: Response) -> None:
    """Keep a whole, cacheable answer to a GET; called before headers of the moment are added."""
    if request.method != "GET" or response.status_code != 200:
        return
    if "ETag" not in response.headers or response.is_streamed or "Vary" in response.headers:
        return
    metrics.count_lookup("answers", hit=False)
    headers = tuple(pair for pair in response.headers if pair[0] != "Date")
    kept: KeptAnswers = current_app.extensions["leaveline_kept"]
    kept.put((request.path, request.query_string), Kept(response.get_data(), headers))
