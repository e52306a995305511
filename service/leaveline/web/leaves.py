"""`GET /v1/leaves` and `GET /v1/leaves/{leave}`."""

from __future__ import annotations

from flask import Blueprint, Response, request

from leaveline.pins.classify import category
from leaveline.pins.leave import ALL_LEAVES, Leave, LeaveError
from leaveline.pins.makeable import facts_of
from leaveline.web.answers import cacheable
from leaveline.web.problems import Problem
from leaveline.web.query import read_query
from leaveline.web.query_schemas import LeavesQuerySchema
from leaveline.web.views import leave_view

blueprint = Blueprint("leaves", __name__)


@blueprint.get("/v1/leaves")
def list_leaves() -> Response:
    """All 1023 leaves, or those of one category."""
    query = read_query(LeavesQuerySchema(), request)
    wanted = query.get("category")
    chosen = [leave for leave in ALL_LEAVES if wanted in (None, category(leave))]
    chosen.sort(key=lambda leave: (len(leave), leave.pins))
    items = [leave_view(leave, facts_of(leave)) for leave in chosen]
    return cacheable({"items": items, "count": len(items)})


@blueprint.get("/v1/leaves/<leave>")
def show_leave(leave: str) -> Response:
    """One leave."""
    read_query(LeavesQuerySchema(only=()), request)
    found = leave_in_path(leave)
    return cacheable(leave_view(found, facts_of(found)))


def leave_in_path(text: str) -> Leave:
    """Read the leave named in a path.

    Raises
    ------
    Problem
        422 where the text names no leave.
    """
    try:
        return Leave.parse(text)
    except LeaveError as error:
        fault = {"pointer": "leave", "code": "invalid_leave", "detail": str(error)}
        raise Problem("invalid-request", f"leave: {error}", errors=[fault]) from None
