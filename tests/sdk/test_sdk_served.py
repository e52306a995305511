"""Over a real socket, against the service as it is run: gunicorn with two workers."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from flask import Flask
from leaveline_client import Bowler, Client, InvalidRequest, NotFound


def test_all_operations_answer(served_url: str) -> None:
    with Client(served_url) as client:
        assert client.health().status == client.ready().status == "ok"
        assert client.leave("3-10").category == "split"
        assert client.leaves().count == 1023
        assert client.lines(leave=[3, 10], limit=1).leave == "3-10"
        assert client.lines_for("3-10", level="tour").lines[0].play == "spare"
        with pytest.raises(InvalidRequest):
            client.lines(leave="3-11")
        with pytest.raises(NotFound):
            Client(f"{served_url}/nowhere").health()


def test_workers_and_threads_give_the_bytes_of_the_app_in_process(
    served_url: str, app: Flask
) -> None:
    asked: dict[str, Any] = {"leave": "3-6-10", "bowler": {"level": "tour"}, "limit": 2}
    expected = app.test_client().post("/v1/lines", json=asked).data
    with Client(served_url) as client, ThreadPoolExecutor(4) as threads:
        calls = [
            threads.submit(client.lines, leave=[10, 6, 3], bowler=Bowler(level="tour"), limit=2)
            for _ in range(12)
        ]
        answers = [call.result() for call in calls]
    assert {answer.meta.body for answer in answers} == {expected}
    assert len({answer.meta.request_id for answer in answers}) == 12


def test_a_base_url_may_end_in_a_slash(served_url: str) -> None:
    with Client(f"{served_url}/") as client:
        assert client.health().status == "ok"


def test_a_connection_the_service_has_closed_meanwhile_is_no_error(served_url: str) -> None:
    with Client(served_url, max_retries=0) as client:
        for _ in range(5):
            assert client.health().meta.attempts == 1
