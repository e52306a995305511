"""The model beside published conversion rates, fitted on the corner pins alone.

`python -m leaveline.practice.published FILE` writes the page anew; run it whenever the model's
numbers change.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

from leaveline.lines.words import percent
from leaveline.pins import Leave
from leaveline.practice.accuracy import Accuracy, LeaveResult, fit_accuracy
from leaveline.practice.expected import expected_at
from leaveline.practice.intervals import Estimate, normal_quantile, share_interval

CONFIDENCE = 0.95
FINALS = "finals"
TOURNAMENTS = "tournaments"


@dataclass(frozen=True, slots=True)
class PublishedRate:
    """A published conversion rate; `attempts` is None where only the rate was reported."""

    leave: Leave
    made: float
    attempts: int | None
    source: str

    @property
    def share(self) -> Estimate:
        """Share made, with Wilson's interval where the attempts are known."""
        if self.attempts is None:
            return Estimate(self.made, self.made, self.made)
        low, high = share_interval(round(self.made), self.attempts, confidence=CONFIDENCE)
        return Estimate(self.made / self.attempts, low, high)


def _finals(leave: str, made: int, attempts: int) -> PublishedRate:
    return PublishedRate(Leave.parse(leave), made, attempts, FINALS)


# Televised professional finals 2005-06 to 2009-10: 10 pin 95.9 % of 710, 7 pin 95.5 % of 333, 9 pin
# 98.9 % of 88 (the makes follow from the rates), 3-10 17 of 35, 4-6-7-10 1 of 30, 7-10 0 of 53: a
# sports magazine's frame-by-frame study, reported in a bowling news article.
CORNER_PINS = (_finals("10", 681, 710), _finals("7", 318, 333))
OTHERS = (
    _finals("9", 87, 88),
    _finals("3-10", 17, 35),
    _finals("4-6-7-10", 1, 30),
    _finals("7-10", 0, 53),
    # Professional tournaments since 2003, 447,000 frames: B. Blatt, Slate, 2015, as reported.
    PublishedRate(Leave.parse("7-10"), 1 / 145, None, TOURNAMENTS),
    PublishedRate(Leave.parse("4-6-7-9-10"), 1 / 390, None, TOURNAMENTS),
)


@dataclass(frozen=True, slots=True)
class Comparison:
    """A published rate and what the model, fitted on the corner pins, says of it.

    `model` holds mean and interval: what is not known of the accuracy and the line's own standard
    error together.
    """

    published: PublishedRate
    model: Estimate
    used_for_the_fit: bool

    @property
    def agrees(self) -> bool:
        """Whether the two intervals overlap."""
        share = self.published.share
        return share.low <= self.model.high and self.model.low <= share.high

    @property
    def verdict(self) -> str:
        """Agreement or not, in words."""
        if self.used_for_the_fit:
            return "fitted"
        if self.agrees:
            return "agrees"
        high = self.model.value > self.published.share.value
        return "does not agree: too high" if high else "does not agree: too low"


def fit() -> Accuracy:
    """Fit the corner pins: many bowlers together, who lean to no side."""
    results = [LeaveResult(r.leave, r.attempts or 0, round(r.made)) for r in CORNER_PINS]
    return fit_accuracy(results, level="tour", with_lean=False, confidence=CONFIDENCE)


def compare(accuracy: Accuracy) -> tuple[Comparison, ...]:
    """Set every published rate beside the model's."""
    z = normal_quantile(CONFIDENCE)
    found = []
    for rate in (*CORNER_PINS, *OTHERS):
        expected = expected_at(rate.leave, accuracy, accuracy.bowler, confidence=CONFIDENCE)
        chance, error = expected.make_probability, z * expected.line.standard_error
        below = ((chance.value - chance.low) ** 2 + error**2) ** 0.5
        above = ((chance.high - chance.value) ** 2 + error**2) ** 0.5
        model = Estimate(
            chance.value, max(0.0, chance.value - below), min(1.0, chance.value + above)
        )
        found.append(Comparison(rate, model, rate in CORNER_PINS))
    return tuple(found)


def page() -> str:
    """The page, as Markdown."""
    accuracy = fit()
    rows = compare(accuracy)
    scale = accuracy.target_boards
    lines = [
        "# Published rates and the model's",
        "",
        "Written by `python -m leaveline.practice.published docs/published_rates.md`; do not edit.",
        "",
        "The model has one number for how accurate a bowler is, the spread at the target. It was "
        "fitted here to two published rates alone, those of the corner pins, and then asked for "
        "the others. The bowlers, who were many, are taken as one: with one spread, aiming true "
        "on average, right-handed, throwing nearly straight at spares on the line the model finds "
        "best.",
        "",
        f"The spread that fits is **{scale.value:.2f} boards** at the target (95 % interval "
        f"{scale.low:.2f} to {scale.high:.2f}).",
        "",
        "| leave | published | of | 95 % interval | model | 95 % interval | |",
        "| --- | ---: | ---: | --- | ---: | --- | --- |",
        *(_row(row) for row in rows),
        "",
        "Published intervals are Wilson's for a share. The model's hold what is not known of the "
        "spread and the standard error of the line; they do **not** hold what the model itself "
        "gets wrong. Where no number of attempts was reported there is no published interval, and "
        "the rate is taken as exact.",
        "",
        "## What to make of it",
        "",
        *(_remark(row) for row in rows if not row.used_for_the_fit),
        "",
        "The published rates count every time the leave came up, also when it was played for count "
        "or safely, as big splits often are. For the single pins they are a test from both sides; "
        "for the splits only a floor: a model that makes more of them than the published rate may "
        "be right about those who really tried.",
        "",
        "## Sources",
        "",
        f"- {FINALS}: televised professional finals 2005-06 to 2009-10, a sports magazine's "
        "frame-by-frame study, as reported in a bowling news article. Makes of the single pins "
        "follow from the reported rates.",
        f"- {TOURNAMENTS}: professional tournaments since 2003, 447,000 frames; B. Blatt, Slate, "
        "2015, as reported.",
        "",
    ]
    return "\n".join(lines)


def _row(row: Comparison) -> str:
    share, rate = row.published.share, row.published
    attempts = "—" if rate.attempts is None else str(rate.attempts)
    interval = "—" if rate.attempts is None else _interval(share)
    return (
        f"| {rate.leave} ({rate.source}) | {percent(share.value)} | {attempts} | {interval} "
        f"| {percent(row.model.value)} | {_interval(row.model)} | {row.verdict} |"
    )


def _interval(estimate: Estimate) -> str:
    return f"{percent(estimate.low)} to {percent(estimate.high)}"


def _remark(row: Comparison) -> str:
    leave, share, model = row.published.leave, row.published.share, row.model
    said = (
        f"- **{leave}** ({row.published.source}): published {percent(share.value)}, model "
        f"{percent(model.value)}: {row.verdict}."
    )
    if len(leave) == 1 or model.value < share.value:
        return said
    if row.agrees:
        return f"{said} The published rate, being a floor, cannot tell more."
    return (
        f"{said} Bowlers who played safe may account for some of it; that the model makes too many "
        "of such splits cannot be ruled out."
    )


def main() -> None:
    """Write the page to the file named."""
    if len(sys.argv) != 2:
        sys.exit("usage: python -m leaveline.practice.published FILE")
    Path(sys.argv[1]).write_text(page(), encoding="utf-8")


if __name__ == "__main__":
    main()
