"""The house rules of the contract: what a platform engineer must find said, as plain checks.

Each rule takes the document and gives complaints, `place: what is missing`. openapi-spec-validator
holds the document to the standard; these hold it to our own conventions: names, units, ranges,
descriptions, problems and examples.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

Document = dict[str, Any]
Rule = Callable[[Document], Iterator[str]]

RULES: list[Rule] = []

JSON_KINDS = ("application/json", "application/problem+json")
METHODS = ("get", "put", "post", "delete", "options", "head", "patch", "trace", "query")
UNITS = (
    "boards?", "ft", "in", "deg", "mph", "rpm", "lb", "pins", "count", "probability", "s", "bytes",
)  # fmt: skip
UNIT_IN_NAME = re.compile(rf"(?:^|_)(?:{'|'.join(UNITS)})$")
UNIT_IN_WORDS = re.compile(r"\[[^\]]+\]")
MOST_ENUM_WORD = re.compile(r"[a-z][a-z0-9]*(?:_[a-z0-9]+)*")


def rule(check: Rule) -> Rule:
    """List a check among the rules."""
    RULES.append(check)
    return check


def complaints(document: Document) -> list[str]:
    """What all rules find."""
    return [f"{check.__name__}: {found}" for check in RULES for found in check(document)]


def operations(document: Document) -> Iterator[tuple[str, Document]]:
    """Each operation with `GET /path` as its name."""
    for path, item in document["paths"].items():
        for method in METHODS:
            if method in item:
                yield f"{method.upper()} {path}", item[method]


def resolved(document: Document, value: Any) -> Any:
    """What a reference stands for; anything else as it is."""
    while isinstance(value, dict) and "$ref" in value:
        found: Any = document
        for step in value["$ref"].removeprefix("#/").split("/"):
            found = found[step]
        value = found
    return value


def properties(document: Document) -> Iterator[tuple[str, str, Document, bool]]:
    """Each property of each schema: place, name, schema, and whether callers send it."""
    for schema_name, schema in document["components"]["schemas"].items():
        for name, value in schema.get("properties", {}).items():
            yield f"{schema_name}.{name}", name, value, not schema_name.endswith("Answer")


def leaves_of(schema: Document) -> Iterator[Document]:
    """A schema and the ones written inside it: items and alternatives."""
    yield schema
    inside = [schema["items"]] if "items" in schema else []
    for choice in ("oneOf", "anyOf", "allOf"):
        inside += schema.get(choice, [])
    for inner in inside:
        yield from leaves_of(inner)


def kinds(schema: Document) -> set[str]:
    """A schema's types."""
    kind = schema.get("type", [])
    return {kind} if isinstance(kind, str) else set(kind)


@rule
def operation_ids(document: Document) -> Iterator[str]:
    """A verb and a noun in lowerCamelCase, each once."""
    seen: set[str] = set()
    for place, operation in operations(document):
        name = operation.get("operationId", "")
        if not re.fullmatch(r"[a-z]+(?:[A-Z][a-z]+)+", name):
            yield f"{place}: operationId {name!r} is not lowerCamelCase of verb and noun"
        if name in seen:
            yield f"{place}: operationId {name!r} is there twice"
        seen.add(name)


@rule
def operations_are_described(document: Document) -> Iterator[str]:
    """A one-line summary, a description, and one tag that is described itself."""
    tags = {tag["name"] for tag in document["tags"] if tag.get("description")}
    used = set()
    for place, operation in operations(document):
        summary = operation.get("summary", "")
        if not 10 <= len(summary) <= 80 or summary[-1] not in ".?":
            yield f"{place}: the summary must be one sentence of 10 to 80 characters"
        if len(operation.get("description", "")) < 20:
            yield f"{place}: no description"
        if len(operation.get("tags", [])) != 1 or not set(operation["tags"]) <= tags:
            yield f"{place}: must have one tag, described in `tags`"
        used.update(operation.get("tags", []))
    for tag in sorted(tags - used):
        yield f"tag {tag} is not used"


@rule
def paths_are_plain(document: Document) -> Iterator[str]:
    """Lower-case words under /v1; the service's own addresses beside it; no slash at the end."""
    step = r"/[a-z]+(?:-[a-z]+)*|/\{[a-z_]+\}(?:\.svg)?"
    for path in document["paths"]:
        if not re.fullmatch(rf"/v1(?:{step})+|/[a-z]+", path):
            yield f"{path}: is not of plain lower-case words under /v1"


@rule
def parameters_are_described(document: Document) -> Iterator[str]:
    """Each has a description, an example and bounds."""
    for place, operation in operations(document):
        for parameter in operation.get("parameters", []):
            where = f"{place} {parameter['in']} parameter {parameter['name']}"
            if len(parameter.get("description", "")) < 5:
                yield f"{where}: no description"
            if "example" not in parameter and "examples" not in parameter:
                yield f"{where}: no example"
            yield from _unbounded(where, parameter["schema"])


@rule
def schemas_are_described(document: Document) -> Iterator[str]:
    """Each schema, and each property (by itself, or by the schema it refers to)."""
    for name, schema in document["components"]["schemas"].items():
        if len(schema.get("description", "")) < 5:
            yield f"{name}: no description"
    for place, _, schema, _ in properties(document):
        if len((resolved(document, schema) | schema).get("description", "")) < 5:
            yield f"{place}: no description"


@rule
def names_are_snake_case(document: Document) -> Iterator[str]:
    """Properties and parameters; schemas are UpperCamelCase."""
    names = [(place, name) for place, name, _, _ in properties(document)]
    for place, operation in operations(document):
        names += [(place, parameter["name"]) for parameter in operation.get("parameters", [])]
    for place, name in names:
        if not MOST_ENUM_WORD.fullmatch(name):
            yield f"{place}: {name} is not snake_case"
    for name in document["components"]["schemas"]:
        if not re.fullmatch(r"(?:[A-Z][a-z]+)+", name):
            yield f"{name}: is not UpperCamelCase"


@rule
def enum_words_are_snake_case(document: Document) -> Iterator[str]:
    """So that they can be names in any language."""
    for place, _, schema, _ in properties(document):
        for leaf in leaves_of(schema):
            for word in leaf.get("enum", []):
                if not MOST_ENUM_WORD.fullmatch(str(word)):
                    yield f"{place}: {word!r} is not snake_case"


@rule
def numbers_have_ranges_or_units(document: Document) -> Iterator[str]:
    """Sent numbers have both ends; received ones have both, or a unit in name or words."""
    for place, name, schema, is_sent in properties(document):
        for leaf in leaves_of(schema):
            if not kinds(leaf) & {"number", "integer"}:
                continue
            if {"minimum", "maximum"} <= leaf.keys():
                continue
            has_unit = UNIT_IN_NAME.search(name) or UNIT_IN_WORDS.search(
                schema.get("description", "")
            )
            if is_sent or not has_unit:
                yield f"{place}: a number without a range" + ("" if is_sent else " or a unit")


@rule
def what_is_sent_is_bounded(document: Document) -> Iterator[str]:
    """Texts and lists in requests have a greatest length."""
    for place, _, schema, is_sent in properties(document):
        if is_sent:
            yield from _unbounded(place, schema)


def _unbounded(place: str, schema: Document) -> Iterator[str]:
    for leaf in leaves_of(schema):
        if "string" in kinds(leaf) and not {"enum", "maxLength", "pattern"} & leaf.keys():
            yield f"{place}: a text without a bound"
        if "array" in kinds(leaf) and "maxItems" not in leaf:
            yield f"{place}: a list without a bound"
        if kinds(leaf) & {"number", "integer"} and not {"minimum", "maximum"} <= leaf.keys():
            yield f"{place}: a number without a range"


@rule
def requests_are_closed_and_answers_open(document: Document) -> Iterator[str]:
    """Unknown fields are refused in requests; answers may gain some."""
    for name, schema in document["components"]["schemas"].items():
        if schema.get("additionalProperties") is not name.endswith("Answer"):
            yield f"{name}: additionalProperties must be {name.endswith('Answer')}"


@rule
def objects_have_names(document: Document) -> Iterator[str]:
    """Every object is a schema of its own, so that generated clients get a class for it."""
    for place, _, schema, _ in properties(document):
        if any("properties" in leaf or "object" in kinds(leaf) for leaf in leaves_of(schema)):
            yield f"{place}: an object without a name"
    for place, operation in operations(document):
        bodies = [operation["requestBody"]] if "requestBody" in operation else []
        for body in [*bodies, *map_responses(document, operation).values()]:
            for kind, content in body.get("content", {}).items():
                if kind in JSON_KINDS and "$ref" not in content["schema"]:
                    yield f"{place}: {kind} is not a named schema"


def map_responses(document: Document, operation: Document) -> dict[str, Document]:
    """An operation's responses by status, references followed."""
    return {
        status: resolved(document, response) for status, response in operation["responses"].items()
    }


@rule
def problems_are_told(document: Document) -> Iterator[str]:
    """Every operation lists the problems it can answer with, all of one form."""
    for place, operation in operations(document):
        wanted = set()
        if "requestBody" in operation:
            wanted |= {"400", "413", "415", "422"}
        if operation.get("parameters"):
            wanted |= {"422"}
        if "/v1/" in place:
            wanted |= {"401"}
            if operation.get("security") != [{"api_key": []}, {}]:
                yield f"{place}: does not say that a key may be needed"
        responses = map_responses(document, operation)
        for status in sorted(wanted - responses.keys()):
            yield f"{place}: does not tell of {status}"
        for status, response in responses.items():
            forms = {
                kind: content["schema"].get("$ref")
                for kind, content in response.get("content", {}).items()
            }
            if status >= "400" and forms != PROBLEM_FORM:
                yield f"{place}: {status} is not problem details"
            if len(response.get("description", "")) < 5:
                yield f"{place}: {status} has no description"
            if "X-Request-ID" not in response.get("headers", {}):
                yield f"{place}: {status} does not tell of X-Request-ID"


PROBLEM_FORM = {"application/problem+json": "#/components/schemas/ProblemAnswer"}


@rule
def everything_has_an_example(document: Document) -> Iterator[str]:
    """Each JSON body, sent or received, and each picture of a GET."""
    for place, operation in operations(document):
        contents = {
            f"{status} {kind}": content
            for status, response in map_responses(document, operation).items()
            for kind, content in response.get("content", {}).items()
        }
        body = operation.get("requestBody", {}).get("content", {})
        contents |= {f"request {kind}": content for kind, content in body.items()}
        for where, content in contents.items():
            needed = where.endswith(JSON_KINDS) or (
                where.endswith("image/svg+xml") and "requestBody" not in operation
            )
            if needed and not content.get("examples"):
                yield f"{place}: {where} has no example"


@rule
def every_component_is_used(document: Document) -> Iterator[str]:
    """Nothing is left over from what was."""
    text = str(document)
    for kind, named in document["components"].items():
        if kind == "securitySchemes":
            continue
        for name in named:
            if f"'#/components/{kind}/{name}'" not in text:
                yield f"{kind} {name} is not used"
