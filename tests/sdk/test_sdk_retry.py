"""When a call is sent again: the rules as tables, and against a server that misbehaves."""

from __future__ import annotations

import socket
from collections.abc import Callable, Iterable
from typing import Any

import pytest
from leaveline_client import (
    ApiError,
    Client,
    ConnectFailed,
    InvalidRequest,
    LeavelineError,
    RateLimited,
    ServiceFault,
    TimedOut,
    TransportError,
    UnexpectedReply,
)
from leaveline_client.errors import error_class
from leaveline_client.retry import full_jitter, is_retried, retry_after_s, wait_s

from tests.sdk.helpers import (
    Act,
    ScriptedServer,
    Waits,
    answers,
    keeps_silent,
    resets,
    sends,
    trickles,
)

OK = answers("200 OK", b'{"status":"ok"}', "Content-Type: application/json")
Start = Callable[[Iterable[Act]], ScriptedServer]


def api_error(status: int, after_s: float | None = None) -> ApiError:
    return error_class(status)(status, "", "", "", (), "", after_s)


@pytest.mark.parametrize(
    ("error", "again"),
    [
        (ConnectFailed(""), True),
        (TimedOut("", phase="connect"), True),
        (TimedOut("", phase="read"), False),
        (TimedOut("", phase="total"), False),
        (TransportError(""), False),
        (UnexpectedReply(""), False),
        *[(api_error(status), True) for status in (429, 502, 503, 504)],
        *[(api_error(status), False) for status in (400, 401, 403, 404, 405, 413, 415, 422, 500)],
    ],
)
def test_what_is_sent_again(error: LeavelineError, again: bool) -> None:
    assert is_retried(error) is again


def test_read_timeouts_are_sent_again_where_asked_for() -> None:
    assert is_retried(TimedOut("", phase="read"), retry_read_timeouts=True)
    assert not is_retried(TimedOut("", phase="total"), retry_read_timeouts=True)


def test_waits_double_from_a_half_to_eight_seconds() -> None:
    longest = [wait_s(ConnectFailed(""), attempt, lambda s: s) for attempt in range(1, 8)]
    assert longest == [0.5, 1, 2, 4, 8, 8, 8]
    assert wait_s(ConnectFailed(""), 10**9, lambda s: s) == 8


def test_jitter_is_full() -> None:
    picked = [full_jitter(4) for _ in range(2000)]
    assert 0 <= min(picked) < 0.1
    assert 3.9 < max(picked) <= 4


@pytest.mark.parametrize(
    ("asked_s", "waited_s"), [(0, 0.5), (0.2, 0.5), (3, 3), (30, 30), (30.5, None), (1e9, None)]
)
def test_the_services_wish_is_obeyed_up_to_thirty_seconds(
    asked_s: float, waited_s: float | None
) -> None:
    assert wait_s(api_error(503, asked_s), 1, lambda s: s) == waited_s


@pytest.mark.parametrize(
    ("header", "seconds"),
    [
        (None, None),
        ("", None),
        ("7", 7),
        (" 7 ", 7),
        ("0", 0),
        ("-7", None),
        ("7.5", None),
        ("soon", None),
        ("٣", None),
        # The form and this date are RFC 9110's own example, section 10.2.3.
        ("Fri, 31 Dec 1999 23:59:59 GMT", 60),
        ("Fri, 31 Dec 1999 23:57:59 GMT", 0),
    ],
)
def test_retry_after_is_read(header: str | None, seconds: float | None) -> None:
    date = "Fri, 31 Dec 1999 23:58:59 GMT"
    assert retry_after_s(header, date=date) == seconds


def test_retry_after_as_a_date_works_without_the_services_clock() -> None:
    assert retry_after_s("Fri, 31 Dec 1999 23:59:59 GMT") == 0
    assert (retry_after_s("Fri, 31 Dec 2999 23:59:59 GMT") or 0) > 1e9


@pytest.mark.parametrize(
    "act",
    [
        resets,
        sends(b""),
        answers("200 OK", b'{"status":', length=15),
        answers("200 OK", b"", length=15),
        sends(b'HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\nf\r\n{"stat'),
        answers("429 Too Many Requests"),
        answers("502 Bad Gateway", b"<html>bad gateway</html>"),
        answers("503 Service Unavailable"),
        answers("504 Gateway Timeout"),
    ],
)
def test_one_mishap_is_got_over(scripted: Start, waits: Waits, act: Act) -> None:
    server = scripted([act, OK])
    with Client(server.url, **waits.options) as client:
        answer = client.health()
    assert answer.status == "ok"
    assert answer.meta.attempts == 2
    assert waits.slept_s == [0.5]
    assert len(server.requests) == 2
    assert server.requests[0] == server.requests[1]  # the request id is one for both


def test_a_post_is_sent_again_with_its_body(scripted: Start, waits: Waits) -> None:
    server = scripted([resets, answers("400 Bad Request")])
    with Client(server.url, **waits.options) as client, pytest.raises(InvalidRequest):
        client.lines(leave="3-10")
    assert [request.rpartition(b"\r\n")[2] for request in server.requests] == [
        b'{"leave":"3-10"}'
    ] * 2


@pytest.mark.parametrize(
    ("act", "kind"),
    [
        (resets, ConnectFailed),
        (answers("503 Service Unavailable"), ServiceFault),
        (answers("429 Too Many Requests"), RateLimited),
    ],
)
def test_two_retries_and_then_the_error(
    scripted: Start, waits: Waits, act: Act, kind: type[Exception]
) -> None:
    server = scripted([act])
    with Client(server.url, **waits.options) as client, pytest.raises(kind) as caught:
        client.health()
    error: Any = caught.value
    assert error.attempts == len(server.requests) == 3
    assert waits.slept_s == [0.5, 1]
    assert str(error).endswith("(after 3 attempts)")
    sent = next(line for line in server.requests[0].split(b"\r\n") if b"X-Request-ID" in line)
    assert sent.decode().endswith(error.request_id)


@pytest.mark.parametrize("status", [400, 401, 404, 413, 415, 422, 500])
def test_what_would_fail_again_is_not_sent_again(
    scripted: Start, waits: Waits, status: int
) -> None:
    server = scripted([answers(f"{status} No")])
    with Client(server.url, **waits.options) as client, pytest.raises(ApiError) as caught:
        client.health()
    assert caught.value.status == status
    assert len(server.requests) == 1
    assert waits.slept_s == []


def test_max_retries_is_obeyed(scripted: Start, waits: Waits) -> None:
    server = scripted([resets])
    with Client(server.url, max_retries=0, **waits.options) as client:
        with pytest.raises(ConnectFailed):
            client.health()
        assert len(server.requests) == 1
        with pytest.raises(ConnectFailed):
            client.with_options(max_retries=5, total_timeout_s=1000).health()
    assert len(server.requests) == 7
    assert waits.asked_s == [0.5, 1, 2, 4, 8]


def test_retry_after_is_waited_for(scripted: Start, waits: Waits) -> None:
    server = scripted([answers("503 Service Unavailable", b"", "Retry-After: 12"), OK])
    with Client(server.url, **waits.options) as client:
        assert client.health().meta.attempts == 2
    assert waits.slept_s == [12]


def test_a_retry_after_that_is_too_long_is_left_to_the_caller(
    scripted: Start, waits: Waits
) -> None:
    server = scripted([answers("429 Too Many Requests", b"", "Retry-After: 3600")])
    with Client(server.url, **waits.options) as client, pytest.raises(RateLimited) as caught:
        client.health()
    assert caught.value.retry_after_s == 3600
    assert len(server.requests) == 1
    assert waits.slept_s == []


def test_the_total_time_bounds_attempts_and_waits(scripted: Start, waits: Waits) -> None:
    server = scripted([answers("503 Service Unavailable", b"", "Retry-After: 25")])
    with Client(server.url, max_retries=99, **waits.options) as client, pytest.raises(ServiceFault):
        client.health()
    # A third wait of 25 s would have passed 60 s: the error comes at once instead.
    assert waits.slept_s == [25, 25]
    assert len(server.requests) == 3


def test_problem_details_are_read_in_full(scripted: Start, waits: Waits) -> None:
    body = (
        b'{"type":"/problems/overloaded","title":"The service is busy","status":503,'
        b'"detail":"come back in a while","request_id":"theirs","queue":9,'
        b'"errors":[{"pointer":"#/leave","code":"odd","detail":"so"},{"no":"fault"},3]}'
    )
    act = answers(
        "503 Service Unavailable", body, "X-Request-ID: theirs", "Retry-After: 31",
        "Content-Type: application/problem+json",
    )  # fmt: skip
    with (
        Client(scripted([act]).url, **waits.options) as client,
        pytest.raises(ServiceFault) as caught,
    ):
        client.health()
    error = caught.value
    assert (error.type, error.title) == ("/problems/overloaded", "The service is busy")
    assert (error.detail, error.request_id) == ("come back in a while", "theirs")
    assert [fault.code for fault in error.errors] == ["odd"]
    assert error.raw["queue"] == 9


@pytest.mark.parametrize("body", [b"<html>no</html>", b"[1]", b'{"type": 3}', b"\xff"])
def test_an_error_without_problem_details_is_one_all_the_same(
    scripted: Start, waits: Waits, body: bytes
) -> None:
    server = scripted([answers("500 Internal Server Error", body, "Content-Type: text/html")])
    with Client(server.url, **waits.options) as client, pytest.raises(ServiceFault) as caught:
        client.health()
    assert caught.value.type == "about:blank"
    assert "text/html" in str(caught.value)


@pytest.mark.parametrize(
    ("act", "says"),
    [
        (answers("200 OK", b"\x00\x01garbage"), "is not JSON"),
        (answers("200 OK", b'{"state":"fine"}'), "# should have the field status"),
        (sends(b"HTTP/1.1 200 OK\r\nContent-Type: te"), "is not JSON"),
        (answers("204 No Content"), "not an answer"),
        (
            answers("301 Moved Permanently", b"", "Location: https://elsewhere.test/"),
            "use https://elsewhere.test/ as base_url",
        ),
        (answers("200 OK", b"no gzip", "Content-Encoding: gzip"), "DecodeError"),
    ],
)
def test_what_is_not_an_answer_is_unexpected(
    scripted: Start, waits: Waits, act: Act, says: str
) -> None:
    server = scripted([act])
    with Client(server.url, **waits.options) as client, pytest.raises(UnexpectedReply) as caught:
        client.health()
    assert says in str(caught.value)
    assert len(server.requests) == 1


def test_bytes_that_are_not_http_are_a_broken_connection(scripted: Start, waits: Waits) -> None:
    with (
        Client(scripted([sends(b"220 mail ready\r\n")]).url, **waits.options) as client,
        pytest.raises(ConnectFailed) as caught,
    ):
        client.health()
    assert caught.value.__cause__ is not None


def test_nobody_listening_is_a_failed_connection(waits: Waits) -> None:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port = listener.getsockname()[1]
    with (
        Client(f"http://127.0.0.1:{port}", **waits.options) as client,
        pytest.raises(ConnectFailed, match="refused") as caught,
    ):
        client.health()
    assert caught.value.attempts == 3
    assert caught.value.__cause__ is not None


def test_a_silent_service_is_given_up(scripted: Start, waits: Waits) -> None:
    server = scripted([keeps_silent])
    with Client(server.url, timeout=0.2, **waits.options) as client:
        with pytest.raises(TimedOut) as caught:
            client.health()
        assert caught.value.phase == "read"
        assert len(server.requests) == 1
        with pytest.raises(TimedOut) as caught:
            client.with_options(retry_read_timeouts=True, max_retries=1).health()
    assert caught.value.attempts == 2


def test_the_total_time_bounds_a_silent_service_too(scripted: Start) -> None:
    with (
        Client(scripted([keeps_silent]).url, total_timeout_s=0.2) as client,
        pytest.raises(TimedOut) as caught,
    ):
        client.health()
    assert caught.value.phase == "total"


def test_an_answer_that_trickles_in_is_cut_off(scripted: Start) -> None:
    with (
        Client(scripted([trickles]).url, total_timeout_s=0.3) as client,
        pytest.raises(TimedOut) as caught,
    ):
        client.health()
    assert caught.value.phase == "total"
    assert "still coming in" in str(caught.value)
