"""Pictures and the kiosk page as served: they carry the numbers of the answer they draw."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest
from flask.testing import FlaskClient

from tests.web.test_errors import problem

SVG = "{http://www.w3.org/2000/svg}"
QUERIES = ["", "?hand=left", "?level=tour&oil_length_ft=40", "?line=1"]


@pytest.mark.parametrize("query", QUERIES)
@pytest.mark.parametrize("leave", ["10", "1-2-10", "3-6-7-10", "7-10"])
def test_a_picture_carries_the_numbers_of_its_answer(
    client: FlaskClient, leave: str, query: str
) -> None:
    response = client.get(f"/v1/pictures/{leave}.svg{query}")
    assert response.mimetype == "image/svg+xml"
    picture = ET.fromstring(response.get_data(as_text=True))
    lines = client.get(f"/v1/lines/{leave}{query.replace('?line=1', '')}").json["lines"]  # type: ignore[index]
    line = lines[1 if "line=1" in query else 0]
    assert picture.get("data-leave") == leave
    for name in ("stand_board", "target_board", "board_at_pins", "make_probability"):
        assert float(picture.get(f"data-{name.replace('_', '-')}", "")) == line[name]
    room = line["miss_room"]
    assert float(picture.get("data-room-left-boards", "")) == room["left_boards"]
    assert float(picture.get("data-room-right-boards", "")) == room["right_boards"]
    assert picture.find(f"{SVG}title") is not None
    assert picture.find(f"{SVG}desc") is not None
    drawn = {
        (part.get("data-leave"), float(part.get("data-probability", "")))
        for part in picture.iter()
        if part.get("data-part") == "remainder"
    }
    told = {
        (remainder["leave"], remainder["probability"])
        for side in ("left", "right")
        for remainder in line["if_missed"][side]["remainders"]
    }
    # The unlikeliest may be left out for want of room; none may be made up.
    assert drawn
    assert drawn <= told


def test_the_carry_picture_is_drawn(client: FlaskClient) -> None:
    response = client.get("/v1/pictures/2-4-5-8.svg?kind=carry")
    picture = ET.fromstring(response.get_data(as_text=True))
    assert picture.get("data-kind") == "carry"


def test_same_request_same_picture_and_not_sent_again(client: FlaskClient) -> None:
    first = client.get("/v1/pictures/1-2-10.svg")
    assert client.get("/v1/pictures/1-2-10.svg").get_data() == first.get_data()
    again = client.get("/v1/pictures/1-2-10.svg", headers={"If-None-Match": first.headers["ETag"]})
    assert again.status_code == 304


def test_a_line_that_is_not_there_is_refused(client: FlaskClient) -> None:
    faults = problem(client.get("/v1/pictures/10.svg?line=15"), 422, "invalid-request")["errors"]
    assert faults[0]["pointer"] == "query/line"


def test_the_kiosk_page_is_served_under_a_strict_policy(client: FlaskClient) -> None:
    page = client.get("/kiosk")
    assert page.mimetype == "text/html"
    policy = page.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    text = page.get_data(as_text=True)
    assert "http://" not in text.replace("http://www.w3.org/", "")
    assert "https://" not in text
    assert " style=" not in text
    assert " onclick=" not in text


def test_nothing_else_of_the_folder_is_served(client: FlaskClient) -> None:
    for name in ("index.html", "..%2Fapp.py", "x"):
        problem(client.get(f"/kiosk/{name}"), 404, "not-found")


def test_a_posted_line_is_drawn_for_who_accepts_svg(client: FlaskClient) -> None:
    body = {"leave": "1-2-10", "bowler": {"hand": "left"}}
    drawn = client.post("/v1/lines", json=body, headers={"Accept": "image/svg+xml"})
    assert drawn.mimetype == "image/svg+xml"
    assert drawn.headers["Cache-Control"] == "no-store"
    assert drawn.get_data() == client.get("/v1/pictures/1-2-10.svg?hand=left").get_data()
