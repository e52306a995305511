"""`/kiosk`: the touch page for staff and bowlers at a counter.

Plain files from this package, served under a policy that lets the page load and ask nothing but
this service. Which file has which type is listed here, so nothing else in the folder is served.
"""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files

from flask import Blueprint, Response, abort

from leaveline.web.answers import cacheable

blueprint = Blueprint("kiosk", __name__)

PAGE = "index.html"
SCRIPTS = (
    "start", "kiosk", "advice", "asking", "balls", "card", "controls", "idle", "line", "service",
    "setup", "speak", "state", "texts", "trouble",
)  # fmt: skip
TYPES = {
    PAGE: "text/html",
    "kiosk.css": "text/css",
    **{f"{name}.js": "text/javascript" for name in SCRIPTS},
}
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
    "img-src data:; connect-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    # The page is asked for anew each time it opens, and answered with 304 while it is the same.
    "Cache-Control": "no-cache",
}


@blueprint.get("/kiosk")
def show_page() -> Response:
    """The page."""
    return _serve(PAGE)


@blueprint.get("/kiosk/<name>")
def show_file(name: str) -> Response:
    """One of the page's files."""
    if name not in TYPES or name == PAGE:
        abort(404)
    return _serve(name)


def _serve(name: str) -> Response:
    response = cacheable(_text(name), mimetype=TYPES[name])
    response.headers.update(HEADERS)
    return response


@lru_cache(maxsize=len(TYPES))
def _text(name: str) -> str:
    return (files("leaveline.web") / "kiosk" / name).read_text(encoding="utf-8")
