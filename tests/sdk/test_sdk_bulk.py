"""Many items: in order, overlapping, bad ones and all, and through being killed."""

from __future__ import annotations

import io
import json
import os
import pickle
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import pytest
from flask import Flask, jsonify, request
from leaveline_client import (
    BatchItem,
    Client,
    ConnectFailed,
    InvalidRequest,
    LinesRequest,
    LinesRow,
    NotFound,
    RowFileError,
    ServiceFault,
    TimedOut,
    UnexpectedReply,
)
from leaveline_client.progress import Progress, StatusLine

from tests.sdk.helpers import BASE_URL, Waits, session_for

LEAVES = ["3-10", "7-10", "10", "3-6-10"]
MANY = [{"id": f"shot-{n}", "leave": LEAVES[n % 4], "limit": 1} for n in range(23)]


class PicklingExecutor(Executor):
    """Does what a cluster's executor does: all that goes in or comes out is pickled."""

    def __init__(self) -> None:
        self.sizes: list[int] = []

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        work = pickle.dumps((fn, args, kwargs))
        self.sizes.append(len(args[1]))
        future: Future[Any] = Future()

        def run() -> None:
            if not future.set_running_or_notify_cancel():
                return
            function, args, kwargs = pickle.loads(work)
            try:
                future.set_result(pickle.loads(pickle.dumps(function(*args, **kwargs))))
            except Exception as error:
                future.set_exception(pickle.loads(pickle.dumps(error)))

        threading.Thread(target=run).start()
        return future


def plain(row: LinesRow) -> tuple[Any, ...]:
    """A row without how it came about."""
    return row.id, row.index, row.result, row.problem


def test_rows_come_in_order_with_their_ids(client: Client) -> None:
    rows = list(client.lines_many(MANY, batch_size=4))
    assert [row.id for row in rows] == [item["id"] for item in MANY]
    assert [row.index for row in rows] == list(range(23))
    for item, row in zip(MANY, rows, strict=True):
        assert row.problem is None
        assert row.result == client.lines(leave=str(item["leave"]), limit=1)


def test_an_item_may_be_a_leave_a_request_or_a_mapping(client: Client) -> None:
    items: list[Any] = ["3-10", [10, 3], LinesRequest(leave="3-10"), {"leave": "3-10", "id": 7}]
    items.append(BatchItem(id="mine", leave="3-10"))
    rows = list(client.lines_many(iter(items)))
    assert [row.id for row in rows] == [0, 1, 2, 7, "mine"]
    assert len({row.result.input_digest for row in rows if row.result}) == 1


def test_bad_rows_do_not_spoil_the_rest(client: Client) -> None:
    bad: list[Any] = [
        {"leave": "3-11"},
        {"limit": 1},
        {"leave": "3-10", "limit": float("nan")},
        {"leave": "3-10", "hat": "red"},
        {"leave": "3-10", "bowler": object()},
        3.5,
        "",
    ]
    items = [item for each in bad for item in (each, "3-10")]
    rows = list(client.lines_many(items, batch_size=5))
    assert len(rows) == len(items)
    details = [row.problem.detail if row.problem else None for row in rows]
    assert details[1::2] == [None] * len(bad)
    for detail, says in zip(
        details[0::2],
        ["got 11", "required", "limit = nan", "not known", "bowler = <object", "3.5", "got ''"],
        strict=True,
    ):
        assert detail is not None
        assert says in detail
    unsent = rows[4].problem
    assert unsent is not None
    assert (unsent.type, unsent.request_id) == ("urn:leaveline-client:not-sent", "")


def test_a_bad_row_says_what_the_item_alone_would_have_been_told(client: Client) -> None:
    bad = {"leave": "3-11", "limit": 0, "bowler": {"hand": "both"}}
    row = list(client.lines_many(["3-10", "7-10", bad]))[2]
    assert row.problem is not None
    with pytest.raises(InvalidRequest) as caught:
        client.lines(leave="3-11", limit=0, bowler={"hand": "both"})
    alone = caught.value.problem
    assert row.problem.errors == alone.errors
    assert row.problem.detail == alone.detail
    assert (row.problem.type, row.problem.status) == (alone.type, alone.status)
    assert len(row.problem.request_id) == 32


def test_a_batch_of_nothing_that_can_be_sent_is_not_sent(app: Flask) -> None:
    with session_for(app) as session:
        client = Client(f"{BASE_URL}/nowhere", session=session)
        rows = list(client.lines_many([{"leave": float("inf")}] * 3, batch_size=2))
    assert [row.problem is not None for row in rows] == [True] * 3


def test_a_batch_that_is_refused_as_a_whole_is_halved(app: Flask) -> None:
    """As by a service or gateway whose limit on bodies is smaller than ours."""
    refused: list[int] = []
    small = Flask("small")

    @small.post("/v1/lines/batch")
    def batch() -> Any:
        items = request.get_json()["items"]
        if len(items) > 2 or any(item["leave"] == "7-10" for item in items):
            refused.append(len(items))
            return jsonify(type="/problems/too-much-work", title="No", status=422, detail="no"), 422
        return app.test_client().post("/v1/lines/batch", json=request.get_json()).get_json()

    with session_for(small) as session:
        rows = list(Client(BASE_URL, session=session).lines_many(MANY, batch_size=8))
    assert [row.id for row in rows] == [item["id"] for item in MANY]
    assert [row.problem is not None for row in rows] == [i["leave"] == "7-10" for i in MANY]
    assert refused


def test_answers_of_another_order_are_not_taken(app: Flask) -> None:
    mixed = Flask("mixed")

    @mixed.post("/v1/lines/batch")
    def batch() -> Any:
        answer = app.test_client().post("/v1/lines/batch", json=request.get_json()).get_json()
        return answer | {"results": answer["results"][::-1]}

    with session_for(mixed) as session, pytest.raises(UnexpectedReply, match="another order"):
        list(Client(BASE_URL, session=session).lines_many(MANY))


def test_a_fault_of_the_whole_is_raised(app: Flask) -> None:
    with session_for(app) as session, pytest.raises(NotFound):
        list(Client(f"{BASE_URL}/nowhere", session=session).lines_many(MANY))


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ({"batch_size": 0}, "batch_size = 0: must be from 1 to 2000"),
        ({"batch_size": 2001}, "batch_size = 2001: must be from 1 to 2000"),
        ({"in_flight": 0}, "in_flight = 0: must be from 1"),
    ],
)
def test_options_out_of_range_are_named_at_once(
    client: Client, options: dict[str, Any], says: str
) -> None:
    with pytest.raises(ValueError, match="must be") as caught:
        client.lines_many(MANY, **options)
    assert says in str(caught.value)


@pytest.mark.parametrize("items", ["3-10", {"leave": "3-10"}, LinesRequest(leave="3-10")])
def test_one_item_is_not_several(client: Client, items: Any) -> None:
    with pytest.raises(TypeError, match="must be several items"):
        client.lines_many(items)


@pytest.mark.parametrize("row_id", [1.5, True, [1]])
def test_an_id_is_text_or_a_whole_number(client: Client, row_id: Any) -> None:
    with pytest.raises(TypeError, match="item 1: id = "):
        list(client.lines_many(["3-10", {"id": row_id, "leave": "3-10"}]))


def test_items_are_taken_as_they_are_needed(client: Client) -> None:
    taken = 0

    def endless() -> Iterator[str]:
        nonlocal taken
        while True:
            taken += 1
            yield "3-10"

    rows = client.lines_many(endless(), batch_size=2, in_flight=3)
    assert [next(rows).index for _ in range(5)] == [0, 1, 2, 3, 4]
    assert taken == 10  # three batches out, and one more for each batch that was finished
    rows.close()  # type: ignore[attr-defined]


def test_requests_overlap(app: Flask) -> None:
    """Each of four requests is answered only once all four are there."""
    all_there = threading.Barrier(4, timeout=20)
    waiting = Flask("waiting")

    @waiting.post("/v1/lines/batch")
    def batch() -> Any:
        all_there.wait()
        return app.test_client().post("/v1/lines/batch", json=request.get_json()).get_json()

    with session_for(waiting) as session:
        rows = list(Client(BASE_URL, session=session).lines_many(MANY[:8], batch_size=2))
    assert len(rows) == 8


def test_work_pickles_both_ways(bulk_url: str) -> None:
    executor = PicklingExecutor()
    with Client(bulk_url) as client:
        rows = list(client.lines_many(MANY, executor=executor, batch_size=10))
        assert list(map(plain, rows)) == list(map(plain, client.lines_many(MANY)))
        broken = Client("http://127.0.0.1:1", max_retries=0)
        with pytest.raises(ConnectFailed):
            list(broken.lines_many(MANY, executor=executor))
    assert executor.sizes[:3] == [10, 10, 3]


def test_processes_do_the_work_too(bulk_url: str) -> None:
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as executor:
        rows = list(Client(bulk_url).lines_many(MANY, executor=executor, batch_size=6))
    assert [row.id for row in rows] == [item["id"] for item in MANY]
    assert all(row.result for row in rows)


def test_progress_is_told(client: Client) -> None:
    told: list[tuple[int, int | None, int]] = []
    list(client.lines_many(["3-10", "3-11"], progress=lambda *state: told.append(state)))
    list(client.lines_many(iter(["3-10"]), progress=lambda *state: told.append(state)))
    assert told == [(1, 2, 0), (2, 2, 1), (1, None, 0)]


def test_progress_is_on_stderr_where_asked_and_not_in_a_pipe(
    client: Client, capsys: pytest.CaptureFixture[str]
) -> None:
    list(client.lines_many(["3-10", "3-11"]))
    assert capsys.readouterr().err == ""
    list(client.lines_many(["3-10", "3-11"], progress=True))
    shown = capsys.readouterr().err
    assert "2 of 2 leaves, 1 failed" in shown.split("\r")[-1]
    assert shown.endswith("\n")


def test_a_status_line_is_not_redrawn_more_often_than_it_can_be_read() -> None:
    stream, now_s = io.StringIO(), 0.0
    line = StatusLine(stream, clock=lambda: now_s)
    for done in range(1, 1001):
        now_s += 0.001
        line(done, 1000, 0)
    line.finish()
    assert 5 <= stream.getvalue().count("\r") <= 8
    assert stream.getvalue().split("\r")[-1].startswith("1000 of 1000 leaves, 0 failed, 1000 a")
    with Progress(StatusLine(stream), None):
        pass  # nothing was done: nothing is shown
    assert stream.getvalue().count("\n") == 1


def test_an_output_file_holds_the_rows_and_is_gone_on_with(client: Client, tmp_path: Path) -> None:
    path = tmp_path / "rows.jsonl"
    items: list[Any] = [*MANY[:6], {"leave": "3-11"}, *MANY[6:]]
    first = list(client.lines_many(items, output=path, batch_size=4))
    written = path.read_bytes()
    lines = [json.loads(line) for line in written.splitlines()]
    assert [line["id"] for line in lines] == [row.id for row in first]
    assert [line.get("result") for line in lines] == [
        row.result and row.result.raw for row in first
    ]
    assert not any(row.resumed for row in first)

    path.write_bytes(written[: len(written) * 2 // 3])
    again = list(client.lines_many(items, output=path, batch_size=4))
    assert list(map(plain, again)) == list(map(plain, first))
    assert path.read_bytes() == written
    resumed = [row.resumed for row in again]
    assert resumed == sorted(resumed, reverse=True)
    assert 0 < sum(resumed) < len(items)


def test_a_finished_file_asks_nothing(client: Client, tmp_path: Path) -> None:
    path = tmp_path / "rows.jsonl"
    first = list(client.lines_many(MANY, output=path))
    nowhere = Client("http://127.0.0.1:1", max_retries=0)
    assert list(map(plain, nowhere.lines_many(MANY, output=path))) == list(map(plain, first))


def test_a_changed_input_does_not_get_old_answers(client: Client, tmp_path: Path) -> None:
    path = tmp_path / "rows.jsonl"
    list(client.lines_many(MANY, output=path))
    changed = [*MANY[:-1], MANY[-1] | {"bowler": {"level": "tour"}}]
    with pytest.raises(RowFileError, match="line 23: answers an older form of id 'shot-22'"):
        list(client.lines_many(changed, output=path))


def test_a_stop_in_the_middle_keeps_what_was_given_out(client: Client, tmp_path: Path) -> None:
    path = tmp_path / "rows.jsonl"
    rows = client.lines_many(MANY, output=path, batch_size=4)
    seen = [next(rows).id for _ in range(6)]
    rows.close()  # type: ignore[attr-defined]
    written = [json.loads(line)["id"] for line in path.read_bytes().splitlines()]
    assert written[: len(seen)] == seen
    assert [row.id for row in client.lines_many(MANY, output=path)] == [i["id"] for i in MANY]


KILLED = """
import sys
from leaveline_client import Client
leaves = ["3-10", "7-10", "10", "3-6-10"]
items = ({"id": n, "leave": leaves[n % 4], "limit": 1} for n in range(int(sys.argv[3])))
for row in Client(sys.argv[1]).lines_many(items, output=sys.argv[2], batch_size=3):
    print(row.id, flush=True)
"""


def test_killed_again_and_again_no_row_is_lost_or_doubled(served_url: str, tmp_path: Path) -> None:
    """Against gunicorn: the framework's own server leaves streams open whose callers are gone."""
    path = tmp_path / "rows.jsonl"
    count, kills = 400, 0
    command = [sys.executable, "-c", KILLED, served_url, str(path), str(count)]
    environment = os.environ | {"PYTHONPATH": "sdk"}
    before = b""
    for seconds in (0.05, 0.08, 0.03, 60):
        with subprocess.Popen(command, env=environment, stdout=subprocess.PIPE) as process:
            assert process.stdout is not None
            process.stdout.readline()  # it has begun
            killer = threading.Timer(seconds, process.kill)
            killer.start()
            process.stdout.read()
            kills += process.wait() == -signal.SIGKILL
            killer.cancel()
        after = path.read_bytes()
        whole = before[: before.rfind(b"\n") + 1]
        assert after.startswith(whole)
        before = after
    assert kills >= 1
    assert [json.loads(line)["id"] for line in before.splitlines()] == list(range(count))


def test_a_service_that_fails_in_the_middle_is_gone_on_with(app: Flask, tmp_path: Path) -> None:
    path = tmp_path / "rows.jsonl"
    failing = Flask("failing")
    batches = 0

    @failing.post("/v1/lines/batch")
    def batch() -> Any:
        nonlocal batches
        batches += 1
        if batches == 4:
            return "broken", 500
        return app.test_client().post("/v1/lines/batch", json=request.get_json()).get_json()

    with session_for(failing) as session:
        client = Client(BASE_URL, session=session)
        got: list[str | int] = []
        rows = client.lines_many(MANY, output=path, batch_size=4, in_flight=1)
        with pytest.raises(ServiceFault):
            got.extend(row.id for row in rows)
        assert got == [item["id"] for item in MANY[:12]]
        again = list(client.lines_many(MANY, output=path, batch_size=4))
    assert [row.resumed for row in again] == [True] * 12 + [False] * 11
    assert [row.id for row in again] == [item["id"] for item in MANY]


def failing_at(
    app: Flask, faults: Callable[[list[dict[str, Any]]], dict[int, int]]
) -> tuple[Flask, list[int]]:
    """A service that does not answer some items of a batch: their places, each with a status.

    Also gives how many items each batch had, noted as they come.
    """
    made, sizes = Flask("failing"), []

    @made.post("/v1/lines/batch")
    def batch() -> Any:
        items = request.get_json()["items"]
        sizes.append(len(items))
        answer = app.test_client().post("/v1/lines/batch", json={"items": items}).get_json()
        for place, status in faults(items).items():
            problem = {"type": "/problems/x", "title": "Not now", "status": status, "detail": "no"}
            row = answer["results"][place]
            answer["results"][place] = {"id": row["id"], "index": place, "problem": problem}
        return answer

    return made, sizes


def test_items_that_a_service_does_not_get_to_are_asked_again(
    app: Flask, client: Client, waits: Waits, tmp_path: Path
) -> None:
    """It has time for three items of a batch: the rest are asked in smaller ones, till all are."""
    slow, sizes = failing_at(app, lambda items: dict.fromkeys(range(3, len(items)), 503))
    path = tmp_path / "rows.jsonl"
    items: list[Any] = [*MANY[:10], {"leave": "3-11"}, *MANY[10:]]
    with session_for(slow) as session:
        asking = Client(BASE_URL, session=session, max_retries=0, **waits.options)
        rows = list(asking.lines_many(items, output=path, in_flight=1))
    assert list(map(known, rows)) == list(map(known, client.lines_many(items)))
    assert sizes[:3] == [20, 9, 3]
    assert waits.slept_s == []  # something was answered every time
    kept = [json.loads(line) for line in path.read_text().splitlines()]
    assert [row.get("problem", {}).get("status") for row in kept] == [None] * 10 + [422] + [
        None
    ] * 13


@pytest.mark.parametrize("status", [500, 503])
def test_an_item_that_a_service_fails_at_once_is_answered(
    app: Flask, waits: Waits, status: int
) -> None:
    failed: list[str] = []

    def once(items: list[dict[str, Any]]) -> dict[int, int]:
        found = {n: status for n, item in enumerate(items) if item["leave"] == "7-10"}
        if len(failed) == 2:
            return {}
        failed.append("batch, then the item alone")
        return found

    flaky, sizes = failing_at(app, once)
    with session_for(flaky) as session:
        asking = Client(BASE_URL, session=session, **waits.options)
        rows = list(asking.lines_many(["3-10", "7-10", "10"]))
    assert [row.problem for row in rows] == [None] * 3
    assert sizes == [3, 1, 1]
    assert waits.slept_s == [0.5]


@pytest.mark.parametrize("status", [500, 503])
def test_an_item_that_a_service_goes_on_failing_at_is_raised_and_never_written(
    app: Flask, client: Client, waits: Waits, tmp_path: Path, status: int
) -> None:
    path = tmp_path / "rows.jsonl"
    broken, sizes = failing_at(
        app, lambda items: {n: status for n, item in enumerate(items) if item["seed"] == 5}
    )
    items = [{"id": f"shot-{n}", "leave": "10", "seed": n} for n in range(8)]
    got: list[str | int] = []
    with session_for(broken) as session:
        asking = Client(BASE_URL, session=session, max_retries=1, **waits.options)
        with pytest.raises(ServiceFault) as caught:
            got.extend(row.id for row in asking.lines_many(items, output=path))
    assert caught.value.status == status
    assert caught.value.detail == "item 'shot-5': no"
    assert len(caught.value.request_id) == 32
    assert got == [f"shot-{n}" for n in range(5)]
    assert sizes == [8, 1, 1]
    assert [json.loads(line)["id"] for line in path.read_text().splitlines()] == got
    again = list(client.lines_many(items, output=path))
    assert [row.resumed for row in again] == [True] * 5 + [False] * 3
    assert [row.problem for row in again] == [None] * 8


def test_a_service_that_answers_no_item_is_not_asked_for_ever(app: Flask, waits: Waits) -> None:
    dead, sizes = failing_at(app, lambda items: dict.fromkeys(range(len(items)), 503))
    with session_for(dead) as session, pytest.raises(ServiceFault, match="item 'shot-0': no"):
        list(Client(BASE_URL, session=session, **waits.options).lines_many(MANY[:8]))
    assert sizes == [8, 4, 2, 2, 4, 2, 2]


def test_a_batch_that_is_not_answered_in_time_is_halved(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    expected = list(client.lines_many(MANY))
    real, sizes = Client.lines_batch, []

    def times_out(self: Client, *, items: list[Any]) -> Any:
        sizes.append(len(items))
        if len(items) > 6:
            raise TimedOut("still coming in", phase="total")
        return real(self, items=items)

    monkeypatch.setattr(Client, "lines_batch", times_out)
    again = client.lines_many(MANY, in_flight=1)
    assert list(map(plain, again)) == list(map(plain, expected))
    assert sizes[:3] == [20, 10, 5]
    with pytest.raises(TimedOut):
        list(client.with_options(max_retries=1).lines_many(MANY))


def known(row: LinesRow) -> tuple[Any, ...]:
    """A row without how it came about and what its request was called."""
    problem = None if row.problem is None else (row.problem.type, row.problem.detail)
    return row.id, row.index, row.result, problem


def test_closing_early_does_not_wait_for_what_is_out(app: Flask) -> None:
    ended = threading.Event()
    slow = Flask("slow")

    @slow.post("/v1/lines/batch")
    def batch() -> Any:
        body = request.get_json()
        if body["items"][0]["leave"] == "10":
            ended.wait(20)
        return app.test_client().post("/v1/lines/batch", json=body).get_json()

    with session_for(slow) as session:
        rows = Client(BASE_URL, session=session).lines_many(["3-10", "10"], batch_size=1)
        next(rows)
        rows.close()  # type: ignore[attr-defined]
        assert not ended.is_set()
        ended.set()
        while any(t.name.startswith("leaveline") for t in threading.enumerate()):
            time.sleep(0.01)
