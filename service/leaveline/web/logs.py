"""Logs: JSON, one line for each request and each event, on standard output.

A request's line says which route, method and status, how long and how much work; never a path, a
query, a body or a key. A line is at most what a pipe takes in one piece, so that the lines of
several workers never mix.
"""

from __future__ import annotations

import json
import logging
import re
from datetime import UTC, datetime
from typing import Any

REQUESTS = logging.getLogger("leaveline.requests")
LONGEST_TRACE = 3_000
"""Characters of a stack trace that are logged: its end, which names the fault. A pipe takes 4096
bytes in one piece."""

QUOTES_WHAT_WAS_SENT = re.compile(
    r"(Invalid request( from ip=\S+: [A-Za-z ]+)?|Ignored premature client disconnection)"
)
"""How gunicorn begins to say what it cannot read; it goes on with what was sent, where a key may
be."""

_JSON = json.JSONEncoder(default=str, separators=(",", ":"))


class JsonLines(logging.Formatter):
    """Formats a record as one line of JSON; `extra={"fields": {...}}` adds to it."""

    def format(self, record: logging.LogRecord) -> str:
        """Give the line."""
        moment = datetime.fromtimestamp(record.created, UTC)
        line: dict[str, Any] = {
            "time": moment.isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": _said(record)[:500],
        }
        line.update(getattr(record, "fields", {}))
        if record.exc_info:
            line["exception"] = self.formatException(record.exc_info)[-LONGEST_TRACE:]
        return _JSON.encode(line)


def _said(record: logging.LogRecord) -> str:
    """A record's message; of a request that gunicorn could not read, only what kind of fault."""
    message = record.getMessage()
    kind = QUOTES_WHAT_WAS_SENT.match(message) if record.name == "gunicorn.error" else None
    return kind[0].rstrip() if kind else message


def configuration(level: str) -> dict[str, Any]:
    """Give the logging configuration (`logging.config`), gunicorn's own messages included."""
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"json": {"()": "leaveline.web.logs.JsonLines"}},
        "handlers": {
            "out": {
                "class": "logging.StreamHandler",
                "formatter": "json",
                "stream": "ext://sys.stdout",
            }
        },
        "root": {"level": "WARNING", "handlers": ["out"]},
        "loggers": {
            "leaveline": {"level": level.upper()},
            "gunicorn.error": {"level": level.upper(), "handlers": ["out"], "propagate": False},
            "gunicorn.access": {"level": "CRITICAL", "handlers": [], "propagate": False},
        },
    }


def log_request(
    *, request_id: str, route: str, method: str, status: int, seconds: float, done: dict[str, int]
) -> None:
    """Log one answered request."""
    if not REQUESTS.isEnabledFor(logging.INFO):
        return
    fields = {
        "request_id": request_id,
        "route": route,
        "method": method,
        "status": status,
        "duration_ms": round(seconds * 1e3, 3),
        **done,
    }
    REQUESTS.info("request", extra={"fields": fields})
