"""A bulk run over a real Dask cluster on this machine: what a season's worth of bowlers needs."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from leaveline_client import Client, ConnectFailed

distributed = pytest.importorskip("distributed", reason="dask's distributed is not installed")

LEAVES = ["10", "7", "3-10", "3-6-10", "2-8", "6-10", "4-7", "1-2-10", "5-7", "2-4-5-8"]
ROWS: list[dict[str, Any]] = [
    {"id": f"{level}/{leave}", "leave": leave, "bowler": {"level": level}, "limit": 1}
    for level in ("league", "tour")
    for leave in LEAVES
]
BAD: list[dict[str, Any]] = [
    {"id": "no such pin", "leave": "3-11"},
    {"id": "not to be sent", "leave": "10", "limit": float("nan")},
    {"id": "no leave"},
]


@pytest.fixture(scope="module")
def cluster() -> Iterator[Any]:
    """Two worker processes, each with one thread; no dashboard."""
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
        ) as local,
        distributed.Client(local) as client,
    ):
        yield client


def test_rows_come_in_order_and_are_those_of_an_ordinary_run(
    cluster: Any, bulk_url: str, tmp_path: Path
) -> None:
    items = [*ROWS[:7], *BAD, *ROWS[7:]]
    with Client(bulk_url) as client:
        ordinary = list(client.lines_many(items, batch_size=4, output=tmp_path / "ordinary"))
        spread = list(
            client.lines_many(
                items, executor=cluster.get_executor(), batch_size=4, output=tmp_path / "spread"
            )
        )
    assert [row.id for row in spread] == [item["id"] for item in items]
    assert [row.index for row in spread] == list(range(len(items)))
    assert [row.id for row in spread if row.problem] == [item["id"] for item in BAD]
    assert [row.result for row in spread] == [row.result for row in ordinary]
    # Byte for byte what an ordinary run writes, but for the request ids of refused batches.
    assert _without_request_ids(tmp_path / "spread") == _without_request_ids(tmp_path / "ordinary")


def test_the_requests_are_made_by_the_workers(cluster: Any, bulk_url: str) -> None:
    before = _tasks_done(cluster)
    with Client(bulk_url) as client:
        rows = list(
            client.lines_many(ROWS, executor=cluster.get_executor(), batch_size=3, in_flight=6)
        )
    assert all(row.result for row in rows)
    after = _tasks_done(cluster)
    assert sum(after.values()) - sum(before.values()) == 7  # 20 rows in batches of 3
    assert all(after[worker] > before.get(worker, 0) for worker in after)


def test_a_fault_of_the_service_reaches_the_caller_as_itself(cluster: Any) -> None:
    with Client("http://127.0.0.1:9", max_retries=0) as client, pytest.raises(ConnectFailed):
        list(client.lines_many(ROWS, executor=cluster.get_executor()))


def _tasks_done(cluster: Any) -> dict[str, int]:
    """How many pieces of work each worker has finished."""
    return dict(cluster.run(lambda dask_worker: dask_worker.state.executed_count))


def _without_request_ids(path: Path) -> list[str]:
    return re.sub(r'"request_id":"[^"]*"', "", path.read_text()).splitlines()
