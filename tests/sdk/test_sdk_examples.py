"""The examples run as they stand, against the real application."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest
from leaveline_client import Client

from tests.sdk.helpers import Act, ScriptedServer, answers

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "sdk" / "examples"


def run(url: str, script: str, *arguments: str | Path) -> subprocess.CompletedProcess[str]:
    """Run an example in an interpreter of its own, with warnings as errors."""
    return subprocess.run(
        [sys.executable, "-W", "error", str(EXAMPLES / script), *map(str, arguments)],
        env=os.environ | {"LEAVELINE_URL": url, "PYTHONPATH": str(ROOT / "sdk")},
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_readme_runs(bulk_url: str, tmp_path: Path) -> None:
    text = (ROOT / "sdk" / "README.md").read_text(encoding="utf-8")
    code = text.split("```python\n")[1].split("```")[0]
    script = tmp_path / "readme.py"
    script.write_text(code.replace("http://127.0.0.1:8080", bulk_url), encoding="utf-8")
    done = run(bulk_url, str(script))
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("Stand with the slide foot on board")


def test_the_coaching_app_shows_a_card(bulk_url: str) -> None:
    done = run(bulk_url, "coaching_app.py", "3-6-10")
    assert (done.returncode, done.stderr) == (0, "")
    bowler = {
        "hand": "right",
        "level": "league",
        "spread": {"target_boards": 0.9},
        "release": {"speed_mph": 17.5},
    }
    with Client(bulk_url) as client:
        line = client.lines(leave="3-6-10", bowler=bowler, limit=1).lines[0]
    assert done.stdout.splitlines()[-1] == line.words
    assert f"hit {line.target_board:g}" in done.stdout


def test_the_coaching_app_says_what_is_wrong(bulk_url: str) -> None:
    done = run(bulk_url, "coaching_app.py", "3-11")
    assert done.returncode == 2
    assert done.stderr == "#/leave: pins are numbered 1 to 10, got 11\n"
    done = run("http://127.0.0.1:1", "coaching_app.py")
    assert done.returncode == 1
    assert "no advice just now" in done.stderr


def test_the_match_is_decided_with_reasons(bulk_url: str) -> None:
    done = run(bulk_url, "match.py")
    assert (done.returncode, done.stderr) == (0, "")
    lines = done.stdout.splitlines()
    assert lines[0].startswith("Play for ")
    assert [line.split()[0] for line in lines[1:4]] == ["play", "spare", "count"]
    assert any(line.startswith("- ") for line in lines)


def test_the_season_is_reviewed_and_what_was_not_read_is_said(bulk_url: str) -> None:
    """The 10 pin is made at less than half of what this accuracy makes: planted, and found."""
    done = run(bulk_url, "season.py", EXAMPLES / "season.csv")
    assert done.returncode == 0
    (spoilt,) = done.stderr.splitlines()
    lines = (EXAMPLES / "season.csv").read_text(encoding="utf-8").splitlines()
    assert "03-Oct" in lines[int(spoilt.split(":")[0].removeprefix("row ")) - 1]
    assert "write the pins with spaces" in spoilt
    shown = done.stdout.splitlines()
    assert shown[0].startswith(f"{len(lines) - 2} frames, 89 games, average ")
    assert next(line for line in shown if line.startswith("1. ")).startswith("1. 10: ")
    assert "throws: the spread at the target is about" in shown[1]
    assert sum(line.startswith("- ") for line in shown) >= 2


def test_the_chart_is_drawn(bulk_url: str, tmp_path: Path) -> None:
    done = run(bulk_url, "make_chart.py", tmp_path / "chart.png", "10", "7-10")
    assert (done.returncode, done.stderr) == (0, "")
    assert (tmp_path / "chart.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize("script", ["season.py", "make_chart.py"])
def test_an_example_without_its_file_tells_its_usage(script: str) -> None:
    done = run("http://127.0.0.1:1", script)
    assert (done.returncode, done.stdout) == (2, "")
    (said,) = done.stderr.splitlines()
    assert said.startswith(f"usage: python {script} ")


@pytest.mark.parametrize(
    "arguments",
    [
        ("coaching_app.py",),
        ("match.py",),
        ("season.py", EXAMPLES / "season.csv"),
        ("make_chart.py", "chart.png", "10"),
    ],
)
def test_an_example_sends_the_key_of_the_environment(
    arguments: tuple[str | Path, ...],
    scripted: Callable[[Iterable[Act]], ScriptedServer],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for key, sent in (("a-key-of-sixteen-or-more", True), ("", False)):
        monkeypatch.setenv("LEAVELINE_API_KEY", key)
        server = scripted([answers("401 Unauthorized")])
        assert run(server.url, *map(str, arguments)).returncode == 1
        (request,) = server.requests
        assert (f"Authorization: Bearer {key}".encode() in request) == sent
        assert (b"Authorization" in request) == sent
