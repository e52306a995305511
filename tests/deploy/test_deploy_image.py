"""The image for real: built, started as it should be, asked, stopped, by deploy/image.sh.

A minute and a half of computing where nothing is there yet, a third of that afterwards. As root on
Debian it installs podman; on a machine that cannot build or run containers it is skipped and says
why.
"""

from __future__ import annotations

import os
import signal
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SCRIPT = ROOT / "deploy" / "image.sh"
LONGEST_S = 600


def run(*arguments: str, path: str | None = None) -> tuple[int, str]:
    """Run the script in a process group of its own, so that nothing of it is left over."""
    process = subprocess.Popen(
        ["/bin/bash", str(SCRIPT), *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env=os.environ | ({"PATH": path} if path else {}),
        start_new_session=True,
    )
    try:
        said, _ = process.communicate(timeout=LONGEST_S)
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, signal.SIGTERM)
        process.communicate(timeout=90)
        pytest.skip(f"this machine does not build and run the image within {LONGEST_S} s")
    return process.returncode, said


def test_image_is_built_and_runs_as_it_should() -> None:
    status, said = run()
    print(said)
    skipped = [line for line in said.splitlines() if line.startswith("skipped: ")]
    if status == 0 and skipped:
        pytest.skip(skipped[0].removeprefix("skipped: "))
    assert status == 0, said
    assert "no kernel was compiled anew" in said
    assert "workers started for its " in said
    assert "exit status 0" in said


@pytest.fixture
def bare_path(tmp_path: Path) -> str:
    """A PATH with the everyday tools and neither an engine nor anything to install one with."""
    for tool in ("bash", "cat", "dirname", "sed", "head", "mktemp", "rm", "id", "timeout"):
        (tmp_path / tool).symlink_to(f"/usr/bin/{tool}")
    return str(tmp_path)


@pytest.mark.parametrize(("arguments", "status"), [((), 0), (("--require",), 3)])
def test_without_an_engine_it_says_why(
    bare_path: str, arguments: tuple[str, ...], status: int
) -> None:
    ended, said = run("--no-install", *arguments, path=bare_path)
    assert (ended, said.splitlines()[-1]) == (
        status,
        "skipped: podman is not installed, and --no-install was given",
    )


def test_unknown_argument_is_refused() -> None:
    status, said = run("--requires")
    assert status == 2
    assert "--require, --no-install" in said
