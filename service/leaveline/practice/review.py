"""What bowled games show: what this accuracy should have made, what it lost, what to practise.

`review` counts the season, works out the best line and what to expect of it at every leave thrown
at, tells gaps that chance explains from those it does not, and ranks what practice would bring in
pins a game. The season's own accuracy is fitted where none is given.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from leaveline.delivery import Spread
from leaveline.delivery.release import Level
from leaveline.lines import Bowler
from leaveline.pins import Leave
from leaveline.pins.classify import CATEGORIES, category
from leaveline.practice.accuracy import Accuracy
from leaveline.practice.expected import Expected, cost_of_lines, expected_at
from leaveline.practice.findings import GroupKind, GroupReview, LeaveReview, Review
from leaveline.practice.first_ball import first_ball_leaves
from leaveline.practice.intervals import Estimate, share_interval
from leaveline.practice.review_words import caution_words, group_words, leave_words
from leaveline.practice.season import Season
from leaveline.practice.season_accuracy import accuracy_of_season
from leaveline.practice.steps import Check, go_on
from leaveline.practice.tallies import SeasonTally, Tally, count
from leaveline.practice.verdicts import (
    COSTLY_LINE,
    Lean,
    Verdict,
    beyond_luck,
    group_tail_probabilities,
    lean_of,
    tail_probabilities,
    two_sided,
)
from leaveline.practice.what_next import Subject, not_worth_practising, what_to_practise

MOST_LEAVES_SOLVED = 120
"""Leaves that lines are solved for, those thrown at most; the rest are only counted."""
GROUP_SURE = 0.01
"""A group is called odd below this p-value; there are half a dozen of them."""
LEAVE_LEAN_CONFIDENCE = 0.99
LEAN_CONFIDENCE = 0.95
CORNER_PINS = (Leave.of([7]), Leave.of([10]))


def review(
    season: Season,
    accuracy: Accuracy | Spread | None = None,
    *,
    bowler: Bowler | None = None,
    level: Level | None = None,
    confidence: float = 0.8,
    drill_confidence: float = 0.9,
    limit: int = 5,
    check: Check = go_on,
) -> Review:
    """Review a season.

    Parameters
    ----------
    season : Season
        From `season_from_csv` or `season_from_rows`.
    accuracy : Accuracy or Spread, optional
        What the bowler is known to spread by; fitted to the season where left out.
    bowler : Bowler, optional
        Hand, stance, ball and release; that of a given `Accuracy` where left out. Its own spread
        plays no part, and its own lean is put aside: the lean is what the throws show.
    level : str, optional
        Prior of the fit, as in `fit_accuracy`.
    confidence : float
        Of the intervals, 0.5 to 0.99.
    drill_confidence : float
        Of the drills' scores, 0.5 to 0.99.
    limit : int
        Most things to practise, 1 to 20.
    check : callable, optional
        Called before the work on each leave; may raise to stop.

    Raises
    ------
    ValueError
        Names the argument, its value and the allowed range.
    """
    for name, value in (("confidence", confidence), ("drill_confidence", drill_confidence)):
        if not 0.5 <= value <= 0.99:
            raise ValueError(f"{name} is {value!r}; allowed: 0.5 to 0.99")
    if not 1 <= limit <= 20:
        raise ValueError(f"limit is {limit}; allowed: 1 to 20")
    if accuracy is None:
        accuracy = accuracy_of_season(
            season, bowler=bowler, level=level, confidence=confidence, check=check
        )
    if bowler is None:
        bowler = accuracy.bowler if isinstance(accuracy, Accuracy) else Bowler()
    spread = accuracy if isinstance(accuracy, Spread) else accuracy.spread
    bowler = replace(bowler, spread=spread, lean_boards=0.0)
    tally = count(season)
    most_thrown = sorted(tally.by_leave, key=lambda leave: (-tally.by_leave[leave].attempts, leave))
    expected = {}
    for leave in most_thrown[:MOST_LEAVES_SOLVED]:
        check()
        expected[leave] = expected_at(leave, accuracy, bowler, confidence=confidence)
    leaves = _leaves(tally, expected, bowler, confidence, check)
    misses = [miss for own in tally.by_leave.values() for miss in own.target_misses]
    misses += tally.unknown.target_misses
    subjects = [_subject(one, tally, expected[one.leave]) for one in leaves if one.expected]
    scores = [game.score for game in season.complete_games if game.score is not None]
    return Review(
        confidence=confidence,
        accuracy=accuracy,
        season=season,
        games=tally.games,
        average=sum(scores) / len(scores) if scores else None,
        pins_lost_per_game=tally.per_game(tally.pins_lost),
        unknown_leaves=tally.unknown.attempts,
        unknown_leaves_pins_lost_per_game=tally.per_game(tally.unknown.pins_lost),
        leaves=leaves,
        groups=_groups(tally, expected, confidence),
        lean=lean_of(misses, confidence=LEAN_CONFIDENCE),
        practice=what_to_practise(
            subjects,
            lean_boards=_lean_shown(accuracy),
            confidence=confidence,
            drill_confidence=drill_confidence,
            limit=limit,
        ),
        not_worth_practising=not_worth_practising(subjects),
        first_ball=first_ball_leaves(
            {leave: own.attempts for leave, own in tally.by_leave.items()}, bowler.hand
        ),
        cautions=caution_words(season, tally),
    )


def _lean_shown(accuracy: Accuracy | Spread) -> float:
    """Lean of all throws [boards], 0 where none is shown."""
    if isinstance(accuracy, Spread) or not accuracy.lean_shown:
        return 0.0
    return accuracy.lean_boards.value


def _leaves(
    tally: SeasonTally,
    expected: Mapping[Leave, Expected],
    bowler: Bowler,
    confidence: float,
    check: Check,
) -> tuple[LeaveReview, ...]:
    """Review every leave, those that lost most pins first."""
    tails = {
        leave: tail_probabilities(own.made, own.attempts, expected[leave].points)
        for leave, own in tally.by_leave.items()
        if leave in expected
    }
    p_values = {leave: two_sided(pair) for leave, pair in tails.items()}
    odd = dict(zip(p_values, beyond_luck(list(p_values.values())), strict=True))
    found = []
    for leave, own in tally.by_leave.items():
        check()
        hope = expected.get(leave)
        lean = lean_of(own.target_misses, confidence=LEAVE_LEAN_CONFIDENCE)
        cost = cost_of_lines(hope, bowler, own.lines) if hope and own.lines else 0.0
        verdict: Verdict | None = None
        if hope:
            few, many = tails[leave]
            verdict = _verdict(odd[leave], few < many, lean, cost)
        low, high = share_interval(own.made, own.attempts, confidence=confidence)
        one = LeaveReview(
            leave=leave,
            category=category(leave),
            attempts=own.attempts,
            made=own.made,
            attempts_per_game=own.attempts / tally.games,
            share=Estimate(own.made / own.attempts, low, high),
            expected=hope.make_probability if hope else None,
            line=hope.line if hope else None,
            cost_of_lines=cost,
            pins_lost=own.pins_lost,
            pins_lost_per_game=tally.per_game(own.pins_lost),
            verdict=verdict,
            p_value=p_values.get(leave),
            lean=lean,
            words="",
        )
        found.append(replace(one, words=leave_words(one)))
    found.sort(key=lambda one: (-one.pins_lost, -one.attempts, one.leave))
    return tuple(found)


def _verdict(odd: bool, below: bool, lean: Lean | None, cost: float) -> Verdict:
    if not odd:
        return "luck"
    if not below:
        return "above"
    leans = lean is not None and lean.side != "neither"
    return "line" if leans or cost >= COSTLY_LINE else "skill"


def _groups(
    tally: SeasonTally, expected: Mapping[Leave, Expected], confidence: float
) -> tuple[GroupReview, ...]:
    """All leaves together, each category, the corner pins, each ball."""
    by_leave = tally.by_leave
    wanted: list[tuple[GroupKind, str, dict[Leave, Tally]]] = [("all", "all", by_leave)]
    for kind in CATEGORIES:
        own = {leave: one for leave, one in by_leave.items() if category(leave) == kind}
        wanted.append(("category", kind, own))
    corners = {leave: by_leave[leave] for leave in CORNER_PINS if leave in by_leave}
    wanted.append(("corner_pins", "7 and 10", corners))
    wanted += [("ball", ball, tally.by_ball[ball]) for ball in sorted(tally.by_ball)]
    groups = []
    for group, name, leaves in wanted:
        known = {leave: one for leave, one in leaves.items() if leave in expected}
        if known:
            groups.append(_group(group, name, known, tally, expected, confidence))
    return tuple(groups)


def _group(
    kind: GroupKind,
    name: str,
    leaves: Mapping[Leave, Tally],
    tally: SeasonTally,
    expected: Mapping[Leave, Expected],
    confidence: float,
) -> GroupReview:
    attempts: Sequence[int] = [one.attempts for one in leaves.values()]
    total, made = sum(attempts), sum(one.made for one in leaves.values())
    few, many = group_tail_probabilities(
        made, attempts, [expected[leave].points for leave in leaves]
    )
    p_value = two_sided((few, many))
    low, high = share_interval(made, total, confidence=confidence)
    one = GroupReview(
        kind=kind,
        name=name,
        attempts=total,
        made=made,
        share=Estimate(made / total, low, high),
        expected_made=sum(
            own.attempts * expected[leave].make_probability.value for leave, own in leaves.items()
        ),
        pins_lost_per_game=tally.per_game(sum(own.pins_lost for own in leaves.values())),
        verdict=_verdict(p_value <= GROUP_SURE, few < many, None, 0.0),
        p_value=p_value,
        words="",
    )
    return replace(one, words=group_words(one))


def _subject(one: LeaveReview, tally: SeasonTally, expected: Expected) -> Subject:
    return Subject(
        expected=expected,
        category=one.category,
        attempts=one.attempts,
        made=one.made,
        attempts_per_game=one.attempts_per_game,
        pins_of_a_make=tally.pins_of_a_make([tally.by_leave[one.leave]]),
        cost_of_lines=one.cost_of_lines,
        verdict=one.verdict,
        lean=one.lean,
    )
