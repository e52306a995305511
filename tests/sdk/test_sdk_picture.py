"""`line.picture()`: a line got through the client is drawn as it was answered."""

from __future__ import annotations

import copy
import pickle
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from flask import Flask
from leaveline_client import Client, InvalidRequest, LineAnswer, UnexpectedReply
from leaveline_client.reading import read

from tests.sdk.helpers import BASE_URL, answers, session_for

HOOKING: dict[str, Any] = {
    "hand": "left",
    "level": "scratch",
    "ball": {"cover": "reactive_solid", "weight_lb": 14},
    "release": {"speed_mph": 17, "rev_rate_rpm": 300, "axis_rotation_deg": 45},
}
OIL = {"oil": {"length_ft": 38, "ratio": 4}}
NUMBERS = (
    "stand_board", "lay_down_board", "target_board", "board_at_pins", "entry_angle_deg",
    "make_probability", "expected_pins",
)  # fmt: skip


def assert_drawn(line: LineAnswer, leave: str, hand: str) -> None:
    """The line's picture is of this very line."""
    root = ET.fromstring(line.picture())
    assert (root.get("data-leave"), root.get("data-hand")) == (leave, hand)
    assert root.get("data-play") == line.play
    told = {name: float(root.get(f"data-{name.replace('_', '-')}", "nan")) for name in NUMBERS}
    assert told == {name: getattr(line, name) for name in NUMBERS}


def test_every_line_of_an_answer(client: Client) -> None:
    answer = client.lines(leave=[10, 3], bowler=HOOKING, lane=OIL, play="both", limit=2, seed=7)
    assert len(answer.lines) >= 3
    for line in answer.lines:
        assert_drawn(line, "3-10", "left")


def test_every_line_asked_for_in_a_few_words(client: Client) -> None:
    answer = client.lines_for("2-4-5-8", hand="left", level="tour", oil_length_ft=40)
    for index, line in enumerate(answer.lines):
        assert_drawn(line, "2-4-5-8", "left")
        assert line.picture() == client.picture(
            "2-4-5-8", line=index, hand="left", level="tour", oil_length_ft=40
        )


@pytest.mark.parametrize(
    "compared",
    [
        {"balls": [{"cover": "reactive_solid"}, {"cover": "polyester", "weight_lb": 12}]},
        {
            "releases": [
                {"speed_mph": 15, "rev_rate_rpm": 250},
                {"speed_mph": 19, "rev_rate_rpm": 120},
            ]
        },
    ],
)
def test_the_lines_of_a_comparison(client: Client, compared: dict[str, Any]) -> None:
    answer = client.lines(leave="10", bowler=HOOKING, lane=OIL, play="count", **compared)
    first, second = answer.comparison
    assert first.line.target_board != second.line.target_board
    for option in answer.comparison:
        assert_drawn(option.line, "10", "left")


def test_the_lines_of_a_batch(client: Client) -> None:
    items = [{"leave": "7-10"}, {"leave": "3-11"}, {"id": "b", "leave": "1-2-10", "play": "both"}]
    answer = client.lines_batch(items=items)
    assert len(answer.successes) == 2
    for item in answer.successes:
        assert item.result is not None
        for line in item.result.lines:
            assert_drawn(line, item.result.leave, "right")


def test_the_lines_of_an_advice(client: Client) -> None:
    answer = client.advice(
        leave="4-6-7-10", situation={"kind": "score"}, bowler=HOOKING, lane=OIL, seed=3
    )
    assert (answer.plays.spare.line.play, answer.plays.count.line.play) == ("spare", "count")
    assert_drawn(answer.plays.spare.line, "4-6-7-10", "left")
    assert_drawn(answer.plays.count.line, "4-6-7-10", "left")


def test_the_carry_instead(client: Client) -> None:
    (line,) = client.lines(leave="1-2-10", bowler={"hand": "left"}, limit=1).lines
    root = ET.fromstring(line.picture(kind="carry"))
    assert (root.get("data-kind"), root.get("data-hand")) == ("carry", "left")
    with pytest.raises(InvalidRequest, match="query/kind"):
        line.picture(kind="map")  # type: ignore[arg-type]


@pytest.mark.parametrize("again", [copy.deepcopy, lambda line: pickle.loads(pickle.dumps(line))])
def test_a_copy_is_equal_and_says_that_it_cannot_be_drawn(
    client: Client, again: Callable[[Any], Any]
) -> None:
    answer = client.lines(leave="3-10", limit=1)
    other = again(answer.lines[0])
    assert other == answer.lines[0]
    assert repr(other) == repr(answer.lines[0])
    assert "drawing" not in repr(other)
    assert other.to_dict() == dict(answer.lines[0].raw)
    with pytest.raises(RuntimeError, match="does not know the service"):
        other.picture()


def test_a_pickle_holds_no_key(app: Flask) -> None:
    with session_for(app) as session, Client(BASE_URL, api_key="the-key", session=session) as one:
        kept = pickle.dumps(one.lines(leave="3-10", limit=1).lines)
    assert b"the-key" not in kept


def test_a_line_of_no_client_says_so(client: Client) -> None:
    (line,) = client.lines(leave="3-10", limit=1).lines
    with pytest.raises(RuntimeError, match=r"use Client\.picture"):
        read(LineAnswer, dict(line.raw)).picture()
    (row,) = client.lines_many(["3-10"])
    assert row.result is not None
    with pytest.raises(RuntimeError, match="lines_many"):
        row.result.lines[0].picture()
    for same in (replace(line), copy.copy(line)):
        assert same.picture() == line.picture()


def test_a_client_that_was_closed_says_so(app: Flask) -> None:
    with session_for(app) as session:
        with Client(BASE_URL, session=session) as one:
            (line,) = one.lines(leave="3-10", limit=1).lines
        with pytest.raises(RuntimeError, match="client is closed"):
            line.picture()


def test_an_answer_that_is_no_picture_is_unexpected(
    client: Client, scripted: Callable[..., Any]
) -> None:
    sent = client.lines(leave="3-10", limit=1).meta.body
    server = scripted([answers("200 OK", sent, "Content-Type: application/json")])
    with Client(server.url, max_retries=0) as one:
        (line,) = one.lines(leave="3-10", limit=1).lines
        with pytest.raises(UnexpectedReply, match="not a picture"):
            line.picture()
    assert b"Accept: image/svg+xml" in server.requests[1]
    assert b"POST /v1/lines?line=0 " in server.requests[1]
