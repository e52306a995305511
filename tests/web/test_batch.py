"""`POST /v1/lines/batch`: one bad item never spoils the rest."""

from __future__ import annotations

import json
from typing import Any

from flask.testing import FlaskClient
from leaveline.web.batch import MAX_ITEMS, MAX_LINES, MAX_SEARCHES
from leaveline.web.line_schemas import LinesRequestSchema
from leaveline.web.views import dump_json

from tests.web.test_document import conforms
from tests.web.test_errors import problem

ITEMS: list[dict[str, Any]] = [
    {"id": "first", "leave": "3-10"},
    {"id": "bad", "leave": "3-3"},
    {"leave": "10", "bowler": {"hand": "left"}},
    {"id": 7, "leave": "10"},
    {"id": "odd", "leave": "10", "colour": 1},
]


def test_each_item_is_answered_or_refused_in_order(client: FlaskClient) -> None:
    body = client.post("/v1/lines/batch", json={"items": ITEMS}).json
    conforms("BatchAnswer", body)
    assert body is not None
    assert [result["index"] for result in body["results"]] == list(range(5))
    assert [result["id"] for result in body["results"]] == ["first", "bad", "2", None, "odd"]
    assert ["result" in result for result in body["results"]] == [True, False, True, False, False]
    assert (body["succeeded_count"], body["failed_count"]) == (2, 3)
    fault = body["results"][1]["problem"]["errors"][0]
    assert (fault["pointer"], fault["code"]) == ("#/items/1/leave", "invalid_leave")


def test_an_items_answer_is_that_of_the_single_request(client: FlaskClient) -> None:
    single = client.post("/v1/lines", json={"leave": "3-10"}).json
    batch = client.post("/v1/lines/batch", json={"items": ITEMS}).json
    assert batch is not None
    assert batch["results"][0]["result"] == single


def test_results_stream_one_a_line_when_asked(client: FlaskClient) -> None:
    whole = client.post("/v1/lines/batch", json={"items": ITEMS}).json
    streamed = client.post(
        "/v1/lines/batch", json={"items": ITEMS}, headers={"Accept": "application/x-ndjson"}
    )
    assert streamed.mimetype == "application/x-ndjson"
    lines = [json.loads(line) for line in streamed.get_data(as_text=True).splitlines()]
    assert whole is not None
    assert lines == whole["results"]


def test_the_answer_is_written_like_every_other(client: FlaskClient) -> None:
    answer = client.post("/v1/lines/batch", json={"items": [*ITEMS, {"id": "ä", "leave": "7"}]})
    assert answer.get_data(as_text=True) == dump_json(answer.json)


def test_the_envelope_is_checked(client: FlaskClient) -> None:
    for body, pointer in (
        ({}, "#/items"),
        ({"items": []}, "#/items"),
        ({"items": [1]}, "#/items/0"),
        ({"items": [{}] * 2001}, "#/items"),
    ):
        faults = problem(client.post("/v1/lines/batch", json=body), 422, "invalid-request")
        assert faults["errors"][0]["pointer"] == pointer


def test_too_much_work_is_refused_up_front(client: FlaskClient) -> None:
    items = [{"leave": "10", "play": "both"}] * 1300
    detail = problem(client.post("/v1/lines/batch", json={"items": items}), 422, "too-much-work")
    assert "2600" in detail["detail"]


def test_too_many_lines_are_refused_up_front(client: FlaskClient) -> None:
    """A small body may ask for a large answer: `limit` counts, for each play and option."""
    item = {"leave": "10", "limit": 8, "play": "both"}
    for items, lines in (
        ([item] * 469, 7504),
        ([item] * 468 + [{"leave": "10", "limit": 8.0}] * 2, 7504),
        ([item] * 468 + [{"leave": "10", "balls": [{}] * 10}], 7501),
    ):
        refused = client.post("/v1/lines/batch", json={"items": items})
        assert f"{lines} lines" in problem(refused, 422, "too-much-work")["detail"]
    unreadable = [item | {"leave": "x"}] * 468 + [item | {"limit": 10**9}, {"limit": "all"}]
    answered = client.post("/v1/lines/batch", json={"items": unreadable})
    assert (answered.status_code, answered.json["failed_count"]) == (200, 470)  # type: ignore[index]


def test_the_longest_batches_of_usual_items_are_not_refused() -> None:
    usual = LinesRequestSchema().load({"leave": "10"}).limit
    assert MAX_ITEMS * usual <= MAX_SEARCHES * usual <= MAX_LINES


def test_limits_are_published(client: FlaskClient) -> None:
    body = client.get("/v1/limits").json
    conforms("LimitsAnswer", body)
    assert body is not None
    assert (body["batch_items"], body["batch_lines"]) == (2000, 7500)


def test_balls_are_compared_best_first(client: FlaskClient) -> None:
    """Common practice: at a corner pin a straight polyester ball beats a hooking one."""
    body = {
        "leave": "10",
        "bowler": {"level": "scratch", "release": {"rev_rate_rpm": 325, "axis_rotation_deg": 50}},
        "lane": {"oil": {"length_ft": 40, "ratio": 2}},
        "balls": [{"cover": "reactive_solid"}, {"cover": "polyester"}],
    }
    answer = client.post("/v1/lines", json=body).json
    conforms("LinesAnswer", answer)
    assert answer is not None
    best, other = answer["comparison"]
    assert (best["index"], other["index"]) == (1, 0)
    assert best["behind_best"] == 0
    assert other["behind_best"] > 2 * other["behind_best_standard_error"] > 0


def test_balls_and_releases_are_not_compared_at_once(client: FlaskClient) -> None:
    body = {"leave": "10", "balls": [{}, {}], "releases": [{}, {}]}
    faults = problem(client.post("/v1/lines", json=body), 422, "invalid-request")["errors"]
    assert (faults[0]["pointer"], faults[0]["code"]) == ("#/releases", "inconsistent")


def test_sensitivity_is_given_when_asked_for(client: FlaskClient) -> None:
    body = {"leave": "10", "lane": {"oil": {"length_ft": 40}}, "sensitivity": True}
    answer = client.post("/v1/lines", json=body).json
    conforms("LinesAnswer", answer)
    assert answer is not None
    assert len(answer["sensitivity"]) == 5
    plain = client.post("/v1/lines", json={"leave": "10"}).json
    assert plain is not None
    assert plain["sensitivity"] == []
