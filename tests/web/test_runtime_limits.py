"""Limits in one process: places for computing, time budget, what happens beyond them."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from types import SimpleNamespace
from typing import Any

import pytest
from flask import Flask
from leaveline.lines import make_probabilities
from leaveline.lines.solve import solve
from leaveline.web import create_app
from leaveline.web.settings import Settings
from werkzeug.test import TestResponse

from tests.web.test_errors import problem

PLACES = 2


class Gate:
    """Holds every search until it is opened."""

    def __init__(self) -> None:
        self.opened = threading.Event()
        self.waiting = threading.Semaphore(0)

    def solve(self, *args: Any, **kwargs: Any) -> Any:
        self.waiting.release()
        assert self.opened.wait(20)
        return solve(*args, **kwargs)


@pytest.fixture
def gate(monkeypatch: pytest.MonkeyPatch) -> Iterator[Gate]:
    made = Gate()
    monkeypatch.setattr("leaveline.web.solved.solve", made.solve)
    yield made
    made.opened.set()


@pytest.fixture
def small() -> Flask:
    return create_app(Settings(concurrency=PLACES))


def ask(app: Flask, seed: int) -> TestResponse:
    return app.test_client().post("/v1/lines", json={"leave": "10", "seed": seed})


def test_beyond_its_places_a_worker_refuses_at_once_and_recovers(small: Flask, gate: Gate) -> None:
    small.test_client().get("/v1/leaves/7-10")
    with ThreadPoolExecutor(PLACES) as pool:
        held = [pool.submit(ask, small, 1000 + number) for number in range(PLACES)]
        for _ in held:
            assert gate.waiting.acquire(timeout=20)
        for number in range(3):
            refused = ask(small, 2000 + number)
            problem(refused, 503, "overloaded")
            assert int(refused.headers["Retry-After"]) >= 1
        for path in ("/healthz", "/openapi.json", "/metrics", "/kiosk", "/v1/limits"):
            assert small.test_client().get(path).status_code == 200, path
        assert small.test_client().get("/v1/leaves/7-10").status_code == 200  # kept
        assert small.test_client().options("/v1/lines").status_code == 200
        gate.opened.set()
        assert [future.result().status_code for future in held] == [200] * PLACES
    assert [ask(small, 3000 + number).status_code for number in range(3)] == [200] * 3


@pytest.mark.parametrize(
    ("method", "path", "body"),
    [
        ("POST", "/v1/lines", {"leave": "x"}),
        ("POST", "/v1/lines", {"leave": "10", "seed": 5}),
        ("POST", "/v1/lines/batch", {"items": [{"leave": "10"}, {}]}),
        ("GET", "/v1/leaves/11", None),
        ("GET", "/v1/pictures/10.svg", None),
        ("DELETE", "/v1/lines", None),
    ],
)
def test_every_ending_gives_the_place_back(small: Flask, method: str, path: str, body: Any) -> None:
    statuses = {
        small.test_client().open(path, method=method, json=body).status_code
        for _ in range(PLACES + 2)
    }
    assert len(statuses) == 1
    assert 503 not in statuses


def test_an_error_gives_the_place_back(small: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: Any, **__: Any) -> None:
        raise RuntimeError("deck on fire")

    monkeypatch.setattr("leaveline.web.solved.solve", fails)
    assert [ask(small, 7000 + n).status_code for n in range(PLACES + 2)] == [500] * (PLACES + 2)


def test_a_stream_holds_its_place_until_it_ends(small: Flask) -> None:
    """Each stream in a thread of its own, as in a worker."""

    def stream(seed: int) -> TestResponse:
        return small.test_client().post(
            "/v1/lines/batch",
            json={"items": [{"leave": "10", "seed": seed}] * 3},
            headers={"Accept": "application/x-ndjson"},
            buffered=False,
        )

    def read(response: TestResponse) -> int:
        rows = response.get_data().splitlines()
        response.close()
        return len(rows)

    with ThreadPoolExecutor(1) as one, ThreadPoolExecutor(1) as other:
        first, second = one.submit(stream, 11).result(), other.submit(stream, 12).result()
        problem(ask(small, 13), 503, "overloaded")
        assert one.submit(read, first).result() == 3
        assert ask(small, 13).status_code == 200
        other.submit(second.close).result()  # a caller who goes away in the middle
    assert [ask(small, 13).status_code for _ in range(3)] == [200] * 3


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> SimpleNamespace:
    """A clock on which every search, and every line that was thrown, takes ten seconds."""
    hands = SimpleNamespace(ahead_s=0.0)

    def slow(what: Callable[..., Any]) -> Callable[..., Any]:
        def done_slowly(*args: Any, **kwargs: Any) -> Any:
            hands.ahead_s += 10
            return what(*args, **kwargs)

        return done_slowly

    for room in (
        "web.solved", "lines.compare", "practice.spare_ball", "practice.forward",
        "practice.expected",
    ):  # fmt: skip
        monkeypatch.setattr(f"leaveline.{room}.solve", slow(solve))
    monkeypatch.setattr("leaveline.practice.expected.make_probabilities", slow(make_probabilities))
    real = time.monotonic
    monkeypatch.setattr(
        "leaveline.web.work.time", SimpleNamespace(monotonic=lambda: real() + hands.ahead_s)
    )
    return hands


def answer(app: Flask, path: str, body: Any, **headers: str) -> TestResponse:
    return app.test_client().post(path, json=body, headers=headers)


def test_a_batch_answers_what_it_reaches_in_time(clock: SimpleNamespace) -> None:
    app = create_app(Settings(time_budget_s=25))
    items = [{"id": f"n{n}", "leave": "10", "seed": 20_000 + n} for n in range(6)]
    body = answer(app, "/v1/lines/batch", {"items": items}).json
    assert body is not None
    assert [row["id"] for row in body["results"]] == [f"n{n}" for n in range(6)]
    assert ["result" in row for row in body["results"]] == [True] * 3 + [False] * 3
    assert (body["succeeded_count"], body["failed_count"]) == (3, 3)
    for row in body["results"][3:]:
        assert row["problem"]["type"] == "/problems/time-budget-passed"
        assert row["problem"]["status"] == 503
        assert "25 s" in row["problem"]["detail"]
    clock.ahead_s = 0.0
    again = answer(app, "/v1/lines/batch", {"items": items}).json
    assert again is not None
    assert ["result" in row for row in again["results"]] == [True] * 6  # the first half is kept


def test_a_streamed_batch_keeps_its_budget_too(clock: SimpleNamespace) -> None:
    app = create_app(Settings(time_budget_s=25))
    items = [{"leave": "7", "seed": 30_000 + n} for n in range(5)]
    response = answer(app, "/v1/lines/batch", {"items": items}, Accept="application/x-ndjson")
    rows = [json.loads(line) for line in response.get_data().splitlines()]
    assert ["result" in row for row in rows] == [True] * 3 + [False] * 2
    response.close()
    assert clock.ahead_s == 30


@pytest.mark.parametrize(
    ("body", "searches"),
    [
        ({"play": "both"}, 1),
        ({"sensitivity": True}, 1),
        ({"balls": [{"weight_lb": w} for w in (12, 13, 14, 15)]}, 1),
    ],
)
def test_one_request_is_stopped_between_its_steps(
    clock: SimpleNamespace, body: dict[str, Any], searches: int
) -> None:
    app = create_app(Settings(time_budget_s=5))
    response = answer(app, "/v1/lines", {"leave": "10", "seed": 40_000 + len(str(body)), **body})
    problem(response, 503, "time-budget-passed")
    assert int(response.headers["Retry-After"]) >= 1
    assert clock.ahead_s == 10 * searches


def test_a_comparison_is_stopped_between_its_options(clock: SimpleNamespace) -> None:
    app = create_app(Settings(time_budget_s=25))
    balls = [{"weight_lb": weight} for weight in (11, 12, 13, 14, 15)]
    response = answer(app, "/v1/lines", {"leave": "10", "seed": 50_000, "balls": balls})
    problem(response, 503, "time-budget-passed")
    assert clock.ahead_s == 30  # its own line, and two of five options


def test_ways_to_throw_spares_are_compared_in_time_too(clock: SimpleNamespace) -> None:
    app = create_app(Settings(time_budget_s=25))
    body = {
        "options": [{"name": f"{w} lb", "ball": {"weight_lb": w}} for w in (11.3, 12.3, 13.3)],
        "leave_counts": [{"leave": "10", "count": 30}, {"leave": "7", "count": 20}],
        "games": 30,
    }
    problem(answer(app, "/v1/comparisons", body), 503, "time-budget-passed")
    assert clock.ahead_s == 30  # the first way at both leaves, the second at one
    clock.ahead_s = -1000.0
    assert answer(app, "/v1/comparisons", body).status_code == 200


RESULTS = [{"leave": leave, "attempts": 20, "made": 9} for leave in ("3-10", "2-7", "10", "7")]


@pytest.mark.parametrize(
    "thrown",
    [{"results": RESULTS}, {"target_misses_boards": [0, 1, -2, 0]}],
    ids=["at the leaves given", "at those to throw at next"],
)
def test_an_accuracy_is_stopped_between_its_leaves(
    clock: SimpleNamespace, thrown: dict[str, Any]
) -> None:
    app = create_app(Settings(time_budget_s=25))
    weight_lb = 11.2 if "results" in thrown else 11.25  # none that was worked out before
    body = thrown | {"bowler": {"ball": {"weight_lb": weight_lb}}}
    problem(answer(app, "/v1/accuracy", body), 503, "time-budget-passed")
    assert clock.ahead_s == 30
    clock.ahead_s = -1000.0
    assert answer(app, "/v1/accuracy", body).status_code == 200


@pytest.mark.parametrize(
    ("spread", "budget_s", "stopped_s"),
    [({}, 25, 30), ({"target_boards": 1.2}, 35, 40), ({"target_boards": 1.1}, 85, 100)],
    ids=["while it fits", "while it solves", "while it looks at the lines thrown"],
)
def test_a_review_is_stopped_between_its_leaves(
    clock: SimpleNamespace, spread: dict[str, float], budget_s: int, stopped_s: float
) -> None:
    app = create_app(Settings(time_budget_s=budget_s))
    line = {"lay_down_board": 20, "target_board": 18} if budget_s == 85 else {}
    rows = [{"leave": r["leave"], "made": n < 2} | line for r in RESULTS for n in range(4)]
    bowler = {"ball": {"weight_lb": 11.35}} | ({"spread": spread} if spread else {})
    body = {"rows": rows, "bowler": bowler}
    problem(answer(app, "/v1/reviews", body), 503, "time-budget-passed")
    assert clock.ahead_s == stopped_s
    clock.ahead_s = -1000.0
    assert answer(app, "/v1/reviews", body).status_code == 200


def test_within_its_budget_a_request_is_not_touched(clock: SimpleNamespace) -> None:
    app = create_app(Settings(time_budget_s=3600))
    response = answer(app, "/v1/lines", {"leave": "10", "play": "both", "seed": 60_000})
    assert (response.status_code, clock.ahead_s) == (200, 20)
