"""Metrics in one process: what they count, and that their labels are bounded."""

from __future__ import annotations

import struct
from pathlib import Path
from types import SimpleNamespace

import pytest
from flask.testing import FlaskClient
from leaveline.lines.solve import solve
from leaveline.web import create_app
from leaveline.web.metrics import REGISTRY
from leaveline.web.settings import Settings
from prometheus_client.mmap_dict import MmapedDict
from prometheus_client.parser import text_string_to_metric_families


@pytest.fixture
def own_client() -> FlaskClient:
    return create_app(Settings()).test_client()


def value(name: str, **labels: str) -> float:
    return REGISTRY.get_sample_value(name, labels) or 0.0


def requests_of(route: str, method: str = "GET", status: int = 200) -> float:
    return value("leaveline_requests_total", route=route, method=method, status=str(status))


def test_requests_and_their_time_are_counted_by_route(own_client: FlaskClient) -> None:
    route = "/v1/leaves/<leave>"
    before = requests_of(route), value("leaveline_request_seconds_count", route=route)
    for leave in ("10", "7", "3-10"):
        own_client.get(f"/v1/leaves/{leave}")
    after = requests_of(route), value("leaveline_request_seconds_count", route=route)
    assert [a - b for a, b in zip(after, before, strict=True)] == [3, 3]


def test_unknown_paths_and_methods_make_no_new_labels(own_client: FlaskClient) -> None:
    before = requests_of("unmatched", "GET", 404), requests_of("unmatched", "other", 405)
    for number in range(20):
        own_client.get(f"/nowhere/{number}")
    for number in range(20):
        own_client.open("/v1/lines", method=f"ODD{number}")
    after = requests_of("unmatched", "GET", 404), requests_of("unmatched", "other", 405)
    assert [a - b for a, b in zip(after, before, strict=True)] == [20, 20]
    text = own_client.get("/metrics").get_data(as_text=True)
    assert "nowhere" not in text
    assert "ODD" not in text


def test_the_text_parses_and_counts_itself_in_flight(own_client: FlaskClient) -> None:
    before = value("leaveline_requests_in_flight"), value("leaveline_requests_computing")
    response = own_client.get("/metrics")
    assert response.mimetype == "text/plain"
    assert response.headers["Cache-Control"] == "no-store"
    families = {f.name: f for f in text_string_to_metric_families(response.get_data(as_text=True))}
    assert families["leaveline_requests_in_flight"].samples[0].value == before[0] + 1
    assert families["leaveline_requests_computing"].samples[0].value == before[1]
    assert value("leaveline_requests_in_flight") == before[0]


def test_what_is_kept_is_counted(own_client: FlaskClient) -> None:
    def lookups() -> list[float]:
        return [
            value("leaveline_cache_lookups_total", cache=cache, outcome=outcome)
            for cache in ("answers", "solved_lines")
            for outcome in ("miss", "hit")
        ]

    before = lookups()
    body = {"leave": "2-8", "seed": 4711}
    own_client.post("/v1/lines", json=body)
    own_client.post("/v1/lines", json=body)
    own_client.get("/v1/leaves/2-8")
    own_client.get("/v1/leaves/2-8")
    assert [a - b for a, b in zip(lookups(), before, strict=True)] == [1, 1, 1, 1]


def test_the_models_maps_are_counted(own_client: FlaskClient) -> None:
    def maps() -> tuple[float, float]:
        return tuple(  # type: ignore[return-value]
            value("leaveline_cache_lookups_total", cache="carry_maps", outcome=outcome)
            for outcome in ("miss", "hit")
        )

    own_client.post("/v1/lines", json={"leave": "10", "seed": 1})
    before = maps()
    weight = {"bowler": {"ball": {"weight_lb": 11.37}}}
    own_client.post("/v1/lines", json={"leave": "10", "seed": 2, **weight})
    assert (maps()[0] - before[0], maps()[1] - before[1]) == (1, 0)
    own_client.post("/v1/lines", json={"leave": "10", "seed": 3, **weight})
    assert (maps()[0] - before[0], maps()[1] - before[1]) == (1, 1)


def test_refused_work_is_counted_by_reason(own_client: FlaskClient) -> None:
    def refused(reason: str) -> float:
        return value("leaveline_refused_total", reason=reason)

    before = refused("too-much-work"), refused("body-too-large")
    own_client.post("/v1/lines/batch", json={"items": [{"leave": "10", "play": "both"}] * 1300})
    own_client.post("/v1/lines", data=b"x" * 1_100_000, content_type="application/json")
    assert (refused("too-much-work"), refused("body-too-large")) == (before[0] + 1, before[1] + 1)


def test_work_is_counted_also_where_it_fails(
    own_client: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One item's unforeseen error is that item's problem, and the service's 200."""

    def fails_at_ten(leave: object, *args: object, **kwargs: object) -> object:
        if str(leave) == "10":
            raise RuntimeError("deck on fire")
        return solve(leave, *args, **kwargs)  # type: ignore[arg-type]

    monkeypatch.setattr("leaveline.web.solved.solve", fails_at_ten)
    before = value("leaveline_work_total", kind="items_failed")
    items = [{"leave": "10", "seed": 99}, {"leave": "7", "seed": 99}]
    answer = own_client.post("/v1/lines/batch", json={"items": items}).json
    assert answer is not None
    assert [result.get("problem", {}).get("status") for result in answer["results"]] == [500, None]
    assert value("leaveline_work_total", kind="items_failed") == before + 1


def test_a_worker_that_is_just_starting_does_not_spoil_the_sum(
    own_client: FlaskClient, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its file is empty for a moment, until the library gives it a size."""
    monkeypatch.setenv("PROMETHEUS_MULTIPROC_DIR", str(tmp_path))
    starting = tmp_path / "counter_9.db"
    starting.touch()
    pauses = []

    def the_worker_goes_on(seconds: float) -> None:
        pauses.append(seconds)
        if len(pauses) == 2:
            MmapedDict(str(starting)).close()  # type: ignore[no-untyped-call]

    monkeypatch.setattr("leaveline.web.metrics.time", SimpleNamespace(sleep=the_worker_goes_on))
    assert own_client.get("/metrics").status_code == 200
    assert len(pauses) == 2
    starting.write_bytes(b"")
    with pytest.raises(struct.error):
        list(MmapedDict.read_all_values_from_file(str(starting)))
    assert own_client.get("/metrics").status_code == 500  # one that stays broken is a fault


def test_metrics_can_be_switched_off() -> None:
    assert create_app(Settings(metrics=False)).test_client().get("/metrics").status_code == 404
