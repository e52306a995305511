"""What the README's examples show is what the application answers."""

from __future__ import annotations

from tests.web.readme import EXAMPLE, FIRST_LINE, PRINTED, README, renewed


def test_the_examples_show_real_answers() -> None:
    text = README.read_text(encoding="utf-8")
    assert len(EXAMPLE.findall(text)) >= 5
    assert FIRST_LINE.search(text)
    assert PRINTED.search(text)
    assert renewed(text) == text
