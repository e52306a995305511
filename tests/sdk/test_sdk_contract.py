"""The SDK's classes against the service's OpenAPI document and its real answers."""

from __future__ import annotations

import dataclasses
import inspect
import types
import typing
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import leaveline_client
import pytest
from flask import Flask
from leaveline.web.document import openapi_document
from leaveline_client import Client
from leaveline_client.asking import Asked
from leaveline_client.errors import InvalidRequest
from leaveline_client.reading import NOT_ON_THE_WIRE, Part

DOCUMENT = openapi_document()
SCHEMAS: dict[str, dict[str, Any]] = DOCUMENT["components"]["schemas"]
ANSWERS = sorted(name for name in SCHEMAS if name.endswith("Answer"))
REQUESTS = sorted(set(SCHEMAS) - set(ANSWERS) - {"BatchRequest"})  # lines_batch takes its items

METHODS = {
    "listLeaves": "leaves",
    "getLeave": "leave",
    "solveLines": "lines",
    "getLines": "lines_for",
    "solveLinesBatch": "lines_batch",
    "giveAdvice": "advice",
    "fitAccuracy": "accuracy",
    "giveReview": "review",
    "compareBalls": "compare",
    "getPicture": "picture",
    "getLimits": "limits",
    "getHealth": "health",
    "getReadiness": "ready",
}

PICTURE_CHOICE = {"kind", "line"}

JSON_TYPES = {"string": str, "integer": int, "number": float, "boolean": bool}

LEAVES = ["10", "7-10", "3-10", "1-2-10", "3-6-9-10", "2-4-5-8", "4-6-7-9-10"]
ASKED: list[dict[str, Any]] = [
    {"leave": "10", "balls": [{"cover": "polyester"}, {"weight_lb": 10}], "limit": 1},
    {"leave": "3-10", "sensitivity": True},
    {"leave": [10, 6, 3], "play": "both", "limit": 2},
    {"leave": "7-10", "bowler": {"hand": "left", "level": "tour"}, "play": "count", "seed": 7},
    {
        "leave": "1-2-10",
        "bowler": {"spread": {"target_boards": 0.1}, "stance": {"drift_boards": 1}},
    },
]

SITUATIONS: list[dict[str, Any]] = [
    {"kind": "score"},
    {
        "kind": "cut",
        "pins_before": 1000,
        "games_after": 0,
        "cut_pins": 1110,
        "own_rolls": [*["9", "/"] * 5, "S8"],
    },
    {
        "kind": "match",
        "own_rolls": [*["X"] * 8, 8],
        "opponent_rolls": [*["X"] * 8],
        "opponent_strength": {"average_pins": 210},
        "tie_rule": "half",
    },
]


@pytest.mark.parametrize("name", ANSWERS)
def test_every_property_of_an_answer_has_a_field_of_its_type(name: str) -> None:
    cls = getattr(leaveline_client, name)
    fields = {f.name: f for f in dataclasses.fields(cls) if f.name not in NOT_ON_THE_WIRE}
    hints = get_type_hints(cls)
    schema = SCHEMAS[name]
    assert schema["properties"].keys() <= fields.keys()
    for property_name, property_schema in schema["properties"].items():
        has_default = fields[property_name].default is not dataclasses.MISSING
        # A problem made by the client itself has no request id.
        if (name, property_name) != ("ProblemAnswer", "request_id"):
            assert has_default == (property_name not in schema["required"]), property_name
        assert _matches(hints[property_name], property_schema), property_name


@pytest.mark.parametrize("name", REQUESTS)
def test_a_request_has_a_field_for_every_property_and_no_other(name: str) -> None:
    cls = getattr(leaveline_client, name)
    assert issubclass(cls, Asked)
    ours = {f.name for f in dataclasses.fields(cls)}
    theirs = set(SCHEMAS[name]["properties"])
    assert ours == theirs


def test_every_operation_has_a_method_that_takes_its_parameters() -> None:
    for path in DOCUMENT["paths"].values():
        for operation in path.values():
            method = getattr(Client, METHODS[operation["operationId"]])
            names = {p["name"] for p in operation.get("parameters", [])}
            if operation["operationId"] == "solveLines":
                names -= PICTURE_CHOICE  # which picture is asked of the line: LineAnswer.picture
            body = operation.get("requestBody", {}).get("content", {}).get("application/json")
            if body:
                names |= set(SCHEMAS[body["schema"]["$ref"].split("/")[-1]]["properties"])
            assert names <= inspect.signature(method).parameters.keys(), operation["operationId"]


@pytest.mark.parametrize("leave", LEAVES)
def test_a_leave_is_field_by_field_what_was_sent(client: Client, app: Flask, leave: str) -> None:
    answer = client.leave(leave)
    _assert_same(answer, app.test_client().get(f"/v1/leaves/{leave}").get_json())


@pytest.mark.parametrize("asked", ASKED)
def test_lines_are_field_by_field_what_was_sent(
    client: Client, app: Flask, asked: dict[str, Any]
) -> None:
    sent = app.test_client().post("/v1/lines", json=asked)
    answer = client.lines(**asked)
    _assert_same(answer, sent.get_json())
    assert answer.meta.body == sent.data


@pytest.mark.parametrize("situation", SITUATIONS)
def test_advice_is_field_by_field_what_was_sent(
    client: Client, app: Flask, situation: dict[str, Any]
) -> None:
    asked = {"leave": "7-10", "situation": situation}
    sent = app.test_client().post("/v1/advice", json=asked)
    answer = client.advice(leave="7-10", situation=situation)
    _assert_same(answer, sent.get_json())
    values = [getattr(answer.plays.spare, answer.maximised)]
    values.append(getattr(answer.plays.count, answer.maximised))
    assert answer.margin == pytest.approx(max(values) - min(values), abs=2e-6)


def test_all_leaves_are_field_by_field_what_was_sent(client: Client, app: Flask) -> None:
    answer = client.leaves()
    _assert_same(answer, app.test_client().get("/v1/leaves").get_json())
    assert answer.count == len(answer.items) == 1023


def test_a_batch_is_field_by_field_what_was_sent(client: Client, app: Flask) -> None:
    items = [*({"id": "a", **asked} for asked in ASKED), {"leave": "3-11"}, {"id": 3, "leave": "3"}]
    answer = client.lines_batch(items=items)
    _assert_same(
        answer, app.test_client().post("/v1/lines/batch", json={"items": items}).get_json()
    )
    refused = len(ASKED)
    assert [item.id for item in answer.results] == [*"a" * refused, str(refused), None]
    assert [item.index for item in answer.failures] == [refused, refused + 1]
    assert (answer.succeeded_count, answer.failed_count) == (len(answer.successes), 2)


def test_lines_in_a_few_words_are_what_was_sent(client: Client, app: Flask) -> None:
    sent = app.test_client().get("/v1/lines/3-10?hand=left&level=tour")
    _assert_same(client.lines_for([10, 3], hand="left", level="tour"), sent.get_json())


def test_health_is_what_was_sent(client: Client, app: Flask) -> None:
    _assert_same(client.health(), app.test_client().get("/healthz").get_json())
    _assert_same(client.limits(), app.test_client().get("/v1/limits").get_json())
    _assert_same(client.ready(), app.test_client().get("/readyz").get_json())


def _assert_same(answer: Any, sent: Any) -> None:
    """Each value sent is there under its name, through all levels, and nothing else is."""
    if isinstance(answer, Part):
        assert answer.raw == sent
        assert answer.to_dict() == sent
        for name, value in sent.items():
            _assert_same(getattr(answer, name), value)
    elif isinstance(answer, tuple):
        assert len(answer) == len(sent)
        for ours, theirs in zip(answer, sent, strict=True):
            _assert_same(ours, theirs)
    else:
        assert answer == sent
        assert isinstance(sent, bool) == isinstance(answer, bool)


def _matches(hint: Any, schema: dict[str, Any]) -> bool:
    """Whether a field's type is what the schema allows."""
    origin, args = get_origin(hint), get_args(hint)
    kinds = schema["type"] if isinstance(schema.get("type"), list) else [schema.get("type")]
    options = schema.get("anyOf", [])
    if origin in (Union, types.UnionType):
        nullable = types.NoneType in args
        rest = [a for a in args if a is not types.NoneType and get_origin(a) is not Literal]
        others = [o for o in options if o.get("type") != "null"] or [
            {**schema, "type": next(k for k in kinds if k != "null")}
        ]
        # A field that may be missing is None too; only a null that is sent has to be allowed.
        return (nullable or "null" not in kinds) and _matches(rest[0], others[0])
    if origin is tuple:
        return kinds == ["array"] and _matches(args[0], schema["items"])
    if inspect.isclass(hint) and issubclass(hint, Part):
        return hint.__name__ == str(schema.get("$ref")).split("/")[-1]
    return [JSON_TYPES.get(str(kind)) for kind in kinds] == [hint]


def test_the_type_comparison_can_fail() -> None:
    assert _matches(typing.cast(Any, float), {"type": "number"})
    assert not _matches(typing.cast(Any, int), {"type": "number"})
    assert not _matches(tuple[int, ...], {"type": "array", "items": {"type": "string"}})
    assert not _matches(str, {"type": ["string", "null"]})
    assert not _matches(leaveline_client.GapAnswer, {"$ref": "#/components/schemas/LineAnswer"})


def test_a_picture_is_what_was_sent(client: Client, app: Flask) -> None:
    sent = app.test_client().get("/v1/pictures/1-2-10.svg?hand=left").get_data(as_text=True)
    assert client.picture("1-2-10", hand="left") == sent
    assert sent.startswith("<svg")
    with pytest.raises(InvalidRequest):
        client.picture("10", line=15)


ROWS = [
    {"game": 1, "frame": 1, "rolls": "9/", "leave": [10], "ball": "plastic"},
    {"game": 1, "frame": 2, "rolls": [9, 0], "leave": "10", "missed_target_by_boards": 1.5},
    {"game": 1, "frame": 3, "rolls": "X"},
    {"rolls": "??"},
]
PRACTICE: list[tuple[str, str, dict[str, Any]]] = [
    ("accuracy", "/v1/accuracy", {}),
    (
        "accuracy",
        "/v1/accuracy",
        {
            "results": [{"leave": "10", "attempts": 40, "made": 28}],
            "target_misses_boards": [0, 1, -1, 2],
            "pins_misses_boards": [3],
            "bowler": {"hand": "left", "level": "scratch"},
            "look_for_lean": False,
            "confidence": 0.9,
        },
    ),
    ("review", "/v1/reviews", {"rows": ROWS}),
    (
        "review",
        "/v1/reviews",
        {
            "csv": "rolls;leave\n9/;10\n9-;7\n",
            "bowler": {"spread": {"target_boards": 1}},
            "scoring": "current_frame",
            "drill_confidence": 0.8,
            "limit": 1,
        },
    ),
    (
        "compare",
        "/v1/comparisons",
        {
            "bowler": {"ball": {"cover": "urethane"}},
            "options": [{"name": "now"}, {"name": "steady", "spread": {"rotation_deg": 1}}],
            "leave_counts": [{"leave": "10", "count": 3}],
            "games": 2,
            "target_boards": {"value": 1.3, "low": 1, "high": 1.6},
        },
    ),
    ("compare", "/v1/comparisons", {"rows": ROWS, "lane": {"oil": {"length_ft": 42}}}),
]


@pytest.mark.parametrize(("method", "path", "asked"), PRACTICE)
def test_practice_is_field_by_field_what_was_sent(
    client: Client, app: Flask, method: str, path: str, asked: dict[str, Any]
) -> None:
    sent = app.test_client().post(path, json=asked)
    answer = getattr(client, method)(**asked)
    _assert_same(answer, sent.get_json())
    assert answer.meta.body == sent.data
