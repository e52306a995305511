"""What answers look like, for the OpenAPI document. Answers may gain fields within v1."""

from __future__ import annotations

from marshmallow import fields

from leaveline.pins.classify import CATEGORIES
from leaveline.web.answer_fields import (
    Answer,
    a_leave,
    a_pin,
    a_probability,
    flag,
    maybe_number,
    maybe_probability,
    number,
    open_word,
    optional,
    part,
    parts,
    raw,
    some_pins,
    text,
    whole,
)
from leaveline.web.line_schemas import MAX_COMPARED, MAX_SEED

REMAINDER_PATTERN = r"^(?:(?:[1-9]|10)(?:-(?:[1-9]|10)){0,9})?$"
SIDES = ["left", "right", "centre"]


class HiddenPinAnswer(Answer):
    """A pin standing straight behind another."""

    pin = a_pin("The hidden pin.")
    behind = a_pin("The pin it stands behind.")


class GapAnswer(Answer):
    """Two neighbours of one row and the room between them."""

    pins = some_pins("The two pins.", minItems=2)
    clear_in = number("Clear room between them [in].", minimum=0)
    ball_fits = flag("Whether a ball passes between them.")


class LeaveAnswer(Answer):
    """One leave and what kind it is."""

    leave = a_leave("The standing pins.")
    pins = some_pins("The standing pins.", minItems=1)
    pin_count = whole("How many stand.", minimum=1, maximum=10)
    category = text("The one kind it is.", enum=list(CATEGORIES))
    is_split = flag("A split by rule: head pin down, a pin down between or ahead of others.")
    is_washout = flag("Head pin standing, with an empty column between standing columns.")
    head_pin_standing = flag("Whether the head pin stands.")
    trade_names = raw(
        "What the trade calls it; often nothing.", {"type": "array", "items": {"type": "string"}}
    )
    hidden_pins = parts(HiddenPinAnswer, "Pins that stand straight behind another.")
    gaps = parts(GapAnswer, "Neighbours of a row the ball must or cannot pass between.")
    makeable = flag("Whether a straight ball can make it other than by a freak.")
    best_make_probability = a_probability(
        "How often a perfectly repeated straight ball makes it, from its best place and angle."
    )
    ball_alone = flag("Whether the ball itself can touch every pin, with none sent.")
    mirror = a_leave("The leave seen in a mirror.")


class LeavesAnswer(Answer):
    """Many leaves."""

    items_ = fields.List(
        fields.Nested(LeaveAnswer),
        required=True,
        data_key="items",
        metadata={"description": "Leaves, by number of pins, then pin by pin."},
    )
    count = whole("How many leaves.", minimum=0, maximum=1023)


class ContactAnswer(Answer):
    """The first pin the ball meets."""

    pin = a_pin("The pin.")
    side = text("Side of the pin the ball's middle is on, seen by the bowler.", enum=SIDES)
    offset_in = number("The ball's line past the pin's centre [in], positive to the right.")


class PinfallAnswer(Answer):
    """One count and its probability."""

    pins = whole("Pins felled.", minimum=0, maximum=10)
    probability = a_probability("How likely.")


class MissRoomAnswer(Answer):
    """How far the ball may be off at the target (15 ft), the rest of the throw as meant."""

    left_boards = number(
        "To the left [boards]; 0 where even the line itself is unlikely.", minimum=0
    )
    right_boards = number(
        "To the right [boards]; 0 where even the line itself is unlikely.", minimum=0
    )


class RemainderAnswer(Answer):
    """Pins left by a miss."""

    leave = text("What is left; never empty.", pattern=REMAINDER_PATTERN)
    probability = a_probability("How likely, given a miss to this side.")


class SideMissAnswer(Answer):
    """Missing to one side of the line meant."""

    probability = a_probability("Chance that the ball goes to this side and the spare is missed.")
    remainders = parts(RemainderAnswer, "Likeliest remainders, likeliest first.")


class IfMissedAnswer(Answer):
    """What a miss to either side brings."""

    left = part(SideMissAnswer, "The ball arrives left of where it was meant.")
    right = part(SideMissAnswer, "The ball arrives right of where it was meant.")


class CautionAnswer(Answer):
    """Something the line brings in."""

    code = open_word(
        "What.", ["chop", "gutter", "dry_boards", "wall_needed", "long_shot", "out_of_reach"]
    )
    side = raw("On which side, where it has one.", {"type": ["string", "null"]})
    probability = a_probability(
        "How likely; for wall_needed the share of makes that need a pin back off a kickback."
    )
    leaves_pins = some_pins("Pins it leaves, for a chop.")


class MoveAnswer(Answer):
    """How to get to a line from one the bowler trusts.

    Boards are positive away from the ball-hand side: to the left for a right-hander.
    """

    from_leave = a_leave("The pins the known line is for.")
    stand_boards = number("How far to move the feet [boards].")
    target_boards = number("How far to move the target [boards].")
    is_parallel = flag("Whether feet and target move alike.")
    words = text("The move in words.")


class LineAnswer(Answer):
    """One line. Boards count from the ball-hand side; board 20 is the middle for both hands."""

    play = text("What the line is for.", enum=["spare", "count"])
    stand_board = number("Where the slide foot starts [board].")
    lay_down_board = number("Where the ball crosses the foul line [board].")
    target_board = number("Board to roll over at the target, 15 ft out [board].")
    board_at_pins = number("Where the ball's centre crosses the head-pin row, 60 ft out [board].")
    entry_angle_deg = number("Direction at the pins [deg], positive to the right.")
    contact = fields.Nested(
        ContactAnswer,
        required=True,
        allow_none=True,
        metadata={"description": "First pin met by the line as meant; null where it meets none."},
    )
    make_probability = a_probability("Chance that all pins fall, over this bowler's spread.")
    standard_error = a_probability("Uncertainty of it from the finite set of throws and decks.")
    expected_pins = number("Pins felled on average.", minimum=0, maximum=10)
    pinfall = parts(PinfallAnswer, "Probability of each count, 0 to all pins.")
    miss_room = part(MissRoomAnswer)
    if_missed = part(IfMissedAnswer)
    pin_sent_probability = a_probability("Chance of a make with a pin the ball did not touch.")
    wall_probability = a_probability("Chance of a make with a pin felled off a kickback.")
    gutter_probability = a_probability("Chance that the ball leaves the lane before the pins.")
    dry_boards_probability = a_probability(
        "Chance that the ball runs over dry boards for a third of the oil's length; 0 where no "
        "lane was given."
    )
    cautions = parts(CautionAnswer, "What the line brings in, likeliest first.")
    moves = parts(MoveAnswer, "From each known line, the nearest first; empty where none is given.")
    words = text("The line as a coach would say it.")


class ModelAnswer(Answer):
    """What reproduces the answer."""

    model_version = text("Raised whenever a number in any answer changes.")
    seed = whole("Seed of the fixed set of throws.", minimum=0, maximum=MAX_SEED)
    throws_count = whole("Throws each line is averaged over.", minimum=1)


class OptionAnswer(Answer):
    """One ball or release of a comparison, with its own best line for the spare."""

    index = whole("Its place in the request's list, from 0.", minimum=0, maximum=MAX_COMPARED - 1)
    make_probability = a_probability("Chance that all pins fall.")
    behind_best = a_probability("Make probability of the best option less this one's.")
    behind_best_standard_error = a_probability("Uncertainty of that difference, at most.")
    line = part(LineAnswer)


class SensitivityAnswer(Answer):
    """What one more of something does to the best line, the bowler not moving."""

    of = open_word("Of what.", ["lay_down_board", "target_board", "speed_mph", "rev_rate_rpm"])
    board_at_pins_change = number("Change of the board at the pins for one unit more [boards].")
    make_probability_change = number(
        "Change of the make probability for one unit more: the slope at the line, from a step less "
        "to a step more, which is small where the line is best.",
        minimum=-1,
        maximum=1,
    )


class ToldAnswer(Answer):
    """What one known line says of the lean; null where its leave is made too seldom to tell."""

    leave = a_leave("The pins the known line is for.")
    lean_boards = maybe_number("Lean it shows [boards], positive to the right.")
    doubt_boards = maybe_number(
        "Standard deviation of that [boards]: the wider a line's room, the less it tells.",
        minimum=0,
    )


class KnownAnswer(Answer):
    """What the lines a bowler trusts show of the bowler."""

    lean_boards = number(
        "How far the ball crosses to the right of where it is aimed [boards]; the lines allow for "
        "it."
    )
    lean_standard_error_boards = maybe_number(
        "Uncertainty of it [boards]; null where no line says anything.", minimum=0
    )
    lay_down_offset_boards = number("From the ball's first board to the slide foot [boards].")
    offset_shown = flag("Whether known lines show that offset; if not, it is the stance's.")
    lines_agree = flag(
        "Whether the lines show one lean; where not, one of them is not what it is taken for, and "
        "the moves are not to be trusted."
    )
    lines = parts(ToldAnswer, "What each known line says, in the order given.")


class ReachEndAnswer(Answer):
    """The last line to one side that is worth playing."""

    stand_board = number("Where the slide foot starts [board].")
    lay_down_board = number("Where the ball crosses the foul line [board].")
    target_board = number("Board to roll over at the target, 15 ft out [board].")
    make_probability = a_probability("Chance that all pins fall.")
    gutter_probability = a_probability("Chance that the ball leaves the lane before the pins.")
    dry_boards_probability = a_probability("Chance that the ball runs over dry boards.")
    limited_by = open_word(
        "What ends it: no more boards to lay the ball down on, the gutter, dry boards, or pins "
        "that are simply made less often from farther out.",
        ["lane", "gutter", "dry_boards", "pins"],
    )


class ReachAnswer(Answer):
    """How far a leave can be played to either side: nine tenths of the best line's chance."""

    left = part(ReachEndAnswer, "To the left, as the bowler sees it.")
    right = part(ReachEndAnswer, "To the right.")


class LinesAnswer(Answer):
    """Lines for one leave, best first within each play."""

    leave = a_leave("The standing pins.")
    lines = parts(LineAnswer, "Best lines first; for `both`, the spare's before the count's.")
    known = fields.Nested(
        KnownAnswer,
        required=True,
        allow_none=True,
        metadata={"description": "What known lines show; null where none are given."},
    )
    reach = fields.Nested(
        ReachAnswer,
        required=True,
        allow_none=True,
        metadata={
            "description": "Of the first line, where asked for; null where not, and where even "
            "that line makes the leave less than one time in ten."
        },
    )
    sensitivity = parts(SensitivityAnswer, "Of the first line, where asked for; else empty.")
    comparison = parts(OptionAnswer, "Balls or releases asked for, best first; else empty.")
    input_digest = text("Digest of the normalised request and the model's version.")
    model = part(ModelAnswer)


class PlayAnswer(Answer):
    """One play: its line and what it is worth."""

    line = part(LineAnswer)
    make_probability = a_probability("Chance that all pins fall.")
    pinfall = parts(PinfallAnswer, "Probability of each count, 0 to all pins.")
    win_probability = maybe_probability(
        "match: chance of winning, ties counted by the tie rule; null for other kinds."
    )
    tie_probability = maybe_probability(
        "match: chance of a tie, before any roll-off; null for other kinds."
    )
    cut_probability = maybe_probability("cut: chance of making it; null for other kinds.")
    expected_score = number("Mean final score of this game [pins].", minimum=0, maximum=300)
    value_standard_error = number(
        "Uncertainty of what is maximised, from the make probability's [that value's unit].",
        minimum=0,
    )


class PlaysAnswer(Answer):
    """Both plays."""

    spare = part(PlayAnswer, "Going for the spare.")
    count = part(PlayAnswer, "Going for count.")


class BecauseAnswer(Answer):
    """One reason."""

    code = open_word("What.", ["only_a_mark_can_win", "same_line", "tenth_frame_fill_ball"])
    words = text("The reason in words and numbers.")


class AdviceAnswer(Answer):
    """Count or spare."""

    leave = a_leave("The standing pins.")
    play = text("The play worth more.", enum=["spare", "count"])
    maximised = text(
        "What is being maximised.",
        enum=["win_probability", "cut_probability", "expected_score"],
    )
    margin = number(
        "Value of the better play less that of the other [probability, or pins of score].",
        minimum=0,
    )
    plays = part(PlaysAnswer)
    because = parts(BecauseAnswer, "Why, most telling first.")
    words = text("The decision in words.")
    flips_at = maybe_probability(
        "Make probability at which the other play would be worth as much; null where none is."
    )
    input_digest = text("Digest of the normalised request and the model's version.")
    model = part(ModelAnswer)


class HealthAnswer(Answer):
    """A probe's answer."""

    status = text("`ok` when all is well.")
    version = optional("The service's version; of `/healthz`.", "string")
    model_version = optional("The model's version; of `/healthz`.", "string")


class LimitsAnswer(Answer):
    """What one request may ask for."""

    body_bytes = whole("Largest request body [bytes].", minimum=1)
    nesting_levels = whole("Deepest nesting of a body [levels].", minimum=1)
    batch_items = whole("Longest batch [items].", minimum=1)
    batch_searches = whole("Most work of a batch [searches]; play `both` takes two.", minimum=1)
    batch_lines = whole("Most lines of a batch [lines]; `limit` of them for each play.", minimum=1)
    lines_per_play = whole("Most lines for each play [lines].", minimum=1)
    errors_listed = whole("Most faults listed in one problem [faults].", minimum=1)
    accuracy_results = whole("Most leaves' makes of one accuracy [results].", minimum=1)
    accuracy_misses = whole("Most recorded misses of one accuracy, each list [misses].", minimum=1)
    review_rows = whole("Most bowled frames of one review [rows].", minimum=1)
    comparison_options = whole("Most ways to throw of one comparison [options].", minimum=1)
    comparison_leaves = whole("Most leaves of one comparison [leaves].", minimum=1)
    time_budget_s = whole("Longest that one request may compute [s].", minimum=1)


class FaultAnswer(Answer):
    """One fault of a request."""

    pointer = text("Where: a JSON pointer into the body, or the parameter's name.")
    code = open_word("What kind.", ["required", "unknown_field", "wrong_type", "out_of_range"])
    detail = text("What is wrong and what is allowed.")


class ProblemAnswer(Answer):
    """RFC 9457 problem details."""

    type = text("Kind of problem; branch on this.")
    title = text("The kind in words.")
    status = whole("HTTP status.", minimum=400, maximum=599)
    detail = text("What to do about it.")
    request_id = optional(
        "Quote it when asking for help. Not in an item of a batch: there the batch's is in the "
        "`X-Request-ID` header.",
        "string",
    )
    errors = fields.List(
        fields.Nested(FaultAnswer), metadata={"description": "Each fault of an invalid request."}
    )


class BatchResultAnswer(Answer):
    """One item's answer: a result or a problem."""

    id = raw("The item's id; its index as text where it had none.", {"type": ["string", "null"]})
    index = whole("Its place in the request, from 0 [items].", minimum=0)
    result = fields.Nested(LinesAnswer, metadata={"description": "The lines, where answered."})
    problem = fields.Nested(ProblemAnswer, metadata={"description": "Why not, where refused."})


class BatchAnswer(Answer):
    """Every item's answer, in order."""

    results = parts(BatchResultAnswer, "One for each item, in the request's order.")
    succeeded_count = whole("Items answered.", minimum=0)
    failed_count = whole("Items refused.", minimum=0)
