"""A season's file: text in columns, as spreadsheets write it, read row by row.

The first line that is not blank names the columns, in any order; the names are those of the
fields (see `season`), capital or small, with spaces or hyphens for the underscores. Columns are
separated by commas, semicolons or tabs, whichever the first line uses. A field may stand in
double quotes but holds no line break, so that a stray quote spoils its own row only.
"""

from __future__ import annotations

import codecs
import csv
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace

from leaveline.practice.row_values import FIELDS, RowError
from leaveline.practice.season import Season, SeasonError, collect
from leaveline.scoring import Scoring

MOST_BYTES = 5_000_000
SEPARATORS = (",", ";", "\t")
LINE_BREAK = re.compile(r"\r\n|\n|\r")


def season_from_csv(content: bytes | str, *, scoring: Scoring = "traditional") -> Season:
    """Read a season from a file's content.

    Parameters
    ----------
    content : bytes or str
        At most 5 MB. Bytes are read as UTF-8 (with or without a byte-order mark) or, with its
        mark, UTF-16; failing that as Latin-1, which `Season.encoding` then tells: letters outside
        it will look wrong.
    scoring : {"traditional", "current_frame"}

    Returns
    -------
    Season
        Every row is either used or in `Season.reports`.

    Raises
    ------
    SeasonError
        Where no row can be told: too large, no header, a column named twice, too many rows.
    """
    if len(content) > MOST_BYTES:
        raise SeasonError(f"the file has {len(content)} bytes; allowed: at most {MOST_BYTES}")
    text, encoding = (content, "") if isinstance(content, str) else _decoded(content)
    lines = list(enumerate(LINE_BREAK.split(text), start=1))
    while lines and not lines[0][1].strip("\ufeff \t"):
        del lines[0]
    if not lines:
        raise SeasonError(f"the file is empty; needed: a line with {', '.join(FIELDS)}")
    (_, header), *body = lines
    separator, columns = _columns(header.removeprefix("\ufeff"))
    rows = [(n, line) for n, line in body if line.strip(f'{separator} \t"')]
    return replace(
        collect(_rows(rows, separator, columns), scoring=scoring),
        encoding=encoding,
        separator=separator,
        ignored_columns=tuple(name for name in columns if name and name not in FIELDS),
    )


def _decoded(content: bytes) -> tuple[str, str]:
    """Text and the encoding it was read in."""
    for mark in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE):
        if content.startswith(mark):
            try:
                return content.decode("utf-16"), "utf-16"
            except UnicodeDecodeError:
                break
    try:
        return content.decode("utf-8-sig"), "utf-8"
    except UnicodeDecodeError:
        return content.decode("latin-1"), "latin-1"


def _columns(header: str) -> tuple[str, list[str]]:
    """The separator with which the header names most fields, and the columns it then names."""
    best: tuple[int, str, list[str]] = (0, "", [])
    for separator in SEPARATORS:
        columns = [_plain(name) for name in _split(header, separator)]
        found = sum(name in FIELDS for name in columns)
        if found > best[0]:
            best = found, separator, columns
    if not best[0]:
        raise SeasonError(
            "the first line names no column that is known; known are "
            f"{', '.join(FIELDS)}, separated by commas, semicolons or tabs"
        )
    _, separator, columns = best
    twice = sorted({name for name in columns if name in FIELDS and columns.count(name) > 1})
    if twice:
        raise SeasonError(f"the first line names {', '.join(twice)} twice; allowed: once")
    return separator, columns


def _plain(name: str) -> str:
    return re.sub(r"[\s\-]+", "_", name.strip().lower())


def _split(line: str, separator: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=separator, strict=True), [])
    except csv.Error:
        return []


def _rows(
    lines: list[tuple[int, str]], separator: str, columns: list[str]
) -> Iterator[tuple[int, Mapping[str, object] | RowError]]:
    """Give each line as its fields by name, or as the error that it cannot be taken apart."""
    for number, line in lines:
        values = _split(line, separator)
        if not values:
            yield number, RowError(None, "the quotes in this row do not close, or it is too long")
        elif any(value.strip() for value in values[len(columns) :]):
            reason = f"the row has {len(values)} fields, the first line {len(columns)}"
            yield number, RowError(None, reason)
        else:
            yield number, {n: v for n, v in zip(columns, values, strict=False) if n in FIELDS}
