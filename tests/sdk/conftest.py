"""Fixtures of the SDK's tests."""

from __future__ import annotations

import logging
import os
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

import pytest
import requests
from flask import Flask
from leaveline.web import create_app
from leaveline.web.settings import Settings
from leaveline.web.warm import warm
from leaveline_client import Client
from werkzeug.serving import make_server

from tests.sdk.helpers import BASE_URL, Act, ScriptedServer, Waits, session_for

ROOT = Path(__file__).parents[2]
START_S = 60  # [s] a worker imports the compiled kernels first


@pytest.fixture(scope="session")
def app() -> Flask:
    """The real application, its kernels loaded: no first request waits for them."""
    warm(maps=False)
    return create_app(Settings())


@pytest.fixture
def client(app: Flask) -> Iterator[Client]:
    """A client of the real application, in process."""
    with session_for(app) as session, Client(BASE_URL, session=session) as client:
        yield client


@pytest.fixture(scope="session")
def served_url() -> Iterator[str]:
    """The real service under gunicorn with two workers, over a real socket."""
    with socket.create_server(("127.0.0.1", 0)) as found:
        port = found.getsockname()[1]
    url = f"http://127.0.0.1:{port}"
    paths = os.pathsep.join(str(ROOT / name) for name in ("service", "sdk"))
    kept = {name: value for name, value in os.environ.items() if not name.startswith("LEAVELINE_")}
    command = [sys.executable, "-m", "gunicorn", "-w", "2", "-b", f"127.0.0.1:{port}"]
    process = subprocess.Popen(
        [*command, "--log-level", "warning", "leaveline.web:create_app()"],
        cwd=ROOT,
        env=kept | {"PYTHONPATH": paths},
    )
    try:
        _wait_for(f"{url}/readyz", process)
        yield url
    finally:
        process.terminate()
        process.wait(30)


@pytest.fixture(scope="session")
def bulk_url(app: Flask) -> Iterator[str]:
    """The real application, over a real socket, from this process."""
    logging.getLogger("werkzeug").setLevel(logging.ERROR)
    server = make_server("127.0.0.1", 0, app, threaded=True)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


@pytest.fixture
def scripted() -> Iterator[Callable[[Iterable[Act]], ScriptedServer]]:
    """Makes servers that misbehave by script."""
    servers: list[ScriptedServer] = []

    def start(acts: Iterable[Act]) -> ScriptedServer:
        servers.append(ScriptedServer(acts))
        return servers[-1]

    yield start
    for server in servers:
        server.close()


@pytest.fixture
def waits() -> Waits:
    """Waiting that takes no time."""
    return Waits()


def _wait_for(url: str, process: subprocess.Popen[bytes]) -> None:
    end = time.monotonic() + START_S
    while time.monotonic() < end:
        assert process.poll() is None, "gunicorn ended before it answered"
        try:
            if requests.get(url, timeout=5).ok:
                return
        except (requests.ConnectionError, requests.Timeout):
            time.sleep(0.1)
    raise AssertionError(f"gunicorn did not answer within {START_S} s")
