"""A season's CSV file as text, wherever it comes from."""

from __future__ import annotations

import codecs
from os import PathLike
from pathlib import Path
from typing import IO

CsvLike = str | bytes | PathLike[str] | IO[str] | IO[bytes]
"""Text of a CSV file, its bytes, its path (a `Path`, not a text), or the open file."""


def csv_text(csv: CsvLike) -> str:
    """Give a CSV file's text.

    Bytes are read as UTF-8 (with or without a byte-order mark) or, with its mark, UTF-16; failing
    that as Latin-1, where letters in labels may come out wrong: hand over text to be sure.

    Raises
    ------
    OSError
        Where the file cannot be read.
    """
    if isinstance(csv, PathLike):
        csv = Path(csv).read_bytes()
    content = csv if isinstance(csv, str | bytes) else csv.read()
    return content if isinstance(content, str) else _decoded(content)


def _decoded(content: bytes) -> str:
    utf16 = content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        return content.decode("utf-16" if utf16 else "utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("latin-1")
