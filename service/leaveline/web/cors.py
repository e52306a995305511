"""Cross-origin requests from pages on the allow-list (the Fetch standard's CORS protocol).

No cookies are involved, so credentials are never allowed; a key travels in `Authorization`, which
a preflight has to ask for.
"""

from __future__ import annotations

from flask import Response, current_app, request

METHODS = "GET, HEAD, POST"
HEADERS = "Authorization, Content-Type, X-Request-ID, If-None-Match"
EXPOSED = "ETag, Retry-After, X-Request-ID"
PREFLIGHT_KEPT_S = 600


def answer_preflight() -> Response | None:
    """Answer a browser that asks whether a page of an allowed origin may send its request."""
    if request.method != "OPTIONS" or "Access-Control-Request-Method" not in request.headers:
        return None
    if _allowed() is None:
        return None
    response = current_app.response_class(status=204)
    response.headers["Access-Control-Allow-Methods"] = METHODS
    response.headers["Access-Control-Allow-Headers"] = HEADERS
    response.headers["Access-Control-Max-Age"] = str(PREFLIGHT_KEPT_S)
    return response


def add_headers(response: Response) -> None:
    """Let a page of an allowed origin read the answer; caches keep answers apart by origin."""
    origins: tuple[str, ...] = current_app.config["LEAVELINE"].cors_origins
    if not origins:
        return
    if origins != ("*",):
        response.vary.add("Origin")
    allowed = _allowed()
    if allowed is not None:
        response.headers["Access-Control-Allow-Origin"] = allowed
        response.headers["Access-Control-Expose-Headers"] = EXPOSED


def _allowed() -> str | None:
    """What to allow the request's origin as, if at all."""
    origins: tuple[str, ...] = current_app.config["LEAVELINE"].cors_origins
    if origins == ("*",):
        return "*"
    origin = request.headers.get("Origin")
    return origin if origin in origins else None
