"""What installing and importing the SDK brings along: requests, and nothing of the service."""

from __future__ import annotations

import subprocess
import sys
import tomllib
import types
from pathlib import Path

import leaveline_client

SDK = Path(__file__).parents[2] / "sdk"
PROJECT = tomllib.loads((SDK / "pyproject.toml").read_text())


def test_installing_brings_requests_alone() -> None:
    dependencies = PROJECT["project"]["dependencies"]
    assert [name.split(">")[0] for name in dependencies] == ["requests"]
    assert set(PROJECT["project"]["optional-dependencies"]) == {"plot"}


def test_packaging_names_what_is_there() -> None:
    listed = PROJECT["tool"]["setuptools"]["packages"]
    there = {
        ".".join(path.parent.relative_to(SDK).parts)
        for path in (SDK / "leaveline_client").rglob("*.py")
    }
    assert set(listed) == there
    assert (SDK / "leaveline_client" / "py.typed").exists()
    assert PROJECT["tool"]["setuptools"]["package-data"] == {"leaveline_client": ["py.typed"]}
    module, _, function = PROJECT["project"]["scripts"]["leaveline-client"].partition(":")
    assert callable(getattr(__import__(module, fromlist=[function]), function))


def loaded_by(statement: str) -> set[str]:
    """The top-level modules a statement loads in a fresh interpreter."""
    code = f"import sys; {statement}; print(' '.join(name.split('.')[0] for name in sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={"PYTHONPATH": str(SDK)},
        capture_output=True,
        text=True,
        check=True,
    )
    return set(done.stdout.split())


def test_importing_brings_nothing_slow_and_nothing_of_the_service() -> None:
    loaded = loaded_by("import leaveline_client")
    assert "leaveline_client" in loaded
    assert not loaded & {"leaveline", "numpy", "flask", "numba", "matplotlib", "requests"}


def test_using_it_brings_requests_and_nothing_of_the_service() -> None:
    loaded = loaded_by(
        "import leaveline_client.command; leaveline_client.Client('http://127.0.0.1:1')"
    )
    assert "requests" in loaded
    assert not loaded & {"leaveline", "numpy", "flask", "numba", "matplotlib"}


def test_the_public_names_are_those_that_are_visible() -> None:
    visible = {
        name
        for name, value in vars(leaveline_client).items()
        if not name.startswith("_") and not isinstance(value, types.ModuleType)
    }
    assert visible | {"__version__"} == set(leaveline_client.__all__)


def test_every_public_name_is_documented() -> None:
    for name in set(leaveline_client.__all__) - {"__version__"}:
        cls = getattr(leaveline_client, name)
        doc = cls.__doc__ or ""
        assert doc, name
        assert not doc.startswith(f"{name}("), name  # a dataclass's own
