"""Answers with the headers that belong to them."""

from __future__ import annotations

import hashlib
from typing import Any

from flask import Response, current_app, request

from leaveline.web.views import dump_json


def cacheable(body: Any, *, mimetype: str = "application/json") -> Response:
    """Answer a GET: strong ETag, Cache-Control, 304 where the caller has it already.

    Where keys are asked for, shared caches may not keep it: they would give it without a key.
    """
    text = body if isinstance(body, str) else dump_json(body)
    response = current_app.response_class(text, mimetype=mimetype)
    response.set_etag(hashlib.sha256(text.encode()).hexdigest()[:32])
    settings = current_app.config["LEAVELINE"]
    whose = "private" if settings.api_keys else "public"
    response.headers["Cache-Control"] = f"{whose}, max-age={settings.cache_seconds}"
    response.make_conditional(request)
    return response


def computed(body: Any) -> Response:
    """Answer a POST: never stored by caches."""
    text = body if isinstance(body, bytes) else dump_json(body)
    response = current_app.response_class(text, mimetype="application/json")
    response.headers["Cache-Control"] = "no-store"
    return response
