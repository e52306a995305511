"""`/docs`: the contract as a page to read, and `/problems/{kind}`, which leads into it.

Written on the server from the contract itself, so it is never behind. Plain HTML and one style
sheet from this package; no script at all, nothing from another host.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from importlib.resources import files
from typing import Any

from flask import Blueprint, Response, abort, redirect, render_template
from markupsafe import Markup, escape
from werkzeug.wrappers import Response as Redirect

from leaveline.web.answers import cacheable
from leaveline.web.document import openapi_document
from leaveline.web.problems import PROBLEM_TYPES, ProblemType
from leaveline.web.readable import readable_json

blueprint = Blueprint("docs", __name__, template_folder="docs")

STYLE = "docs.css"
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; img-src data:; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cache-Control": "no-cache",
}
SCHEMA = "#/components/schemas/"
RESPONSE = "#/components/responses/"
ENDS = (("minimum", "at least"), ("maximum", "at most"))
LENGTHS = (
    ("minLength", "at least", "characters"),
    ("maxLength", "at most", "characters"),
    ("minItems", "at least", "items"),
    ("maxItems", "at most", "items"),
)

PROBLEM_TYPES_OF_THE_FRONT: dict[str, ProblemType] = {
    "rate-limited": ProblemType(429, "Too many requests"),
    "unavailable": ProblemType(503, "The service cannot be reached"),
    "too-late": ProblemType(504, "No answer in time"),
}
"""What only the front (`deploy/nginx.conf`) answers with; callers who open its type come here."""


@blueprint.get("/docs")
def show_page() -> Response:
    """The page."""
    return _with_headers(_page(), "text/html")


@blueprint.get(f"/docs/{STYLE}")
def show_style() -> Response:
    """Its style sheet."""
    text = (files("leaveline.web") / "docs" / STYLE).read_text(encoding="utf-8")
    return _with_headers(text, "text/css")


@blueprint.get("/problems/<kind>")
def show_problem(kind: str) -> Redirect:
    """What a problem's `type` says, for whoever opens it: its place on the page."""
    if kind not in PROBLEM_TYPES and kind not in PROBLEM_TYPES_OF_THE_FRONT:
        abort(404)
    return redirect(f"/docs#problem-{kind}", 302)


def _with_headers(text: str, mimetype: str) -> Response:
    response = cacheable(text, mimetype=mimetype)
    response.headers.update(HEADERS)
    return response


@lru_cache(maxsize=1)
def _page() -> str:
    document = openapi_document()
    operations = [
        _operation(document, method, path, operation)
        for path, item in document["paths"].items()
        for method, operation in item.items()
    ]
    schemas = document["components"]["schemas"]
    return render_template(
        "docs.html",
        info=document["info"],
        introduction=prose(document["info"]["description"]),
        groups=[
            (tag, [o for o in operations if tag["name"] == o["tag"]]) for tag in document["tags"]
        ],
        problems=PROBLEM_TYPES
        | {
            kind: replace(found, title=f"{found.title} (from a front before the service)")
            for kind, found in PROBLEM_TYPES_OF_THE_FRONT.items()
        },
        shared=[
            {"name": name, **_reply(reply)}
            for name, reply in document["components"]["responses"].items()
        ],
        asked=[_schema(document, name) for name in sorted(schemas) if not _is_answer(name)],
        answered=[_schema(document, name) for name in sorted(schemas) if _is_answer(name)],
        headers=[
            {"name": name, "form": form(h["schema"]), "description": prose(h["description"])}
            for name, h in _headers(document).items()
        ],
        style=STYLE,
    )


def _is_answer(name: str) -> bool:
    return name.endswith("Answer")


def _operation(
    document: dict[str, Any], method: str, path: str, operation: dict[str, Any]
) -> dict[str, Any]:
    """What the template shows of an operation."""
    body = operation.get("requestBody", {}).get("content", {})
    replies = operation["responses"]
    return {
        "id": operation["operationId"],
        "tag": operation["tags"][0],
        "method": method.upper(),
        "path": path,
        "summary": operation["summary"],
        "description": prose(operation.get("description", "")),
        "keyed": bool(operation.get("security")),
        "curl": _curl(method, path, operation),
        "parameters": [
            {
                "name": parameter["name"],
                "required": parameter.get("required", False),
                "where": parameter["in"],
                "description": prose(parameter["description"]),
                "form": form(parameter["schema"]),
                "example": parameter.get("example"),
            }
            for parameter in operation.get("parameters", [])
        ],
        "body": list(_contents(body)),
        "replies": [
            {"status": status, **_reply(reply)}
            for status, reply in replies.items()
            if "$ref" not in reply
        ],
        "shared": [
            (status, reply["$ref"].removeprefix(RESPONSE), _resolved(document, reply))
            for status, reply in replies.items()
            if "$ref" in reply
        ],
    }


def _reply(reply: dict[str, Any]) -> dict[str, Any]:
    """What the template shows of a response."""
    return {
        "description": prose(reply["description"]),
        "headers": list(reply.get("headers", {})),
        "contents": list(_contents(reply.get("content", {}))),
    }


def _headers(document: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Every header of any answer, by its name on the wire."""
    replies = [
        _resolved(document, reply)
        for item in document["paths"].values()
        for operation in item.values()
        for reply in operation["responses"].values()
    ]
    named = {n: h for reply in replies for n, h in reply.get("headers", {}).items()}
    return {name: _resolved(document, header) for name, header in sorted(named.items())}


def _contents(contents: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Each form of a body: its media type, its schema, and examples to read."""
    for kind, content in contents.items():
        examples = []
        for example in content.get("examples", {}).values():
            value = example.get("value")
            examples.append(
                {
                    "summary": example.get("summary", ""),
                    "text": value if isinstance(value, str) else readable_json(value),
                    "address": example.get("externalValue", ""),
                }
            )
        schema = content["schema"]
        description = "" if "$ref" in schema else schema.get("description", "")
        yield {
            "kind": kind,
            "form": form(schema),
            "description": prose(description),
            "examples": examples,
        }


def _curl(method: str, path: str, operation: dict[str, Any]) -> str:
    """The example request, ready for a shell."""
    query = []
    for parameter in operation.get("parameters", []):
        if parameter["in"] == "path":
            path = path.replace(f"{{{parameter['name']}}}", str(parameter["example"]))
        elif "example" in parameter and method == "get":
            query.append(f"{parameter['name']}={parameter['example']}")
    address = "http://localhost:8080" + path + ("?" + "&".join(query) if query else "")
    body = operation.get("requestBody", {}).get("content", {}).get("application/json", {})
    if not body:
        return f"curl '{address}'"
    value = next(iter(body["examples"].values()))["value"]
    data = readable_json(value).replace("'", "'\\''")
    return f"curl '{address}' -H 'Content-Type: application/json' -d '{data}'"


def _schema(document: dict[str, Any], name: str) -> dict[str, Any]:
    """What the template shows of a schema; a field of another schema may leave it the words."""
    schema = document["components"]["schemas"][name]
    required = set(schema.get("required", []))
    return {
        "name": name,
        "description": prose(schema.get("description", "")),
        "fields": [
            {
                "name": field,
                "required": field in required,
                "form": form(value),
                "description": prose((_resolved(document, value) | value).get("description", "")),
            }
            for field, value in schema.get("properties", {}).items()
        ],
    }


def form(schema: dict[str, Any]) -> Markup:
    """A schema in words: `number, at least 6, at most 16`; a named one as a link to its place."""
    if "$ref" in schema:
        name = schema["$ref"].removeprefix(SCHEMA)
        return Markup('<a href="#schema-{0}">{0}</a>').format(name)
    choices = schema.get("oneOf", schema.get("anyOf", []))
    if choices:
        return Markup(" or ").join(form(choice) for choice in choices)
    kind = schema.get("type", "anything")
    kinds = [kind] if isinstance(kind, str) else kind
    if "array" in kinds:
        said = [Markup("list of {}").format(form(schema["items"]))]
    else:
        said = [escape(" or ".join(kinds))]
    if "enum" in schema:
        words = Markup(", ").join(Markup("<code>{}</code>").format(w) for w in schema["enum"])
        said.append(Markup("one of {}").format(words))
    said += [escape(f"{says} {schema[k]:g}") for k, says in ENDS if k in schema]
    said += [
        escape(f"{says} {schema[key]:g} {what}") for key, says, what in LENGTHS if schema.get(key)
    ]
    if schema.get("uniqueItems"):
        said.append(escape("none twice"))
    if "pattern" in schema:
        said.append(Markup("like <code>{}</code>").format(schema["pattern"]))
    if "examples" in schema:
        words = Markup(", ").join(Markup("<code>{}</code>").format(w) for w in schema["examples"])
        said.append(Markup("such as {}").format(words))
    return Markup(", ").join(said)


def prose(text: str) -> Markup:
    """Paragraphs and `code` of a description, as HTML."""
    paragraphs = [part for part in re.split(r"\n\s*\n", text.strip()) if part]
    return Markup("").join(Markup("<p>{}</p>").format(_coded(part)) for part in paragraphs)


def _coded(text: str) -> Markup:
    parts = text.split("`")
    said = [
        Markup("<code>{}</code>").format(part) if place % 2 else escape(part)
        for place, part in enumerate(parts)
    ]
    return Markup("").join(said)


def _resolved(document: dict[str, Any], value: dict[str, Any]) -> dict[str, Any]:
    """What a reference to one of the contract's components stands for."""
    if "$ref" not in value:
        return value
    _, kind, name = value["$ref"].removeprefix("#/").split("/")
    found: dict[str, Any] = document["components"][kind][name]
    return found
