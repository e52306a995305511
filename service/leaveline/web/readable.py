"""JSON for people: what fits on a line stands on one."""

from __future__ import annotations

import json
from typing import Any

WIDTH = 96
STEP = "  "


def readable_json(value: Any, indent: str = "") -> str:
    """Write a JSON value over as few lines as fit WIDTH characters.

    Parameters
    ----------
    value : object
        Plain JSON data.
    indent : str
        What stands before it; the first line's own is the caller's.
    """
    line = json.dumps(value, ensure_ascii=False, allow_nan=False)
    if len(indent) + len(line) <= WIDTH or not isinstance(value, dict | list) or not value:
        return line
    inner = indent + STEP
    if isinstance(value, dict):
        opening, closing = "{", "}"
        parts = [
            f"{json.dumps(key, ensure_ascii=False)}: {readable_json(item, inner)}"
            for key, item in value.items()
        ]
    else:
        opening, closing = "[", "]"
        parts = [readable_json(item, inner) for item in value]
    rows = f",\n{inner}".join(parts)
    return f"{opening}\n{inner}{rows}\n{indent}{closing}"
