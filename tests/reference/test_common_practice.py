"""The page about common practice says what the model says."""

from __future__ import annotations

from pathlib import Path

from tests.reference.common_practice import page

PAGE = Path(__file__).parents[2] / "docs" / "common_practice.md"


def test_the_page_is_what_the_model_says() -> None:
    assert PAGE.read_text(encoding="utf-8") == page()
