"""deploy/run.sh as a newcomer starts it, and the service on a system that is not Linux."""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.deploy import front
from tests.deploy.front import ROOT

LONGEST_S = 20
KEY = "sixteen-characters-or-more"
NO_PROXY_THERE = "http://127.0.0.1:1"


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """The project in a folder of its own, with this Python's packages as its installed .venv."""
    for name in ("deploy", "service", "sdk", "requirements"):
        (tmp_path / name).symlink_to(ROOT / name)
    programs = tmp_path / ".venv" / "bin"
    programs.mkdir(parents=True)
    for name, command in (("python", ""), ("gunicorn", "-m gunicorn")):
        program = programs / name
        program.write_text(f'#!/bin/sh\nexec {shlex.quote(sys.executable)} {command} "$@"\n')
        program.chmod(0o755)
    shutil.copy(ROOT / "requirements" / "service.txt", tmp_path / ".venv" / ".installed-service")
    return tmp_path


def start(project: Path, port: int, **settings: str) -> subprocess.Popen[str]:
    """Start run.sh as a shell would, under a proxy that is not there."""
    kept = {k: v for k, v in os.environ.items() if k.lower() not in ("no_proxy", "http_proxy")}
    given = {"PORT": str(port), "WEB_CONCURRENCY": "1", "http_proxy": NO_PROXY_THERE}
    with (project / "errors").open("w") as errors:
        return subprocess.Popen(
            ["/bin/bash", str(project / "deploy" / "run.sh")],
            env=kept | given | settings,
            stdout=subprocess.PIPE,
            stderr=errors,
            text=True,
            start_new_session=True,
        )


def ended(process: subprocess.Popen[str]) -> str:
    """Wait for the end and give what was still said; nothing is left running."""
    try:
        return process.communicate(timeout=LONGEST_S)[0]
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, signal.SIGKILL)
        process.communicate()
        raise


def test_what_is_said_ends_with_a_solved_line_and_the_address(project: Path) -> None:
    port, said = front.free_port(), []
    process = start(project, port, LEAVELINE_API_KEYS=f", {KEY}, another-{KEY}")
    try:
        assert process.stdout is not None
        for line in process.stdout:
            said.append(line)
            if line.startswith("Serving at"):
                break
    finally:
        # As Ctrl-C does: to all of them.
        os.killpg(process.pid, signal.SIGINT)
        rest = ended(process)
    logged = (project / "errors").read_text(encoding="utf-8")
    assert said, logged
    assert said[-1] == f"Serving at http://127.0.0.1:{port} (Ctrl-C stops it)\n"
    assert any(line.startswith("1-2-10: Stand with the slide foot on board ") for line in said)
    assert not [line for line in (*said, *rest.splitlines()) if line.startswith("{")]
    for line in logged.splitlines():
        json.loads(line)
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(("127.0.0.1", port), timeout=5)


def test_setting_that_is_misspelt_ends_it_and_is_named(project: Path) -> None:
    process = start(project, front.free_port(), LEAVELINE_METRIC="on")
    ended(process)
    said = (project / "errors").read_text(encoding="utf-8")
    assert process.returncode == 1
    assert "LEAVELINE_METRIC is not a setting" in said
    assert said.splitlines()[-1] == "the service ended; what it said is above"


def test_stop_from_a_terminal_is_left_to_the_parent(tmp_path: Path) -> None:
    """Ctrl-C reaches the workers too; stopped by it and by their parent at once, they may hang."""
    port = front.free_port()
    log = tmp_path / f"service-{port}.log"
    with front.running_service(tmp_path, port, WEB_CONCURRENCY="1") as process:
        assert front.ask(port, "/readyz").status == 200
        (worker,) = re.findall(r"Booting worker with pid: (\d+)", log.read_text("utf-8"))
        os.kill(int(worker), signal.SIGINT)
        time.sleep(0.5)
        assert front.ask(port, "/readyz").status == 200
        process.send_signal(signal.SIGINT)
        assert process.wait(LONGEST_S) == 0
    assert log.read_text("utf-8").count("Booting worker") == 1


def test_service_runs_where_the_system_cannot_defer_connections(tmp_path: Path) -> None:
    """Only Linux has TCP_DEFER_ACCEPT; Python runs `sitecustomize` before anything else."""
    (tmp_path / "sitecustomize.py").write_text(
        "import pathlib, socket\n"
        "del socket.TCP_DEFER_ACCEPT\n"
        f"pathlib.Path({str(tmp_path / 'taken_away')!r}).touch()\n"
    )
    port, path = front.free_port(), f"{tmp_path}{os.pathsep}{ROOT / 'service'}"
    with front.running_service(tmp_path, port, PYTHONPATH=path, WEB_CONCURRENCY="1"):
        assert front.ask(port, "/readyz").status == 200
    assert (tmp_path / "taken_away").exists()
