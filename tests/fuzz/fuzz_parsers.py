"""Coverage-guided fuzzing (atheris) of everything that reads text from outside.

Bodies, requests, leaves, sheet symbols, queries and season files: each may only refuse in its own
way. Needs the package `atheris`, which is not among the locked ones:

PYTHONPATH=service:sdk:. python tests/fuzz/fuzz_parsers.py -runs=300000 -max_len=2000 -seed=1
"""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable

import atheris

with atheris.instrument_imports(include=["leaveline"], enable_loader_override=False):
    from flask import Flask, request
    from leaveline.pins.leave import Leave, LeaveError
    from leaveline.practice.season import SeasonError
    from leaveline.practice.season_file import season_from_csv
    from leaveline.scoring.sheet import SheetError, read_ball
    from leaveline.web.batch import BatchRequestSchema
    from leaveline.web.json_body import parse_json
    from leaveline.web.line_schemas import LinesRequestSchema
    from leaveline.web.problems import Problem
    from leaveline.web.query import read_query
    from leaveline.web.query_schemas import LineQuerySchema
    from marshmallow import ValidationError

APP = Flask(__name__)
LINES, BATCH, QUERY = LinesRequestSchema(), BatchRequestSchema(), LineQuerySchema()


def _leave(data: bytes) -> None:
    text = data.decode("utf-8", "replace")
    leave = Leave.parse(text)
    assert Leave.parse(str(leave)) == leave


def _ball(data: bytes) -> None:
    provider = atheris.FuzzedDataProvider(data)
    standing, fresh = provider.ConsumeIntInRange(0, 10), provider.ConsumeBool()
    value = provider.ConsumeUnicodeNoSurrogates(8)
    pins = read_ball(value, standing=standing, fresh=fresh, frame=1, index=0)
    assert 0 <= pins <= standing


def _query(data: bytes) -> None:
    text = data.decode("latin-1")
    with APP.test_request_context("/", query_string=text):
        read_query(QUERY, request)


TARGETS: list[Callable[[bytes], object]] = [
    lambda data: parse_json(data),
    lambda data: LINES.load(parse_json(data)),
    lambda data: BATCH.load(parse_json(data)),
    _leave,
    _ball,
    _query,
    lambda data: season_from_csv(data),
]
REFUSALS = (Problem, ValidationError, LeaveError, SheetError, SeasonError)


def one_input(data: bytes) -> None:
    """Give the rest of the input to the target that its first byte names."""
    if data:
        with contextlib.suppress(REFUSALS):
            TARGETS[data[0] % len(TARGETS)](data[1:])


if __name__ == "__main__":
    atheris.Setup(sys.argv, one_input)
    atheris.Fuzz()
