"""A bulk run through everything that goes wrong on a line: no row lost, none doubled.

Between the client and the real application stands something that spoils every other request in
turn: busy, too many, a broken connection, half an answer, bytes that are no HTTP.
"""

from __future__ import annotations

import contextlib
import itertools
import json
import logging
import socket
import struct
import threading
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from leaveline_client import Client, LinesRow, UnexpectedReply
from werkzeug.serving import make_server

from tests.sdk.helpers import Waits

MANY = [{"id": n, "leave": leave, "limit": 1} for n, leave in enumerate(["10", "3-10", "7"] * 10)]
Mishap = Callable[[dict[str, Any], Any], Iterable[bytes]]


def busy(_: dict[str, Any], start: Any) -> Iterable[bytes]:
    start("503 Service Unavailable", [("Retry-After", "1")])
    return [b""]


def too_many(_: dict[str, Any], start: Any) -> Iterable[bytes]:
    start("429 Too Many Requests", [("Retry-After", "2"), ("Content-Type", "text/plain")])
    return [b"slow down"]


def broken(environ: dict[str, Any], start: Any) -> Iterable[bytes]:
    line: socket.socket = environ["werkzeug.socket"]
    line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    return _cut(line, b"", start)


def half(environ: dict[str, Any], start: Any) -> Iterable[bytes]:
    head = b"HTTP/1.1 200 OK\r\nContent-Type: application/json\r\nContent-Length: 999\r\n\r\n"
    return _cut(environ["werkzeug.socket"], head + b'{"results": [', start)


def no_http(environ: dict[str, Any], start: Any) -> Iterable[bytes]:
    return _cut(environ["werkzeug.socket"], b"\x00\x01 hello\r\n\r\n", start)


def garbage(_: dict[str, Any], start: Any) -> Iterable[bytes]:
    start("200 OK", [("Content-Type", "application/json")])
    return [b'{"results": [{]}']


def _cut(line: socket.socket, data: bytes, start: Any) -> Iterable[bytes]:
    with contextlib.suppress(OSError):
        line.sendall(data)
        line.shutdown(socket.SHUT_RDWR)  # what the server writes after this goes to nobody
    start("200 OK", [])
    return [b""]


class Spoiling:
    """A WSGI application that spoils every other request, each in the next way."""

    def __init__(self, app: Flask, ways: Iterable[Mishap]) -> None:
        self.app = app
        self.ways = itertools.cycle(ways)
        self.lock = threading.Lock()
        self.requests = 0
        self.spoiled: Counter[str] = Counter()

    def __call__(self, environ: dict[str, Any], start: Any) -> Iterable[bytes]:
        with self.lock:
            self.requests += 1
            way = next(self.ways) if self.requests % 2 else None
            if way is not None:
                self.spoiled[way.__name__] += 1
        if way is None:
            return self.app(environ, start)
        environ["wsgi.input"].read(int(environ.get("CONTENT_LENGTH") or 0))
        return way(environ, start)


@pytest.fixture
def spoiled(app: Flask) -> Iterator[Callable[[Iterable[Mishap]], tuple[str, Spoiling]]]:
    """Makes servers that spoil requests; gives the address and what was spoiled."""
    logging.getLogger("werkzeug").setLevel(logging.CRITICAL)
    servers = []

    def start(ways: Iterable[Mishap]) -> tuple[str, Spoiling]:
        spoiling = Spoiling(app, ways)
        server = make_server("127.0.0.1", 0, spoiling, threaded=True)
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        servers.append((server, thread))
        return f"http://127.0.0.1:{server.server_port}", spoiling

    yield start
    for server, thread in servers:
        server.shutdown()
        thread.join()
        server.server_close()


def test_what_can_be_got_over_is(spoiled: Any, waits: Waits) -> None:
    url, spoiling = spoiled([busy, too_many, broken, half, no_http])
    with Client(url, max_retries=30, total_timeout_s=900, **waits.options) as client:
        rows = list(client.lines_many(MANY, batch_size=2))
    _assert_whole(rows)
    assert set(spoiling.spoiled) == {"busy", "too_many", "broken", "half", "no_http"}
    assert spoiling.requests == 15 + spoiling.spoiled.total()  # each batch answered once
    assert max(waits.slept_s) >= 2  # the wish of `too_many` was obeyed


def test_what_cannot_is_raised_and_gone_on_with(spoiled: Any, waits: Waits, tmp_path: Path) -> None:
    url, spoiling = spoiled([garbage])
    bodies = []
    with Client(url, **waits.options) as client:
        for _ in range(40):
            try:
                rows = list(
                    client.lines_many(MANY, batch_size=2, in_flight=1, output=tmp_path / "rows")
                )
                break
            except UnexpectedReply as error:
                bodies.append(error.body)
    _assert_whole(rows)
    assert bodies == [b'{"results": [{]}'] * spoiling.spoiled["garbage"]
    assert len(bodies) > 5
    kept = [json.loads(line) for line in (tmp_path / "rows").read_text().splitlines()]
    assert [row["id"] for row in kept] == [item["id"] for item in MANY]


def _assert_whole(rows: list[LinesRow]) -> None:
    """Every item once, in order, with its own answer."""
    assert [row.id for row in rows] == [item["id"] for item in MANY]
    assert [row.result.leave for row in rows if row.result] == [item["leave"] for item in MANY]
