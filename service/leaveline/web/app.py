"""The Flask application: its parts, and what happens to every request before and after them."""

from __future__ import annotations

import hmac
import os
import re
import time
import uuid
from collections.abc import Callable

from flask import Flask, Response, current_app, g, request

from leaveline.web import (
    accuracy,
    advice,
    batch,
    comparisons,
    cors,
    docs_page,
    document,
    headers,
    health,
    kept,
    kiosk,
    leaves,
    limiter,
    lines,
    logs,
    metrics,
    pictures,
    problems,
    reviews,
    tracing,
)
from leaveline.web.problems import Problem
from leaveline.web.settings import Settings
from leaveline.web.work import Work

REQUEST_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")


def create_app(settings: Settings | None = None) -> Flask:
    """Make the application.

    Parameters
    ----------
    settings : Settings, optional
        Read from the environment where left out.

    Raises
    ------
    SettingsError
        Where a setting is not usable.
    """
    settings = settings or Settings.from_environment(os.environ)
    app = Flask(__name__, static_folder=None)
    # The framework cuts what comes in chunks off at its limit; the byte more tells of it.
    app.config["MAX_CONTENT_LENGTH"] = settings.max_body_bytes + 1
    app.config["LEAVELINE"] = settings
    app.url_map.strict_slashes = False
    # Else a doubled slash is redirected, to an address that a proxy in front may not be known by.
    app.url_map.merge_slashes = False
    app.extensions["leaveline_limiter"] = limiter.Limiter(settings.concurrency)
    app.extensions["leaveline_kept"] = kept.KeptAnswers(settings.kept_answers_mb)
    problems.register(app)
    for step in (_begin, cors.answer_preflight, _check_key, kept.give, limiter.take_place):
        app.before_request(step)
    app.after_request(_finish)
    app.teardown_request(_end)
    if settings.metrics:
        app.register_blueprint(metrics.blueprint)
    for part in (
        leaves, lines, batch, advice, accuracy, reviews, comparisons, pictures, kiosk, health,
        document, docs_page,
    ):  # fmt: skip
        app.register_blueprint(part.blueprint)
    if settings.traces:
        tracing.switch_on(app)
    return app


def _begin() -> None:
    """Start the request's clock and name it."""
    g.work = Work(current_app.config["LEAVELINE"].time_budget_s)
    sent = request.environ.get("HTTP_X_REQUEST_ID", "")
    g.request_id = sent if REQUEST_ID.fullmatch(sent) else uuid.uuid4().hex
    metrics.IN_FLIGHT.inc()


def _check_key() -> None:
    """Ask for a key on /v1 where keys are set; compared in constant time, with every key."""
    keys: tuple[str, ...] = current_app.config["LEAVELINE"].api_keys
    if not keys or not request.path.startswith("/v1/"):
        return
    scheme, _, sent = request.headers.get("Authorization", "").partition(" ")
    matches = [hmac.compare_digest(sent.encode(), key.encode()) for key in keys]
    if scheme.lower() != "bearer" or not any(matches):
        raise Problem("unauthorized", "send a valid key as `Authorization: Bearer <key>`")


def _finish(response: Response) -> Response:
    """Keep the answer where it may be given again, then add what belongs to this one alone."""
    if "kept" not in g:
        headers.add_headers(response)
        kept.keep(response)
    cors.add_headers(response)
    response.headers["X-Request-ID"] = g.get("request_id", "")
    g.status = response.status_code
    if response.is_streamed and "work" in g:
        # Its request is over before its work is; the server closes it in any case, also where the
        # caller has gone away.
        response.call_on_close(_account())
        g.accounted = True
    return response


def _end(_error: BaseException | None) -> None:
    if "work" in g and "accounted" not in g:
        _account()()


def _account() -> Callable[[], None]:
    """Make what is to be done once the answer is made: free the place, count, log."""
    done: Work = g.work
    place: limiter.Limiter | None = g.get("place")
    route = request.url_rule.rule if request.url_rule else metrics.UNMATCHED
    method, status, request_id = request.method, g.get("status", 500), g.request_id
    from_kept = {"answer_kept": 1} if "kept" in g else {}

    def account() -> None:
        if place is not None:
            limiter.give_back(place)
            metrics.read_caches()
        seconds = time.monotonic() - done.started_s
        metrics.IN_FLIGHT.dec()
        metrics.count_request(
            route=route, method=method, status=status, seconds=seconds, done=done.done
        )
        logs.log_request(
            request_id=request_id,
            route=route,
            method=method[:20],
            status=status,
            seconds=seconds,
            done=done.done | from_kept,
        )

    return account
