"""The contract: committed as generated, valid, and true."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import yaml
from flask import Flask
from flask.testing import FlaskClient
from jsonschema import Draft202012Validator
from leaveline.web.document import openapi_document, to_yaml
from openapi_spec_validator import validate
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT202012

COMMITTED = Path(__file__).parents[2] / "openapi" / "leaveline.yaml"


def test_committed_document_is_the_generated_one() -> None:
    """`PYTHONPATH=service python -m leaveline.web.document > openapi/leaveline.yaml` renews it."""
    assert COMMITTED.read_text(encoding="utf-8") == to_yaml()


def test_document_is_valid_openapi_3_1() -> None:
    document = yaml.safe_load(COMMITTED.read_text(encoding="utf-8"))
    assert document["openapi"].startswith("3.1")
    validate(document)


def test_every_route_is_documented(app: Flask) -> None:
    served = {
        str(rule).replace("<leave>", "{leave}")
        for rule in app.url_map.iter_rules()
        if str(rule) not in UNDOCUMENTED
    }
    assert served == set(openapi_document()["paths"])


UNDOCUMENTED = {
    "/docs",
    "/docs/docs.css",
    "/kiosk",
    "/kiosk/<name>",
    "/metrics",
    "/openapi.json",
    "/problems/<kind>",
}


def test_answers_conform_to_their_schemas(client: FlaskClient) -> None:
    conforms("LeaveAnswer", client.get("/v1/leaves/1-2-4-10").json)
    conforms("LinesAnswer", client.get("/v1/lines/1-2-10?hand=left&level=tour").json)
    conforms("LinesAnswer", client.post("/v1/lines", json={"leave": "7-10", "play": "both"}).json)
    conforms("ProblemAnswer", client.post("/v1/lines", json={"leave": "x"}).json)
    conforms("HealthAnswer", client.get("/readyz").json)


def test_answers_hold_nothing_that_is_not_documented(client: FlaskClient) -> None:
    body = client.get("/v1/lines/1-2-10").json
    known = openapi_document()["components"]["schemas"]
    assert body is not None
    assert set(body) == set(known["LinesAnswer"]["properties"])
    for line in body["lines"]:
        assert set(line) == set(known["LineAnswer"]["properties"])


def conforms(schema: str, body: Any) -> None:
    root = Resource.from_contents(openapi_document(), default_specification=DRAFT202012)
    registry: Registry[Any] = Registry().with_resource("urn:api", root)
    Draft202012Validator(
        {"$ref": f"urn:api#/components/schemas/{schema}"}, registry=registry
    ).validate(body)
