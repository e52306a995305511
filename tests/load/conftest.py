"""A service for the tests that leave it as they found it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.load.serving import Served, serving


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Two workers, two places for computing in each."""
    log = tmp_path_factory.mktemp("served") / "out.jsonl"
    with serving(log, LEAVELINE_CONCURRENCY="2") as running:
        yield running
