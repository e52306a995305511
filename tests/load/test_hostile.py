"""Clients that are slow, broken or too large: the right status, and others unharmed."""

from __future__ import annotations

import json
import select
import socket
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack

import pytest
import requests

from tests.load.serving import Served, wait_until

JSON = "Content-Type: application/json\r\n"
GOOD = b'{"leave": "3-10"}'


def talk(served: Served, sent: bytes, *, half_close: bool = False) -> tuple[int, bytes]:
    """Send bytes, read until the server closes; the status and the rest (0: no answer)."""
    with socket.create_connection(("127.0.0.1", served.port), timeout=30) as connection:
        try:
            connection.sendall(sent)
            if half_close:
                connection.shutdown(socket.SHUT_WR)
        except OSError:
            pass  # refused before all was sent
        got = b""
        try:
            while piece := connection.recv(65536):
                got += piece
        except OSError:
            pass
    head, _, body = got.partition(b"\r\n\r\n")
    return (int(head.split()[1]) if head else 0), body


def post(body: bytes, *, length: int | None = None, extra: str = "") -> bytes:
    head = f"POST /v1/lines HTTP/1.1\r\nHost: x\r\nConnection: close\r\n{JSON}{extra}"
    return (
        f"{head}Content-Length: {len(body) if length is None else length}\r\n\r\n".encode() + body
    )


def chunked(body: bytes, piece: int = 60_000) -> bytes:
    head = f"POST /v1/lines HTTP/1.1\r\nHost: x\r\nConnection: close\r\n{JSON}"
    chunks = b"".join(
        b"%x\r\n%s\r\n" % (len(body[i : i + piece]), body[i : i + piece])
        for i in range(0, len(body), piece)
    )
    return head.encode() + b"Transfer-Encoding: chunked\r\n\r\n" + chunks + b"0\r\n\r\n"


def well(served: Served) -> bool:
    """Whether an ordinary request is answered, and how it should be."""
    answer = requests.post(f"{served.url}/v1/lines", json={"leave": "3-10"}, timeout=20)
    return answer.status_code == 200 and answer.json()["leave"] == "3-10"


LARGE = b'{"leave": "3-10", "x": "' + b"y" * 1_100_000 + b'"}'


@pytest.mark.parametrize(
    ("sent", "status"),
    [
        (post(GOOD), 200),
        (chunked(GOOD), 200),
        (post(LARGE), 413),
        (chunked(LARGE), 413),
        (post(b"", length=10**12), 413),
        (post(b"[" * 500_000), 400),
        (post(b'{"a":' * 150_000), 400),
        (post(b'{"leave": "\xff\xfe"}'), 400),
        (post(GOOD.decode().encode("utf-16")), 400),
        (post(GOOD, length=-5), 400),
        (b"POST /v1/lines HTTP/1.1\r\nHost: x\r\n" + JSON.encode()
         + b"Transfer-Encoding: chunked\r\n\r\nzz\r\n", 400),
        (b"GET /v1/leaves/10 HTTP/1.1\r\nHost: x\r\n"
         + b"".join(b"X-Flood-%d: y\r\n" % n for n in range(5_000)) + b"\r\n", 431),
        (b"GET /v1/leaves/10 HTTP/1.1\r\nHost: x\r\nX-Long: " + b"y" * 100_000 + b"\r\n\r\n", 431),
        (b"GET /v1/leaves/" + b"9" * 100_000 + b" HTTP/1.1\r\nHost: x\r\n\r\n", 414),
        (b"GET /v1/leaves/%ff%00%zz HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n", 422),
        (b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + bytes(200) + b"\r\n\r\n", 400),
        (b"GARBAGE\r\n\r\n", 400),
    ],
)  # fmt: skip
def test_bad_requests_get_their_status(served: Served, sent: bytes, status: int) -> None:
    found, body = talk(served, sent)
    assert found == status
    assert b"Traceback" not in body
    if found in (413, 422):
        assert json.loads(body)["status"] == status
    assert well(served)


def test_a_key_in_a_header_that_cannot_be_read_is_not_logged(served: Served) -> None:
    key = "a-key-of-enough-length"
    sent = f"GET /v1/leaves/10 HTTP/1.1\r\nHost: x\r\nAuthorization Bearer {key}\r\n\r\n".encode()
    assert talk(served, sent)[0] == 400
    wait_until(lambda: "Invalid HTTP Header" in served.log.read_text(), "the line in the log")
    assert key not in served.log.read_text().lower()


def test_a_body_cut_short_is_no_fault_of_ours(served: Served) -> None:
    """Also where what came is a whole request by itself."""
    for sent in (
        post(GOOD, length=len(GOOD) + 50),
        post(b'{"leave', length=50),
        chunked(GOOD)[:-7],
    ):
        status, body = talk(served, sent, half_close=True)
        assert (status, json.loads(body)["type"]) == (400, "/problems/unreadable-body")
    assert well(served)


def test_callers_who_hang_up_leave_nothing_behind(served: Served) -> None:
    """Also in the middle of a stream that has begun: its place is free again."""
    items = json.dumps({"items": [{"leave": "1-2-10", "seed": 900 + n} for n in range(300)]})
    head = f"POST /v1/lines/batch HTTP/1.1\r\nHost: x\r\n{JSON}Accept: application/x-ndjson\r\n"
    for _ in range(8):
        with socket.create_connection(("127.0.0.1", served.port), timeout=30) as connection:
            connection.sendall(f"{head}Content-Length: {len(items)}\r\n\r\n{items}".encode())
            connection.recv(100)
    end = time.monotonic() + 15
    while served.metric("leaveline_requests_in_flight") > 1 and time.monotonic() < end:
        time.sleep(0.1)
    assert served.metric("leaveline_requests_in_flight") == 1
    assert served.metric("leaveline_requests_computing") == 0
    assert well(served)


def test_slow_senders_hold_no_place_and_are_dropped(served: Served) -> None:
    """More slow bodies than there are places for computing; others are answered meanwhile."""
    with ExitStack() as stack:
        slow = []
        for _ in range(8):
            connection = socket.create_connection(("127.0.0.1", served.port), timeout=30)
            stack.enter_context(connection)
            connection.sendall(post(GOOD, length=5_000))
            slow.append(connection)
        for _ in range(20):  # silent ones: nothing is handed over before there is data
            stack.enter_context(socket.create_connection(("127.0.0.1", served.port), timeout=30))
        time.sleep(0.3)
        assert all(well(served) for _ in range(5))
        waiting, _, _ = select.select(slow, [], [], 0)
        assert not waiting  # others were answered while every slow one was still being waited for
        answers = [connection.recv(65536) for connection in slow]
    assert {answer.split()[1] if answer else b"" for answer in answers} <= {b"400", b"408", b""}


def test_beyond_its_places_it_refuses_at_once_and_recovers(served: Served) -> None:
    statuses: list[int] = []
    waits: list[float] = []
    lock = threading.Lock()

    def ask(number: int) -> None:
        items = [{"leave": "1-2-10", "seed": 50_000 + 40 * number + n} for n in range(40)]
        start = time.monotonic()
        answer = requests.post(f"{served.url}/v1/lines/batch", json={"items": items}, timeout=60)
        with lock:
            statuses.append(answer.status_code)
            if answer.status_code == 503:
                waits.append(time.monotonic() - start)
                assert int(answer.headers["Retry-After"]) >= 1
                assert answer.json()["type"] == "/problems/overloaded"

    before = served.metric("leaveline_refused_total", reason="overloaded")
    with ThreadPoolExecutor(16) as pool:
        sent = [pool.submit(ask, number) for number in range(16)]
        time.sleep(0.3)
        assert requests.get(f"{served.url}/healthz", timeout=10).ok
        assert requests.get(f"{served.url}/v1/limits", timeout=10).ok
        for one in sent:
            one.result()
    assert set(statuses) == {200, 503}
    refused = statuses.count(503)
    assert served.metric("leaveline_refused_total", reason="overloaded") == before + refused
    assert well(served)
