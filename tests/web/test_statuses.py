"""Every status that the contract lists for an operation can really be had from it.

A recipe for each status says how; an operation and status without one fails, so what the contract
promises and nobody can provoke is noticed.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import pytest
from flask.testing import FlaskClient
from jsonschema import Draft202012Validator
from leaveline.web import create_app
from leaveline.web.document import openapi_document
from leaveline.web.examples import REFUSED, answered_example, busy, refused_example
from leaveline.web.settings import Settings
from werkzeug.test import TestResponse

from tests.web.contract_rules import Document, map_responses, resolved
from tests.web.test_document import conforms

DOCUMENT = openapi_document()
KEY = "a-key-of-sixteen-or-more"
SMALLEST_BODY_BYTES = 1_000

Recipe = Callable[[FlaskClient, str, str], TestResponse]


@lru_cache(maxsize=1)
def keyed() -> FlaskClient:
    return create_app(Settings(api_keys=(KEY,))).test_client()


@lru_cache(maxsize=1)
def narrow() -> FlaskClient:
    return create_app(Settings(max_body_bytes=SMALLEST_BODY_BYTES)).test_client()


def answered(client: FlaskClient, path: str, method: str) -> TestResponse:
    return answered_example(client, path, method)[1]


def unreadable(client: FlaskClient, path: str, method: str) -> TestResponse:
    return client.open(path, method=method, data=b"{", content_type="application/json")


def without_key(_: FlaskClient, path: str, method: str) -> TestResponse:
    return answered_example(keyed(), path, method)[1]


def too_large(_: FlaskClient, path: str, method: str) -> TestResponse:
    body = b" " * (SMALLEST_BODY_BYTES + 1)
    return narrow().open(path, method=method, data=body, content_type="application/json")


def of_another_type(client: FlaskClient, path: str, method: str) -> TestResponse:
    return client.open(path, method=method, data=b"{}", content_type="text/plain")


def refused(client: FlaskClient, path: str, method: str) -> TestResponse:
    return refused_example(client, path, method)[1]


def when_busy(_: FlaskClient, path: str, method: str) -> TestResponse:
    return answered_example(busy(), path, method)[1]


RECIPES: dict[str, Recipe] = {
    "200": answered,
    "400": unreadable,
    "401": without_key,
    "413": too_large,
    "415": of_another_type,
    "422": refused,
    "503": when_busy,
}

LISTED = [
    pytest.param(path, method, status, id=f"{operation['operationId']}-{status}")
    for path, item in DOCUMENT["paths"].items()
    for method, operation in item.items()
    for status in operation["responses"]
]


@pytest.mark.parametrize(("path", "method", "status"), LISTED)
def test_a_listed_status_can_be_had(
    client: FlaskClient, path: str, method: str, status: str
) -> None:
    assert status in RECIPES, f"how does {method} {path} come to answer {status}?"
    reply = RECIPES[status](client, path, method)
    assert str(reply.status_code) == status, reply.get_data(as_text=True)
    listed = map_responses(DOCUMENT, DOCUMENT["paths"][path][method])[status]
    assert reply.mimetype in listed["content"]
    for name, header in listed["headers"].items():
        _check_header(name, resolved(DOCUMENT, header), reply.headers[name])
    if status >= "400":
        conforms("ProblemAnswer", reply.get_json())
        assert reply.get_json()["request_id"] == reply.headers["X-Request-ID"]


def _check_header(name: str, header: Document, value: str) -> None:
    """A header is of the form that the contract says."""
    is_whole = header["schema"]["type"] == "integer"
    faults = list(
        Draft202012Validator(header["schema"]).iter_errors(int(value) if is_whole else value)
    )
    assert faults == [], name


def test_every_recipe_is_used() -> None:
    assert set(RECIPES) == {param.values[2] for param in LISTED}


def test_the_requests_that_are_refused_belong_to_operations() -> None:
    names = {o["operationId"] for item in DOCUMENT["paths"].values() for o in item.values()}
    assert set(REFUSED) <= names


@pytest.mark.parametrize(
    ("path", "kind"), [("/v1/lines", "image/svg+xml"), ("/v1/lines/batch", "application/x-ndjson")]
)
def test_other_forms_of_an_answer_can_be_had(client: FlaskClient, path: str, kind: str) -> None:
    body = {"leave": "10"} if path == "/v1/lines" else {"items": [{"leave": "10"}]}
    reply = client.post(path, json=body, headers={"Accept": kind})
    assert (reply.status_code, reply.mimetype) == (200, kind)
    assert kind in DOCUMENT["paths"][path]["post"]["responses"]["200"]["content"]
