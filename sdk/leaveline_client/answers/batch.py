"""The answer to many requests sent as one."""

from __future__ import annotations

from dataclasses import dataclass

from leaveline_client.answers.base import Answer
from leaveline_client.answers.lines import LinesAnswer
from leaveline_client.answers.service import ProblemAnswer
from leaveline_client.reading import Part


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchResultAnswer(Part):
    """One item of a batch: its lines, or why it has none.

    Attributes
    ----------
    id : str or None
        The item's own; its index as text where it had none; None where it was no text.
    index : int
        Its place in the request, from 0.
    result : LinesAnswer or None
        The lines, where they could be solved.
    problem : ProblemAnswer or None
        Why not, where they could not.
    """

    id: str | None
    index: int
    result: LinesAnswer | None = None
    problem: ProblemAnswer | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchAnswer(Answer):
    """Lines for many items, in the request's order; a bad item never spoils the rest.

    Attributes
    ----------
    results : tuple of BatchResultAnswer
        One for each item.
    succeeded_count, failed_count : int
        How many have a result, and how many a problem.
    """

    results: tuple[BatchResultAnswer, ...]
    succeeded_count: int
    failed_count: int

    @property
    def successes(self) -> tuple[BatchResultAnswer, ...]:
        """The items that have a result."""
        return tuple(item for item in self.results if item.problem is None)

    @property
    def failures(self) -> tuple[BatchResultAnswer, ...]:
        """The items that have a problem."""
        return tuple(item for item in self.results if item.problem is not None)

    def raise_for_failures(self) -> None:
        """Raise where any item failed.

        Raises
        ------
        BatchFailed
            Listing every item that failed.
        """
        if self.failures:
            from leaveline_client.errors import BatchFailed  # errors are made of answers

            raise BatchFailed(self.failures, self.meta.request_id)
