"""`POST /v1/lines/batch` and `GET /v1/limits`: many leaves in one request, and how many.

Every item is answered or refused on its own, in order; an item's answer never depends on its
neighbours, but for the time they share: items that are not reached within the request's time
budget are refused as such, each by itself. Maps and bowlers that items share are worked out once.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from flask import Blueprint, Response, current_app, request, stream_with_context
from marshmallow import ValidationError

from leaveline.practice.season import MOST_ROWS
from leaveline.practice.spare_ball import MOST_LEAVES, MOST_OPTIONS
from leaveline.web import metrics
from leaveline.web.accuracy_schemas import MAX_MISSES, MAX_RESULTS
from leaveline.web.answers import cacheable, computed
from leaveline.web.fields import ListOf, RawObject, StrictSchema, Words
from leaveline.web.json_body import MAX_DEPTH, read_json
from leaveline.web.line_schemas import MAX_LIMIT, LinesRequestSchema
from leaveline.web.lines import lines_answer
from leaveline.web.problems import (
    MAX_ERRORS,
    Problem,
    internal_error,
    invalid,
    log_unforeseen,
)
from leaveline.web.views import dump_json
from leaveline.web.work import work

blueprint = Blueprint("batch", __name__)

MAX_ITEMS = 2_000
MAX_SEARCHES = 2_500
"""Most searches of one batch (an item with play `both` takes two): about a minute on one core."""
MAX_LINES = 3 * MAX_SEARCHES
"""Most lines of one batch, some 2 kB each: what so many searches give with the usual limit."""
USUAL_LIMIT = 3
SENSITIVITY_SEARCHES = 5
REACH_SEARCHES = 10
"""What working out a line's sensitivity, and how far it can be played, cost in searches."""
NDJSON = "application/x-ndjson"


class BatchRequestSchema(StrictSchema):
    """Many requests for lines; each item is a request for lines with an `id` of the caller's."""

    items_ = ListOf(
        RawObject("BatchItem"),
        shortest=1,
        longest=MAX_ITEMS,
        required=True,
        data_key="items",
        metadata={"description": "The items; each is checked and answered on its own."},
    )


class BatchItemSchema(LinesRequestSchema):
    """A request for lines, with the caller's name for it."""

    id = Words(64, metadata={"description": "The caller's name for the item; returned with it."})


_ID = Words(64)


@blueprint.post("/v1/lines/batch")
def solve_batch() -> Response:
    """Lines for many leaves and bowlers: always 200, each item with a result or a problem."""
    items: list[dict[str, Any]] = BatchRequestSchema().load(read_json(request))["items_"]
    _refuse_too_much(items)
    if request.accept_mimetypes.best == NDJSON:
        lines = (text + b"\n" for text, _ in _answers(items))
        response = current_app.response_class(stream_with_context(lines), mimetype=NDJSON)
        response.headers["Cache-Control"] = "no-store"
        return response
    # Each is kept as text: as an object it would take several times the memory.
    texts, succeeded = zip(*_answers(items), strict=True)
    return computed(
        b'{"results":[%s],"succeeded_count":%d,"failed_count":%d}'
        % (b",".join(texts), sum(succeeded), len(texts) - sum(succeeded))
    )


@blueprint.get("/v1/limits")
def show_limits() -> Response:
    """What one request may ask for."""
    settings = current_app.config["LEAVELINE"]
    return cacheable(
        {
            "body_bytes": settings.max_body_bytes,
            "nesting_levels": MAX_DEPTH,
            "batch_items": MAX_ITEMS,
            "batch_searches": MAX_SEARCHES,
            "batch_lines": MAX_LINES,
            "lines_per_play": MAX_LIMIT,
            "errors_listed": MAX_ERRORS,
            "accuracy_results": MAX_RESULTS,
            "accuracy_misses": MAX_MISSES,
            "review_rows": MOST_ROWS,
            "comparison_options": MOST_OPTIONS,
            "comparison_leaves": MOST_LEAVES,
            "time_budget_s": settings.time_budget_s,
        }
    )


def _refuse_too_much(items: list[dict[str, Any]]) -> None:
    searches = sum(_searches(item) for item in items)
    if searches > MAX_SEARCHES:
        raise Problem(
            "too-much-work",
            f"the items ask for {searches} searches, at most {MAX_SEARCHES} are allowed in one "
            "batch; split it (play `both` takes two, a comparison one for each option)",
        )
    lines = sum(_lines(item) for item in items)
    if lines > MAX_LINES:
        raise Problem(
            "too-much-work",
            f"the items ask for {lines} lines, at most {MAX_LINES} are allowed in one batch; split "
            "it, or ask for fewer each (`limit`, for each play)",
        )


def _lines(item: dict[str, Any]) -> int:
    """How many lines an item asks for, whatever else is wrong with it."""
    limit = item.get("limit")
    if not isinstance(limit, int | float) or not 1 <= limit <= MAX_LIMIT:
        limit = USUAL_LIMIT
    return _compared(item) + int(limit) * _plays(item)


def _plays(item: dict[str, Any]) -> int:
    return 2 if item.get("play") == "both" else 1


def _compared(item: dict[str, Any]) -> int:
    options = [item.get("balls"), item.get("releases")]
    return sum(len(option) for option in options if isinstance(option, list))


def _searches(item: dict[str, Any]) -> int:
    """How many searches an item asks for, whatever else is wrong with it."""
    sensitivity = SENSITIVITY_SEARCHES if item.get("sensitivity") is True else 0
    reach = REACH_SEARCHES if item.get("reach") is True else 0
    bowler = item.get("bowler")
    known = bowler.get("known_lines") if isinstance(bowler, dict) else None
    fits = len(known) if isinstance(known, list) else 0
    return _compared(item) + sensitivity + reach + fits + _plays(item)


def _answers(items: list[dict[str, Any]]) -> Iterator[tuple[bytes, bool]]:
    """Answer each item in turn: its JSON, and whether it has a result."""
    schema = LinesRequestSchema()
    for index, item in enumerate(items):
        given = dict(item)
        name = given.pop("id", str(index))
        answer: dict[str, Any] = {"id": name if isinstance(name, str) else None, "index": index}
        try:
            _ID.deserialize(name)
            work().check()
            answer["result"] = lines_answer(schema.load(given))
        except ValidationError as error:
            place = f"#/items/{index}"
            base = f"{place}/id" if isinstance(error.messages, list) else place
            answer["problem"] = invalid(error, base=base).body()
        except Problem as problem:
            metrics.count_refusal(problem.kind)
            answer["problem"] = problem.body()
        except Exception as error:
            log_unforeseen(error)
            answer["problem"] = internal_error().body()
        solved = "result" in answer
        work().add("items" if solved else "items_failed")
        yield dump_json(answer).encode(), solved
