"""Only ever type-checked (mypy --strict), never run: what a caller's checker sees of the SDK."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Literal, assert_type

from leaveline_client import (
    AccuracyAnswer,
    Bowler,
    Client,
    ContactAnswer,
    InvalidRequest,
    LeaveResult,
    LinesAnswer,
    LinesRow,
    Spread,
)


def types_of_answers(client: Client) -> None:
    answer = client.lines(leave=[3, 10], bowler=Bowler(hand="left"), play="both")
    assert_type(answer, LinesAnswer)
    line = answer.lines[0]
    assert_type(line.target_board, float)
    assert_type(line.contact, ContactAnswer | None)
    assert_type(line.play, Literal["spare", "count"] | str)
    assert_type(answer.meta.model_version, str | None)
    assert_type(client.lines_many(["3-10"]), Iterator[LinesRow])
    assert_type(client.with_options(timeout=(1.0, 2)), Client)


def types_of_practice(client: Client) -> None:
    fit = client.accuracy(results=[LeaveResult(leave="10", attempts=40, made=28)])
    assert_type(fit, AccuracyAnswer)
    client.lines(leave="10", bowler=Bowler(spread=fit.spread))
    client.compare(target_boards=fit.target_boards)
    found = client.review(csv=Path("season.csv"), hand="left")
    assert_type(found.practice[0].drill.score, int | None)


def faults(error: InvalidRequest) -> list[str]:
    return [f"{fault.pointer}: {fault.detail}" for fault in error.errors]


def mistakes(client: Client) -> None:
    client.lines(leave="3-10", play="spares")  # type: ignore[arg-type]
    client.lines("3-10")  # type: ignore[call-arg]
    client.lines(leave=3)  # type: ignore[arg-type]
    client.with_options(timeouts=3)  # type: ignore[call-arg]
    Bowler(hand="both")  # type: ignore[arg-type]
    Spread(target=1)  # type: ignore[call-arg]
