"""What answers about accuracy, reviews and comparisons look like, for the OpenAPI document."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, fields

from leaveline.pins.classify import CATEGORIES
from leaveline.web.answer_fields import (
    LEAVE_PATTERN,
    Answer,
    a_leave,
    a_probability,
    flag,
    maybe_number,
    number,
    open_word,
    part,
    parts,
    raw,
    text,
    whole,
)
from leaveline.web.answer_schemas import ModelAnswer

LEAN_SIDES = ["left", "right", "neither"]
DIGEST = "Digest of the normalised request and the model's version."


def _maybe_text(description: str, **openapi: Any) -> fields.Field[Any]:
    return raw(description, {"type": ["string", "null"], **openapi})


def _maybe_whole(description: str, minimum: int) -> fields.Field[Any]:
    return raw(description, {"type": ["integer", "null"], "minimum": minimum})


def _maybe_part(schema: type[Schema], description: str) -> fields.Field[Any]:
    metadata = {"description": description}
    return fields.Nested(schema, required=True, allow_none=True, metadata=metadata)


def _texts(description: str) -> fields.Field[Any]:
    return raw(description, {"type": "array", "items": {"type": "string"}})


def _leaves(description: str) -> fields.Field[Any]:
    return raw(
        description, {"type": "array", "items": {"type": "string", "pattern": LEAVE_PATTERN}}
    )


def _probabilities(description: str) -> fields.Field[Any]:
    items = {"type": "number", "minimum": 0, "maximum": 1}
    return raw(description, {"type": "array", "items": items})


def _digest() -> fields.Field[Any]:
    return text(DIGEST)


class EstimateAnswer(Answer):
    """A value with its interval; unit and confidence are those of the field it stands in."""

    value = number("The value [unit of the field it stands in].")
    low = number("Lower end of the interval [the same unit].")
    high = number("Upper end of the interval [the same unit].")


class SpreadAnswer(Answer):
    """Standard deviations, throw to throw: ready for `bowler.spread` of any request."""

    lay_down_boards = number("Board at the foul line [boards].", minimum=0)
    target_boards = number("Board at the target, 15 ft out [boards].", minimum=0)
    speed_mph = number("Ball speed off the hand [mph].", minimum=0)
    rotation_deg = number("Axis rotation [deg].", minimum=0)
    rev_rate_rpm = number("Rev rate [rpm].", minimum=0)


class AccuracyReasonAnswer(Answer):
    """Why the data cannot tell, or not on one side."""

    code = open_word(
        "What.",
        [
            "no_throws",
            "few_throws",
            "leaves_say_little",
            "no_lowest",
            "no_highest",
            "no_lean_end",
        ],
    )
    leaves = _leaves("Leaves it is about; often none.")
    words = text("The reason in words.")


class MoreThrowsAnswer(Answer):
    """What would narrow the interval; an estimate, before the throws are thrown."""

    leave = _maybe_text(
        "Where to throw; null for any leave, with the miss at the target written down.",
        pattern=LEAVE_PATTERN,
    )
    throws_to_tell = _maybe_whole(
        "Until the spread is told to about a quarter [throws]: 0 where it is already, null where "
        "throws there never tell it.",
        0,
    )
    throws_to_halve = whole("What halves the interval of the spread [throws].", minimum=0)
    lay_down_board = maybe_number("Line to throw there [board]; null for any leave.")
    target_board = maybe_number("Line to throw there [board]; null for any leave.")
    words = text("What to throw: to tell the spread, or else to halve the interval.")


class FittedLeaveAnswer(Answer):
    """A leave's makes beside what the fit says of them."""

    leave = a_leave("The pins thrown at.")
    attempts = whole("Balls thrown [balls].", minimum=1)
    made = whole("Makes [balls].", minimum=0)
    make_probability = part(EstimateAnswer, "What the fitted accuracy makes of it, 0 to 1.")
    lay_down_board = number("The line at the foul line [board].")
    target_board = number("The line at the target [board].")
    line_assumed = flag("Whether the line is the best one, not one that was given.")


class FittedAccuracyAnswer(Answer):
    """Spread and lean that best explain what was thrown."""

    spread = part(
        SpreadAnswer,
        "The fitted spread. The target's is fitted; the others go with it in the proportion the "
        "levels have.",
    )
    target_boards = part(EstimateAnswer, "Standard deviation at the target [boards].")
    lean_boards = part(
        EstimateAnswer, "Mean miss at the target [boards], positive to the right; 0 if not sought."
    )
    lean_side = text("Side the throws lean to, where 95 % sure.", enum=LEAN_SIDES)
    looked_for_lean = flag("Whether a lean was looked for.")
    throws = whole("What it rests on [throws].", minimum=0)
    level = _maybe_text("Level the search started from; null for all alike.")
    confidence = a_probability("Confidence of every interval here.")
    can_tell = flag(
        "Whether the data tell the spread to within about a quarter; never where spread or lean "
        "may lie beyond the range looked at, 0.25 to 5 and 10 boards."
    )
    reasons = parts(AccuracyReasonAnswer, "What the data cannot tell, and why.")
    more_throws = parts(
        MoreThrowsAnswer, "What would tell more, best first; empty where nothing worth naming does."
    )
    leaves = parts(FittedLeaveAnswer, "Leaves the fit rests on.")
    words = text("The fit in a few plain sentences.")


class AccuracyAnswer(FittedAccuracyAnswer):
    """How accurate a bowler is."""

    input_digest = _digest()
    model = part(ModelAnswer)


class RowReportAnswer(Answer):
    """A row, or a field of a row, that was not used."""

    row = whole(
        "As a file counts [rows], its first line being 1; in a list the first is 1.", minimum=1
    )
    field = _maybe_text("The field; null where it is the whole row.")
    row_used = flag("Whether the rest of the row was used.")
    reason = text("What is wrong and what is allowed.")


class RowsAnswer(Answer):
    """What was read, and everything that was not."""

    given = whole("How many [rows]; lines of nothing but separators are none.", minimum=0)
    used = whole("Of which so many were used [rows].", minimum=0)
    not_used = whole("Of which nothing was used; each is reported [rows].", minimum=0)
    encoding = _maybe_text("How a file's bytes were read; null for text and rows in JSON.")
    separator = _maybe_text("What separates a file's columns; null for rows in JSON.")
    ignored_columns = _texts("Columns of a file that no field goes by.")
    reports = parts(RowReportAnswer, "Everything that was not used, by row.")


class LeanAnswer(Answer):
    """To which side recorded misses go."""

    throws = whole("Recorded misses, hits included [throws].", minimum=2)
    mean_boards = part(EstimateAnswer, "Mean miss at the target [boards], positive to the right.")
    side = text("`neither` where the interval holds 0, or of fewer than five.", enum=LEAN_SIDES)


class BoardsAnswer(Answer):
    """A line in three boards."""

    stand_board = number("Where the slide foot starts [board].")
    lay_down_board = number("Where the ball crosses the foul line [board].")
    target_board = number("What to roll over at the target, 15 ft out [board].")


class DrillAnswer(BoardsAnswer):
    """Balls to throw on one line, and the score that would show improvement."""

    leave = a_leave("The pins to throw at.")
    throws = whole("How many [balls].", minimum=1)
    score = _maybe_whole("Makes that show improvement [balls]; null where even all would not.", 0)
    confidence = a_probability("How seldom the present share reaches the score: 1 less this.")
    present_probability = a_probability("Share made now.")
    goal_probability = a_probability("Share hoped for.")
    pass_probability = a_probability("How often a bowler at the goal reaches the score.")
    words = text("The drill in words.")


class PracticeItemAnswer(Answer):
    """One thing to practise. Gains of different ones may overlap: they do not add up."""

    leave = a_leave("The leave to practise at.")
    kind = open_word("What it would mend.", ["weakness", "line", "aim", "sharpness"])
    gain_pins_per_game = part(EstimateAnswer, "What it would bring [pins a game].")
    of_gap_pins_per_game = number(
        "The part that this accuracy should bring, no sharper [pins a game]."
    )
    drill = part(DrillAnswer)
    words = text("Why, what it would bring, and the drill.")


class NotWorthAnswer(Answer):
    """A leave that even good practice would hardly pay for."""

    leave = a_leave("The leave.")
    attempts = whole("How often it was thrown at [balls].", minimum=1)
    make_probability = a_probability("What this accuracy makes on the best line.")
    gain_pins_per_game = number("What practice would bring [pins a game].")
    words = text("The same in words.")


class LeaveReviewAnswer(Answer):
    """One leave over all games."""

    leave = a_leave("The pins thrown at.")
    category = text("The one kind it is.", enum=list(CATEGORIES))
    attempts = whole("Thrown at it [balls].", minimum=1)
    made = whole("Makes [balls].", minimum=0)
    attempts_per_game = number("How often in ten frames [balls a game].", minimum=0)
    made_share = part(EstimateAnswer, "Share made, 0 to 1, with Wilson's interval.")
    expected = _maybe_part(
        EstimateAnswer,
        "What this accuracy makes of it on the best line, 0 to 1; null for leaves too rare to be "
        "worked out.",
    )
    line = _maybe_part(BoardsAnswer, "That line.")
    cost_of_lines = a_probability("How much less the lines recorded make; 0 without any.")
    pins_lost = number("What its misses cost, from scoring the games again [pins].", minimum=0)
    pins_lost_per_game = number("The same for each complete game [pins a game].", minimum=0)
    verdict = _maybe_text(
        "Why share and expectation differ: chance explains it, a weakness, the choice of line, or "
        "better than this accuracy. The set may grow.",
        examples=["luck", "skill", "line", "above"],
    )
    p_value = maybe_number(
        "How often chance alone differs so much [share]; null if not worked out."
    )
    lean = _maybe_part(LeanAnswer, "Of the misses recorded here; null for fewer than two.")
    words = text("The leave in words.")


class GroupReviewAnswer(Answer):
    """Several leaves together."""

    kind = open_word("Which.", ["all", "category", "corner_pins", "ball"])
    name = text("The category, or the label of the ball.")
    attempts = whole("Thrown at them [balls].", minimum=1)
    made = whole("Makes [balls].", minimum=0)
    made_share = part(EstimateAnswer, "Share made, 0 to 1, with Wilson's interval.")
    expected_made = number("To be expected of this accuracy [balls].", minimum=0)
    pins_lost_per_game = number(
        "What their misses cost each complete game [pins a game].", minimum=0
    )
    verdict = open_word("Why they differ.", ["luck", "skill", "above"])
    p_value = a_probability("How often chance alone differs so much.")
    words = text("The same in words.")


class FirstBallAnswer(Answer):
    """Leaves that a pocket hit too high, or too light, usually brings."""

    hit = open_word("Which hit.", ["high", "light"])
    leaves = _leaves("Those that came up, the commonest first.")
    count = whole("How often together [leaves].", minimum=1)
    words = text("The same in words.")


class ReviewAnswer(Answer):
    """What bowled games show, and what to practise."""

    rows = part(RowsAnswer)
    frames = whole("How many were used [frames].", minimum=0)
    games = number("The same in games of ten [games].", minimum=0)
    complete_games = whole("Those with all ten frames, which are scored [games].", minimum=0)
    average_pins = maybe_number("Mean score of the complete games; null without one.")
    confidence = a_probability("Confidence of every interval that names no other.")
    spread = part(SpreadAnswer, "The spread expectations rest on.")
    accuracy = _maybe_part(
        FittedAccuracyAnswer, "The accuracy fitted to these games; null where it was given."
    )
    pins_lost_per_game = number(
        "What missed spares cost each complete game [pins a game].", minimum=0
    )
    unknown_leaves = whole(
        "Spare balls whose leave is not told: scored, not judged [balls].", minimum=0
    )
    unknown_leaves_pins_lost_per_game = number(
        "Their part of the pins lost [pins a game].", minimum=0
    )
    lean = _maybe_part(LeanAnswer, "Of all misses recorded, 95 % sure; null for fewer than two.")
    practice = parts(PracticeItemAnswer, "What to practise, most pins a game first.")
    not_worth_practising = parts(NotWorthAnswer, "Hard leaves that practice hardly pays for.")
    groups = parts(GroupReviewAnswer, "All leaves, each category, the corner pins, each ball.")
    leaves = parts(LeaveReviewAnswer, "Every leave, by pins lost.")
    first_ball = parts(FirstBallAnswer, "What the leaves say of the first ball; no more than that.")
    cautions = _texts("What to know before taking the numbers at their word.")
    words = text("The games in a few sentences.")
    input_digest = _digest()
    model = part(ModelAnswer)


class ComparedOptionAnswer(Answer):
    """What one way to throw spares makes over all leaves."""

    name = text("Its name.")
    conversion = part(EstimateAnswer, "Share of all leaves made, 0 to 1.")
    gain_makes_per_game = part(EstimateAnswer, "Over the first one [makes a game].")
    gain_pins_per_game = part(EstimateAnswer, "Over the first one [pins a game].")
    shown = flag("Whether the interval of the gain in pins leaves out 0.")
    words = text("The same in words.")


class ComparedLeaveAnswer(Answer):
    """One leave with every option."""

    leave = a_leave("The standing pins.")
    leaves_per_game = number("How often it comes up [leaves a game].", minimum=0)
    make_probabilities = _probabilities("Of each option's best line, in the options' order.")
    standard_errors = _probabilities("Their uncertainty from the finite set of throws.")


class ComparisonAnswer(Answer):
    """Ways to throw spares side by side."""

    confidence = a_probability("Confidence of every interval.")
    options = parts(ComparedOptionAnswer, "In the request's order; the first is compared with.")
    leaves = parts(ComparedLeaveAnswer, "Leaves where the options differ most first.")
    leaves_per_game = number("All together [leaves a game].", minimum=0)
    leaves_from = open_word("Where they come from.", ["usual", "counts", "season"])
    games = maybe_number("What they were counted over [games]; null for the usual ones.")
    left_out_per_game = number("Rarer ones that were left out [leaves a game].", minimum=0)
    rows = _maybe_part(RowsAnswer, "What was read of the games; null where none were given.")
    cautions = _texts("What is for qualified staff to decide, and what numbers do not promise.")
    words = text("The comparison in words.")
    input_digest = _digest()
    model = part(ModelAnswer)
