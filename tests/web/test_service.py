"""Keys, and sameness of answers."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from flask.testing import FlaskClient
from leaveline.web import create_app
from leaveline.web.settings import Settings

from tests.web.test_errors import problem

KEY = "a-key-of-enough-length"
OLD_KEY = "an-older-key-still-valid"


@pytest.fixture
def keyed() -> FlaskClient:
    return create_app(Settings(api_keys=(KEY, OLD_KEY))).test_client()


@pytest.mark.parametrize("header", ["", KEY, f"Basic {KEY}", "Bearer wrong", f"Bearer {KEY}x"])
def test_a_valid_key_is_asked_for(keyed: FlaskClient, header: str) -> None:
    response = keyed.get("/v1/leaves/10", headers={"Authorization": header} if header else {})
    problem(response, 401, "unauthorized")
    assert response.headers["WWW-Authenticate"] == "Bearer"


@pytest.mark.parametrize("key", [KEY, OLD_KEY])
def test_every_valid_key_opens(keyed: FlaskClient, key: str) -> None:
    response = keyed.get("/v1/leaves/10", headers={"Authorization": f"Bearer {key}"})
    assert response.status_code == 200


def test_probes_need_no_key(keyed: FlaskClient) -> None:
    for path in ("/healthz", "/readyz", "/metrics", "/openapi.json", "/kiosk"):
        assert keyed.get(path).status_code == 200


def test_a_service_that_cannot_solve_is_not_ready_by_its_status(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    ready = client.get("/readyz")
    assert (ready.status_code, ready.json) == (200, {"status": "ok"})
    hopeless = SimpleNamespace(make_probability=0.0)
    monkeypatch.setattr("leaveline.web.health.solve", lambda *_, **__: [hopeless])
    failed = client.get("/readyz")
    assert (failed.status_code, failed.json) == (503, {"status": "failed"})
    assert failed.headers["Cache-Control"] == "no-store"


@pytest.mark.parametrize("path", ["/v1//leaves/10", "//v1/leaves/10", "/v1/leaves//10"])
def test_a_doubled_slash_is_another_address(client: FlaskClient, path: str) -> None:
    response = client.get(path)
    problem(response, 404, "not-found")
    assert "Location" not in response.headers


def test_same_request_same_bytes_also_from_another_worker(client: FlaskClient) -> None:
    body = {"leave": "3-6-7-10", "play": "both", "bowler": {"hand": "left", "level": "tour"}}
    first = client.post("/v1/lines", json=body)
    other = create_app(Settings()).test_client().post("/v1/lines", json=body)
    assert first.get_data() == other.get_data()
    assert first.headers["Cache-Control"] == "no-store"


def test_leave_as_text_or_list_is_the_same_request(client: FlaskClient) -> None:
    text = client.post("/v1/lines", json={"leave": "3-10"}).get_data()
    assert client.post("/v1/lines", json={"leave": [10, 3]}).get_data() == text


def test_oil_length_bends_the_line_of_the_short_form(client: FlaskClient) -> None:
    straight = client.get("/v1/lines/10").json
    oiled = client.get("/v1/lines/10?oil_length_ft=38").json
    assert straight is not None
    assert oiled is not None
    assert oiled["lines"][0]["board_at_pins"] != straight["lines"][0]["board_at_pins"]
