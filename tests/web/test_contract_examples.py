"""The examples that the contract shows are what the application answers, to the letter."""

from __future__ import annotations

import json
from typing import Any

import pytest
from flask.testing import FlaskClient
from leaveline.web.contract_parts import SAME_EVERYWHERE, recorded
from leaveline.web.document import openapi_document
from leaveline.web.examples import answered_example, refused_example, shared_example

from tests.web.contract_rules import JSON_KINDS, map_responses
from tests.web.test_document import conforms

DOCUMENT = openapi_document()
RENEW = "renew with `python -m leaveline.web.examples`, then the contract"
OPERATIONS = [
    pytest.param(path, method, id=operation["operationId"])
    for path, item in DOCUMENT["paths"].items()
    for method, operation in item.items()
]
REFUSING = [
    param
    for param in OPERATIONS
    if "422" in DOCUMENT["paths"][param.values[0]][param.values[1]]["responses"]
]


def shown(path: str, method: str, status: str) -> Any:
    """The example the contract shows."""
    response = map_responses(DOCUMENT, DOCUMENT["paths"][path][method])[status]
    content = next(content for kind, content in response["content"].items() if kind in JSON_KINDS)
    return content["examples"]["recorded"]["value"]


@pytest.mark.parametrize(("path", "method"), OPERATIONS)
def test_the_answer_shown_is_the_one_given(client: FlaskClient, path: str, method: str) -> None:
    _, reply = answered_example(client, path, method)
    assert reply.status_code == 200, reply.get_data(as_text=True)
    content = DOCUMENT["paths"][path][method]["responses"]["200"]["content"]
    if "application/json" not in content:
        (form,) = content.values()
        assert form["examples"]["drawn"]["externalValue"]
        return
    assert reply.get_json() == shown(path, method, "200"), RENEW
    conforms(content["application/json"]["schema"]["$ref"].split("/")[-1], reply.get_json())


@pytest.mark.parametrize(("path", "method"), REFUSING)
def test_the_refusal_shown_is_the_one_given(client: FlaskClient, path: str, method: str) -> None:
    _, reply = refused_example(client, path, method)
    assert reply.status_code == 422
    assert reply.get_json() == shown(path, method, "422"), RENEW
    conforms("ProblemAnswer", reply.get_json())
    assert reply.get_json()["errors"], "an example should show what a fault looks like"


@pytest.mark.parametrize("status", SAME_EVERYWHERE)
def test_a_problem_of_any_operation_is_the_one_given(status: int) -> None:
    _, reply = shared_example(status)
    assert reply.status_code == status
    assert reply.get_json() == recorded()[""][str(status)]["answer"], RENEW
    conforms("ProblemAnswer", reply.get_json())


def test_pictures_shown_by_address_are_pictures(client: FlaskClient) -> None:
    found = [
        example["externalValue"]
        for item in DOCUMENT["paths"].values()
        for operation in item.values()
        for content in operation["responses"]["200"]["content"].values()
        for example in content.get("examples", {}).values()
        if "externalValue" in example
    ]
    assert found
    for address in found:
        reply = client.get(address)
        assert reply.mimetype == "image/svg+xml"
        assert reply.get_data().startswith(b"<svg")


def test_every_recorded_answer_is_shown() -> None:
    """So that none is left behind when an operation goes."""
    names = {o["operationId"] for item in DOCUMENT["paths"].values() for o in item.values()}
    assert set(recorded()) == names | {""}
    text = json.dumps(DOCUMENT)
    for answers in recorded().values():
        for entry in answers.values():
            assert json.dumps(entry["answer"]) in text


def test_other_forms_of_a_request_are_answered(client: FlaskClient) -> None:
    """A request's example that is not JSON is sent as it stands."""
    for path, item in DOCUMENT["paths"].items():
        body = item.get("post", {}).get("requestBody", {}).get("content", {})
        for kind in set(body) - {"application/json"}:
            for example in body[kind]["examples"].values():
                reply = client.post(path, data=example["value"], content_type=kind)
                assert reply.status_code == 200, reply.get_data(as_text=True)
