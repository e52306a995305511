"""Log lines: one for each request, JSON, short, and with nothing of what callers sent."""

from __future__ import annotations

import io
import json
import logging
import logging.config
from collections.abc import Iterator
from datetime import datetime
from typing import Any

import pytest
from leaveline.web import create_app
from leaveline.web.logs import JsonLines, configuration
from leaveline.web.settings import Settings

KEY = "a-key-of-enough-length"
CANARY = "canary7734"


@pytest.fixture
def lines() -> Iterator[list[dict[str, Any]]]:
    """What `leaveline` logs, parsed; filled as it goes."""
    found: list[dict[str, Any]] = []

    class Kept(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            text = self.format(record)
            assert "\n" not in text
            assert len(text.encode()) <= 4096
            assert CANARY not in text
            assert KEY not in text
            found.append(json.loads(text))

    handler, logger = Kept(), logging.getLogger("leaveline")
    handler.setFormatter(JsonLines())
    logger.addHandler(handler)
    before = logger.level
    logger.setLevel(logging.INFO)
    yield found
    logger.setLevel(before)
    logger.removeHandler(handler)


def test_one_line_for_each_request(lines: list[dict[str, Any]]) -> None:
    client = create_app(Settings()).test_client()
    client.get("/v1/lines/1-2-10", headers={"X-Request-ID": "mine-1"})
    client.get("/v1/lines/1-2-10")
    client.get("/v1/leaves/11")
    client.get("/nowhere")
    client.post("/v1/lines/batch", json={"items": [{"leave": "10"}, {"leave": "x"}]})
    assert [(x["route"], x["method"], x["status"]) for x in lines] == [
        ("/v1/lines/<leave>", "GET", 200),
        ("/v1/lines/<leave>", "GET", 200),
        ("/v1/leaves/<leave>", "GET", 422),
        ("unmatched", "GET", 404),
        ("/v1/lines/batch", "POST", 200),
    ]
    first, again, *_, batch = lines
    assert first["request_id"] == "mine-1"
    assert first.get("searches", 0) + first.get("searches_kept", 0) == 2
    assert again["answer_kept"] == 1
    assert (batch["items"], batch["items_failed"]) == (1, 1)
    for line in lines:
        assert line["level"] == "info"
        assert line["duration_ms"] >= 0
        assert datetime.fromisoformat(line["time"]).utcoffset() is not None


def test_a_streamed_batch_is_logged_when_it_ends(lines: list[dict[str, Any]]) -> None:
    client = create_app(Settings()).test_client()
    response = client.post(
        "/v1/lines/batch",
        json={"items": [{"leave": "10"}] * 3},
        headers={"Accept": "application/x-ndjson"},
    )
    assert len(response.get_data().splitlines()) == 3
    response.close()
    assert [line.get("items") for line in lines] == [3]


def test_nothing_that_callers_sent_is_logged(lines: list[dict[str, Any]]) -> None:
    """The fixture looks for the canary and the key in every line."""
    client = create_app(Settings(api_keys=(KEY,))).test_client()
    headers = {"Authorization": f"Bearer {KEY}", "X-Request-ID": f"{CANARY} is no sane id"}
    client.post("/v1/lines", json={"leave": CANARY, CANARY: CANARY}, headers=headers)
    client.post("/v1/lines", data=f'{{"{CANARY}', content_type=CANARY, headers=headers)
    client.get(f"/v1/leaves/{CANARY}?{CANARY}={CANARY}", headers=headers)
    client.get(f"/{CANARY}?key={KEY}", headers={"Authorization": f"Bearer {KEY}{CANARY}"})
    assert len(lines) == 4


def test_an_unforeseen_error_is_logged_with_its_trace(lines: list[dict[str, Any]]) -> None:
    app = create_app(Settings())

    @app.get("/broken")
    def broken() -> str:
        raise RuntimeError("deck on fire " + "x" * 10_000 + " at last")

    app.test_client().get("/broken", headers={"X-Request-ID": "mine-2"})
    error, request = lines
    assert error["level"] == "error"
    assert error["request_id"] == request["request_id"] == "mine-2"
    assert error["route"] == "/broken"
    assert error["exception"].endswith("at last")
    assert request["status"] == 500


def test_a_trace_names_where_it_happened(lines: list[dict[str, Any]]) -> None:
    app = create_app(Settings())

    @app.get("/broken")
    def broken() -> str:
        raise RuntimeError("deck on fire")

    app.test_client().get("/broken")
    assert "in broken" in lines[0]["exception"]
    assert "RuntimeError: deck on fire" in lines[0]["exception"]


def test_the_configuration_logs_to_standard_output(capsys: pytest.CaptureFixture[str]) -> None:
    root, ours = logging.getLogger(), logging.getLogger("leaveline")
    before = root.handlers[:], root.level, ours.level
    try:
        logging.config.dictConfig(configuration("warning"))
        logging.getLogger("leaveline.requests").info("not at this level")
        logging.getLogger("leaveline").warning("said")
        logging.getLogger("gunicorn.error").warning("said, too")
    finally:
        root.handlers[:], root.level, ours.level = before
        server = logging.getLogger("gunicorn.error")
        server.handlers.clear()
        server.propagate = True
    out = [json.loads(line)["message"] for line in io.StringIO(capsys.readouterr().out)]
    assert out == ["said", "said, too"]


@pytest.mark.parametrize(
    ("said", "logged"),
    [
        (
            f"Invalid request from ip=10.0.0.1: Invalid HTTP Header: 'AUTHORIZATION BEARER {KEY}'",
            "Invalid request from ip=10.0.0.1: Invalid HTTP Header",
        ),
        (
            f"Invalid request from ip=::1: Invalid HTTP request line: 'GET /?key={KEY}'",
            "Invalid request from ip=::1: Invalid HTTP request line",
        ),
        (f"Invalid request, {KEY}", "Invalid request"),
        (
            f"Ignored premature client disconnection. No more data after: b'{KEY}'",
            "Ignored premature client disconnection",
        ),
        ("Worker (pid:7) was sent SIGKILL!", "Worker (pid:7) was sent SIGKILL!"),
    ],
)
def test_what_the_server_cannot_read_is_not_quoted(said: str, logged: str) -> None:
    record = logging.LogRecord("gunicorn.error", logging.WARNING, "", 0, said, None, None)
    assert json.loads(JsonLines().format(record))["message"] == logged
