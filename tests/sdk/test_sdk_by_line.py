"""A batch's answer as it comes: one result a line, so that no silence is longer than an item."""

from __future__ import annotations

import json
import socket
import time
from collections.abc import Callable, Iterable, Sequence

import pytest
from flask import Flask
from leaveline_client import Client, ConnectFailed, UnexpectedReply

from tests.sdk.helpers import BASE_URL, Act, ScriptedServer, Waits, session_for

Start = Callable[[Iterable[Act]], ScriptedServer]
ITEMS = [{"id": str(n), "leave": "3-11"} for n in range(4)]
PROBLEM = {"type": "/problems/x", "title": "No", "status": 422, "detail": "no such pin"}
LINES = [json.dumps({"id": str(n), "index": n, "problem": PROBLEM}).encode() for n in range(4)]
END = b"0\r\n\r\n"


def in_lines(lines: Sequence[bytes], *, pause_s: float = 0.0, end: bytes = END) -> Act:
    """Send lines in chunks of their own, each after a pause."""

    def act(connection: socket.socket) -> None:
        head = "HTTP/1.1 200 OK\r\nContent-Type: application/x-ndjson\r\nConnection: close\r\n"
        connection.sendall(f"{head}Transfer-Encoding: chunked\r\n\r\n".encode())
        for line in lines:
            time.sleep(pause_s)
            connection.sendall(b"%x\r\n%s\n\r\n" % (len(line) + 1, line))
        connection.sendall(end)

    return act


def test_lines_are_asked_for_and_read_as_the_whole(app: Flask) -> None:
    items = [{"leave": "3-10"}, {"leave": "3-11"}, {"id": "ä", "leave": "7", "limit": 1}]
    whole = app.test_client().post("/v1/lines/batch", json={"items": items})
    with session_for(app) as session, Client(BASE_URL, session=session) as client:
        answer = client.lines_batch(items=items)
    assert answer.meta.headers["content-type"] == "application/x-ndjson"
    assert len(answer.meta.body.splitlines()) == 3
    assert answer.raw == whole.get_json()
    assert list(answer.raw) == list(whole.get_json())


def test_a_long_answer_may_take_longer_than_one_silence(scripted: Start) -> None:
    server = scripted([in_lines(LINES, pause_s=0.4)])
    with Client(server.url, timeout=(5, 1.2), max_retries=0) as client:
        answer = client.lines_batch(items=ITEMS)
    assert [item.id for item in answer.results] == ["0", "1", "2", "3"]
    assert (answer.succeeded_count, answer.failed_count) == (0, 4)


def test_an_answer_that_breaks_off_is_asked_for_again(scripted: Start, waits: Waits) -> None:
    server = scripted([in_lines(LINES[:2], end=b""), in_lines(LINES)])
    with Client(server.url, **waits.options) as client:
        assert len(client.lines_batch(items=ITEMS).results) == 4
    with (
        Client(scripted([in_lines(LINES[:2], end=b"")]).url, **waits.options) as client,
        pytest.raises(ConnectFailed),
    ):
        client.lines_batch(items=ITEMS)


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        (LINES[:3], "a batch of 4 holds 3 items"),
        ([*LINES, LINES[0]], "a batch of 4 holds 5 items"),
        ([], "a batch of 4 holds 0 items"),
        ([*LINES[:3], b"{"], "is not JSON"),
        ([*LINES[:3], b"7"], "#/results/3 should be an object"),
    ],
)
def test_what_is_no_whole_answer_is_not_taken(
    scripted: Start, lines: list[bytes], says: str
) -> None:
    with (
        Client(scripted([in_lines(lines)]).url) as client,
        pytest.raises(UnexpectedReply, match=says),
    ):
        client.lines_batch(items=ITEMS)
