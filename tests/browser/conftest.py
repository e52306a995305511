"""A real browser on a real server: the system's Chromium, driven by playwright.

Skipped, with the reason, where either is missing.
"""

from __future__ import annotations

import logging
import os
import shutil
import threading
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from leaveline.web import create_app
from leaveline.web.settings import Settings
from leaveline.web.warm import warm
from werkzeug.serving import make_server

ARGS = [
    "--no-sandbox", "--disable-gpu", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--no-first-run",
]  # fmt: skip
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
SIZES: dict[str, dict[str, Any]] = {
    "phone": {"viewport": {"width": 390, "height": 844}, "has_touch": True},
    "tablet": {"viewport": {"width": 820, "height": 1180}, "has_touch": True},
    "counter": {"viewport": {"width": 1920, "height": 1080}, "has_touch": False},
}


class Watched:
    """A page and all that went wrong on it."""

    def __init__(self, page: Any, origin: str) -> None:
        self.page, self.origin = page, origin
        self.faults: list[str] = []
        page.on("console", lambda m: self.faults.append(m.text) if m.type == "error" else None)
        page.on("pageerror", lambda error: self.faults.append(str(error)))
        page.on("request", self._note)

    def _note(self, request: Any) -> None:
        if not request.url.startswith((self.origin + "/", "data:")):
            self.faults.append(f"asked {request.url}")

    def open(self, query: str = "") -> Any:
        """Open the kiosk and wait until it is ready."""
        self.page.goto(f"{self.origin}/kiosk{query}")
        self.page.wait_for_selector("body[data-ready]")
        return self.page


def serve(settings: Settings) -> Iterator[str]:
    """Serve the application on a free port, its kernels loaded; gives its origin."""
    warm(maps=False)
    logging.getLogger("werkzeug").setLevel(logging.ERROR)
    server = make_server("127.0.0.1", 0, create_app(settings), threaded=True)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.fixture(scope="session")
def origin() -> Iterator[str]:
    yield from serve(Settings())


@pytest.fixture
def origin_with_key() -> Iterator[str]:
    yield from serve(Settings(api_keys=("a-key-for-the-test",)))


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    # Not for the whole session: while playwright runs, its event loop is this thread's, and no
    # other test could run one.
    sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    path = os.environ.get("KIOSK_TEST_BROWSER") or next(
        filter(None, map(shutil.which, BROWSERS)), None
    )
    if path is None:
        pytest.skip(f"no browser: none of {', '.join(BROWSERS)} is installed")
    with sync_api.sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=path, args=ARGS)
        yield chromium
        chromium.close()


@pytest.fixture
def watch(browser: Any, origin: str) -> Iterator[Callable[..., Watched]]:
    """Give watched pages of a size; afterwards nothing may have gone wrong on any."""
    contexts = []
    pages = []

    def make(size: str = "counter", at: str = origin, **options: Any) -> Watched:
        context = browser.new_context(**{**SIZES[size], **options})
        contexts.append(context)
        pages.append(Watched(context.new_page(), at))
        return pages[-1]

    yield make
    for context in contexts:
        context.close()
    assert [watched.faults for watched in pages] == [[] for _ in pages]
