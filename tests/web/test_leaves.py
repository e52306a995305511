"""`GET /v1/leaves` and `GET /v1/leaves/{leave}`."""

from __future__ import annotations

import pytest
from flask.testing import FlaskClient
from leaveline.pins import ALL_LEAVES, Leave
from leaveline.pins.makeable import facts_of, work_out


def test_all_leaves_and_each_category_add_up(client: FlaskClient) -> None:
    everything = client.get("/v1/leaves").json
    assert everything is not None
    assert everything["count"] == len(everything["items"]) == 1023
    parts = {
        kind: client.get(f"/v1/leaves?category={kind}").json
        for kind in ("single_pin", "multi_pin", "split", "washout")
    }
    assert parts["split"]["count"] == 459  # type: ignore[index]
    assert sum(part["count"] for part in parts.values()) == 1023  # type: ignore[index]
    for kind, part in parts.items():
        assert {item["category"] for item in part["items"]} == {kind}  # type: ignore[index]


def test_one_leave(client: FlaskClient) -> None:
    body = client.get("/v1/leaves/4-6-7-10").json
    assert body is not None
    assert body["leave"] == "4-6-7-10"
    assert body["category"] == "split"
    assert body["is_split"]
    assert not body["is_washout"]
    assert body["trade_names"] == ["big four"]
    assert body["mirror"] == "4-6-7-10"
    assert {tuple(gap["pins"]) for gap in body["gaps"]} == {(4, 6), (7, 10)}


def test_pins_in_any_order_in_the_path(client: FlaskClient) -> None:
    assert client.get("/v1/leaves/10-3").json == client.get("/v1/leaves/3-10").json


def test_unchanged_answers_are_not_sent_again(client: FlaskClient) -> None:
    first = client.get("/v1/leaves/3-10")
    assert "max-age" in first.headers["Cache-Control"]
    again = client.get("/v1/leaves/3-10", headers={"If-None-Match": first.headers["ETag"]})
    assert again.status_code == 304
    assert again.get_data() == b""


@pytest.mark.parametrize("leave", ALL_LEAVES[::97])
def test_kept_facts_are_what_the_model_says(leave: Leave) -> None:
    assert work_out(leave) == facts_of(leave)


def test_facts_agree_for_mirror_images() -> None:
    for leave in ALL_LEAVES:
        assert facts_of(leave) == facts_of(leave.mirror)


def test_a_single_pin_is_sure_and_the_ball_does_it_alone() -> None:
    for pin in range(1, 11):
        facts = facts_of(Leave.of([pin]))
        assert facts.best_make_probability > 0.99
        assert facts.ball_alone


@pytest.mark.parametrize("text", ["7-10", "4-6", "8-10", "5-7"])
def test_wide_splits_need_a_pin_sent(text: str) -> None:
    """The ball is narrower than these gaps are wide: geometry."""
    assert not facts_of(Leave.parse(text)).ball_alone
