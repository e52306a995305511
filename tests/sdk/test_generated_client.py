"""A client that a general tool generates from the contract works against the real service.

Whoever writes in another language does what this does: take the document, generate, call. So the
document must hold nothing that the tool stumbles over.
"""

from __future__ import annotations

import importlib
import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from leaveline import __version__

pytest.importorskip("openapi_python_client", reason="openapi-python-client is not installed")

DOCUMENT = Path(__file__).parents[2] / "openapi" / "leaveline.yaml"
PACKAGE = "generated_for_the_test"
SETTINGS = {
    "post_hooks": [],
    # The tool reads and writes bytes for these once it is told that they are files.
    "content_type_overrides": {
        "image/svg+xml": "application/octet-stream",
        "text/csv": "application/octet-stream",
    },
}


@pytest.fixture(scope="module")
def generated(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SimpleNamespace]:
    """The generated package's parts."""
    folder = tmp_path_factory.mktemp("generated")
    config = folder / "config.json"
    config.write_text(json.dumps(SETTINGS))
    done = subprocess.run(
        [
            sys.executable, "-m", "openapi_python_client", "generate", "--path", str(DOCUMENT),
            "--meta", "none", "--config", str(config), "--output-path", str(folder / PACKAGE),
        ],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    said = done.stdout + done.stderr
    assert done.returncode == 0, said
    assert "WARNING" not in said
    sys.path.insert(0, str(folder))
    try:
        yield SimpleNamespace(
            api=lambda name: importlib.import_module(f"{PACKAGE}.api.{name}"),
            models=importlib.import_module(f"{PACKAGE}.models"),
            Client=importlib.import_module(PACKAGE).Client,
        )
    finally:
        sys.path.remove(str(folder))
        for name in [name for name in sys.modules if name.split(".")[0] == PACKAGE]:
            del sys.modules[name]


@pytest.fixture
def asking(generated: SimpleNamespace, bulk_url: str) -> Iterator[Any]:
    with generated.Client(base_url=bulk_url, raise_on_unexpected_status=True) as client:
        yield client


def test_a_line(generated: SimpleNamespace, asking: Any) -> None:
    m = generated.models
    body = m.LinesRequest(
        leave=[10, 3],
        bowler=m.Bowler(hand=m.BowlerHand.LEFT, spread=m.Spread(target_boards=0.7)),
        play=m.LinesRequestPlay.BOTH,
        limit=1,
    )
    answer = generated.api("lines.solve_lines").sync(client=asking, body=body)
    assert isinstance(answer, m.LinesAnswer)
    assert answer.leave == "3-10"
    assert [line.play.value for line in answer.lines] == ["spare", "count"]
    assert 0 < answer.lines[0].make_probability < 1
    assert answer.lines[0].miss_room.left_boards >= 0
    assert answer.lines[0].contact.pin == 3
    assert answer.model.throws_count > 0


def test_a_problem(generated: SimpleNamespace, asking: Any) -> None:
    m = generated.models
    reply = generated.api("lines.solve_lines").sync_detailed(
        client=asking, body=m.LinesRequest(leave="3-3", limit=9)
    )
    assert reply.status_code == 422
    assert isinstance(reply.parsed, m.ProblemAnswer)
    assert reply.parsed.type_ == "/problems/invalid-request"
    assert reply.parsed.request_id == reply.headers["X-Request-ID"]
    assert {fault.pointer for fault in reply.parsed.errors} == {"#/leave", "#/limit"}


def test_query_parameters_and_many_leaves(generated: SimpleNamespace, asking: Any) -> None:
    m = generated.models
    answer = generated.api("leaves.list_leaves").sync(
        client=asking, category=m.ListLeavesCategory.SPLIT
    )
    assert answer.count == len(answer.items) == 459
    line = generated.api("lines.get_lines").sync("1-2-10", client=asking, oil_length_ft=41.0)
    assert line.leave == "1-2-10"


def test_a_batch_with_a_bad_item(generated: SimpleNamespace, asking: Any) -> None:
    m = generated.models
    items = [m.BatchItem(leave="10", id="a"), m.BatchItem(leave="11", id="b")]
    answer = generated.api("lines.solve_lines_batch").sync(
        client=asking, body=m.BatchRequest(items=items)
    )
    good, bad = answer.results
    assert (good.id, good.result.leave) == ("a", "10")
    assert (bad.id, bad.problem.status) == ("b", 422)


def test_advice(generated: SimpleNamespace, asking: Any) -> None:
    m = generated.models
    body = m.AdviceRequest(leave="7-10", situation=m.Situation(kind=m.SituationKind.SCORE))
    answer = generated.api("advice.give_advice").sync(client=asking, body=body)
    assert answer.play in m.AdviceAnswerPlay
    assert answer.plays.count.win_probability is None
    assert answer.margin >= 0


def test_probes_and_pictures(generated: SimpleNamespace, asking: Any) -> None:
    health = generated.api("service.get_health").sync(client=asking)
    assert (health.status, health.version) == ("ok", __version__)
    picture = generated.api("lines.get_picture").sync("1-2-10", client=asking)
    assert picture.startswith(b"<svg")
