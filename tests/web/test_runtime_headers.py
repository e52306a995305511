"""Security headers, CORS, and answers that are kept and given again."""

from __future__ import annotations

import pytest
from flask.testing import FlaskClient
from leaveline.web import create_app
from leaveline.web.kept import OVERHEAD_BYTES, Kept, KeptAnswers
from leaveline.web.settings import Settings
from werkzeug.test import TestResponse

from tests.web.test_errors import problem

KEY = "a-key-of-enough-length"
PAGE = "https://pages.example"
STRICT = "default-src 'none'; frame-ancestors 'none'"


@pytest.fixture
def shared() -> FlaskClient:
    """A service that pages of one origin may ask, with a key."""
    return create_app(Settings(api_keys=(KEY,), cors_origins=(PAGE,))).test_client()


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("GET", "/v1/leaves/10", 200),
        ("GET", "/v1/leaves/11", 422),
        ("GET", "/nowhere", 404),
        ("DELETE", "/v1/lines", 405),
        ("POST", "/v1/lines", 415),
        ("GET", "/healthz", 200),
        ("GET", "/metrics", 200),
        ("OPTIONS", "/v1/lines", 200),
    ],
)
def test_every_answer_is_kept_from_doing_anything_in_a_browser(
    client: FlaskClient, method: str, path: str, status: int
) -> None:
    for _ in range(2):  # the second may be a kept one
        response = client.open(path, method=method)
        assert response.status_code == status
        assert response.headers["X-Content-Type-Options"] == "nosniff"
        assert response.headers["Referrer-Policy"] == "no-referrer"
        assert response.headers["Content-Security-Policy"] == STRICT
        assert response.headers["Cross-Origin-Resource-Policy"] == "same-origin"
        assert response.headers["Cross-Origin-Opener-Policy"] == "same-origin"
        assert "Strict-Transport-Security" not in response.headers
        assert len(response.headers.getlist("Content-Security-Policy")) == 1


def test_pages_keep_the_policy_they_need(client: FlaskClient) -> None:
    for _ in range(2):
        assert "script-src 'self'" in client.get("/kiosk").headers["Content-Security-Policy"]
        assert "sandbox" in client.get("/v1/pictures/10.svg").headers["Content-Security-Policy"]


def preflight(client: FlaskClient, origin: str, path: str = "/v1/lines") -> TestResponse:
    return client.options(
        path,
        headers={
            "Origin": origin,
            "Access-Control-Request-Method": "POST",
            "Access-Control-Request-Headers": "authorization,content-type",
        },
    )


def test_an_allowed_page_may_ask_and_read(shared: FlaskClient) -> None:
    """The Fetch standard's CORS protocol; a preflight carries no key."""
    first = preflight(shared, PAGE)
    assert first.status_code == 204
    assert first.headers["Access-Control-Allow-Origin"] == PAGE
    assert "POST" in first.headers["Access-Control-Allow-Methods"]
    assert {"authorization", "content-type"} <= {
        name.strip().lower() for name in first.headers["Access-Control-Allow-Headers"].split(",")
    }
    headers = {"Origin": PAGE, "Authorization": f"Bearer {KEY}"}
    for path in ("/v1/leaves/10", "/v1/leaves/10", "/v1/leaves/11"):
        response = shared.get(path, headers=headers)
        assert response.headers["Access-Control-Allow-Origin"] == PAGE
        assert "X-Request-ID" in response.headers["Access-Control-Expose-Headers"]
        assert "Access-Control-Allow-Credentials" not in response.headers
        assert "Origin" in response.vary
    refused = shared.get("/v1/leaves/10", headers={"Origin": PAGE})
    problem(refused, 401, "unauthorized")
    assert refused.headers["Access-Control-Allow-Origin"] == PAGE


@pytest.mark.parametrize("origin", ["https://evil.example", "null", PAGE + ".evil.example", ""])
def test_another_page_may_not(shared: FlaskClient, origin: str) -> None:
    assert "Access-Control-Allow-Origin" not in preflight(shared, origin).headers
    headers = {"Origin": origin, "Authorization": f"Bearer {KEY}"}
    response = shared.get("/v1/leaves/10", headers=headers)
    assert "Access-Control-Allow-Origin" not in response.headers
    assert "Origin" in response.vary


def test_a_kept_answer_is_that_of_the_one_who_asks(shared: FlaskClient) -> None:
    """What one page was answered is not handed, headers and all, to another."""
    key = {"Authorization": f"Bearer {KEY}"}
    assert PAGE in shared.get("/v1/leaves/9", headers={**key, "Origin": PAGE}).headers.values()
    other = shared.get("/v1/leaves/9", headers={**key, "Origin": "https://evil.example"})
    assert PAGE not in other.headers.values()
    problem(shared.get("/v1/leaves/9"), 401, "unauthorized")


def test_without_an_allow_list_there_is_no_cors(client: FlaskClient) -> None:
    response = client.get("/v1/leaves/10", headers={"Origin": PAGE})
    assert not [name for name, _ in response.headers if name.startswith("Access-Control")]
    assert "Access-Control-Allow-Origin" not in preflight(client, PAGE).headers


def test_any_page_may_ask_where_so_set() -> None:
    client = create_app(Settings(cors_origins=("*",))).test_client()
    assert preflight(client, "https://any.example").headers["Access-Control-Allow-Origin"] == "*"
    response = client.get("/v1/leaves/10", headers={"Origin": "https://any.example"})
    assert response.headers["Access-Control-Allow-Origin"] == "*"
    assert "Vary" not in response.headers


def test_shared_caches_keep_nothing_that_asks_for_a_key(
    client: FlaskClient, shared: FlaskClient
) -> None:
    open_to_all = client.get("/v1/leaves/10").headers["Cache-Control"]
    keyed = shared.get("/v1/leaves/10", headers={"Authorization": f"Bearer {KEY}"})
    assert open_to_all.startswith("public")
    assert keyed.headers["Cache-Control"].startswith("private")


@pytest.mark.parametrize(
    "path",
    [
        "/v1/leaves/1-2-10",
        "/v1/leaves?category=washout",
        "/v1/lines/1-2-10?hand=left",
        "/v1/pictures/10.svg?kind=carry",
        "/openapi.json",
        "/kiosk",
    ],
)
def test_a_kept_answer_is_the_same_answer(path: str) -> None:
    client = create_app(Settings()).test_client()
    first, again = client.get(path), client.get(path)
    assert first.status_code == again.status_code == 200
    assert first.get_data() == again.get_data()
    varying = {"X-Request-ID", "Date"}
    headers = [
        sorted(pair for pair in got.headers if pair[0] not in varying) for got in (first, again)
    ]
    assert headers[0] == headers[1]
    same = client.get(path, headers={"If-None-Match": first.headers["ETag"]})
    assert (same.status_code, same.get_data()) == (304, b"")
    assert same.headers["ETag"] == first.headers["ETag"]
    head = client.head(path)
    assert (head.status_code, head.get_data()) == (200, b"")
    assert head.headers["Content-Length"] == first.headers["Content-Length"]
    other = client.get(path, headers={"If-None-Match": '"another"'})
    assert other.get_data() == first.get_data()


def test_only_good_answers_to_get_are_kept() -> None:
    client = create_app(Settings()).test_client()
    for path, status in (("/v1/leaves/11", 422), ("/v1/leaves/10?x=1", 422), ("/nowhere", 404)):
        assert [client.get(path).status_code for _ in range(2)] == [status] * 2
    client.get("/v1/leaves/10")
    assert client.delete("/v1/leaves/10").status_code == 405


def test_what_is_kept_stays_within_its_memory() -> None:
    kept = KeptAnswers(1)
    each = 100_000 - OVERHEAD_BYTES
    for number in range(25):
        kept.put((f"/{number}", b""), Kept(bytes(each), ()))
        kept.get(("/0", b""))
    there = [number for number in range(25) if kept.get((f"/{number}", b"")) is not None]
    assert there == [0, *range(16, 25)]  # ten fit; the one asked again and again stays
    kept.put(("/large", b""), Kept(bytes(200_000), ()))
    assert kept.get(("/large", b"")) is None


def test_keeping_can_be_switched_off() -> None:
    client = create_app(Settings(kept_answers_mb=0)).test_client()
    assert client.get("/v1/leaves/10").get_data() == client.get("/v1/leaves/10").get_data()
