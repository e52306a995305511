"""A short run of what `fuzz_service.py` does at length."""

from __future__ import annotations

from tests.fuzz.fuzz_service import fuzz


def test_odd_requests_get_an_answer_and_never_a_fault_of_ours() -> None:
    outcome = fuzz(800, seed=2)
    assert not outcome.failures, outcome.failures[0]
    assert {200, 400, 404, 405, 415, 422} <= set(outcome.by_status)
