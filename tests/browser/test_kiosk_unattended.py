"""The kiosk when the service is away, wants a key or can do less, and when nobody is there."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.browser.conftest import Watched
from tests.browser.steps import answer, check_accessible, expected, settled, shown, tap, tap_pins

pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

Watch = Callable[..., Watched]


def test_away_and_back(watch: Watch, origin: str) -> None:
    watched = watch()
    page = watched.open()
    tap_pins(page, 10)
    page.context.set_offline(True)
    tap(page, "#pins button:nth-child(6)")
    page.wait_for_selector("#away:visible")
    # The line for the 10 must not stand as if it were the line for the 6-10.
    assert not page.is_visible("#stand")
    assert not page.is_visible("#lane")
    check_accessible(page)
    page.context.set_offline(False)
    page.wait_for_selector("#away", state="hidden")
    settled(page)
    page.wait_for_selector("#stand:visible")
    assert shown(page) == expected(answer(origin, "6-10", hand="right", level="league")["lines"][0])
    # The browser itself notes each failed request; nothing else may have gone wrong.
    assert all("ERR_INTERNET_DISCONNECTED" in fault for fault in watched.faults)
    watched.faults.clear()


def test_away_from_the_start(watch: Watch) -> None:
    watched = watch()
    page = watched.page
    page.route("**/openapi.json", lambda route: route.fulfill(status=503), times=1)
    page.goto(f"{watched.origin}/kiosk")
    page.wait_for_selector("#away:visible")
    page.wait_for_selector("body[data-ready]")
    assert not page.is_visible("#away")
    assert [fault for fault in watched.faults if "503" not in fault] == []
    watched.faults.clear()


def test_away_while_the_page_loads(watch: Watch) -> None:
    watched = watch()
    page = watched.page
    page.route("**/kiosk/line.js", lambda route: route.abort(), times=1)
    page.route("**/healthz", lambda route: route.fulfill(status=503), times=1)
    page.goto(f"{watched.origin}/kiosk")
    page.wait_for_selector("body[data-ready]")
    tap_pins(page, 10)
    assert page.is_visible("#stand")
    assert [fault for fault in watched.faults if "Failed to load resource" not in fault] == []
    watched.faults.clear()


def test_it_starts_again_when_left_alone(watch: Watch) -> None:
    watched = watch()
    page = watched.page
    page.clock.install()
    watched.open("?idle_s=60&hand=left")
    tap_pins(page, 7, 10)
    page.click("label[for=hand-right]")
    page.clock.run_for(45_000)
    page.wait_for_selector("#idle[open]")
    check_accessible(page)
    page.click("#idle-stay")
    page.clock.run_for(2_000)
    assert not page.is_visible("#idle")
    page.clock.run_for(61_000)
    page.wait_for_selector("#empty:visible")
    assert page.locator(".pin[aria-pressed=true]").count() == 0
    assert page.is_checked("#hand-left")  # what the house wishes, not what the last guest chose
    assert not page.is_visible("#idle")


def test_nothing_is_kept(watch: Watch) -> None:
    page = watch().open()
    tap_pins(page, 7, 10)
    kept = page.evaluate(
        "async () => [localStorage.length, sessionStorage.length, document.cookie.length,"
        " (await indexedDB.databases()).length, (await caches.keys()).length]"
    )
    assert kept == [0, 0, 0, 0, 0]
    assert page.context.cookies() == []
    assert "7-10" not in page.url


def test_a_service_with_a_key(watch: Watch, origin_with_key: str) -> None:
    watched = watch(at=origin_with_key)
    page = watched.open()
    page.click("#pins button:nth-child(10)")
    page.wait_for_selector("#key-form:visible")
    check_accessible(page)
    page.fill("#key", "a-key-for-the-test")
    page.keyboard.press("Enter")
    settled(page)
    page.wait_for_selector("#stand:visible")
    assert not page.is_visible("#key-form")
    assert all("401" in fault for fault in watched.faults)
    watched.faults.clear()
