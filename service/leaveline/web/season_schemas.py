"""Bowled games in a request: as JSON rows, as the text of a CSV file, or as the file itself.

A row that cannot be read is no fault of the request: it is reported with its number and the
reason, and the others are used. What is refused is what holds no rows at all.
"""

from __future__ import annotations

import codecs
from dataclasses import replace
from typing import Any

from flask import Request
from marshmallow import ValidationError

from leaveline.practice import Season, SeasonError, season_from_csv, season_from_rows
from leaveline.practice.row_values import FIELDS
from leaveline.practice.season import MOST_ROWS
from leaveline.practice.season_file import MOST_BYTES
from leaveline.scoring import SCORINGS, Scoring
from leaveline.web.fields import ListOf, OneOf, RawObject, Strict, StrictSchema, Words
from leaveline.web.problems import Detail, Problem

CSV = "text/csv"
CHARSETS = (
    "utf-8", "us-ascii", "utf-16", "utf-16le", "utf-16be", "iso-8859-1", "windows-1252",
)  # fmt: skip
DEFAULT_SCORING: Scoring = "traditional"
NAMES = frozenset(FIELDS)
OF_CSV = (
    "The first line names the columns, in any order: those of SeasonRow. Separated by commas, "
    "semicolons or tabs."
)


def _cell(description: str, *examples: Any) -> Strict[Any]:
    """A field of a row, for the document: whatever stands there is read or reported."""
    return Strict(metadata={"description": description, "examples": list(examples)})


class SeasonRowSchema(StrictSchema):
    """One frame, or one practice ball at a leave; it needs its rolls, or its leave and `made`.

    Every field may be text as in a file, or a plain value; null or empty means not known. A row
    that cannot be read is reported and the others are used; so is a field that cannot be read in
    a row that can.
    """

    date = _cell("Label, up to 40 characters; date and game together name a game.", "2025-10-03")
    game = _cell("Label, up to 40 characters.", "1", 1)
    frame = _cell(
        "1 to 10. With game and frame the row takes its place in a game, which is scored once all "
        "ten are there.",
        1,
    )
    rolls = _cell(
        "The frame's balls: pins or sheet symbols; in the tenth up to three.",
        "9/", "X", "8 1", "S7 2", [9, "/"],
    )  # fmt: skip
    leave = _cell("Pins the spare ball was thrown at.", "3-10", "3 10", [3, 10])
    ball = _cell("Label of the spare ball, up to 40 characters.", "plastic")
    missed_target_by_boards = _cell(
        "Where the spare ball crossed the target less where it was meant to [boards], positive to "
        "the right as the bowler sees it, within 20; `hit` or 0 when it hit.",
        -1.5, "1.5 left", "hit",
    )  # fmt: skip
    made = _cell("Whether the spare was made.", "yes", True)
    lay_down_board = _cell("Line meant: board at the foul line, 0 to 40; both or neither.", 24)
    target_board = _cell("Line meant: board at the target, 0 to 40.", 17.5)


class RowField(RawObject):
    """A row taken as it is, but that its fields have known names."""

    def __init__(self) -> None:
        super().__init__("SeasonRow")

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> dict[str, Any]:
        row = super()._deserialize(value, attr, data, **kwargs)
        if unknown := row.keys() - NAMES:
            fault = [Detail("this field is not known here", "unknown_field")]
            raise ValidationError(dict.fromkeys(sorted(unknown), fault))
        return row


def rows_field() -> ListOf:
    """Bowled frames as JSON."""
    return ListOf(
        RowField(),
        shortest=1,
        longest=MOST_ROWS,
        metadata={"description": "Bowled frames; instead of `csv`."},
    )


def csv_field() -> Words:
    """Bowled frames as the text of a file."""
    return Words(MOST_BYTES, metadata={"description": f"Text of a CSV file. {OF_CSV}"})


def scoring_field(**metadata: Any) -> OneOf:
    """How the games are scored; more metadata is for the document."""
    description = "Scoring; traditional where left out."
    return OneOf(SCORINGS, metadata={"description": description, **metadata})


class SeasonSchema(StrictSchema):
    """Bowled games: rows or the text of a file."""

    rows = rows_field()
    csv = csv_field()
    scoring = scoring_field()


def season_in(data: dict[str, Any]) -> Season:
    """Read the season of a checked request: of its `rows`, or of its `csv`.

    Raises
    ------
    ValidationError
        Where both or neither are given, or the text holds no rows.
    """
    scoring: Scoring = data.get("scoring", DEFAULT_SCORING)
    if "rows" in data and "csv" in data:
        raise ValidationError({"csv": [Detail("must not come with rows as well", "inconsistent")]})
    if "rows" in data:
        return season_from_rows(data["rows"], scoring=scoring)
    if "csv" not in data:
        detail = "this field, or csv, is required: the bowled frames"
        raise ValidationError({"rows": [Detail(detail, "required")]})
    try:
        return season_of_file(data["csv"], scoring)
    except ValidationError as error:
        raise ValidationError({"csv": error.messages}) from None


def season_of_file(content: bytes | str, scoring: Scoring) -> Season:
    """Read a file's rows; ValidationError where there are none."""
    try:
        season = season_from_csv(content, scoring=scoring)
    except SeasonError as error:
        raise ValidationError(Detail(str(error), "unreadable_csv")) from None
    if not season.row_count:
        detail = f"has no row below its first line; allowed: 1 to {MOST_ROWS}"
        raise ValidationError(Detail(detail, "out_of_range"))
    return season


def season_in_body(request: Request, scoring: Scoring) -> Season:
    """Read the season that a `text/csv` body holds.

    Without a `charset` the text is read as UTF-8 or, with its mark, UTF-16; failing that as
    Latin-1.

    Raises
    ------
    Problem
        415 for a charset that is not read here, 400 for bytes that are not in the one named.
    ValidationError
        Where the body holds no rows.
    """
    data = request.get_data(cache=False)
    charset = request.mimetype_params.get("charset", "").lower()
    if not charset:
        return season_of_file(data, scoring)
    if charset not in CHARSETS:
        raise Problem(
            "unsupported-media-type",
            f"the charset {charset[:60]!r} is not read here; allowed: {', '.join(CHARSETS)}",
        )
    try:
        text = codecs.decode(data, charset)
    except UnicodeDecodeError as error:
        raise Problem(
            "unreadable-body",
            f"the body is not {charset} (byte {error.start} is the first bad one)",
        ) from None
    return replace(season_of_file(text, scoring), encoding=charset)
