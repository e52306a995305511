"""Known lines, lean and reach over HTTP."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

KNOWN = {"leave": "3-6-10", "stand_board": 33, "target_board": 23}


def ask(client: FlaskClient, **body: Any) -> dict[str, Any]:
    response = client.post("/v1/lines", json={"leave": "3-6-9-10", **body})
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.get_json()
    return answer


def test_lines_are_told_as_moves(client: FlaskClient) -> None:
    answer = ask(client, bowler={"level": "scratch", "known_lines": [KNOWN]})
    for line in answer["lines"]:
        (move,) = line["moves"]
        assert move["from_leave"] == "3-6-10"
        assert move["stand_boards"] == pytest.approx(line["stand_board"] - 33)
        assert move["target_boards"] == pytest.approx(line["target_board"] - 23)
        assert move["words"].startswith("From the 3-6-10 line: ")
    assert answer["known"]["offset_shown"] is False
    assert [told["leave"] for told in answer["known"]["lines"]] == ["3-6-10"]


def test_a_lay_down_shows_the_offset(client: FlaskClient) -> None:
    known = [{**KNOWN, "lay_down_board": 27.5}]
    answer = ask(client, bowler={"known_lines": known, "stance": {"drift_boards": 1}})
    assert answer["known"]["offset_shown"] is True
    assert answer["known"]["lay_down_offset_boards"] == pytest.approx(33 + 1 - 27.5)
    line = answer["lines"][0]
    assert line["stand_board"] == pytest.approx(line["lay_down_board"] + 6.5 - 1)


def test_what_is_not_asked_is_empty(client: FlaskClient) -> None:
    answer = ask(client)
    assert answer["known"] is None
    assert answer["reach"] is None
    assert all(line["moves"] == [] for line in answer["lines"])


def test_reach_has_two_ends(client: FlaskClient) -> None:
    answer = ask(client, reach=True, lane={"oil": {"length_ft": 36}})
    best = answer["lines"][0]
    left, right = answer["reach"]["left"], answer["reach"]["right"]
    assert right["lay_down_board"] <= best["lay_down_board"] <= left["lay_down_board"]
    for end in (left, right):
        assert end["make_probability"] >= 0.9 * best["make_probability"] - 1e-6
        assert end["limited_by"] in {"lane", "gutter", "dry_boards", "pins"}


def test_a_lean_moves_the_target_and_the_picture_follows_the_ball(client: FlaskClient) -> None:
    plain, leaning = (ask(client, bowler={"lean_boards": lean}) for lean in (0, 1))
    off = leaning["lines"][0]["target_board"] - plain["lines"][0]["target_board"]
    assert off == pytest.approx(1, abs=0.051)
    assert leaning["lines"][0]["board_at_pins"] == pytest.approx(
        plain["lines"][0]["board_at_pins"], abs=0.25
    )
    pictures = [
        client.post(
            "/v1/lines",
            json={"leave": "3-6-9-10", "bowler": {"lean_boards": lean}},
            headers={"Accept": "image/svg+xml"},
        )
        for lean in (0, 1)
    ]
    assert all(picture.status_code == 200 for picture in pictures)
    assert pictures[0].data != pictures[1].data


def test_advice_allows_for_the_lean(client: FlaskClient) -> None:
    def advice(**bowler: Any) -> dict[str, Any]:
        body = {"leave": "3-10", "bowler": bowler, "situation": {"kind": "score"}}
        answer: dict[str, Any] = client.post("/v1/advice", json=body).get_json()
        return answer

    plain, leaning = advice(), advice(lean_boards=-1)
    targets = [one["plays"]["spare"]["line"]["target_board"] for one in (plain, leaning)]
    assert targets[1] - targets[0] == pytest.approx(-1, abs=0.051)


def test_advice_gives_the_line_that_is_told_as_moves(client: FlaskClient) -> None:
    bowler = {"level": "scratch", "known_lines": [KNOWN]}
    body = {"leave": "3-6-9-10", "bowler": bowler, "situation": {"kind": "score"}}
    advised = client.post("/v1/advice", json=body).get_json()["plays"]["spare"]["line"]
    line = ask(client, bowler=bowler)["lines"][0]
    assert {**advised, "moves": line["moves"]} == line


@pytest.mark.parametrize(
    ("bowler", "pointer"),
    [
        ({"lean_boards": 1, "known_lines": [KNOWN]}, "#/bowler/lean_boards"),
        ({"lean_boards": 7.5}, "#/bowler/lean_boards"),
        ({"known_lines": []}, "#/bowler/known_lines"),
        ({"known_lines": [KNOWN] * 13}, "#/bowler/known_lines"),
        ({"known_lines": [{**KNOWN, "stand_board": 61}]}, "#/bowler/known_lines/0/stand_board"),
        ({"known_lines": [{**KNOWN, "target_board": 0}]}, "#/bowler/known_lines/0/target_board"),
        ({"known_lines": [{**KNOWN, "leave": "3-3"}]}, "#/bowler/known_lines/0/leave"),
        ({"known_lines": [{"leave": "10"}]}, "#/bowler/known_lines/0/stand_board"),
        (
            {"known_lines": [KNOWN, {**KNOWN, "lay_down_board": 39}]},
            "#/bowler/known_lines/1/lay_down_board",
        ),
    ],
)
def test_bad_known_lines_are_named(
    client: FlaskClient, bowler: dict[str, Any], pointer: str
) -> None:
    response = client.post("/v1/lines", json={"leave": "10", "bowler": bowler})
    assert response.status_code == 422
    assert pointer in [fault["pointer"] for fault in response.get_json()["errors"]]


@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("/v1/accuracy", {"results": [{"leave": "10", "attempts": 20, "made": 11}]}),
        ("/v1/reviews", {"rows": [{"game": "1", "frame": 1, "rolls": "9/"}]}),
        ("/v1/comparisons", {}),
    ],
)
@pytest.mark.parametrize("name", ["lean_boards", "known_lines"])
def test_a_lean_is_refused_where_it_is_what_is_asked(
    client: FlaskClient, path: str, body: dict[str, Any], name: str
) -> None:
    given = 1 if name == "lean_boards" else [KNOWN]
    response = client.post(path, json={**body, "bowler": {name: given}})
    assert response.status_code == 422
    assert f"#/bowler/{name}" in [fault["pointer"] for fault in response.get_json()["errors"]]
