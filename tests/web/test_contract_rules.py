"""The contract keeps the house rules, and each rule notices when it is broken."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest
from leaveline.web.document import openapi_document

from tests.web.contract_rules import RULES, Document, complaints

DOCUMENT = openapi_document()


def test_the_contract_keeps_every_rule() -> None:
    assert complaints(DOCUMENT) == []


def lines(document: Document) -> Document:
    found: Document = document["paths"]["/v1/lines"]["post"]
    return found


def few_words(document: Document) -> list[Document]:
    found: list[Document] = document["paths"]["/v1/lines/{leave}"]["get"]["parameters"]
    return found


def fields(document: Document, schema: str) -> Document:
    found: Document = document["components"]["schemas"][schema]["properties"]
    return found


WRONGS: list[tuple[str, Callable[[Document], Any]]] = [
    ("operation_ids", lambda d: lines(d).update(operationId="solve_lines")),
    ("operation_ids", lambda d: lines(d).update(operationId="getLines")),
    ("operations_are_described", lambda d: lines(d).pop("summary")),
    ("operations_are_described", lambda d: lines(d).pop("description")),
    ("operations_are_described", lambda d: lines(d).update(tags=["other"])),
    ("operations_are_described", lambda d: d["tags"].append({"name": "x", "description": "y"})),
    ("paths_are_plain", lambda d: d["paths"].update({"/v1/Lines/": {}})),
    ("parameters_are_described", lambda d: few_words(d)[1].pop("description")),
    ("parameters_are_described", lambda d: few_words(d)[1].pop("example")),
    ("parameters_are_described", lambda d: few_words(d)[1]["schema"].pop("enum")),
    ("schemas_are_described", lambda d: d["components"]["schemas"]["Bowler"].pop("description")),
    ("schemas_are_described", lambda d: fields(d, "Bowler")["hand"].pop("description")),
    ("names_are_snake_case", lambda d: fields(d, "Bowler").update(Hand=fields(d, "Oil")["ratio"])),
    ("enum_words_are_snake_case", lambda d: fields(d, "Bowler")["hand"]["enum"].append("Both")),
    ("numbers_have_ranges_or_units", lambda d: fields(d, "Ball")["weight_lb"].pop("maximum")),
    ("numbers_have_ranges_or_units", lambda d: fields(d, "OptionAnswer")["index"].pop("maximum")),
    ("what_is_sent_is_bounded", lambda d: fields(d, "BatchItem")["id"].pop("maxLength")),
    ("what_is_sent_is_bounded", lambda d: fields(d, "Situation")["own_rolls"].pop("maxItems")),
    (
        "requests_are_closed_and_answers_open",
        lambda d: d["components"]["schemas"]["Bowler"].update(additionalProperties=True),
    ),
    (
        "objects_have_names",
        lambda d: fields(d, "Bowler").update(
            shoes={"type": "object", "description": "Of no name.", "properties": {}}
        ),
    ),
    ("problems_are_told", lambda d: lines(d)["responses"].pop("415")),
    ("problems_are_told", lambda d: lines(d).pop("security")),
    ("problems_are_told", lambda d: lines(d)["responses"]["422"].update(content={})),
    ("problems_are_told", lambda d: lines(d)["responses"]["422"].pop("headers")),
    (
        "everything_has_an_example",
        lambda d: lines(d)["requestBody"]["content"]["application/json"].pop("examples"),
    ),
    (
        "everything_has_an_example",
        lambda d: lines(d)["responses"]["200"]["content"]["application/json"].pop("examples"),
    ),
    (
        "every_component_is_used",
        lambda d: d["components"]["schemas"].update(Shoes=d["components"]["schemas"]["Oil"]),
    ),
]


@pytest.mark.parametrize(("name", "spoil"), WRONGS)
def test_a_broken_rule_is_noticed(name: str, spoil: Callable[[Document], Any]) -> None:
    document = copy.deepcopy(DOCUMENT)
    spoil(document)
    assert {found.split(":")[0] for found in complaints(document)} >= {name}


def test_every_rule_is_seen_to_fail() -> None:
    assert {name for name, _ in WRONGS} == {rule.__name__ for rule in RULES}
