"""The one module that touches the network: sessions, one attempt, and what may go wrong in it.

It is imported when the first client is made and not before, because `requests` takes longer to
import than all the rest together.
"""

from __future__ import annotations

import os
import platform
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any
from weakref import WeakSet

import requests
import urllib3
from requests import exceptions

from leaveline_client.errors import (
    ConnectFailed,
    LeavelineError,
    TimedOut,
    TransportError,
    UnexpectedReply,
)
from leaveline_client.replies import JSON
from leaveline_client.version import __version__

CHUNK_BYTES = 65536
USER_AGENT = (
    f"leaveline-client/{__version__} python/{platform.python_version()} "
    f"requests/{requests.__version__}"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """A request, ready to send: method, URL, query, JSON body, key and the answer's form."""

    method: str
    url: str
    query: Mapping[str, str]
    body: bytes | None
    api_key: str | None
    accept: str = JSON


class Sessions:
    """One session for each thread, made when the thread first needs it.

    A requests.Session is not promised to be safe between threads. A session that was given is
    used by all of them, and is left to its owner to close.
    """

    def __init__(self, given: requests.Session | None) -> None:
        self.given = given
        self._local = threading.local()
        self._lock = threading.Lock()
        # Weak, so that the session of a thread that has ended closes with it.
        self._made: WeakSet[requests.Session] = WeakSet()
        self._closed = False

    def current(self) -> requests.Session:
        """This thread's session.

        Raises
        ------
        RuntimeError
            After `close`.
        """
        if self._closed:
            raise RuntimeError("this client is closed; make a new one")
        if self.given is not None:
            return self.given
        # A forked process must not talk over the sockets of its parent.
        mine: dict[int, requests.Session] = self._local.__dict__.setdefault("mine", {})
        if os.getpid() not in mine:
            mine[os.getpid()] = requests.Session()
            with self._lock:
                self._made.add(mine[os.getpid()])
        return mine[os.getpid()]

    def close(self) -> None:
        """Close the connections of all threads; a session that was given stays open."""
        self._closed = True
        with self._lock:
            for session in self._made:
                session.close()


def attempt(
    session: requests.Session,
    call: Call,
    request_id: str,
    number: int,
    *,
    timeout_s: tuple[float, float],
    deadline: float,
    clock: Callable[[], float],
) -> tuple[int, dict[str, str], bytes]:
    """Send a call once.

    Parameters
    ----------
    session : requests.Session
        What to send it through.
    call : Call
        What to send.
    request_id : str
        Goes into `X-Request-ID`.
    number : int
        Which attempt this is, from 1; errors tell it.
    timeout_s : (float, float)
        For the connection, and for each wait while reading [s].
    deadline : float
        When `clock` shows this, reading ends [s].
    clock : callable
        Monotonic [s].

    Returns
    -------
    status, headers with lower-case names, body

    Raises
    ------
    TransportError, UnexpectedReply
        Whatever went wrong, its cause kept.
    """
    try:
        # Redirects are not followed: they would turn a POST into a GET.
        response = session.request(
            call.method,
            call.url,
            params=call.query,
            data=call.body,
            headers=_headers(call, request_id),
            auth=_authorize(call.api_key),
            timeout=timeout_s,
            allow_redirects=False,
            stream=True,
        )
        with response:
            headers = {name.lower(): value for name, value in response.headers.items()}
            body = _read(response, deadline, clock)
    except _TooLate as error:
        raise TimedOut(str(error), request_id, number, "total") from None
    except (exceptions.RequestException, urllib3.exceptions.HTTPError) as error:
        raise mapped(error, request_id, number) from error
    return response.status_code, headers, body


def mapped(error: Exception, request_id: str, number: int) -> LeavelineError:
    """Make our error of one of requests' or urllib3's."""
    make = next(MAPPED[kind] for kind in type(error).__mro__ if kind in MAPPED)
    return make(f"{type(error).__name__}: {error}", request_id, number)


def _connect_timed_out(detail: str, request_id: str, number: int) -> TimedOut:
    return TimedOut(detail, request_id, number, "connect")


def _read_timed_out(detail: str, request_id: str, number: int) -> TimedOut:
    return TimedOut(detail, request_id, number, "read")


def _unreadable(detail: str, request_id: str, _number: int) -> UnexpectedReply:
    return UnexpectedReply(detail, request_id)


MAPPED: dict[type[Any], Callable[[str, str, int], LeavelineError]] = {
    # requests', raised up to the answer's headers
    exceptions.ConnectTimeout: _connect_timed_out,
    exceptions.ReadTimeout: _read_timed_out,
    exceptions.Timeout: _read_timed_out,
    exceptions.ConnectionError: ConnectFailed,
    exceptions.ProxyError: ConnectFailed,
    exceptions.ChunkedEncodingError: ConnectFailed,
    exceptions.ContentDecodingError: _unreadable,
    exceptions.JSONDecodeError: _unreadable,
    exceptions.TooManyRedirects: _unreadable,
    # A certificate, an address or a header that is wrong stays wrong: not ConnectFailed, so that
    # it is not tried again.
    exceptions.SSLError: TransportError,
    exceptions.HTTPError: TransportError,
    exceptions.URLRequired: TransportError,
    exceptions.MissingSchema: TransportError,
    exceptions.InvalidSchema: TransportError,
    exceptions.InvalidURL: TransportError,
    exceptions.InvalidProxyURL: TransportError,
    exceptions.InvalidHeader: TransportError,
    exceptions.InvalidJSONError: TransportError,
    exceptions.StreamConsumedError: TransportError,
    exceptions.RetryError: TransportError,
    exceptions.UnrewindableBodyError: TransportError,
    exceptions.RequestException: TransportError,
    # urllib3's, raised while the body is read
    urllib3.exceptions.TimeoutError: _read_timed_out,
    urllib3.exceptions.ProtocolError: ConnectFailed,
    urllib3.exceptions.SSLError: TransportError,
    urllib3.exceptions.DecodeError: _unreadable,
    urllib3.exceptions.HTTPError: TransportError,
}
"""What becomes of each exception; a subclass that is not listed follows its parent."""


def _headers(call: Call, request_id: str) -> dict[str, str]:
    headers = {
        "Accept": call.accept,
        "User-Agent": USER_AGENT,
        "X-Request-ID": request_id,
    }
    if call.body is not None:
        headers["Content-Type"] = "application/json"
    return headers


def _authorize(
    api_key: str | None,
) -> Callable[[requests.PreparedRequest], requests.PreparedRequest]:
    """Set the key, or nothing; without it requests would send what a ~/.netrc file has."""

    def authorize(request: requests.PreparedRequest) -> requests.PreparedRequest:
        if api_key is not None:
            request.headers["Authorization"] = f"Bearer {api_key}"
        return request

    return authorize


def _read(response: requests.Response, deadline: float, clock: Callable[[], float]) -> bytes:
    """Read the body as it comes, so that one that trickles in cannot outlast the deadline."""
    chunks = []
    while chunk := response.raw.read1(CHUNK_BYTES, decode_content=True):
        chunks.append(chunk)
        if clock() > deadline:
            raise _TooLate("the answer was still coming in when the total time was up")
    return b"".join(chunks)


class _TooLate(Exception):
    """The deadline passed while the body was read."""
