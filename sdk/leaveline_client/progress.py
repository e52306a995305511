"""How far a long run is: a line on stderr where a person is looking, or a call of yours."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Self, TextIO

if TYPE_CHECKING:
    from leaveline_client.bulk import LinesRow

Report = Callable[[int, int | None, int], None]
"""Takes rows done, rows in all (None where unknown), rows that failed."""
ProgressAsked = bool | Report | None

REDRAWN_S = 0.2  # [s] more often than this nobody can read it


def progress_for(asked: ProgressAsked, total: int | None) -> Progress:
    """What to show: as asked, or on stderr where that is a terminal."""
    if callable(asked):
        return Progress(asked, total)
    if asked is None:
        asked = sys.stderr.isatty()
    return Progress(StatusLine(sys.stderr) if asked else None, total)


class Progress:
    """Counts rows as they pass.

    Parameters
    ----------
    report : callable or None
        Told after every row.
    total : int or None
        Rows in all, where known.
    """

    def __init__(self, report: Report | None, total: int | None) -> None:
        self.report = report
        self.total = total
        self.done = 0
        self.failed = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if isinstance(self.report, StatusLine):
            self.report.finish()

    def passing(self, row: LinesRow) -> LinesRow:
        """Count a row and give it on."""
        self.done += 1
        self.failed += row.problem is not None
        if self.report is not None:
            self.report(self.done, self.total, self.failed)
        return row


class StatusLine:
    """One line of a terminal, drawn over and over.

    Parameters
    ----------
    stream : text stream
        Where to draw.
    clock : callable
        Monotonic [s].
    """

    def __init__(self, stream: TextIO, clock: Callable[[], float] = time.monotonic) -> None:
        self.stream = stream
        self.clock = clock
        self.start_s = clock()
        self.drawn_s = float("-inf")
        self.text = ""

    def __call__(self, done: int, total: int | None, failed: int) -> None:
        now_s = self.clock()
        rate = done / max(now_s - self.start_s, 1e-3)
        of = "" if total is None else f" of {total}"
        self.text = f"{done}{of} leaves, {failed} failed, {rate:.0f} a second"
        if now_s - self.drawn_s >= REDRAWN_S:
            self._draw(now_s)

    def finish(self) -> None:
        """Draw the last state and leave the line."""
        if self.text:
            self._draw(self.clock())
            self.stream.write("\n")
            self.stream.flush()

    def _draw(self, now_s: float) -> None:
        self.drawn_s = now_s
        self.stream.write(f"\r{self.text:<60}")
        self.stream.flush()
