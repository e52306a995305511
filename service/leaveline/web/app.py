"""The Flask application: blueprints, problem details, request ids, keys and cache headers."""

from __future__ import annotations

import hmac
import os
import re
import uuid

from flask import Flask, Response, current_app, g, request

from leaveline.web import (
    advice,
    batch,
    document,
    health,
    kiosk,
    leaves,
    lines,
    pictures,
    problems,
)
from leaveline.web.problems import Problem
from leaveline.web.settings import Settings

REQUEST_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")


def create_app(settings: Settings | None = None) -> Flask:
    """Make the application.

    Parameters
    ----------
    settings : Settings, optional
        Read from the environment where left out.
    """
    settings = settings or Settings.from_environment(os.environ)
    app = Flask(__name__, static_folder=None)
    app.config["MAX_CONTENT_LENGTH"] = settings.max_body_bytes
    app.config["LEAVELINE"] = settings
    app.url_map.strict_slashes = False
    problems.register(app)
    app.before_request(_take_request_id)
    app.before_request(_check_key)
    app.after_request(_finish)
    for part in (leaves, lines, batch, advice, pictures, kiosk, health, document):
        app.register_blueprint(part.blueprint)
    return app


def _take_request_id() -> None:
    sent = request.headers.get("X-Request-ID", "")
    g.request_id = sent if REQUEST_ID.fullmatch(sent) else uuid.uuid4().hex


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
    response.headers["X-Request-ID"] = g.get("request_id", "")
    response.headers["X-Content-Type-Options"] = "nosniff"
    if response.status_code == 401:
        response.headers["WWW-Authenticate"] = "Bearer"
    return response
