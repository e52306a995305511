"""Answers between games: an accuracy, a review, ways to throw spares side by side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from leaveline_client.answers.base import Answer
from leaveline_client.answers.lines import ModelAnswer
from leaveline_client.reading import Part

LeanSide = Literal["left", "right", "neither"] | str
ReasonCode = (
    Literal[
        "no_throws", "few_throws", "leaves_say_little", "no_lowest", "no_highest", "no_lean_end"
    ]
    | str
)
PracticeKind = Literal["weakness", "line", "aim", "sharpness"] | str
Verdict = Literal["luck", "skill", "line", "above"] | str


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateAnswer(Part):
    """A value with its interval; unit and confidence are those of the field it stands in.

    Attributes
    ----------
    value, low, high : float
        The value and the ends of its interval.
    """

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SpreadAnswer(Part):
    """Standard deviations, throw to throw: ready for a Bowler's `spread`.

    Attributes
    ----------
    lay_down_boards, target_boards : float
        Board at the foul line, and at the target 15 ft out [boards].
    speed_mph : float
        Ball speed off the hand [mph].
    rotation_deg : float
        Axis rotation [deg].
    rev_rate_rpm : float
        Rev rate [rpm].
    """

    lay_down_boards: float
    target_boards: float
    speed_mph: float
    rotation_deg: float
    rev_rate_rpm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AccuracyReasonAnswer(Part):
    """Why the data cannot tell, or not on one side.

    Attributes
    ----------
    code : str
        What; the set may grow.
    leaves : tuple of str
        Leaves it is about.
    words : str
        The reason in words.
    """

    code: ReasonCode
    leaves: tuple[str, ...]
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MoreThrowsAnswer(Part):
    """What would narrow the interval; an estimate, before the throws are thrown.

    Attributes
    ----------
    leave : str or None
        Where to throw; None for any leave, with the miss at the target written down.
    throws_to_tell : int or None
        Throws until the spread is told: 0 where it is, None where throws there never tell it.
    throws_to_halve : int
        Throws that halve the interval.
    lay_down_board, target_board : float or None
        The line to throw there.
    words : str
        What to throw.
    """

    leave: str | None
    throws_to_tell: int | None
    throws_to_halve: int
    lay_down_board: float | None
    target_board: float | None
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedLeaveAnswer(Part):
    """A leave's makes beside what the fit says of them.

    Attributes
    ----------
    leave : str
        The pins thrown at.
    attempts, made : int
        Balls thrown, and how many made it.
    make_probability : EstimateAnswer
        What the fitted accuracy makes of it, 0 to 1.
    lay_down_board, target_board : float
        The line.
    line_assumed : bool
        Whether the line is the best one, not one that was given.
    """

    leave: str
    attempts: int
    made: int
    make_probability: EstimateAnswer
    lay_down_board: float
    target_board: float
    line_assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedAccuracyAnswer(Answer):
    """Spread and lean that best explain what was thrown.

    Attributes
    ----------
    spread : SpreadAnswer
        The fitted spread.
    target_boards : EstimateAnswer
        Standard deviation at the target [boards].
    lean_boards : EstimateAnswer
        Mean miss at the target [boards], positive to the right.
    lean_side : str
        Side the throws lean to, where 95 % sure; else `neither`.
    looked_for_lean : bool
        Whether a lean was looked for.
    throws : int
        Throws it rests on.
    level : str or None
        Level the search started from.
    confidence : float
        Of every interval here.
    can_tell : bool
        Whether the data tell the spread to within about a quarter; never where spread or lean may
        lie beyond the range looked at.
    reasons : tuple of AccuracyReasonAnswer
        What they cannot tell, and why.
    more_throws : tuple of MoreThrowsAnswer
        What would tell more, best first; empty where nothing worth naming does.
    leaves : tuple of FittedLeaveAnswer
        Leaves the fit rests on.
    words : str
        The fit in a few plain sentences.
    """

    spread: SpreadAnswer
    target_boards: EstimateAnswer
    lean_boards: EstimateAnswer
    lean_side: LeanSide
    looked_for_lean: bool
    throws: int
    level: str | None
    confidence: float
    can_tell: bool
    reasons: tuple[AccuracyReasonAnswer, ...]
    more_throws: tuple[MoreThrowsAnswer, ...]
    leaves: tuple[FittedLeaveAnswer, ...]
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AccuracyAnswer(FittedAccuracyAnswer):
    """How accurate a bowler is: a fitted accuracy by itself.

    Attributes
    ----------
    input_digest : str
        Digest of the normalised request and the model's version.
    model : ModelAnswer
        What reproduces it.
    """

    input_digest: str
    model: ModelAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class RowReportAnswer(Part):
    """A row, or a field of a row, that was not used.

    Attributes
    ----------
    row : int
        Its place: a file's first line is 1, as is a list's first row.
    field : str or None
        The field; None where it is the whole row.
    row_used : bool
        Whether the rest of the row was used.
    reason : str
        What is wrong and what is allowed.
    """

    row: int
    field: str | None
    row_used: bool
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RowsAnswer(Part):
    """What was read, and everything that was not.

    Attributes
    ----------
    given, used, not_used : int
        Rows given, used, and those of which nothing was used.
    encoding, separator : str or None
        How a file was read.
    ignored_columns : tuple of str
        Columns of a file that no field goes by.
    reports : tuple of RowReportAnswer
        Everything that was not used, by row.
    """

    given: int
    used: int
    not_used: int
    encoding: str | None
    separator: str | None
    ignored_columns: tuple[str, ...]
    reports: tuple[RowReportAnswer, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeanAnswer(Part):
    """To which side recorded misses go.

    Attributes
    ----------
    throws : int
        Recorded misses, hits included.
    mean_boards : EstimateAnswer
        Mean miss at the target [boards], positive to the right.
    side : str
        `left`, `right` or `neither`.
    """

    throws: int
    mean_boards: EstimateAnswer
    side: LeanSide


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardsAnswer(Part):
    """A line in three boards.

    Attributes
    ----------
    stand_board, lay_down_board, target_board : float
        Where the slide foot starts, where the ball crosses the foul line, and what it rolls over
        at the target.
    """

    stand_board: float
    lay_down_board: float
    target_board: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillAnswer(BoardsAnswer):
    """Balls to throw on one line, and the score that would show improvement.

    Attributes
    ----------
    leave : str
        The pins to throw at.
    throws : int
        Balls in the drill.
    score : int or None
        Makes that show improvement; None where even all of them would not.
    confidence : float
        At the present share, fewer than 1 - confidence of such drills reach the score.
    present_probability, goal_probability : float
        Share made now, and the one hoped for, 0 to 1.
    pass_probability : float
        How often a bowler at the goal reaches the score, 0 to 1.
    words : str
        The drill in words.
    """

    leave: str
    throws: int
    score: int | None
    confidence: float
    present_probability: float
    goal_probability: float
    pass_probability: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PracticeItemAnswer(Part):
    """One thing to practise. Gains of different ones may overlap: they do not add up.

    Attributes
    ----------
    leave : str
        The leave to practise at.
    kind : str
        What it would mend: `weakness`, `line`, `aim`, `sharpness`; the set may grow.
    gain_pins_per_game : EstimateAnswer
        What it would bring [pins a game].
    of_gap_pins_per_game : float
        Part of it that needs no sharper throw [pins a game].
    drill : DrillAnswer
        What to throw.
    words : str
        Why, what it would bring, and the drill.
    """

    leave: str
    kind: PracticeKind
    gain_pins_per_game: EstimateAnswer
    of_gap_pins_per_game: float
    drill: DrillAnswer
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NotWorthAnswer(Part):
    """A leave that even good practice would hardly pay for.

    Attributes
    ----------
    leave : str
        The leave.
    attempts : int
        How often it was thrown at.
    make_probability : float
        What this accuracy makes on the best line, 0 to 1.
    gain_pins_per_game : float
        What practice would bring [pins a game].
    words : str
        The same in words.
    """

    leave: str
    attempts: int
    make_probability: float
    gain_pins_per_game: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LeaveReviewAnswer(Part):
    """One leave over all games.

    Attributes
    ----------
    leave, category : str
        The pins thrown at, and the one kind they are.
    attempts, made : int
        Balls thrown, and how many made it.
    attempts_per_game : float
        Attempts in ten frames.
    made_share : EstimateAnswer
        Share made, 0 to 1.
    expected : EstimateAnswer or None
        What this accuracy makes of it on the best line, 0 to 1; None for leaves too rare.
    line : BoardsAnswer or None
        That line.
    cost_of_lines : float
        How much less the lines recorded make, 0 to 1.
    pins_lost, pins_lost_per_game : float
        Pins its misses cost, in all and for each complete game.
    verdict : str or None
        Why share and expectation differ: `luck`, `skill`, `line`, `above`; the set may grow.
    p_value : float or None
        How often chance alone differs so much.
    lean : LeanAnswer or None
        Of the misses recorded here.
    words : str
        The leave in words.
    """

    leave: str
    category: str
    attempts: int
    made: int
    attempts_per_game: float
    made_share: EstimateAnswer
    expected: EstimateAnswer | None
    line: BoardsAnswer | None
    cost_of_lines: float
    pins_lost: float
    pins_lost_per_game: float
    verdict: Verdict | None
    p_value: float | None
    lean: LeanAnswer | None
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupReviewAnswer(Part):
    """Several leaves together.

    Attributes
    ----------
    kind : str
        `all`, `category`, `corner_pins` or `ball`; the set may grow.
    name : str
        The category, or the label of the ball.
    attempts, made : int
        Balls thrown at them, and how many made it.
    made_share : EstimateAnswer
        Share made, 0 to 1.
    expected_made : float
        Makes to be expected of this accuracy.
    pins_lost_per_game : float
        Pins their misses cost each complete game.
    verdict : str
        Why they differ.
    p_value : float
        How often chance alone differs so much.
    words : str
        The same in words.
    """

    kind: str
    name: str
    attempts: int
    made: int
    made_share: EstimateAnswer
    expected_made: float
    pins_lost_per_game: float
    verdict: Verdict
    p_value: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstBallAnswer(Part):
    """Leaves that a pocket hit too high, or too light, usually brings.

    Attributes
    ----------
    hit : str
        `high` or `light`; the set may grow.
    leaves : tuple of str
        Those that came up, the commonest first.
    count : int
        How often together.
    words : str
        The same in words.
    """

    hit: str
    leaves: tuple[str, ...]
    count: int
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewAnswer(Answer):
    """What bowled games show, and what to practise.

    Attributes
    ----------
    rows : RowsAnswer
        What was read, and what was not.
    frames : int
        Frames used.
    games : float
        The same in games of ten.
    complete_games : int
        Games with all ten frames.
    average_pins : float or None
        Mean score of the complete games.
    confidence : float
        Of every interval that names no other.
    spread : SpreadAnswer
        The spread expectations rest on.
    accuracy : FittedAccuracyAnswer or None
        The accuracy fitted to these games; None where it was given.
    pins_lost_per_game : float
        Pins missed spares cost each complete game.
    unknown_leaves : int
        Spare balls whose leave is not told.
    unknown_leaves_pins_lost_per_game : float
        Their part of the pins lost.
    lean : LeanAnswer or None
        Of all misses recorded.
    practice : tuple of PracticeItemAnswer
        What to practise, most pins a game first.
    not_worth_practising : tuple of NotWorthAnswer
        Hard leaves that practice hardly pays for.
    groups : tuple of GroupReviewAnswer
        All leaves, each category, the corner pins, each ball.
    leaves : tuple of LeaveReviewAnswer
        Every leave, by pins lost.
    first_ball : tuple of FirstBallAnswer
        What the leaves say of the first ball.
    cautions : tuple of str
        What to know before taking the numbers at their word.
    words : str
        The games in a few sentences.
    input_digest : str
        Digest of the normalised request and the model's version.
    model : ModelAnswer
        What reproduces it.
    """

    rows: RowsAnswer
    frames: int
    games: float
    complete_games: int
    average_pins: float | None
    confidence: float
    spread: SpreadAnswer
    accuracy: FittedAccuracyAnswer | None
    pins_lost_per_game: float
    unknown_leaves: int
    unknown_leaves_pins_lost_per_game: float
    lean: LeanAnswer | None
    practice: tuple[PracticeItemAnswer, ...]
    not_worth_practising: tuple[NotWorthAnswer, ...]
    groups: tuple[GroupReviewAnswer, ...]
    leaves: tuple[LeaveReviewAnswer, ...]
    first_ball: tuple[FirstBallAnswer, ...]
    cautions: tuple[str, ...]
    words: str
    input_digest: str
    model: ModelAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedOptionAnswer(Part):
    """What one way to throw spares makes over all leaves.

    Attributes
    ----------
    name : str
        Its name.
    conversion : EstimateAnswer
        Share of all leaves made, 0 to 1.
    gain_makes_per_game, gain_pins_per_game : EstimateAnswer
        Makes, and pins, a game over the first one.
    shown : bool
        Whether the interval of the gain in pins leaves out 0.
    words : str
        The same in words.
    """

    name: str
    conversion: EstimateAnswer
    gain_makes_per_game: EstimateAnswer
    gain_pins_per_game: EstimateAnswer
    shown: bool
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedLeaveAnswer(Part):
    """One leave with every option.

    Attributes
    ----------
    leave : str
        The standing pins.
    leaves_per_game : float
        How often it comes up in a game.
    make_probabilities, standard_errors : tuple of float
        Of each option's best line, in the options' order, and their uncertainty.
    """

    leave: str
    leaves_per_game: float
    make_probabilities: tuple[float, ...]
    standard_errors: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonAnswer(Answer):
    """Ways to throw spares side by side.

    Attributes
    ----------
    confidence : float
        Of every interval.
    options : tuple of ComparedOptionAnswer
        In the request's order; the first is compared with.
    leaves : tuple of ComparedLeaveAnswer
        Those where the options differ most first.
    leaves_per_game : float
        Leaves in a game, together.
    leaves_from : str
        `usual`, `counts` or `season`; the set may grow.
    games : float or None
        Games they were counted over.
    left_out_per_game : float
        Rarer leaves that were left out.
    rows : RowsAnswer or None
        What was read of the games, where any were given.
    cautions : tuple of str
        What is for qualified staff to decide, and what numbers do not promise.
    words : str
        The comparison in words.
    input_digest : str
        Digest of the normalised request and the model's version.
    model : ModelAnswer
        What reproduces it.
    """

    confidence: float
    options: tuple[ComparedOptionAnswer, ...]
    leaves: tuple[ComparedLeaveAnswer, ...]
    leaves_per_game: float
    leaves_from: str
    games: float | None
    left_out_per_game: float
    rows: RowsAnswer | None
    cautions: tuple[str, ...]
    words: str
    input_digest: str
    model: ModelAnswer
