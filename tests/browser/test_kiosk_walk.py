"""The kiosk walked through as people at the counter walk through it."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from tests.browser.conftest import SIZES, Watched
from tests.browser.steps import (
    answer,
    check_accessible,
    drawn,
    expected,
    settled,
    shown,
    tap,
    tap_pins,
)

expect = pytest.importorskip("playwright.sync_api", reason="playwright is not installed").expect

Watch = Callable[..., Watched]
WASHOUT = (1, 2, 10)
LEAST_TARGET_PX = 44  # WCAG 2.2, 2.5.5 (enhanced): targets at least 44 by 44 CSS pixels


@pytest.mark.parametrize("size", SIZES)
def test_a_washout_for_either_hand(watch: Watch, origin: str, size: str) -> None:
    page = watch(size).open()
    check_accessible(page)
    tap_pins(page, *WASHOUT)
    line = answer(origin, "1-2-10", hand="right", level="league")["lines"][0]
    assert shown(page) == expected(line)
    assert page.inner_text("#words").replace("\xa0", " ") == line["words"]
    assert f'data-target-board="{line["target_board"]}"' in drawn(page, "lane")
    check_accessible(page)

    tap(page, "label[for=hand-left]")
    settled(page)
    left = answer(origin, "1-2-10", hand="left", level="league")["lines"][0]
    expect(page.locator("#words")).to_have_text(left["words"])
    tap(page, "#mirror")
    expect(page.locator("#leave")).to_have_text("1-3-7")
    settled(page)
    # The mirrored leave for the other hand: the very same numbers, drawn on the other side.
    assert shown(page) == expected(line)
    assert 'data-hand="left"' in drawn(page, "lane")

    tap(page, "#tab-carry")
    page.wait_for_selector("#carry[src]")
    assert 'data-kind="carry"' in drawn(page, "carry")
    check_accessible(page)
    wide = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    assert wide[0] <= wide[1]


@pytest.mark.parametrize("size", SIZES)
def test_targets_are_large(watch: Watch, size: str) -> None:
    page = watch(size).open()
    tap_pins(page, *WASHOUT)
    if page.get_attribute("#more", "open") is None:
        tap(page, "#more > summary")
    tap(page, "label[for=level-own]")
    settled(page)
    small = page.evaluate(
        """least => [...document.querySelectorAll("button, select, input, summary, .choices label")]
        .filter(e => e.checkVisibility() && !e.matches(".choices input"))
        .map(e => [e.outerHTML.slice(0, 80), e.getBoundingClientRect()])
        .filter(([, box]) => Math.min(box.width, box.height) < least)
        .map(([html, box]) => `${html} ${box.width} x ${box.height}`)""",
        LEAST_TARGET_PX,
    )
    assert small == []


def test_the_two_numbers_stay_in_sight_on_a_phone(watch: Watch) -> None:
    page = watch("phone").open()
    assert not page.is_visible("#glance")
    tap_pins(page, *WASHOUT)
    page.wait_for_selector("#glance:visible")
    assert all(number in page.inner_text("#glance") for number in shown(page))
    tap(page, "#glance")
    page.wait_for_selector("#glance", state="hidden")
    top, bottom = page.evaluate(
        "(() => { const box = document.getElementById('figures').getBoundingClientRect();"
        " return [box.top, box.bottom]; })()"
    )
    assert 0 <= top < bottom <= SIZES["phone"]["viewport"]["height"]


def test_a_counter_shows_line_and_picture_without_scrolling(watch: Watch) -> None:
    page = watch("counter").open()
    tap_pins(page, *WASHOUT)
    drawn(page, "lane")
    for one in ("#pins", "#figures", "#words", "#if-missed", "#others", "#lane", "#print"):
        box = page.locator(one).bounding_box()
        assert box["y"] >= 0, one
        assert box["y"] + box["height"] <= SIZES["counter"]["viewport"]["height"], one


def test_another_line_and_own_numbers(watch: Watch, origin: str) -> None:
    page = watch().open()
    tap_pins(page, 3, 10)
    lines = answer(origin, "3-10", hand="right", level="league")["lines"]
    page.click("#others button:nth-child(2)")
    settled(page)
    assert shown(page) == expected(lines[1])
    assert f'data-stand-board="{lines[1]["stand_board"]}"' in drawn(page, "lane")
    makes = page.inner_text("#makes")
    page.click("label[for=level-own]")
    page.fill("[name='bowler.spread.target_boards']", "0.5")
    expect(page.locator("#makes")).not_to_have_text(makes)
    settled(page)
    percents = [float(re.sub(r"[^\d.]", "", text)) for text in (makes, page.inner_text("#makes"))]
    assert percents[1] > percents[0]  # a steadier hand makes more of them
    check_accessible(page)


def test_nothing_is_called_certain(watch: Watch) -> None:
    page = watch().open()
    tap_pins(page, 5)
    page.click("label[for=level-own]")
    page.fill("[name='bowler.spread.target_boards']", "0.05")
    expect(page.locator("#makes")).to_have_text(re.compile(r"99\.\d\s%"))
    settled(page)
    said = page.inner_text("#makes").replace("\u00a0", " ").strip()
    expect(page.locator("#words")).to_contain_text(f"it makes {said}")
    assert f"makes {said}" in drawn(page, "lane")


def test_the_house_sets_what_the_page_begins_with(watch: Watch) -> None:
    page = watch().open("?hand=left&level=scratch&oil_ft=42")
    assert page.inner_text("#setup") == "Left hand. Scratch. Spare ball, straight. 42 ft of oil."
    page = watch().open("?hand=both&level=best&oil_ft=999")
    usual = "Right hand. League. Spare ball, straight. Oil not known."
    assert page.inner_text("#setup") == usual


def test_a_number_out_of_range_is_said(watch: Watch) -> None:
    page = watch().open()
    tap_pins(page, 10)
    page.click("label[for=level-own]")
    page.fill("[name='bowler.spread.target_boards']", "99")
    page.wait_for_selector("#refused:visible")
    assert "8" in page.inner_text("#refused")
    page.fill("[name='bowler.spread.target_boards']", "1")
    page.wait_for_selector("#refused", state="hidden")


@pytest.mark.parametrize("size", SIZES)
def test_two_balls_side_by_side(watch: Watch, size: str) -> None:
    page = watch(size).open("?level=scratch&oil_ft=42")
    tap_pins(page, 10)
    tap(page, "#tab-balls")
    page.wait_for_selector("#verdict:not(:empty)")
    outputs = page.locator("#view-balls output")
    assert [outputs.nth(i).inner_text().count("%") for i in (0, 1)] == [1, 1]
    before = outputs.nth(1).inner_text()
    page.select_option(".one-ball[data-ball=b] select", "urethane")
    expect(outputs.nth(1)).not_to_have_text(before, use_inner_text=True)
    boxes = [outputs.nth(i).bounding_box() for i in (0, 1)]
    assert boxes[0]["y"] == boxes[1]["y"]
    assert boxes[0]["x"] < boxes[1]["x"]
    check_accessible(page)


def test_count_or_spare(watch: Watch) -> None:
    watched = watch()
    page = watched.open()
    tap_pins(page, 4, 6, 7, 10)
    page.click("#tab-count")
    page.click("label[for=kind-match]")
    page.fill("#own-rolls", "X 9/ 6")
    page.fill("#opponent-rolls", "X X 9/")
    check_accessible(page)
    page.click("#situation button.main")
    page.wait_for_selector("#advice .pair")
    assert "Wins" in page.inner_text("#advice")
    # A play is marked as the better one only where the words call it so.
    is_close = "too close to call" in page.inner_text("#advice")
    assert page.locator("#advice .better").count() == (0 if is_close else 1)
    page.click("label[for=kind-cut]")
    page.click("#situation button.main")
    page.wait_for_selector("#advice .pair")
    assert "cut" in page.inner_text("#advice")
    check_accessible(page)
    page.fill("#own-rolls", "X 9/ 7")
    with page.expect_response("**/v1/advice") as reply:
        page.click("#situation button.main")
    assert reply.value.status == 422
    page.wait_for_selector("#refused:visible")
    assert "leave 3 pins standing" in page.inner_text("#refused")
    assert all("422" in fault for fault in watched.faults)
    watched.faults.clear()


def test_the_card_prints_on_one_page(watch: Watch, origin: str) -> None:
    page = watch().open()
    tap_pins(page, 2, 4, 5, 8)
    drawn(page, "lane")
    page.evaluate("window.print = () => { document.body.dataset.printed = 'yes'; }")
    page.click("#print")
    assert page.get_attribute("body", "data-printed") == "yes"
    page.emulate_media(media="print")
    line = answer(origin, "2-4-5-8", hand="right", level="league")["lines"][0]
    assert (page.inner_text("#card-stand"), page.inner_text("#card-target")) == expected(line)
    assert not page.is_visible("#pins")
    sizes = page.evaluate(
        "['#card-stand', '#card-words'].map(s => parseFloat(getComputedStyle("
        "document.querySelector(s)).fontSize))"
    )
    assert sizes[0] > 4 * sizes[1]
    for paper in ("A4", "Letter"):
        pdf = page.pdf(format=paper)
        assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == 1


def test_the_keyboard_alone(watch: Watch, origin: str) -> None:
    page = watch().open()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.ariaLabel") == "1 pin"
    page.keyboard.press("Space")
    for key in "20":
        page.keyboard.press(key)
    settled(page)
    assert shown(page) == expected(
        answer(origin, "1-2-10", hand="right", level="league")["lines"][0]
    )
    while page.evaluate("document.activeElement.id") != "hand-right":
        page.keyboard.press("Tab")
    page.keyboard.press("ArrowLeft")
    left = answer(origin, "1-2-10", hand="left", level="league")["lines"][0]
    expect(page.locator("#words")).to_have_text(left["words"])
    for _ in range(40):
        if page.evaluate("document.activeElement.id") == "tab-line":
            break
        page.keyboard.press("Tab")
    page.keyboard.press("End")
    assert page.is_visible("#situation")
    page.keyboard.press("ArrowRight")
    assert page.is_visible("#stand")
    ring = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
    assert float(ring.removesuffix("px")) >= 3
    for _ in range(12):
        if page.evaluate("document.activeElement.matches('#others button:nth-child(2)')"):
            break
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.get_attribute("#others button:nth-child(2)", "aria-pressed") == "true"
