"""What the SDK's tests talk to: the real app in process, and a server that misbehaves by script."""

from __future__ import annotations

import contextlib
import io
import socket
import struct
import threading
import time
from collections.abc import Callable, Iterable
from typing import Any
from urllib.parse import urlsplit

import requests
import urllib3
from flask import Flask
from requests.adapters import BaseAdapter, HTTPAdapter

BASE_URL = "http://leaveline.test"


class AppAdapter(BaseAdapter):
    """Sends requests to a Flask application in this process, without a socket."""

    def __init__(self, app: Flask) -> None:
        super().__init__()
        self.app = app
        self.sent: list[requests.PreparedRequest] = []

    def send(self, request: requests.PreparedRequest, *_: Any, **__: Any) -> requests.Response:
        self.sent.append(request)
        parts = urlsplit(request.url or "")
        answered = self.app.test_client().open(
            path=parts.path,
            query_string=parts.query,
            method=request.method or "GET",
            headers=list(request.headers.items()),
            data=request.body,
            buffered=True,
        )
        raw = urllib3.HTTPResponse(
            body=io.BytesIO(answered.data),
            headers=dict(answered.headers),
            status=answered.status_code,
            preload_content=False,
        )
        return HTTPAdapter().build_response(request, raw)

    def close(self) -> None:
        pass


def session_for(app: Flask) -> requests.Session:
    """A session whose every request goes to an application in this process."""
    session = requests.Session()
    session.mount(BASE_URL, AppAdapter(app))
    return session


class Waits:
    """Stands in for sleeping, picking a jitter and telling the time; remembers every wait."""

    def __init__(self) -> None:
        self.slept_s: list[float] = []
        self.asked_s: list[float] = []

    def sleep(self, seconds: float) -> None:
        """Do not sleep, but let the clock go on."""
        self.slept_s.append(seconds)

    def jitter(self, longest_s: float) -> float:
        """Always the longest."""
        self.asked_s.append(longest_s)
        return longest_s

    def clock(self) -> float:
        """The time as it would be, had it slept [s]."""
        return time.monotonic() + sum(self.slept_s)

    @property
    def options(self) -> dict[str, Any]:
        """As a client takes them."""
        return {"sleep": self.sleep, "jitter": self.jitter, "clock": self.clock}


Act = Callable[[socket.socket], None]
"""What the scripted server does with one connection, once the request is read."""


class ScriptedServer:
    """Takes one connection after another and treats each by the next act of a script.

    The last act is repeated for whatever comes after. `requests` holds what was read.
    """

    def __init__(self, acts: Iterable[Act]) -> None:
        self.acts = list(acts)
        self.requests: list[bytes] = []
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.url = f"http://127.0.0.1:{self._listener.getsockname()[1]}"
        self._thread = threading.Thread(target=self._serve, daemon=True)
        self._thread.start()

    def close(self) -> None:
        """Stop listening."""
        self._listener.shutdown(socket.SHUT_RDWR)
        self._listener.close()
        self._thread.join()

    def _serve(self) -> None:
        while True:
            try:
                connection, _ = self._listener.accept()
            except OSError:
                return
            with connection:
                act = self.acts[min(len(self.requests), len(self.acts) - 1)]
                self.requests.append(_read_request(connection))
                # The client may have gone; that is what some scripts provoke.
                with contextlib.suppress(OSError):
                    act(connection)


def answers(status: str, body: bytes = b"", *headers: str, length: int | None = None) -> Act:
    """Answer, with a `Content-Length` that may promise more than is sent."""

    def act(connection: socket.socket) -> None:
        lines = [f"HTTP/1.1 {status}", *headers, "Connection: close"]
        lines.append(f"Content-Length: {len(body) if length is None else length}")
        connection.sendall("\r\n".join(lines).encode() + b"\r\n\r\n" + body)

    return act


def sends(data: bytes) -> Act:
    """Send bytes that need not be HTTP."""
    return lambda connection: connection.sendall(data)


def resets(connection: socket.socket) -> None:
    """Break the connection the hard way, before a byte of the answer."""
    connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))


def keeps_silent(connection: socket.socket) -> None:
    """Say nothing until the client gives up."""
    connection.recv(1)


def trickles(connection: socket.socket) -> None:
    """Send an answer a byte at a time, for ever."""
    connection.sendall(b"HTTP/1.1 200 OK\r\nContent-Length: 1000000\r\n\r\n")
    ended = threading.Event()
    while not ended.wait(0.02):
        connection.sendall(b" ")


def _read_request(connection: socket.socket) -> bytes:
    data = b""
    while b"\r\n\r\n" not in data and (more := connection.recv(65536)):
        data += more
    head, _, body = data.partition(b"\r\n\r\n")
    for line in head.lower().split(b"\r\n"):
        if line.startswith(b"content-length:"):
            while len(body) < int(line.split(b":")[1]) and (more := connection.recv(65536)):
                body += more
    return head + b"\r\n\r\n" + body
