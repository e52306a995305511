"""Nothing that a released contract promised is taken away, and the check sees it when it is."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from leaveline import __version__
from leaveline.web.document import openapi_document

from tests.web.breaking import breaking
from tests.web.contract_rules import METHODS, Document

RELEASED = Path(__file__).parents[2] / "openapi" / "released"
NOW = openapi_document()


def released() -> list[Path]:
    return sorted(RELEASED.glob("leaveline-*.yaml"))


@pytest.mark.parametrize("path", released(), ids=lambda path: path.stem)
def test_nothing_that_was_released_is_taken_away(path: Path) -> None:
    old = yaml.safe_load(path.read_text(encoding="utf-8"))
    assert f"leaveline-{old['info']['version']}.yaml" == path.name
    if old["info"]["version"].split(".")[0] == __version__.split(".")[0]:
        assert breaking(old, NOW) == []


def test_there_is_a_released_contract_to_compare_with() -> None:
    assert released()


def schema(document: Document, name: str) -> Document:
    found: Document = document["components"]["schemas"][name]
    return found


def field(document: Document, name: str) -> Document:
    owner, _, own = name.partition(".")
    found: Document = schema(document, owner)["properties"][own]
    return found


def operation(document: Document, path: str, method: str) -> Document:
    found: Document = document["paths"][path][method]
    return found


def parameters(document: Document) -> list[Document]:
    found: list[Document] = operation(document, "/v1/lines/{leave}", "get")["parameters"]
    return found


NEW_FIELD = {"type": "integer", "minimum": 0, "maximum": 9}
NEW_PARAMETER = {"in": "query", "name": "more", "schema": NEW_FIELD}

BREAKS: dict[str, tuple[Callable[[Document], Any], str]] = {
    "a path": (lambda d: d["paths"].pop("/v1/limits"), "GET /v1/limits: the operation is gone"),
    "an operation": (lambda d: d["paths"]["/v1/lines"].pop("post"), "the operation is gone"),
    "its name": (
        lambda d: operation(d, "/v1/lines", "post").update(operationId="findLines"),
        "generated clients know it as solveLines",
    ),
    "a parameter": (lambda d: parameters(d).pop(), "the parameter oil_length_ft is gone"),
    "a parameter made required": (
        lambda d: parameters(d)[1].update(required=True),
        "the parameter hand is newly required",
    ),
    "a required parameter more": (
        lambda d: parameters(d).append({**NEW_PARAMETER, "required": True}),
        "the parameter more is newly required",
    ),
    "a parameter's range": (
        lambda d: parameters(d)[-1]["schema"].update(maximum=50),
        "parameter oil_length_ft: maximum was 55.0, is 50",
    ),
    "a parameter's word": (
        lambda d: parameters(d)[1]["schema"]["enum"].remove("left"), "'left' is no longer taken",
    ),
    "a key for everybody": (
        lambda d: operation(d, "/v1/lines", "post").update(security=[{"api_key": []}]),
        "now always asks for a key",
    ),
    "a form of the request": (
        lambda d: operation(d, "/v1/lines", "post")["requestBody"].update(content={}),
        "the form application/json is gone",
    ),
    "a form of the answer": (
        lambda d: operation(d, "/v1/lines", "post")["responses"]["200"]["content"].pop(
            "image/svg+xml"
        ),
        "the form image/svg+xml is gone",
    ),
    "a status": (
        lambda d: operation(d, "/v1/lines", "post")["responses"].pop("422"),
        "the status 422 is gone",
    ),
    "a field of an answer": (
        lambda d: schema(d, "LineAnswer")["properties"].pop("words"), "words: the field is gone",
    ),
    "a field of an answer not promised": (
        lambda d: schema(d, "LineAnswer")["required"].remove("words"),
        "words: the field may now be missing",
    ),
    "a field of a request": (
        lambda d: schema(d, "Spread")["properties"].pop("rotation_deg"),
        "rotation_deg: the field is gone",
    ),
    "a field of a request made required": (
        lambda d: schema(d, "LinesRequest")["required"].append("bowler"),
        "bowler: the field is newly required",
    ),
    "a required field more": (
        lambda d: schema(d, "Bowler").update(
            properties={**schema(d, "Bowler")["properties"], "age": NEW_FIELD}, required=["age"]
        ),
        "age: the field is newly required",
    ),
    "a word of a request": (
        lambda d: field(d, "LinesRequest.play")["enum"].remove("both"), "'both' is no longer taken",
    ),
    "a word more in a closed answer": (
        lambda d: field(d, "AdviceAnswer.play")["enum"].append("neither"),
        "'neither' was not among the words that come",
    ),
    "words no longer closed": (
        lambda d: field(d, "AdviceAnswer.play").pop("enum"), "the words are no longer limited",
    ),
    "words newly closed": (
        lambda d: field(d, "BatchItem.id").update(enum=["a"]), "the words are now limited",
    ),
    "a range's upper end": (
        lambda d: field(d, "Ball.weight_lb").update(maximum=15), "maximum was 16, is 15",
    ),
    "a range's lower end": (
        lambda d: field(d, "Ball.weight_lb").update(minimum=8), "minimum was 6, is 8",
    ),
    "a shorter list": (
        lambda d: field(d, "BatchRequest.items").update(maxItems=100), "maxItems was 2000, is 100",
    ),
    "a longer list needed": (
        lambda d: field(d, "BatchRequest.items").update(minItems=2), "minItems was 1, is 2",
    ),
    "a shorter text": (
        lambda d: field(d, "BatchItem.id").update(maxLength=8), "maxLength was 64, is 8",
    ),
    "a new bound": (
        lambda d: field(d, "BatchItem.id").update(pattern="^a"), "the pattern was None, is ^a",
    ),
    "a wider range in an answer": (
        lambda d: field(d, "LineAnswer.make_probability").update(maximum=100),
        "maximum was 1, is 100",
    ),
    "a type of a request": (
        lambda d: field(d, "Ball.weight_lb").update(type="integer"),
        "the type was ['number'], is ['integer']",
    ),
    "a type of an answer": (
        lambda d: field(d, "PinfallAnswer.pins").update(type="number"),
        "the type was ['integer'], is ['number']",
    ),
    "a null in an answer": (
        lambda d: field(d, "LineAnswer.words").update(type=["string", "null"]),
        "the type was ['string'], is ['null', 'string']",
    ),
    "a form of a leave": (
        lambda d: field(d, "LinesRequest.leave")["oneOf"].pop(), "(array) is no longer taken",
    ),
    "a form of a ball, deep in a list": (
        lambda d: field(d, "Situation.own_rolls")["items"]["oneOf"].pop(0),
        "(integer) is no longer taken",
    ),
    "a default": (
        lambda d: field(d, "LinesRequest.limit").update(default=4), "the default was None, is 4",
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", BREAKS)
def test_a_change_that_breaks_is_found(what: str) -> None:
    change, says = BREAKS[what]
    new = copy.deepcopy(NOW)
    change(new)
    assert any(says in found for found in breaking(NOW, new)), breaking(NOW, new)


ADDITIONS: dict[str, Callable[[Document], Any]] = {
    "an operation": lambda d: d["paths"].update({"/v1/more": d["paths"]["/v1/limits"]}),
    "a parameter": lambda d: parameters(d).append(NEW_PARAMETER),
    "a word of a request": lambda d: field(d, "LinesRequest.play")["enum"].append("all"),
    "a field of an answer": lambda d: schema(d, "LineAnswer").update(
        properties={**schema(d, "LineAnswer")["properties"], "more": NEW_FIELD},
        required=[*schema(d, "LineAnswer")["required"], "more"],
    ),
    "a field of a request": lambda d: schema(d, "Bowler")["properties"].update(more=NEW_FIELD),
    "a field no longer required": lambda d: schema(d, "OilZone")["required"].remove("amount"),
    "a wider range": lambda d: field(d, "Ball.weight_lb").update(maximum=17),
    "a longer list": lambda d: field(d, "BatchRequest.items").update(maxItems=3000),
    "a wider type": lambda d: field(d, "LinesRequest.limit").update(type="number"),
    "a narrower answer": lambda d: field(d, "LineAnswer.expected_pins").update(maximum=9),
    "a word less in an answer": lambda d: field(d, "LeaveAnswer.category")["enum"].pop(),
    "a status": lambda d: operation(d, "/v1/lines", "post")["responses"].update(
        {"429": {"description": "Too many.", "content": {}}}
    ),
    "a form of the answer": lambda d: operation(d, "/v1/limits", "get")["responses"]["200"][
        "content"
    ].update({"text/plain": {"schema": {"type": "string"}}}),
    "other words of ours": lambda d: field(d, "LineAnswer.words").update(description="Other."),
    "a schema renamed": lambda d: d["components"]["schemas"].update(
        LaneUsed=d["components"]["schemas"]["Lane"],
        LinesRequest={
            **schema(d, "LinesRequest"),
            "properties": {
                **schema(d, "LinesRequest")["properties"],
                "lane": {"$ref": "#/components/schemas/LaneUsed"},
            },
        },
    ),
}


@pytest.mark.parametrize("what", ADDITIONS)
def test_an_addition_passes(what: str) -> None:
    new = copy.deepcopy(NOW)
    ADDITIONS[what](new)
    assert new != NOW
    assert breaking(NOW, new) == []


def test_the_same_contract_takes_nothing_away() -> None:
    assert breaking(NOW, copy.deepcopy(NOW)) == []


def without_examples(value: Any) -> Any:
    """The same, lighter to copy."""
    if isinstance(value, dict):
        return {k: without_examples(v) for k, v in value.items() if k != "examples"}
    return [without_examples(v) for v in value] if isinstance(value, list) else value


BARE = without_examples(NOW)


def removals() -> Iterator[tuple[str, Document]]:
    """The contract without one operation, parameter, status or field, one after another."""
    for path, item in BARE["paths"].items():
        for method in set(item) & set(METHODS):
            for key in ("", "parameters", "responses"):
                for name in item[method].get(key, []) if key else [""]:
                    new = copy.deepcopy(BARE)
                    owner = new["paths"][path]
                    if key == "parameters":
                        owner[method][key].remove(name)
                    elif key:
                        del owner[method][key][name]
                    else:
                        del owner[method]
                    yield f"{method} {path} {key} {name}", new
    for owner_name, owner in BARE["components"]["schemas"].items():
        for name in owner["properties"]:
            new = copy.deepcopy(BARE)
            del schema(new, owner_name)["properties"][name]
            yield f"{owner_name}.{name}", new


def test_whatever_is_removed_is_found() -> None:
    """Exhaustively, so that no corner of the document is left out of the comparison."""
    unseen = [what for what, new in removals() if not breaking(BARE, new)]
    assert unseen == []
