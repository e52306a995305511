"""The contract's page in a real browser: it reads well on a phone, in print, and for everybody."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from leaveline.web.document import openapi_document

from tests.browser.conftest import SIZES, Watched
from tests.browser.steps import check_accessible

pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

Watch = Callable[..., Watched]


@pytest.mark.parametrize("size", SIZES)
def test_it_fits(watch: Watch, size: str) -> None:
    watched = watch(size)
    page = watched.page
    page.goto(f"{watched.origin}/docs")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.evaluate("document.styleSheets.length") == 1


def test_it_is_accessible(watch: Watch) -> None:
    watched = watch("phone")
    watched.page.goto(f"{watched.origin}/docs")
    check_accessible(watched.page)


def test_every_operation_is_reached_from_the_contents(watch: Watch) -> None:
    watched = watch("phone")
    page = watched.page
    page.goto(f"{watched.origin}/docs")
    for item in openapi_document()["paths"].values():
        for operation in item.values():
            name = operation["operationId"]
            page.click(f"nav a[href='#{name}']")
            assert page.evaluate("location.hash") == f"#{name}"
            top = page.evaluate("id => document.getElementById(id).getBoundingClientRect().y", name)
            assert 0 <= top < 200
            page.click("a.top")
    page.goto(f"{watched.origin}/problems/overloaded")
    assert page.url.endswith("/docs#problem-overloaded")


def test_an_answers_schema_is_one_click_away(watch: Watch) -> None:
    watched = watch()
    page = watched.page
    page.goto(f"{watched.origin}/docs#solveLines")
    page.click("#solveLines a[href='#schema-LinesAnswer']")
    assert page.locator("#schema-LinesAnswer").is_visible()
    assert page.locator("#schema-LinesAnswer dt", has_text="lines").count()


def test_in_print_nothing_is_cut_off(watch: Watch) -> None:
    watched = watch()
    page = watched.page
    page.goto(f"{watched.origin}/docs")
    page.emulate_media(media="print")
    cut = page.evaluate(
        "[...document.querySelectorAll('pre')].filter(p => p.scrollHeight > p.clientHeight + 1"
        " || p.scrollWidth > p.clientWidth + 1).length"
    )
    assert cut == 0
    assert not page.is_visible("a.top")


def test_without_the_style_sheet_it_still_reads_in_order(watch: Watch) -> None:
    watched = watch()
    page = watched.page
    page.route("**/docs.css", lambda route: route.fulfill(body="", content_type="text/css"))
    page.goto(f"{watched.origin}/docs")
    headings = page.locator("h1, h2").all_inner_texts()
    assert headings[0].startswith("Leaveline")
    assert headings[-3:] == ["Problems", "What is sent", "What is answered"]
