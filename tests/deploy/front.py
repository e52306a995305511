"""Helpers: nginx from Debian, and the front of deploy/nginx.conf before a real service."""

from __future__ import annotations

import glob
import http.client
import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
CONFIGURATION = ROOT / "deploy" / "nginx.conf"
START_S = 60


class NotHere(Exception):
    """A tool of the tests is not on this machine and cannot be had; says why."""


@dataclass(frozen=True, slots=True)
class Reply:
    """What came back."""

    status: int
    headers: Mapping[str, str]
    body: bytes


def find_nginx(folder: Path) -> Path:
    """Give nginx, unpacked from Debian's package into a folder where it is not installed.

    Raises
    ------
    NotHere
        Where there is none.
    """
    installed = shutil.which("nginx", path=f"{os.environ.get('PATH', '')}:/usr/sbin")
    if installed:
        return Path(installed)
    if not shutil.which("apt-get"):
        raise NotHere("nginx is not installed, and this is no Debian")
    if _run(["apt-get", "download", "nginx"], folder) and os.geteuid() == 0:
        _run(["apt-get", "update"], folder)
        _run(["apt-get", "download", "nginx"], folder)
    packages = glob.glob(str(folder / "nginx_*.deb"))
    if not packages or _run(["dpkg", "-x", packages[0], "."], folder):
        raise NotHere("nginx is not installed, and Debian's package cannot be fetched")
    unpacked = folder / "usr" / "sbin" / "nginx"
    if _run([str(unpacked), "-v"], folder):
        raise NotHere("Debian's nginx does not run on this machine")
    return unpacked


def _run(command: list[str], folder: Path) -> int:
    try:
        done = subprocess.run(command, cwd=folder, capture_output=True, timeout=120, check=False)
    except (OSError, subprocess.TimeoutExpired):
        return 1
    return done.returncode


def configured(folder: Path, *, port: int, service: str, more: str = "", **patience: str) -> Path:
    """Write deploy/nginx.conf with this test's addresses, folder, shorter patience and directives.

    Each thing replaced has to be in the file, so that the tests and the file stay together.
    """
    text = CONFIGURATION.read_text(encoding="utf-8")
    replaced = {"listen 8080;": f"listen 127.0.0.1:{port};", "server service:8080;": service}
    replaced |= {"/tmp/": f"{folder}/", "/dev/stdout": f"{folder}/access.log"}
    for name, value in patience.items():
        start = text.index(f"{name} ")
        replaced[text[start : text.index(";", start)]] = f"{name} {value}"
    for old, new in replaced.items():
        assert old in text, old
        text = text.replace(old, new)
    text = text.replace("http {\n", f"http {{\n{more}\n", 1)
    path = folder / "nginx.conf"
    path.write_text(text, encoding="utf-8")
    return path


@contextmanager
def running_nginx(nginx: Path, folder: Path, configuration: Path, port: int) -> Iterator[None]:
    """Run nginx until the block ends."""
    # A test's folder is closed to others, also to those whom a master run by root turns into.
    directives = "daemon off; user root;" if os.geteuid() == 0 else "daemon off;"
    command = [str(nginx), "-p", str(folder), "-c", str(configuration), "-g", directives]
    log = folder / "errors.log"
    with log.open("wb") as errors:
        process = subprocess.Popen(command, cwd=folder, stderr=errors)
    try:
        wait_for_port(port, process)
        yield
    finally:
        process.terminate()
        process.wait(20)


@contextmanager
def running_service(folder: Path, port: int, **settings: str) -> Iterator[subprocess.Popen[bytes]]:
    """Run the service as the image does, with two workers, until the block ends."""
    command = [sys.executable, "-m", "gunicorn", "--config", "deploy/gunicorn.conf.py"]
    command += ["--bind", f"127.0.0.1:{port}", "leaveline.web:create_app()"]
    environment = {name: v for name, v in os.environ.items() if not name.startswith("LEAVELINE_")}
    environment |= {"PYTHONPATH": str(ROOT / "service"), "WEB_CONCURRENCY": "2"}
    with (folder / f"service-{port}.log").open("wb") as log:
        process = subprocess.Popen(
            command, cwd=ROOT, env=environment | settings, stdout=log, stderr=log
        )
    try:
        wait_for_port(port, process)
        yield process
    finally:
        process.terminate()
        process.wait(80)


def wait_for_port(port: int, process: subprocess.Popen[bytes]) -> None:
    """Wait until a process listens."""
    deadline = time.monotonic() + START_S
    while True:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
            return
        except OSError:
            assert process.poll() is None, "it ended at once"
            assert time.monotonic() < deadline, "it does not listen"
            time.sleep(0.05)


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.create_server(("127.0.0.1", 0)) as found:
        port: int = found.getsockname()[1]
    return port


def ask(
    port: int, path: str, *, body: bytes | None = None, timeout: float = 20, **headers: str
) -> Reply:
    """Ask once, over a connection of its own; `X_Request_ID="a"` sends `X-Request-ID: a`."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=timeout)
    sent = {name.replace("_", "-"): value for name, value in headers.items()}
    if body is not None:
        sent.setdefault("Content-Type", "application/json")
    try:
        connection.request("POST" if body is not None else "GET", path, body, sent)
        return _reply(connection.getresponse())
    finally:
        connection.close()


def send(port: int, request: bytes) -> Reply:
    """Send bytes as they are, over a connection of its own, and take the answer."""
    with socket.create_connection(("127.0.0.1", port), timeout=20) as connection:
        connection.sendall(request)
        response = http.client.HTTPResponse(connection)
        response.begin()
        return _reply(response)


def _reply(response: http.client.HTTPResponse) -> Reply:
    named: dict[str, str] = {}
    for name, value in response.getheaders():
        before = named.get(name.lower())
        named[name.lower()] = value if before is None else f"{before}, {value}"
    return Reply(response.status, named, response.read())
