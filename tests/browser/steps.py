"""Steps that several walks share."""

from __future__ import annotations

import json
from typing import Any
from urllib.request import urlopen

import pytest


def tap(page: Any, selector: str) -> None:
    """Touch or click, as the device has it."""
    touch = page.evaluate("navigator.maxTouchPoints > 0")
    (page.tap if touch else page.click)(selector)


def tap_pins(page: Any, *pins: int) -> None:
    for pin in pins:
        tap(page, f"#pins button:nth-child({pin})")
    settled(page)


def settled(page: Any) -> None:
    page.wait_for_selector("#answer[aria-busy=false]")
    page.wait_for_selector("#picture[aria-busy=false]", state="attached")


def answer(origin: str, leave: str, **query: str) -> dict[str, Any]:
    """What the service says to the same question."""
    text = "&".join(f"{name}={value}" for name, value in query.items())
    with urlopen(f"{origin}/v1/lines/{leave}?{text}") as reply:
        return dict(json.load(reply))


def board(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")


def shown(page: Any) -> tuple[str, str]:
    return page.inner_text("#stand"), page.inner_text("#target")


def expected(line: dict[str, Any]) -> tuple[str, str]:
    return board(line["stand_board"]), board(line["target_board"])


def check_accessible(page: Any) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is missing")
    found = axe.Axe().run(page).response["violations"]
    assert [(fault["id"], [node["target"] for node in fault["nodes"]]) for fault in found] == []


def drawn(page: Any, image: str) -> str:
    """The SVG an image shows, once it is painted."""
    page.wait_for_function("id => document.getElementById(id).naturalWidth > 0", arg=image)
    return str(page.evaluate("id => decodeURIComponent(document.getElementById(id).src)", image))
