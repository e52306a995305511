"""Answers about lines: where to stand, what board to hit, what comes of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Literal

from leaveline_client.answers.base import Answer
from leaveline_client.answers.drawing import UNBOUND, Draw, Drawing, PictureKind
from leaveline_client.answers.moves import KnownAnswer, MoveAnswer, ReachAnswer
from leaveline_client.reading import Part

Play = Literal["spare", "count"] | str
PinSide = Literal["left", "right", "centre"] | str
Side = Literal["left", "right"] | str
CautionCode = (
    Literal["chop", "gutter", "dry_boards", "wall_needed", "long_shot", "out_of_reach"] | str
)
DrawOption = Callable[[int], Draw]
"""Gives what draws one of the options compared, by its index."""
SensitivityOf = Literal["lay_down_board", "target_board", "speed_mph", "rev_rate_rpm"] | str


@dataclass(frozen=True, slots=True, kw_only=True)
class ContactAnswer(Part):
    """The first pin a line meets as meant.

    Attributes
    ----------
    pin : int
        The pin, 1 to 10.
    side : str
        Side of the pin the ball's middle is on: `left`, `right` or `centre`.
    offset_in : float
        The ball's line past the pin's centre [in], positive to the right.
    """

    pin: int
    side: PinSide
    offset_in: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PinfallAnswer(Part):
    """How likely one count is.

    Attributes
    ----------
    pins : int
        Pins felled, 0 to 10.
    probability : float
        0 to 1.
    """

    pins: int
    probability: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MissRoomAnswer(Part):
    """How far off, at the target, the spare is still more likely made than not.

    Attributes
    ----------
    left_boards, right_boards : float
        Room to each side [boards]; 0 where even the line itself is unlikely.
    """

    left_boards: float
    right_boards: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RemainderAnswer(Part):
    """What a miss may leave.

    Attributes
    ----------
    leave : str
        The pins still standing.
    probability : float
        How likely, given a miss to this side, 0 to 1.
    """

    leave: str
    probability: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SideMissAnswer(Part):
    """The misses of one side.

    Attributes
    ----------
    probability : float
        Chance that the ball goes to this side and the spare is missed, 0 to 1.
    remainders : tuple of RemainderAnswer
        Likeliest remainders, likeliest first.
    """

    probability: float
    remainders: tuple[RemainderAnswer, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class IfMissedAnswer(Part):
    """What is left after a miss.

    Attributes
    ----------
    left, right : SideMissAnswer
        The ball arrives left, or right, of where it was meant.
    """

    left: SideMissAnswer
    right: SideMissAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionAnswer(Part):
    """Something a line brings in.

    Attributes
    ----------
    code : str
        `chop`, `gutter`, `dry_boards`, `wall_needed`, `long_shot`, `out_of_reach`; the set may
        grow.
    side : str or None
        On which side, where it has one.
    probability : float
        How likely, 0 to 1; for `wall_needed` the share of makes that need a pin back off a
        kickback.
    leaves_pins : tuple of int
        Pins it leaves, for a chop.
    """

    code: CautionCode
    side: Side | None
    probability: float
    leaves_pins: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LineAnswer(Part):
    """One line: where to stand, what board to hit, and what comes of it over the spread.

    Attributes
    ----------
    play : str
        What the line is for: `spare` or `count`.
    stand_board : float
        Where the slide foot starts [board].
    lay_down_board : float
        Where the ball crosses the foul line [board].
    target_board : float
        Board to roll over at the target, 15 ft out [board].
    board_at_pins : float
        Board of the ball's centre at the head-pin row, 60 ft out [board].
    entry_angle_deg : float
        Direction at the pins [deg], positive to the right.
    contact : ContactAnswer or None
        First pin met by the line as meant; None where it meets none.
    make_probability, standard_error : float
        Chance that all pins fall, over this bowler's spread, and its uncertainty, 0 to 1.
    expected_pins : float
        Pins felled on average, 0 to 10.
    pinfall : tuple of PinfallAnswer
        Probability of each count, 0 to all pins.
    miss_room : MissRoomAnswer
        Room to each side at the target.
    if_missed : IfMissedAnswer
        Likeliest remainders of a miss to each side.
    pin_sent_probability, wall_probability, gutter_probability : float
        Chance of a make with a pin the ball did not touch, of a make with a pin felled off a
        kickback, and that the ball leaves the lane before the pins, 0 to 1.
    dry_boards_probability : float
        Chance that the ball runs over dry boards for a third of the oil's length, 0 to 1; 0 where
        no lane was given.
    cautions : tuple of CautionAnswer
        What the line brings in, likeliest first.
    moves : tuple of MoveAnswer
        How to get to it from each known line, the nearest first; empty where none was given.
    words : str
        The line as a coach would say it.
    """

    play: Play
    stand_board: float
    lay_down_board: float
    target_board: float
    board_at_pins: float
    entry_angle_deg: float
    contact: ContactAnswer | None
    make_probability: float
    standard_error: float
    expected_pins: float
    pinfall: tuple[PinfallAnswer, ...]
    miss_room: MissRoomAnswer
    if_missed: IfMissedAnswer
    pin_sent_probability: float
    wall_probability: float
    gutter_probability: float
    dry_boards_probability: float
    cautions: tuple[CautionAnswer, ...]
    moves: tuple[MoveAnswer, ...]
    words: str
    _drawing: Drawing = field(default=UNBOUND, repr=False, compare=False)

    def picture(self, *, kind: PictureKind | None = None) -> str:
        """Draw this line, as SVG, by asking the service that answered it again.

        Parameters
        ----------
        kind : {"lane", "carry"}, optional
            The line on the lane and the deck (where left out), or how likely the leave is made
            over board at the pins and entry angle.

        Raises
        ------
        LeavelineError
            As any question to the service.
        RuntimeError
            For a line that is not as a client gave it: unpickled, deep-copied, read from a file,
            one of `lines_many`, or made by hand; and after the client was closed.
        """
        return self._drawing.picture(kind)


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelAnswer(Part):
    """What reproduces an answer.

    Attributes
    ----------
    model_version : str
        Raised whenever a number in any answer changes.
    seed : int
        Seed of the fixed set of throws.
    throws_count : int
        Throws each line is averaged over.
    """

    model_version: str
    seed: int
    throws_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionAnswer(Part):
    """One of the balls or releases that were compared.

    Attributes
    ----------
    index : int
        Its place in the request's list, from 0.
    make_probability : float
        Chance that all pins fall, 0 to 1.
    behind_best, behind_best_standard_error : float
        Make probability of the best option less this one's, and the uncertainty of that
        difference, at most.
    line : LineAnswer
        The option's best line.
    """

    index: int
    make_probability: float
    behind_best: float
    behind_best_standard_error: float
    line: LineAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class SensitivityAnswer(Part):
    """What one unit more of something does to a line.

    Attributes
    ----------
    of : str
        Of what, its unit at its end; the set may grow.
    board_at_pins_change : float
        Change of the board at the pins [boards].
    make_probability_change : float
        Change of the make probability.
    """

    of: SensitivityOf
    board_at_pins_change: float
    make_probability_change: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LinesAnswer(Answer):
    """The best lines for one leave, bowler and lane.

    Attributes
    ----------
    leave : str
        The standing pins.
    lines : tuple of LineAnswer
        Best first; for `both`, the spare's before the count's.
    known : KnownAnswer or None
        What known lines show of the bowler; None where none were given.
    reach : ReachAnswer or None
        How far to either side the first line's leave can be played, where asked for and where that
        line makes it at least one time in ten.
    comparison : tuple of OptionAnswer
        The balls or releases that were to be compared, best first; else empty.
    sensitivity : tuple of SensitivityAnswer
        What one board, mph, rpm or degree more does to the first line, where asked for.
    input_digest : str
        Digest of the normalised request and the model's version: the same digest means the same
        answer, so answers may be kept under it.
    model : ModelAnswer
        What reproduces it.
    """

    leave: str
    lines: tuple[LineAnswer, ...]
    known: KnownAnswer | None
    reach: ReachAnswer | None
    comparison: tuple[OptionAnswer, ...]
    sensitivity: tuple[SensitivityAnswer, ...]
    input_digest: str
    model: ModelAnswer


def drawable(line: LineAnswer, draw: Draw, index: int = 0) -> LineAnswer:
    """The same line, knowing how to have itself drawn: as the line of that index."""
    return replace(line, _drawing=Drawing(draw, index))


def drawable_lines(answer: LinesAnswer, draw: Draw, draw_option: DrawOption) -> LinesAnswer:
    """The same answer, its lines and those of its comparison knowing how to be drawn."""
    lines = tuple(drawable(line, draw, index) for index, line in enumerate(answer.lines))
    comparison = tuple(
        replace(option, line=drawable(option.line, draw_option(option.index)))
        for option in answer.comparison
    )
    return replace(answer, lines=lines, comparison=comparison)
