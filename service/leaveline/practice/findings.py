"""What a review holds: findings about each leave, about groups of them, and the whole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from leaveline.delivery import Spread
from leaveline.lines import Line
from leaveline.pins import Leave
from leaveline.pins.classify import Category
from leaveline.practice.accuracy import Accuracy
from leaveline.practice.first_ball import FirstBallLeaves
from leaveline.practice.intervals import Estimate
from leaveline.practice.season import Season
from leaveline.practice.verdicts import Lean, Verdict
from leaveline.practice.what_next import NotWorthIt, PracticeItem

GroupKind = Literal["all", "category", "corner_pins", "ball"]


@dataclass(frozen=True, slots=True)
class LeaveReview:
    """One leave over the season.

    Attributes
    ----------
    leave : Leave
    category : {"single_pin", "multi_pin", "split", "washout"}
    attempts, made : int
    attempts_per_game : float
    share : Estimate
        Share made, with Wilson's interval.
    expected : Estimate or None
        Make probability of the best line at this accuracy; None where it was not worked out.
    line : Line or None
        That line.
    cost_of_lines : float
        How much less the recorded lines make than the best one, 0 where none are recorded.
    pins_lost, pins_lost_per_game : float
        From scoring the complete games again with the spares made.
    verdict : {"luck", "skill", "line", "above"} or None
        Why share and expectation differ: chance explains it; the bowler is below their own
        accuracy here; the lines thrown or a lean at the target explain it; above it.
    p_value : float or None
        Two-sided, before the other leaves are allowed for.
    lean : Lean or None
        Of the misses recorded at this leave.
    words : str
    """

    leave: Leave
    category: Category
    attempts: int
    made: int
    attempts_per_game: float
    share: Estimate
    expected: Estimate | None
    line: Line | None
    cost_of_lines: float
    pins_lost: float
    pins_lost_per_game: float
    verdict: Verdict | None
    p_value: float | None
    lean: Lean | None
    words: str


@dataclass(frozen=True, slots=True)
class GroupReview:
    """Several leaves together: all, a category, the corner pins, or those thrown with one ball.

    `expected_made` is how many of the attempts this accuracy should make; attempts at leaves that
    were only counted are left out of this row altogether.
    """

    kind: GroupKind
    name: str
    attempts: int
    made: int
    share: Estimate
    expected_made: float
    pins_lost_per_game: float
    verdict: Verdict
    p_value: float
    words: str


@dataclass(frozen=True, slots=True, eq=False)
class Review:
    """What a season shows.

    Attributes
    ----------
    confidence : float
        Of every interval that names no other.
    accuracy : Accuracy or Spread
        Fitted to the season where none was given.
    season : Season
        What was read, and the reports of what was not.
    games : float
        Frames used, in games of ten.
    average : float or None
        Mean score of the complete games.
    pins_lost_per_game : float
        All misses of the complete games; `leaves` and `unknown_leaves_pins_lost_per_game` add up
        to it.
    unknown_leaves : int
        Spare balls whose leave was not given: scored, not judged.
    leaves : tuple of LeaveReview
        By pins lost, most first.
    groups : tuple of GroupReview
    lean : Lean or None
        Of all misses recorded at the target, at 95 %.
    practice : tuple of PracticeItem
        By pins a game to be gained, most first.
    not_worth_practising : tuple of NotWorthIt
    first_ball : tuple of FirstBallLeaves
    cautions : tuple of str
    """

    confidence: float
    accuracy: Accuracy | Spread
    season: Season
    games: float
    average: float | None
    pins_lost_per_game: float
    unknown_leaves: int
    unknown_leaves_pins_lost_per_game: float
    leaves: tuple[LeaveReview, ...]
    groups: tuple[GroupReview, ...]
    lean: Lean | None
    practice: tuple[PracticeItem, ...]
    not_worth_practising: tuple[NotWorthIt, ...]
    first_ball: tuple[FirstBallLeaves, ...]
    cautions: tuple[str, ...]
