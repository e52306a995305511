"""Every way a request can be wrong, and what the service says to it.

The contract: RFC 9457 problem details for every 4xx and 5xx, each fault with a pointer, a code and
a sentence that names the allowed range; nothing is converted or clamped.
"""

from __future__ import annotations

import json
from typing import Any

import pytest
from flask.testing import FlaskClient
from leaveline.web.app import create_app
from leaveline.web.settings import Settings
from werkzeug.test import TestResponse

GOOD: dict[str, Any] = {"leave": "3-10"}


def post(client: FlaskClient, body: Any) -> TestResponse:
    return client.post("/v1/lines", json=body)


def problem(response: TestResponse, status: int, kind: str) -> dict[str, Any]:
    assert response.status_code == status, response.get_data(as_text=True)
    assert response.mimetype == "application/problem+json"
    body: dict[str, Any] = json.loads(response.get_data())
    assert body["type"] == f"/problems/{kind}"
    assert body["status"] == status
    assert body["request_id"] == response.headers["X-Request-ID"]
    assert body["title"]
    assert body["detail"]
    return body


INVALID = [
    ({}, "#/leave", "required", "required"),
    ({"leave": ""}, "#/leave", "invalid_leave", "hyphens"),
    ({"leave": "11"}, "#/leave", "invalid_leave", "1 to 10"),
    ({"leave": "0-3"}, "#/leave", "invalid_leave", "1 to 10"),
    ({"leave": "3-3"}, "#/leave", "invalid_leave", "twice"),
    ({"leave": []}, "#/leave", "invalid_leave", "at least one"),
    ({"leave": [3, 3]}, "#/leave", "invalid_leave", "twice"),
    ({"leave": [3.0]}, "#/leave", "wrong_type", "1 to 10"),
    ({"leave": [True]}, "#/leave", "wrong_type", "1 to 10"),
    ({"leave": list(range(1, 12))}, "#/leave", "wrong_type", "at most 10"),
    ({"leave": None}, "#/leave", "wrong_type", "null"),
    ({"leave": 3}, "#/leave", "wrong_type", "3-6-9-10"),
    ({**GOOD, "colour": 1}, "#/colour", "unknown_field", "not known"),
    ({**GOOD, "a/b~c": 1}, "#/a~1b~0c", "unknown_field", "not known"),
    ({**GOOD, "play": "win"}, "#/play", "not_one_of", "spare, count, both"),
    ({**GOOD, "play": 1}, "#/play", "not_one_of", "spare"),
    ({**GOOD, "limit": 0}, "#/limit", "out_of_range", "from 1 to 8"),
    ({**GOOD, "limit": 2.5}, "#/limit", "wrong_type", "whole number from 1 to 8"),
    ({**GOOD, "limit": "2"}, "#/limit", "wrong_type", "whole number"),
    ({**GOOD, "limit": True}, "#/limit", "wrong_type", "whole number"),
    ({**GOOD, "seed": -1}, "#/seed", "out_of_range", "from 0"),
    ({**GOOD, "seed": 2**53}, "#/seed", "out_of_range", "from 0"),
    ({**GOOD, "bowler": []}, "#/bowler", "wrong_type", "object"),
    ({**GOOD, "bowler": {"hand": "both"}}, "#/bowler/hand", "not_one_of", "right, left"),
    ({**GOOD, "bowler": {"level": "pro"}}, "#/bowler/level", "not_one_of", "tour, scratch"),
    ({**GOOD, "bowler": {"spread": {"target_boards": -0.1}}},
     "#/bowler/spread/target_boards", "out_of_range", "from 0 to 8"),
    ({**GOOD, "bowler": {"spread": {"target_boards": "1"}}},
     "#/bowler/spread/target_boards", "wrong_type", "number from 0 to 8"),
    ({**GOOD, "bowler": {"spread": {"target_boards": False}}},
     "#/bowler/spread/target_boards", "wrong_type", "number"),
    ({**GOOD, "bowler": {"release": {"speed_mph": 60}}},
     "#/bowler/release/speed_mph", "out_of_range", "from 8 to 28"),
    ({**GOOD, "bowler": {"ball": {"weight_lb": 17}}},
     "#/bowler/ball/weight_lb", "out_of_range", "from 6 to 16"),
    ({**GOOD, "bowler": {"stance": {"drift_boards": 50}}},
     "#/bowler/stance/drift_boards", "out_of_range", "from -12 to 12"),
    ([], "#", "wrong_type", "object"),
    ("3-10", "#", "wrong_type", "object"),
]  # fmt: skip


@pytest.mark.parametrize(("body", "pointer", "code", "says"), INVALID)
def test_invalid_input_names_field_and_range(
    client: FlaskClient, body: Any, pointer: str, code: str, says: str
) -> None:
    faults = problem(post(client, body), 422, "invalid-request")["errors"]
    fault = next(fault for fault in faults if fault["pointer"] == pointer)
    assert fault["code"] == code
    assert says in fault["detail"]


def test_every_fault_is_listed(client: FlaskClient) -> None:
    body = {"leave": "x", "limit": 99, "bowler": {"hand": "no", "spread": {"speed_mph": 9}}}
    faults = problem(post(client, body), 422, "invalid-request")["errors"]
    assert {fault["pointer"] for fault in faults} == {
        "#/leave", "#/limit", "#/bowler/hand", "#/bowler/spread/speed_mph",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "not JSON"),
        (b"{", "not JSON"),
        (b'{"leave": "3-10",}', "not JSON"),
        (b'{"leave": NaN}', "NaN"),
        (b'{"limit": Infinity}', "Infinity"),
        (b'{"limit": -Infinity}', "-Infinity"),
        (b'{"leave": "3-10", "leave": "7"}', "twice"),
        (b'\xff{"leave": "3-10"}', "UTF-8"),
        (b"[" * 100_000, "nested deeper"),
        (b'{"a":' * 50_000, "nested deeper"),
        (b'{"limit": ' + b"9" * 400 + b"}", "too long"),
    ],
)
def test_unreadable_bodies_are_400(client: FlaskClient, data: bytes, says: str) -> None:
    response = client.post("/v1/lines", data=data, content_type="application/json")
    assert says in problem(response, 400, "unreadable-body")["detail"]


def test_brackets_inside_text_do_not_count_as_nesting(client: FlaskClient) -> None:
    problem(post(client, {"leave": "[" * 40 + '\\"{'}), 422, "invalid-request")


def test_overflowing_number_is_refused(client: FlaskClient) -> None:
    data = b'{"leave": "3-10", "bowler": {"spread": {"target_boards": 1e999}}}'
    response = client.post("/v1/lines", data=data, content_type="application/json")
    assert problem(response, 422, "invalid-request")["errors"][0]["code"] == "out_of_range"


def test_wrong_content_type_is_415(client: FlaskClient) -> None:
    response = client.post("/v1/lines", data=b"{}", content_type="text/plain")
    problem(response, 415, "unsupported-media-type")


def test_large_body_is_413(client: FlaskClient) -> None:
    body = json.dumps({"leave": "3-10", "x": "y" * 1_100_000})
    problem(
        client.post("/v1/lines", data=body, content_type="application/json"),
        413, "body-too-large",
    )  # fmt: skip


def test_unknown_address_is_404(client: FlaskClient) -> None:
    problem(client.get("/v1/nothing"), 404, "not-found")


def test_wrong_method_is_405_and_says_which(client: FlaskClient) -> None:
    response = client.delete("/v1/lines")
    problem(response, 405, "method-not-allowed")
    assert "POST" in response.headers["Allow"]


@pytest.mark.parametrize("path", ["/v1/leaves/11", "/v1/leaves/3--10", "/v1/lines/x"])
def test_bad_leave_in_a_path(client: FlaskClient, path: str) -> None:
    faults = problem(client.get(path), 422, "invalid-request")["errors"]
    assert faults[0]["pointer"] == "leave"


@pytest.mark.parametrize(
    ("query", "pointer", "code"),
    [
        ("category=good", "query/category", "not_one_of"),
        ("kategory=split", "query/kategory", "unknown_field"),
        ("category=split&category=washout", "query/category", "duplicate"),
    ],
)
def test_bad_query_parameters(client: FlaskClient, query: str, pointer: str, code: str) -> None:
    faults = problem(client.get(f"/v1/leaves?{query}"), 422, "invalid-request")["errors"]
    assert (faults[0]["pointer"], faults[0]["code"]) == (pointer, code)


def test_request_id_is_kept_when_sane_and_replaced_when_not(client: FlaskClient) -> None:
    kept = client.get("/healthz", headers={"X-Request-ID": "abc-1.2_3"})
    assert kept.headers["X-Request-ID"] == "abc-1.2_3"
    for odd in ("x" * 65, "a b", "<script>", ""):
        replaced = client.get("/healthz", headers={"X-Request-ID": odd})
        assert replaced.headers["X-Request-ID"] not in {odd, ""}


def test_an_unforeseen_error_shows_no_trace() -> None:
    app = create_app(Settings())

    @app.get("/broken")
    def broken() -> str:
        raise RuntimeError("secret detail")

    response = app.test_client().get("/broken")
    problem(response, 500, "internal-error")
    assert b"secret" not in response.get_data()
    assert b"Traceback" not in response.get_data()


ROLLING = [
    ({"lane": {"oil": {"length_ft": 10}}}, "#/lane/oil/length_ft", "out_of_range"),
    ({"lane": {"oil": {"length_ft": 40, "ratio": 0.5}}}, "#/lane/oil/ratio", "out_of_range"),
    ({"lane": {"oil": {"ratio": 3}}}, "#/lane/oil", "inconsistent"),
    ({"lane": {"oil": {"zones": []}}}, "#/lane/oil/zones", "out_of_range"),
    ({"lane": {"surface": "ice"}}, "#/lane/surface", "not_one_of"),
    ({"bowler": {"ball": {"cover": "rubber"}}}, "#/bowler/ball/cover", "not_one_of"),
    ({"bowler": {"release": {"rev_rate_rpm": 900}}}, "#/bowler/release/rev_rate_rpm",
     "out_of_range"),
    ({"bowler": {"release": {"hook_boards": 1}}, "lane": {}}, "#/bowler/release/hook_boards",
     "inconsistent"),
]  # fmt: skip


@pytest.mark.parametrize(("extra", "pointer", "code"), ROLLING)
def test_lane_ball_and_release_are_checked(
    client: FlaskClient, extra: dict[str, Any], pointer: str, code: str
) -> None:
    faults = problem(post(client, {**GOOD, **extra}), 422, "invalid-request")["errors"]
    assert (pointer, code) in {(fault["pointer"], fault["code"]) for fault in faults}


def test_a_zone_that_ends_before_it_starts_is_refused(client: FlaskClient) -> None:
    zone = {"board_from": 9, "board_to": 3, "feet_from": 0, "feet_to": 40, "amount": 1}
    body = {**GOOD, "lane": {"oil": {"zones": [zone]}}}
    faults = problem(post(client, body), 422, "invalid-request")["errors"]
    assert faults[0]["pointer"].startswith("#/lane/oil/zones/0")
    assert "board_to" in faults[0]["detail"]
