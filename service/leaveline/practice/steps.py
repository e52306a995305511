"""Long work in steps, so that whoever asked for it may stop it between two of them."""

from __future__ import annotations

from collections.abc import Callable

Check = Callable[[], None]
"""Called before each step; it stops the work by raising."""


def go_on() -> None:
    """Stop nothing."""
