"""What to practise next, ranked by the pins a game it would bring; and what not to bother with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from leaveline.lines.words import percent
from leaveline.pins import Leave
from leaveline.pins.classify import Category
from leaveline.practice.drills import Drill, drill_for
from leaveline.practice.expected import Expected
from leaveline.practice.intervals import Estimate
from leaveline.practice.present import PresentShare
from leaveline.practice.verdicts import COSTLY_LINE, Lean, Verdict

PracticeKind = Literal["weakness", "line", "aim", "sharpness"]

LEAST_GAIN_PINS = 0.02
"""Pins a game below which a leave is not worth a drill: a pin in fifty games."""
HARD_BELOW = 0.25
"""A leave made less often than this is one whose practice is worth questioning."""


@dataclass(frozen=True, slots=True)
class Subject:
    """A leave as practice sees it.

    Attributes
    ----------
    expected : Expected
    category : {"single_pin", "multi_pin", "split", "washout"}
    attempts, made : int
    attempts_per_game : float
    pins_of_a_make : float
        What a make is worth over a miss [pins].
    cost_of_lines : float
        How much less the recorded lines make than the best one.
    verdict : str or None
    lean : Lean or None
        Of the misses recorded here.
    """

    expected: Expected
    category: Category
    attempts: int
    made: int
    attempts_per_game: float
    pins_of_a_make: float
    cost_of_lines: float
    verdict: Verdict | None
    lean: Lean | None

    @property
    def leave(self) -> Leave:
        """The leave."""
        return self.expected.leave

    @property
    def present(self) -> PresentShare:
        """What is known of the share made now."""
        return PresentShare.of(self.made, self.attempts, self.expected.points)

    @property
    def sharper_by(self) -> float:
        """What a twentieth less spread adds to the make probability."""
        return max(0.0, self.expected.sharper - self.expected.make_probability.value)

    def below(self, present: float) -> float:
        """How far a share made now is below what this accuracy makes."""
        return max(0.0, self.expected.make_probability.value - present)

    def goal(self, present: float) -> float:
        """Share to be hoped for: no less than this accuracy makes, and a twentieth less spread."""
        return min(1.0, present + self.below(present) + self.sharper_by)

    def pins(self, more: float) -> float:
        """Pins a game that so much more of the leave made would bring."""
        return self.attempts_per_game * self.pins_of_a_make * more


@dataclass(frozen=True, slots=True)
class PracticeItem:
    """One thing to practise.

    Attributes
    ----------
    leave : Leave
    kind : {"weakness", "line", "aim", "sharpness"}
        What it would mend: a share below what this accuracy makes; the line; a lean of all
        throws, which shows most at this leave; nothing in particular but the spread itself.
    gain_pins_per_game : Estimate
        From the share made now to the goal; the interval comes from how little is known of now.
    of_gap_pins_per_game : float
        The part of it that this accuracy should bring without becoming sharper.
    drill : Drill
    words : str
    """

    leave: Leave
    kind: PracticeKind
    gain_pins_per_game: Estimate
    of_gap_pins_per_game: float
    drill: Drill
    words: str


@dataclass(frozen=True, slots=True)
class NotWorthIt:
    """A leave that even good practice would hardly pay for."""

    leave: Leave
    attempts: int
    make_probability: float
    gain_pins_per_game: float
    words: str


def what_to_practise(
    subjects: Sequence[Subject],
    *,
    lean_boards: float,
    confidence: float,
    drill_confidence: float,
    limit: int,
) -> tuple[PracticeItem, ...]:
    """Rank what to practise, most pins a game first.

    Gains of different items may overlap (an aim mended mends its leaves): they do not add up.

    Parameters
    ----------
    subjects : sequence of Subject
    lean_boards : float
        Lean of all throws at the target, positive right; 0 where none is shown.
    confidence, drill_confidence : float
    limit : int
    """
    wasted = {one.leave for one in subjects if _not_worth(one)}
    items = [
        item
        for one in subjects
        if one.leave not in wasted
        and (item := _item(one, confidence, drill_confidence)).gain_pins_per_game.value
        >= LEAST_GAIN_PINS
    ]
    if lean_boards and (aim := _aim(subjects, lean_boards, drill_confidence)):
        items.append(aim)
    items.sort(key=lambda item: (-item.gain_pins_per_game.value, item.leave, item.kind))
    return tuple(items[:limit])


def not_worth_practising(subjects: Sequence[Subject]) -> tuple[NotWorthIt, ...]:
    """List hard leaves that practice would hardly pay for, those thrown at most first."""
    found = []
    for one in sorted(subjects, key=lambda one: (-one.attempts, one.leave)):
        if _not_worth(one):
            chance = one.expected.make_probability.value
            gain = _gain(one, one.present.mean)
            words = (
                f"{one.leave}: {one.attempts} in the season, {percent(chance)} to be expected on "
                f"the best line. Practice would bring {gain:.2f} pins a game: others first."
            )
            found.append(NotWorthIt(one.leave, one.attempts, chance, gain, words))
    return tuple(found)


def _not_worth(one: Subject) -> bool:
    hard = one.expected.make_probability.value < HARD_BELOW
    return hard and _gain(one, one.present.mean) < LEAST_GAIN_PINS


def _gain(one: Subject, present: float) -> float:
    return one.pins(one.goal(present) - present)


def _item(one: Subject, confidence: float, drill_confidence: float) -> PracticeItem:
    present = one.present
    low, high = present.interval(confidence)
    now = present.mean
    gain = Estimate(_gain(one, now), _gain(one, high), _gain(one, low))
    drill = drill_for(
        one.leave, one.expected.line, present, one.goal(now), confidence=drill_confidence
    )
    kind = _kind(one)
    words = _words(one, kind, gain, drill)
    return PracticeItem(one.leave, kind, gain, one.pins(one.below(now)), drill, words)


def _kind(one: Subject) -> PracticeKind:
    if one.verdict == "line" or (one.cost_of_lines >= COSTLY_LINE and one.verdict != "above"):
        return "line"
    return "weakness" if one.verdict == "skill" else "sharpness"


def _aim(
    subjects: Sequence[Subject], lean_boards: float, drill_confidence: float
) -> PracticeItem | None:
    """What the lean of all throws costs, with a drill at the leave where it costs most."""
    costs = [
        one.pins(max(0.0, one.expected.without_lean - one.expected.make_probability.value))
        for one in subjects
    ]
    if not costs or sum(costs) < LEAST_GAIN_PINS:
        return None
    worst = subjects[max(range(len(costs)), key=costs.__getitem__)]
    total = sum(costs)
    drill = drill_for(
        worst.leave,
        worst.expected.line,
        worst.present,
        max(worst.expected.without_lean, worst.goal(worst.present.mean)),
        confidence=drill_confidence,
    )
    side, other = ("right", "left") if lean_boards > 0 else ("left", "right")
    words = (
        f"All throws lean {abs(lean_boards):.1f} boards to the {side} at the target. Find out why, "
        f"or move the target as far to the {other}: about {total:.1f} pins a game over all "
        f"leaves, most of it at the {worst.leave}. {drill.words}"
    )
    return PracticeItem(worst.leave, "aim", Estimate(total, total, total), total, drill, words)


def _words(one: Subject, kind: PracticeKind, gain: Estimate, drill: Drill) -> str:
    chance = percent(one.expected.make_probability.value)
    share = f"{one.made} of {one.attempts} made"
    if kind == "weakness":
        why = f"{share}, where this accuracy makes {chance}: more than bad luck."
    elif kind == "line":
        why = f"{share}, where the best line makes {chance}: {_line_words(one)}"
    elif one.verdict == "above":
        why = f"{share}, more than this accuracy makes ({chance}); a sharper throw pays even here."
    else:
        why = f"{share}, about what this accuracy makes ({chance}); a sharper throw pays here."
    return (
        f"{one.leave}: {why} It would bring about {gain.value:.2f} pins a game "
        f"({gain.low:.2f} to {gain.high:.2f}). {drill.words}"
    )


def _line_words(one: Subject) -> str:
    if one.cost_of_lines >= COSTLY_LINE:
        return f"of 100, the lines thrown make {100 * one.cost_of_lines:.0f} fewer."
    side = one.lean.side if one.lean else "neither"
    mean = abs(one.lean.mean_boards) if one.lean else 0.0
    return f"the recorded misses lean {mean:.1f} boards to the {side}."
