"""`/healthz` and `/readyz`: is the process up, and can it answer."""

from __future__ import annotations

from flask import Blueprint, Response, current_app

from leaveline import MODEL_VERSION, __version__
from leaveline.lines.bowler import Bowler
from leaveline.lines.solve import solve
from leaveline.pins.leave import Leave
from leaveline.web.views import dump_json

blueprint = Blueprint("health", __name__)


@blueprint.get("/healthz")
def healthz() -> Response:
    """Say that the process is up."""
    return _say({"status": "ok", "version": __version__, "model_version": MODEL_VERSION})


@blueprint.get("/readyz")
def readyz() -> Response:
    """Say that a line can be solved, by solving one; 503 where it cannot: probes read no body."""
    line = solve(Leave.parse("10"), Bowler(), limit=1)[0]
    if line.make_probability > 0:
        return _say({"status": "ok"})
    return _say({"status": "failed"}, 503)


def _say(body: dict[str, str], status: int = 200) -> Response:
    response = current_app.response_class(dump_json(body), status, mimetype="application/json")
    response.headers["Cache-Control"] = "no-store"
    return response
