"""The least a Flask service can do, for comparison: one endpoint that answers a small object."""

from __future__ import annotations

from flask import Flask, Response, jsonify


def create_bare_app() -> Flask:
    """Make it."""
    app = Flask(__name__, static_folder=None)

    @app.get("/bare")
    def bare() -> Response:
        return jsonify({"status": "ok"})

    return app
