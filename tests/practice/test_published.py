"""The page of published rates: it exists, it names what was published, it says what it finds."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from leaveline.pins import Leave
from leaveline.practice.intervals import Estimate
from leaveline.practice.published import (
    CORNER_PINS,
    FINALS,
    OTHERS,
    Comparison,
    PublishedRate,
    compare,
    fit,
    main,
    page,
)

PAGE = Path(__file__).parents[2] / "docs" / "published_rates.md"


def rows_of(text: str) -> list[list[str]]:
    return [line.strip("| ").split(" | ") for line in text.splitlines() if line.startswith("| ")]


def test_the_page_is_what_the_code_writes() -> None:
    """Run the module to write it anew whenever the model's numbers move."""
    written = PAGE.read_text(encoding="utf-8")
    assert written == page()
    assert len(rows_of(written)) == 2 + len(CORNER_PINS) + len(OTHERS)


def test_the_page_states_its_sources_and_verdicts() -> None:
    text = PAGE.read_text(encoding="utf-8")
    for said in ("sports magazine", "Slate", "only a floor", "95 % interval"):
        assert said in text
    for rate in OTHERS:
        assert re.search(rf"^- \*\*{rate.leave}\*\* .*(agrees|does not agree)", text, re.MULTILINE)


def test_single_pins_meet_their_published_rates() -> None:
    """Fitted on the 10 and 7 pin alone (95.9 % of 710, 95.5 % of 333: televised professional
    finals), the 9 pin comes out where 87 of 88 were made."""
    found = {(c.published.leave, c.published.source): c for c in compare(fit())}
    for name in ("10", "7", "9"):
        assert found[Leave.parse(name), FINALS].agrees


def test_the_corner_pins_fix_the_spread() -> None:
    """Ten shots within two boards are 0.65 (members' magazine, 220 average): finals are sharper."""
    fitted = fit()
    assert fitted.can_tell
    assert fitted.target_boards.high < 0.65
    assert fitted.lean_boards == Estimate(0.0, 0.0, 0.0)


def test_the_module_writes_the_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "page.md"
    monkeypatch.setattr("sys.argv", ["published", str(target)])
    main()
    assert target.read_text(encoding="utf-8") == page()
    monkeypatch.setattr("sys.argv", ["published"])
    with pytest.raises(SystemExit, match="usage"):
        main()


@pytest.mark.parametrize(
    ("low", "high", "verdict"),
    [
        (0.4, 0.6, "agrees"),
        (0.63, 0.9, "agrees"),
        (0.8, 0.9, "does not agree: too high"),
        (0.1, 0.2, "does not agree: too low"),
    ],
)
def test_verdicts(low: float, high: float, verdict: str) -> None:
    rate = PublishedRate(Leave.parse("3-10"), 17, 35, FINALS)  # 33 % to 64 %
    one = Comparison(rate, Estimate((low + high) / 2, low, high), used_for_the_fit=False)
    assert one.verdict == verdict
    assert replace(one, used_for_the_fit=True).verdict == "fitted"
