"""Stopping, and workers that die, while work is under way: nothing is lost, nothing comes twice."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import requests
from leaveline_client import Client

from tests.load.killing import items, killing
from tests.load.serving import Served, serving, wait_until

IN_FLIGHT = 8
LEAST_ITEMS, MOST_ITEMS = 2_000, 50_000


def test_a_stop_lets_every_request_in_flight_finish(tmp_path: Path) -> None:
    """Requests of a second or so, some of them streams, are under way when SIGTERM comes."""
    with serving(tmp_path / "out.jsonl") as served:

        def ask(number: int) -> tuple[int, int]:
            batch = [{"leave": "1-2-10", "seed": 1_000 * number + n} for n in range(60)]
            accept = "application/x-ndjson" if number % 2 else "application/json"
            answer = requests.post(
                f"{served.url}/v1/lines/batch",
                json={"items": batch},
                headers={"Accept": accept},
                timeout=60,
            )
            rows = len(answer.text.splitlines()) if number % 2 else len(answer.json()["results"])
            return answer.status_code, rows

        with ThreadPoolExecutor(IN_FLIGHT) as pool:
            sent = [pool.submit(ask, number) for number in range(IN_FLIGHT)]
            wait_until(
                lambda: served.metric("leaveline_requests_computing") == IN_FLIGHT,
                f"all {IN_FLIGHT} requests under way at once",
            )
            status = served.stop()
            assert [one.result() for one in sent] == [(200, 60)] * IN_FLIGHT
        assert status == 0
        lines = [line for line in served.log_lines() if line.get("route") == "/v1/lines/batch"]
        assert len(lines) == IN_FLIGHT


def test_kept_connections_lose_nothing_when_it_stops(tmp_path: Path) -> None:
    """Callers that ask again and again on one connection get whole answers until the port closes;
    what comes after that is refused, not cut off."""
    with serving(tmp_path / "out.jsonl") as served:
        answered: list[int] = []
        cut_off: list[str] = []
        ready = threading.Barrier(5)

        def keep_asking() -> None:
            with requests.Session() as session:
                session.get(f"{served.url}/v1/leaves/10", timeout=10)
                ready.wait()
                while True:
                    try:
                        answer = session.get(f"{served.url}/v1/lines/1-2-10", timeout=10)
                    except requests.ConnectionError as error:
                        if "refused" not in str(error):
                            cut_off.append(str(error))
                        return
                    answered.append(answer.status_code)

        threads = [threading.Thread(target=keep_asking) for _ in range(4)]
        for thread in threads:
            thread.start()
        ready.wait()
        time.sleep(0.5)
        assert served.stop() == 0
        for thread in threads:
            thread.join(30)
        assert set(answered) == {200}
        assert len(answered) > 100
        # A connection that waited in the port's queue when it closed was never taken on.
        assert all("reset" in text.lower() for text in cut_off), cut_off


def test_workers_killed_at_random_lose_no_item(tmp_path: Path) -> None:
    """Items go on coming until two workers were killed, however fast they are answered."""
    fed = 0

    def until_killed(killed: list[int]) -> Iterator[dict[str, Any]]:
        nonlocal fed
        for item in items(MOST_ITEMS):
            if fed >= LEAST_ITEMS and len(killed) >= 2:
                return
            fed += 1
            yield item

    with serving(tmp_path / "out.jsonl") as served:
        with Client(served.url, max_retries=8) as client, killing(served, every_s=0.7) as killed:
            asked = until_killed(killed)
            rows = list(client.lines_many(asked, output=tmp_path / "rows.jsonl"))
        assert len(killed) >= 2, f"{MOST_ITEMS} items were answered before two workers were killed"
        ended_once(rows, fed)
        assert len((tmp_path / "rows.jsonl").read_text().splitlines()) == fed
        steady(served)


def ended_once(rows: list, count: int) -> None:  # type: ignore[type-arg]
    assert [row.index for row in rows] == list(range(count))
    assert [row.id for row in rows] == [f"n{n}" for n in range(count)]
    bad = {row.index for row in rows if row.problem is not None}
    assert bad == set(range(7, count, 100))
    assert all(row.result is not None for row in rows if row.index not in bad)


def steady(served: Served) -> None:
    """The gauges of workers that were killed are gone."""
    end = time.monotonic() + 20
    while served.metric("leaveline_requests_in_flight") > 1 and time.monotonic() < end:
        time.sleep(0.1)
    assert served.metric("leaveline_requests_in_flight") == 1
    assert served.metric("leaveline_requests_computing") == 0
