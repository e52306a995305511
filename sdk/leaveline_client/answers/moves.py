"""Answers about lines a bowler trusts, and about how far a leave can be played."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from leaveline_client.reading import Part

LimitedBy = Literal["lane", "gutter", "dry_boards", "pins"] | str


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveAnswer(Part):
    """How to get to a line from one the bowler trusts.

    Attributes
    ----------
    from_leave : str
        The pins the known line is for.
    stand_boards, target_boards : float
        How far to move feet and target [boards], positive away from the ball-hand side.
    is_parallel : bool
        Whether feet and target move alike.
    words : str
        The move in words.
    """

    from_leave: str
    stand_boards: float
    target_boards: float
    is_parallel: bool
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldAnswer(Part):
    """What one known line says of the lean; None where its leave is made too seldom to tell.

    Attributes
    ----------
    leave : str
        The pins the known line is for.
    lean_boards, doubt_boards : float or None
        The lean it shows [boards], positive to the right, and the standard deviation of that.
    """

    leave: str
    lean_boards: float | None
    doubt_boards: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownAnswer(Part):
    """What the lines a bowler trusts show of the bowler.

    Attributes
    ----------
    lean_boards : float
        How far the ball crosses to the right of where it is aimed [boards]; lines allow for it.
    lean_standard_error_boards : float or None
        Its uncertainty [boards]; None where no line says anything.
    lay_down_offset_boards : float
        From the ball's first board to the slide foot [boards].
    offset_shown : bool
        Whether known lines show that offset; if not, it is the stance's.
    lines_agree : bool
        Whether the lines show one lean; where not, one of them is not what it is taken for, and the
        moves are not to be trusted.
    lines : tuple of ToldAnswer
        What each known line says, in the order given.
    """

    lean_boards: float
    lean_standard_error_boards: float | None
    lay_down_offset_boards: float
    offset_shown: bool
    lines_agree: bool
    lines: tuple[ToldAnswer, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReachEndAnswer(Part):
    """The last line to one side that is worth playing.

    Attributes
    ----------
    stand_board, lay_down_board, target_board : float
        Where to stand, lay the ball down and aim [board].
    make_probability, gutter_probability, dry_boards_probability : float
        Chance that all pins fall, that the ball leaves the lane before them, and that it runs over
        dry boards, 0 to 1.
    limited_by : str
        What ends it: `lane`, `gutter`, `dry_boards` or `pins`; the set may grow.
    """

    stand_board: float
    lay_down_board: float
    target_board: float
    make_probability: float
    gutter_probability: float
    dry_boards_probability: float
    limited_by: LimitedBy


@dataclass(frozen=True, slots=True, kw_only=True)
class ReachAnswer(Part):
    """How far a leave can be played: as far as nine tenths of the best line's chance.

    Attributes
    ----------
    left, right : ReachEndAnswer
        To each side, as the bowler sees it.
    """

    left: ReachEndAnswer
    right: ReachEndAnswer
