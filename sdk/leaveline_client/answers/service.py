"""Answers about the service itself: its health, and why a request has no answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from leaveline_client.answers.base import Answer
from leaveline_client.reading import Part

FaultCode = Literal["required", "unknown_field", "wrong_type", "out_of_range"] | str


@dataclass(frozen=True, slots=True, kw_only=True)
class HealthAnswer(Answer):
    """Whether the service is well.

    Attributes
    ----------
    status : str
        `ok` when all is well.
    version, model_version : str or None
        The service's, where it tells.
    """

    status: str
    version: str | None = None
    model_version: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitsAnswer(Answer):
    """What one request may ask for.

    Attributes
    ----------
    body_bytes : int
        Largest request body [bytes].
    nesting_levels : int
        Deepest nesting of a body.
    batch_items, batch_searches, batch_lines : int
        Most items of a batch, most searches (play `both` takes two), and most lines (`limit` of
        them for each play).
    lines_per_play : int
        Most lines for each play.
    errors_listed : int
        Most faults listed in one problem.
    accuracy_results, accuracy_misses : int
        Most leaves' makes of one accuracy, and most recorded misses in each of its lists.
    review_rows : int
        Most bowled frames of one review.
    comparison_options, comparison_leaves : int
        Most ways to throw, and most leaves, of one comparison.
    time_budget_s : int
        Longest that one request may compute [s].
    """

    body_bytes: int
    nesting_levels: int
    batch_items: int
    batch_searches: int
    batch_lines: int
    lines_per_play: int
    errors_listed: int
    accuracy_results: int
    accuracy_misses: int
    review_rows: int
    comparison_options: int
    comparison_leaves: int
    time_budget_s: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultAnswer(Part):
    """One fault of an invalid request.

    Attributes
    ----------
    pointer : str
        Where: a JSON pointer into the body (`#/bowler/hand`), or the parameter's name.
    code : str
        What kind; the set may grow.
    detail : str
        What is wrong and what is allowed.
    """

    pointer: str
    code: FaultCode
    detail: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ProblemAnswer(Part):
    """Why a request has no answer, as RFC 9457 problem details.

    Attributes
    ----------
    type, title : str
        Kind of problem (branch on this), and the kind in words.
    status : int
        HTTP status.
    detail : str
        What to do about it.
    request_id : str
        Quote it when asking for help; empty where the request was never sent.
    errors : tuple of FaultAnswer
        Each fault of an invalid request.
    """

    type: str
    title: str
    status: int
    detail: str
    request_id: str = ""
    errors: tuple[FaultAnswer, ...] = ()
