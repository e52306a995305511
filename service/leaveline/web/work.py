"""What one request has done so far, and how long it may still work.

Kept in Flask's `g`, so that the log line, the metrics and the time budget read one record.
"""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TypeVar, overload

from flask import g, has_request_context

from leaveline.web.problems import Problem

T = TypeVar("T")
RETRY_AFTER_S = 5
"""Work done so far stays in the caches, so a later try gets further."""


@dataclass(slots=True)
class Work:
    """A request's clock and counts.

    Attributes
    ----------
    budget_s : float
        How long it may work [s].
    started_s : float
        On the monotonic clock [s].
    done : dict of str to int
        How much of each kind of work: `searches` made, `searches_kept` (answered from what is
        kept), `items`, `items_failed`.
    """

    budget_s: float = math.inf
    started_s: float = field(default_factory=time.monotonic)
    done: dict[str, int] = field(default_factory=dict)

    def add(self, kind: str, count: int = 1) -> None:
        """Count some work."""
        self.done[kind] = self.done.get(kind, 0) + count

    def check(self) -> None:
        """Stop a request that has used up its time; asked between steps, never within one.

        Raises
        ------
        Problem
            503 once the budget has passed.
        """
        if time.monotonic() - self.started_s > self.budget_s:
            raise Problem(
                "time-budget-passed",
                f"not finished within {self.budget_s:g} s; ask for less at once, or try again "
                "when the service is less busy",
                retry_after_s=RETRY_AFTER_S,
            )


def work() -> Work:
    """The current request's record; one without a limit where there is no request."""
    if has_request_context() and "work" in g:
        current: Work = g.work
        return current
    return Work()


class InTime(Sequence[T]):
    """A sequence whose items can be had only while the request has time left."""

    def __init__(self, items: Sequence[T]) -> None:
        self._items = items

    @overload
    def __getitem__(self, index: int) -> T: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[T]: ...
    def __getitem__(self, index: int | slice) -> T | Sequence[T]:
        item = self._items[index]
        work().check()
        return item

    def __len__(self) -> int:
        return len(self._items)
