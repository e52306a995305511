"""Reading answers: what is unknown is kept, what is wrong is named."""

from __future__ import annotations

from typing import Any

import pytest
from leaveline_client import (
    CautionAnswer,
    Client,
    GapAnswer,
    LinesAnswer,
    ProblemAnswer,
    UnexpectedReply,
)
from leaveline_client.reading import Mismatch, read
from leaveline_client.replies import Reply, answer

GAP: dict[str, Any] = {"pins": [4, 5], "clear_in": 7.234, "ball_fits": False}


def test_fields_of_a_newer_service_are_ignored_but_kept() -> None:
    gap = read(GapAnswer, GAP | {"colour": "amber"})
    assert gap == read(GapAnswer, GAP)
    assert gap.raw["colour"] == "amber"
    assert gap.to_dict() == GAP


def test_optional_fields_are_written_where_they_were_sent_or_set() -> None:
    sent = {"type": "t", "title": "T", "status": 422, "detail": "d"}
    assert read(ProblemAnswer, sent).to_dict() == sent
    assert read(ProblemAnswer, sent | {"errors": []}).to_dict() == sent | {"errors": []}
    own = ProblemAnswer(type="t", title="T", status=422, detail="d", request_id="r")
    assert own.to_dict() == sent | {"request_id": "r"}


def test_new_words_of_an_open_set_are_taken() -> None:
    caution = {"code": "splice", "side": "middle", "probability": 0.1, "leaves_pins": []}
    assert read(CautionAnswer, caution).code == "splice"
    assert read(CautionAnswer, caution | {"side": None}).side is None


def test_a_whole_number_does_for_a_number() -> None:
    gap = read(GapAnswer, GAP | {"clear_in": 7})
    assert gap.clear_in == 7
    assert isinstance(gap.clear_in, float)


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"pins": 4}, "#/pins should be a list, not 4"),
        ({"pins": [4, "5"]}, "#/pins/1 should be a whole number, not '5'"),
        ({"pins": [4, 5.0]}, "#/pins/1 should be a whole number, not 5.0"),
        ({"clear_in": "7.2"}, "#/clear_in should be a number, not '7.2'"),
        ({"clear_in": None}, "#/clear_in should be a number, not None"),
        ({"clear_in": True}, "#/clear_in should be a number, not True"),
        ({"ball_fits": 1}, "#/ball_fits should be a bool, not 1"),
    ],
)
def test_a_value_of_another_type_is_named(changed: dict[str, Any], says: str) -> None:
    with pytest.raises(Mismatch) as caught:
        read(GapAnswer, GAP | changed)
    assert str(caught.value) == says


def test_a_missing_field_is_named_with_its_place(client: Client) -> None:
    sent = dict(client.lines(leave="3-10", limit=1).raw)
    line = {name: value for name, value in sent["lines"][0].items() if name != "miss_room"}
    with pytest.raises(Mismatch, match=r"^#/lines/0 should have the field miss_room$"):
        read(LinesAnswer, sent | {"lines": [line]})
    with pytest.raises(Mismatch, match=r"^#/lines/0 should be an object, not 3$"):
        read(LinesAnswer, sent | {"lines": [3]})


@pytest.mark.parametrize(
    ("body", "says"),
    [
        (b"", "the answer is not JSON (text/plain, 0 bytes)"),
        (b"<html>", "the answer is not JSON (text/plain, 6 bytes)"),
        (b"\xff\xfe", "the answer is not JSON"),
        (b'{"pins": NaN}', "NaN is not JSON"),
        (b"[" * 100_000, "the answer is not JSON"),
        (b"[]", "the answer is not what this client reads: # should be an object, not []"),
        (b"null", "# should be an object, not None"),
    ],
)
def test_an_answer_that_is_none_is_an_unexpected_reply(body: bytes, says: str) -> None:
    reply = Reply(
        status=200,
        headers={"content-type": "text/plain"},
        body=body,
        request_id="the-id",
        attempts=1,
        elapsed_s=0.1,
    )
    with pytest.raises(UnexpectedReply) as caught:
        answer(LinesAnswer, reply)
    assert says in str(caught.value)
    assert str(caught.value).startswith("the-id: ")
    assert caught.value.body == body
    assert caught.value.__cause__ is not None
