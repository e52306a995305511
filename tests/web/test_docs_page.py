"""The contract as a page: complete, small, closed to the outside."""

from __future__ import annotations

import json
import re
import tomllib
from fnmatch import fnmatch
from html import unescape
from html.parser import HTMLParser
from importlib.resources import files
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from leaveline.web.docs_page import form, prose
from leaveline.web.document import openapi_document
from leaveline.web.problems import PROBLEM_TYPES
from leaveline.web.readable import WIDTH, readable_json

from tests.web.contract_rules import map_responses, operations
from tests.web.test_errors import problem

DOCUMENT = openapi_document()
MOST_BYTES = 400_000


class Read(HTMLParser):
    """A page's tags, and the text inside each element that has an id."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.inside: dict[str, str] = {}
        self._open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        attributes = dict(attrs)
        self.tags.append((tag, attributes))
        if tag in {"meta", "link", "br"}:
            return
        self._open.append(attributes.get("id") or "")
        for name in filter(None, self._open):
            self.inside.setdefault(name, "")

    def handle_endtag(self, _: str) -> None:
        self._open.pop()

    def handle_data(self, data: str) -> None:
        for name in set(filter(None, self._open)):
            self.inside[name] += data


@pytest.fixture(scope="module")
def page(app: Flask) -> Read:
    return Read(app.test_client().get("/docs").get_data(as_text=True))


def test_every_operation_is_there_with_all_it_has(page: Read) -> None:
    for place, operation in operations(DOCUMENT):
        text = page.inside[operation["operationId"]]
        assert place in text
        assert operation["summary"] in text
        for parameter in operation.get("parameters", []):
            assert parameter["name"] in text
        for status, reply in map_responses(DOCUMENT, operation).items():
            assert status in text
            for kind in reply["content"] if "$ref" not in operation["responses"][status] else ():
                assert kind in text


def test_every_property_of_every_schema_is_there(page: Read) -> None:
    for name, schema in DOCUMENT["components"]["schemas"].items():
        text = page.inside[f"schema-{name}"]
        for field, value in schema["properties"].items():
            assert re.search(rf"\b{field}\b", text), (name, field)
            assert value.get("description", "").replace("`", "") in text, (name, field)
            for word in value.get("enum", []):
                assert word in text, (name, field)
            for end in ("minimum", "maximum"):
                if end in value:
                    assert f"{value[end]:g}" in text, (name, field)


def test_every_problem_has_a_place_and_its_type_leads_there(
    page: Read, client: FlaskClient
) -> None:
    for kind, found in PROBLEM_TYPES.items():
        assert found.title in page.inside[f"problem-{kind}"]
        reply = client.get(f"/problems/{kind}")
        assert (reply.status_code, reply.headers["Location"]) == (302, f"/docs#problem-{kind}")
    problem(client.get("/problems/nothing"), 404, "not-found")


def test_every_link_leads_somewhere(page: Read, client: FlaskClient) -> None:
    ids = [attributes["id"] for _, attributes in page.tags if "id" in attributes]
    assert len(ids) == len(set(ids))
    links = {attributes["href"] for tag, attributes in page.tags if tag == "a"}
    for link in links:
        assert link
        if link.startswith("#"):
            assert link[1:] in ids
        else:
            assert link.startswith("/"), "to another host"
            assert client.get(unescape(link)).status_code == 200


def test_nothing_of_another_host_and_no_script(page: Read, client: FlaskClient) -> None:
    reply = client.get("/docs")
    rules = dict(
        part.split(maxsplit=1) for part in reply.headers["Content-Security-Policy"].split("; ")
    )
    assert rules == {
        "default-src": "'none'", "style-src": "'self'", "img-src": "data:", "base-uri": "'none'",
        "form-action": "'none'", "frame-ancestors": "'none'",
    }  # fmt: skip
    for tag, attributes in page.tags:
        assert tag not in {"script", "style", "iframe", "object", "img", "form"}
        assert "style" not in attributes
        assert not any(name.startswith("on") for name in attributes)
        assert not re.match(r"\w+:|//", attributes.get("src") or "")
    style = client.get("/docs/docs.css")
    assert style.mimetype == "text/css"
    assert not re.search(r"url\(|@import", style.get_data(as_text=True))


def test_it_stays_small_and_is_asked_for_anew(client: FlaskClient) -> None:
    for path in ("/docs", "/docs/docs.css"):
        first = client.get(path)
        assert len(first.get_data()) < MOST_BYTES
        assert first.headers["Cache-Control"] == "no-cache"
        again = client.get(path, headers={"If-None-Match": first.headers["ETag"]})
        assert (again.status_code, again.get_data()) == (304, b"")
    problem(client.get("/docs/docs.html"), 404, "not-found")


def test_the_package_carries_what_it_needs() -> None:
    project = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text())
    carried = project["tool"]["setuptools"]["package-data"]["leaveline"]
    folder = files("leaveline.web") / "docs"
    for name in ["web/examples.json", *(f"web/docs/{entry.name}" for entry in folder.iterdir())]:
        assert any(fnmatch(name, pattern) for pattern in carried), name


@pytest.mark.parametrize(
    ("schema", "says"),
    [
        ({"type": "number", "minimum": 6, "maximum": 16.5}, "number, at least 6, at most 16.5"),
        ({"type": ["number", "null"]}, "number or null"),
        ({"type": "string", "enum": ["a", "b"]}, "string, one of <code>a</code>, <code>b</code>"),
        ({"type": "array", "items": {"type": "integer"}, "maxItems": 10},
         "list of integer, at most 10 items"),
        ({"anyOf": [{"$ref": "#/components/schemas/Oil"}, {"type": "null"}]},
         '<a href="#schema-Oil">Oil</a> or null'),
        ({"type": "string", "pattern": "^<"}, "string, like <code>^&lt;</code>"),
        ({}, "anything"),
    ],
)  # fmt: skip
def test_a_schema_in_words(schema: dict[str, object], says: str) -> None:
    assert form(schema) == says


def test_descriptions_are_text_and_code_and_nothing_else() -> None:
    assert prose("Send `a<b`.\n\n<b>No</b>.") == (
        "<p>Send <code>a&lt;b</code>.</p><p>&lt;b&gt;No&lt;/b&gt;.</p>"
    )


def test_readable_json_is_the_same_json_on_short_lines() -> None:
    value = {"a": [1.0, None, True], "b": [{"c": "ü" * 50, "d": i} for i in range(5)], "e": {}}
    text = readable_json(value)
    assert json.loads(text) == value
    assert max(map(len, text.splitlines())) <= WIDTH
    assert '"a": [1.0, null, true]' in text
