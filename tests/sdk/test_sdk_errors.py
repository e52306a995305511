"""The tree of errors: complete, and each with its data, its text and its cause."""

from __future__ import annotations

import inspect
import pickle

import leaveline_client.errors as errors
import pytest
import requests.exceptions
import urllib3.exceptions
from leaveline_client import (
    ApiError,
    BatchAnswer,
    BatchFailed,
    BatchResultAnswer,
    ConnectFailed,
    FaultAnswer,
    LeavelineError,
    ProblemAnswer,
    TimedOut,
    TransportError,
    UnexpectedReply,
)
from leaveline_client.errors import error_class
from leaveline_client.wire import MAPPED, mapped

CLASSES = [
    cls for _, cls in inspect.getmembers(errors, inspect.isclass) if issubclass(cls, LeavelineError)
]
FAULT = FaultAnswer(pointer="#/limit", code="out_of_range", detail="must be from 1 to 8, got 0")
PROBLEM = ProblemAnswer(
    type="/problems/invalid-request", title="Not valid", status=422, detail="#/limit: too small"
)
FAILURES = tuple(BatchResultAnswer(id=name, index=0, problem=PROBLEM) for name in ("a", "b"))


def made(cls: type[LeavelineError]) -> LeavelineError:
    """An error of a class, with all it can hold."""
    if issubclass(cls, ApiError):
        return cls(
            503, "/problems/overloaded", "Busy", "come back", (FAULT,), "id-1", 7.5, 3, {"a": 1}
        )
    if issubclass(cls, TimedOut):
        return cls("too slow", "id-1", 2, "total")
    if issubclass(cls, TransportError):
        return cls("broken", "id-1", 2)
    if issubclass(cls, UnexpectedReply):
        return cls("not JSON", "id-1", 200, b"<html>")
    if issubclass(cls, BatchFailed):
        return cls(FAILURES, "id-1")
    return cls("id-1: something")


@pytest.mark.parametrize("cls", CLASSES)
def test_errors_pickle_with_all_they_hold(cls: type[LeavelineError]) -> None:
    error = made(cls)
    copy = pickle.loads(pickle.dumps(error))
    assert type(copy) is cls
    assert vars(copy) == vars(error)
    assert copy.args == error.args
    assert str(copy) == str(error)


@pytest.mark.parametrize("cls", CLASSES)
def test_the_text_leads_with_the_request_id(cls: type[LeavelineError]) -> None:
    assert str(made(cls)).startswith("id-1: ")


@pytest.mark.parametrize("cls", [ConnectFailed, TimedOut, TransportError, UnexpectedReply])
def test_the_text_is_never_empty(cls: type[LeavelineError]) -> None:
    assert len(str(cls(""))) > 10
    assert str(ApiError(500, "", "", "")) == "no request id: 500 : "


def test_texts_tell_what_helps() -> None:
    assert (
        str(made(errors.ServiceFault))
        == "id-1: 503 Busy: come back (retry after 7.5 s) (after 3 attempts)"
    )
    assert str(made(TimedOut)) == "id-1: too slow (after 2 attempts)"
    assert (
        str(made(BatchFailed))
        == "id-1: 2 items failed\na: #/limit: too small\nb: #/limit: too small"
    )


def test_a_batch_raises_for_all_its_failures_or_not_at_all() -> None:
    batch = BatchAnswer(results=FAILURES, succeeded_count=0, failed_count=2)
    with pytest.raises(BatchFailed) as caught:
        batch.raise_for_failures()
    assert caught.value.failures == FAILURES
    assert batch.successes == ()
    BatchAnswer(results=(), succeeded_count=0, failed_count=0).raise_for_failures()


@pytest.mark.parametrize(
    ("status", "name"),
    [
        (400, "InvalidRequest"),
        (413, "InvalidRequest"),
        (415, "InvalidRequest"),
        (422, "InvalidRequest"),
        (401, "Unauthorized"),
        (403, "Unauthorized"),
        (404, "NotFound"),
        (405, "NotFound"),
        (429, "RateLimited"),
        (500, "ServiceFault"),
        (502, "ServiceFault"),
        (503, "ServiceFault"),
        (504, "ServiceFault"),
        (599, "ServiceFault"),
        (406, "ApiError"),
        (418, "ApiError"),
    ],
)
def test_each_status_has_its_class(status: int, name: str) -> None:
    assert error_class(status).__name__ == name


def test_every_exception_of_requests_is_mapped() -> None:
    theirs = {
        cls
        for _, cls in inspect.getmembers(requests.exceptions, inspect.isclass)
        if issubclass(cls, requests.RequestException)
    }
    assert len(theirs) > 20
    assert theirs <= MAPPED.keys()


def test_every_exception_of_urllib3_is_mapped_by_a_parent() -> None:
    for _, cls in inspect.getmembers(urllib3.exceptions, inspect.isclass):
        if issubclass(cls, urllib3.exceptions.HTTPError):
            assert set(cls.__mro__) & MAPPED.keys(), cls


@pytest.mark.parametrize("kind", sorted(MAPPED, key=str))
def test_a_mapped_exception_is_ours_with_its_text(kind: type[Exception]) -> None:
    error = mapped(kind.__new__(kind), "id-1", 2)
    assert isinstance(error, TransportError | UnexpectedReply)
    assert str(error).startswith(f"id-1: {kind.__name__}")


def test_timeouts_say_which_bound_was_passed() -> None:
    connect = mapped(requests.ConnectTimeout("slow"), "id-1", 1)
    assert isinstance(connect, TimedOut)
    assert connect.phase == "connect"
    read = mapped(requests.ReadTimeout("slow"), "id-1", 1)
    assert isinstance(read, TimedOut)
    assert read.phase == "read"


def test_the_tree_in_the_docstring_is_the_tree() -> None:
    drawn = [
        line.split("──")[-1].split()[0]
        for line in (errors.__doc__ or "").splitlines()[2:17]
        if line.startswith("    ") and line.split("──")[-1].split()
    ]
    assert sorted(drawn) == sorted(cls.__name__ for cls in CLASSES)
