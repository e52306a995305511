"""Lines a bowler already trusts: how they are told in a request, and what is made of them."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Any

from marshmallow import ValidationError, post_load

from leaveline.lines.bowler import Bowler
from leaveline.lines.known import Fitted, KnownLine, fit
from leaveline.lines.line import OFFSET_RANGE_BOARDS
from leaveline.web.fields import LeaveField, Number, StrictSchema
from leaveline.web.problems import Detail
from leaveline.web.work import work

MAX_KNOWN_LINES = 12
STAND_RANGE_BOARDS = (-15.0, 60.0)
"""A slide foot may start off the lane's own boards, on the approach beside it."""
FITS_KEPT = 256


class KnownLineSchema(StrictSchema):
    """A line this bowler trusts. Boards count from the ball-hand side."""

    leave = LeaveField(required=True, metadata={"description": "The pins it is for."})
    stand_board = Number(
        *STAND_RANGE_BOARDS,
        required=True,
        metadata={"description": "Where the slide foot starts [board]."},
    )
    target_board = Number(
        1, 39, required=True, metadata={"description": "Board aimed at, 15 ft out [board]."}
    )
    lay_down_board = Number(
        1,
        39,
        metadata={
            "description": "Where the ball then crosses the foul line [board]; where it is given, "
            "the offset from slide foot to ball is the bowler's own, else the stance's."
        },
    )

    @post_load
    def _known(self, data: dict[str, Any], **_: Any) -> KnownLine:
        return KnownLine(**data)


def known_in(bowler: dict[str, Any]) -> tuple[KnownLine, ...]:
    """Give the known lines of a checked bowler, each with a foot that can lay the ball down so.

    Raises
    ------
    ValidationError
        Naming a line whose boards leave no offset from slide foot to ball that anyone has.
    """
    known: tuple[KnownLine, ...] = tuple(bowler.get("known_lines", ()))
    drift = bowler.get("stance", {}).get("drift_boards", 0.0)
    low, high = OFFSET_RANGE_BOARDS
    for index, line in enumerate(known):
        offset = line.offset_boards(drift)
        if offset is not None and not low <= offset <= high:
            detail = Detail(
                f"with stand_board and drift_boards it puts the slide foot {offset:g} boards from "
                f"the ball; must be from {low} to {high}",
                "inconsistent",
            )
            raise ValidationError(
                {"bowler": {"known_lines": {index: {"lay_down_board": [detail]}}}}
            )
    return known


def refuse_lean(bowler: dict[str, Any]) -> None:
    """Refuse what only says where to aim, where it is asked how a bowler misses.

    Raises
    ------
    ValidationError
        Naming each such field.
    """
    told = [name for name in ("lean_boards", "known_lines") if name in bowler]
    if told:
        detail = Detail("must be left out here; it belongs to lines and advice", "inconsistent")
        raise ValidationError({"bowler": {name: [detail] for name in told}})


def fitted_to(bowler: Bowler, known: tuple[KnownLine, ...], seed: int) -> Fitted | None:
    """Fit a bowler to the lines they trust; None where there are none."""
    if not known:
        return None
    work().check()
    return _fit_kept(bowler, known, seed)


def leaning_like(fitted: Fitted | None, bowler: Bowler) -> Bowler:
    """The same bowler with another ball or release, leaning and standing as the lines show."""
    if fitted is None:
        return bowler
    like = fitted.bowler
    return replace(bowler, lean_boards=like.lean_boards, stance=like.stance)


@lru_cache(maxsize=FITS_KEPT)
def _fit_kept(bowler: Bowler, known: tuple[KnownLine, ...], seed: int) -> Fitted:
    return fit(bowler, known, seed=seed)
