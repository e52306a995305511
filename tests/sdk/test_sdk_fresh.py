"""The SDK built and put alone into a fresh environment: it works, and nothing of the service came.

What pip would fetch is linked in from this environment, package by package, by what the built
metadata asks for; so the test needs no network, and a dependency that is not declared is missed.
"""

from __future__ import annotations

import importlib.metadata
import json
import re
import shutil
import subprocess
import sys
import venv
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

pytest.importorskip("setuptools", reason="setuptools, which builds the package, is not installed")

SDK = Path(__file__).parents[2] / "sdk"
USE = """
import json, sys
from leaveline_client import Client, InvalidRequest
with Client(sys.argv[1]) as client:
    answer = client.lines(leave="3-10", limit=1)
    try:
        client.lines(leave="3-3")
    except InvalidRequest as error:
        refused = error.errors[0].pointer
import leaveline_client.command
print(json.dumps([answer.leave, answer.lines[0].make_probability, refused, sorted(sys.modules)]))
"""


@dataclass(frozen=True, slots=True)
class Fresh:
    """A fresh environment: its interpreter, and where its packages are."""

    python: Path
    packages: Path

    def run(self, *arguments: str) -> str:
        """Run its interpreter away from everything here: no PYTHONPATH, no current folder."""
        command = [str(self.python), "-I", *arguments]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
        return done.stdout


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Fresh:
    folder = tmp_path_factory.mktemp("fresh")
    venv.create(folder / "env", with_pip=False)
    packages = next((folder / "env").glob("lib/python*/site-packages"))
    source = shutil.copytree(SDK, folder / "sdk", ignore=shutil.ignore_patterns("__pycache__"))
    subprocess.run(
        [
            sys.executable, "-W", "ignore", "-c", "import setuptools; setuptools.setup()",
            "build", "--build-base", str(folder / "build"), "--build-lib", str(packages),
            "egg_info", "--egg-base", str(packages),
        ],
        cwd=source, capture_output=True, check=True,
    )  # fmt: skip
    for name in needed_by(asked_for(packages)):
        link(name, packages)
    return Fresh(folder / "env" / "bin" / "python", packages)


def asked_for(packages: Path) -> list[str]:
    """What the built package asks for without extras."""
    text = (packages / "leaveline_client.egg-info" / "requires.txt").read_text()
    return names(text.split("[")[0].splitlines())


def names(requirements: list[str]) -> list[str]:
    """The packages of some requirements, but those of extras."""
    wanted = [line for line in requirements if line.strip() and "extra ==" not in line]
    return [re.split(r"[^\w.-]", line.strip())[0] for line in wanted]


def needed_by(wanted: list[str]) -> Iterator[str]:
    """These packages and all they ask for."""
    for name in wanted:
        yield name
        yield from needed_by(names(importlib.metadata.requires(name) or []))


def link(name: str, packages: Path) -> None:
    """Put what is installed here under a name there too."""
    for file in importlib.metadata.files(name) or []:
        top = file.parts[0]
        if top != ".." and not (packages / top).exists():
            (packages / top).symlink_to(Path(str(file.locate())).parents[len(file.parts) - 1] / top)


def test_it_asks_for_requests_alone(fresh: Fresh) -> None:
    assert asked_for(fresh.packages) == ["requests"]
    there = {path.name.split("-")[0] for path in fresh.packages.iterdir()}
    assert not there & {"leaveline", "numpy", "flask", "numba", "scipy"}
    assert (fresh.packages / "leaveline_client" / "py.typed").exists()


def test_it_works_there_and_loads_nothing_of_the_service(fresh: Fresh, bulk_url: str) -> None:
    leave, probability, refused, loaded = json.loads(fresh.run("-c", USE, bulk_url))
    assert (leave, refused) == ("3-10", "#/leave")
    assert 0 < probability < 1
    assert not set(loaded) & {"leaveline", "numpy", "flask", "numba", "matplotlib"}
    found = fresh.run("-c", "import leaveline_client; print(leaveline_client.__file__)")
    assert found.startswith(str(fresh.packages))


def test_the_command_is_there(fresh: Fresh) -> None:
    entries = (fresh.packages / "leaveline_client.egg-info" / "entry_points.txt").read_text()
    assert "leaveline-client = leaveline_client.command:main" in entries
    assert "exit codes" in fresh.run("-m", "leaveline_client.command", "--help")
