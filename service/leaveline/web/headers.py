"""Headers that every answer carries so that a browser does as little with it as possible.

Pages with needs of their own (kiosk, documents, pictures) set their own policy first; it stays.
`Strict-Transport-Security` is not among them: only what ends TLS, the proxy in front, may promise
it.
"""

from __future__ import annotations

from flask import Response, current_app

USUAL = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
    "Cross-Origin-Opener-Policy": "same-origin",
}
RESOURCE_POLICY = "Cross-Origin-Resource-Policy"


def add_headers(response: Response) -> None:
    """Add what the answer does not say already."""
    there = {name.lower() for name, _ in response.headers}
    # Pages of the allow-list may also show pictures, which are asked for without CORS.
    open_to_others = bool(current_app.config["LEAVELINE"].cors_origins)
    wanted = USUAL | {RESOURCE_POLICY: "cross-origin" if open_to_others else "same-origin"}
    if response.status_code == 401:
        wanted["WWW-Authenticate"] = "Bearer"
    response.headers.extend(
        [(name, value) for name, value in wanted.items() if name.lower() not in there]
    )
