"""Pictures over HTTP: which one, of which line, and what they are sent with."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from typing import Any

import pytest
from flask.testing import FlaskClient

from tests.web.test_errors import problem

BODY: dict[str, Any] = {
    "leave": "3-10",
    "bowler": {
        "hand": "left",
        "spread": {"target_boards": 0.9},
        "ball": {"cover": "reactive_solid", "weight_lb": 14},
        "release": {"speed_mph": 17, "rev_rate_rpm": 300, "axis_rotation_deg": 45},
    },
    "lane": {"oil": {"length_ft": 42, "ratio": 5}},
    "play": "both",
    "limit": 2,
}
ACCEPT = {"Accept": "image/svg+xml"}


def parts(root: ET.Element) -> set[str | None]:
    return {node.get("data-part") for node in root.iter()} - {None}


def test_each_line_of_a_posted_answer_is_drawn(client: FlaskClient) -> None:
    lines = client.post("/v1/lines", json=BODY).json["lines"]  # type: ignore[index]
    assert len(lines) >= 3
    for index, line in enumerate(lines):
        reply = client.post(f"/v1/lines?line={index}", json=BODY, headers=ACCEPT)
        root = ET.fromstring(reply.get_data(as_text=True))
        assert root.get("data-play") == line["play"]
        assert root.get("data-hand") == "left"
        for name in ("stand_board", "lay_down_board", "target_board", "board_at_pins"):
            assert float(root.get(f"data-{name.replace('_', '-')}", "")) == line[name]
        assert float(root.get("data-entry-angle-deg", "")) == line["entry_angle_deg"]
        assert float(root.get("data-expected-pins", "")) == line["expected_pins"]
        assert "oil" in parts(root)


def test_the_carry_of_a_posted_answer(client: FlaskClient) -> None:
    reply = client.post("/v1/lines?kind=carry", json=BODY, headers=ACCEPT)
    root = ET.fromstring(reply.get_data(as_text=True))
    assert (root.get("data-kind"), root.get("data-hand")) == ("carry", "left")
    lines = client.post("/v1/lines", json=BODY).json["lines"]  # type: ignore[index]
    marked = [node for node in root.iter() if node.get("data-part") == "line"]
    assert sorted(float(node.get("data-board", "")) for node in marked) == sorted(
        line["board_at_pins"] for line in lines if line["play"] == "spare"
    )


def test_oil_is_drawn_where_it_is_known(client: FlaskClient) -> None:
    for query, known in (("", False), ("?oil_length_ft=38", True)):
        reply = client.get(f"/v1/pictures/10.svg{query}")
        assert ("oil" in parts(ET.fromstring(reply.get_data(as_text=True)))) == known


@pytest.mark.parametrize(
    ("query", "pointer"),
    [("kind=map", "query/kind"), ("line=1.5", "query/line"), ("line=-1", "query/line"),
     ("line=16", "query/line"), ("colour=red", "query/colour"), ("hand=both", "query/hand")],
)  # fmt: skip
def test_no_such_picture(client: FlaskClient, query: str, pointer: str) -> None:
    faults = problem(client.get(f"/v1/pictures/10.svg?{query}"), 422, "invalid-request")["errors"]
    assert [fault["pointer"] for fault in faults] == [pointer]
    if not query.startswith("hand"):
        posted = client.post(f"/v1/lines?{query}", json={"leave": "10"}, headers=ACCEPT)
        problem(posted, 422, "invalid-request")


def test_a_choice_of_picture_means_nothing_to_json(client: FlaskClient) -> None:
    asked = {"leave": "3-10", "limit": 1}
    plain = client.post("/v1/lines", json=asked)
    chosen = client.post("/v1/lines?kind=carry&line=5", json=asked)
    assert chosen.get_data() == plain.get_data()
    # But what no picture has is refused whatever form is accepted.
    for query in ("kind=map", "line=16", "line=a", "colour=red", "line=0&line=1"):
        faults = problem(client.post(f"/v1/lines?{query}", json=asked), 422, "invalid-request")
        assert [fault["pointer"] for fault in faults["errors"]] == [f"query/{query.split('=')[0]}"]


def test_no_such_leave(client: FlaskClient) -> None:
    problem(client.get("/v1/pictures/11.svg"), 422, "invalid-request")
    problem(client.get("/v1/pictures/1-1.svg"), 422, "invalid-request")
    problem(client.get("/v1/pictures/1-2-10.png"), 404, "not-found")


def test_a_picture_may_do_nothing(client: FlaskClient) -> None:
    for reply in (
        client.get("/v1/pictures/10.svg"),
        client.post("/v1/lines", json=BODY, headers=ACCEPT),
    ):
        assert reply.mimetype == "image/svg+xml"
        assert reply.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
        assert reply.headers["X-Content-Type-Options"] == "nosniff"
    assert "max-age" in client.get("/v1/pictures/10.svg").headers["Cache-Control"]


def test_a_bad_body_is_still_a_problem(client: FlaskClient) -> None:
    reply = client.post("/v1/lines", json={"leave": "11"}, headers=ACCEPT)
    problem(reply, 422, "invalid-request")
