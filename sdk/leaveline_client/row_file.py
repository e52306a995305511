"""A file of rows, one JSON object a line, that survives being cut off at any byte.

Each row is `{"id": ..., "index": ..., "asked": ..., "result": {...}}`, or with `problem` instead
of `result`; `asked` is a digest of what was asked, so that rows of an input that has changed
since are not taken for answers to it.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterable, Iterator
from os import PathLike
from pathlib import Path
from typing import Any, Self

try:
    import fcntl
except ImportError:  # Windows has none: there, two runs on one file are not told apart
    fcntl = None  # type: ignore[assignment]

Record = dict[str, Any]

ROW_START = b'{"id":'
BLOCK_BYTES = 65536


class RowFileError(ValueError):
    """The output file is not one of rows, belongs to other items, or is in use."""


def digest(asked: Any) -> str:
    """A digest of plain JSON data: 16 hexadecimal digits."""
    text = json.dumps(asked, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:16]


class RowFile:
    """Rows on disk: those that are there, and room for more behind them.

    Parameters
    ----------
    path : path
        Made where it is missing. A last line that was only half written is dropped.

    Raises
    ------
    RowFileError
        Where the file holds something else (it is left as it is), or another run writes to it.
    OSError
        Where it cannot be opened.
    """

    def __init__(self, path: str | PathLike[str]) -> None:
        self.path = Path(path)
        self._file = self.path.open("a+b")
        try:
            self._lock()
            self._drop_half_line()
        except BaseException:
            self._file.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()

    def kept(self, asked: Iterator[tuple[str | int, str]]) -> Iterator[Record]:
        """The rows that are there, each checked against the item it should answer.

        Parameters
        ----------
        asked : iterator of (id, digest)
            Of the items in order; as many are taken from it as there are rows.

        Raises
        ------
        RowFileError
            Where a row is not one, or answers another item.
        """
        self._file.seek(0)
        for index, line in enumerate(self._file):
            record = self._record(index, line)
            found = (record["id"], record["asked"])
            wanted = next(asked, None)
            if found != wanted:
                have = "no more items" if wanted is None else f"id {wanted[0]!r}"
                same = wanted is not None and found[0] == wanted[0]
                raise RowFileError(
                    f"{self.path}, line {index + 1}: answers "
                    f"{'an older form of ' if same else ''}id {found[0]!r}, but the input has "
                    f"{have} there; it belongs to another input: use another file"
                )
            yield record

    def add(self, records: Iterable[Record]) -> None:
        """Write rows behind the others; they are on the disk when this returns."""
        lines = [json.dumps(r, ensure_ascii=False, separators=(",", ":")) + "\n" for r in records]
        self._file.write("".join(lines).encode())
        self._file.flush()
        os.fsync(self._file.fileno())

    def _lock(self) -> None:
        if fcntl is None:
            return
        try:
            fcntl.flock(self._file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise RowFileError(f"{self.path}: another run is writing to it") from None

    def _drop_half_line(self) -> None:
        size = self._file.seek(0, os.SEEK_END)
        whole = self._end_of_last_line(size)
        # Before anything is cut off: is it ours at all?
        for start in {0, whole} - {size}:
            self._file.seek(start)
            begins = self._file.read(len(ROW_START))
            if not ROW_START.startswith(begins):
                raise RowFileError(f"{self.path}: is not a file of rows; it is left as it is")
        if whole < size:
            self._file.truncate(whole)

    def _end_of_last_line(self, size: int) -> int:
        """Where the last line that has its end ends [bytes]; searched from behind."""
        end = size
        while end > 0:
            start = max(0, end - BLOCK_BYTES)
            self._file.seek(start)
            found = self._file.read(end - start).rfind(b"\n")
            if found >= 0:
                return start + found + 1
            end = start
        return 0

    def _record(self, index: int, line: bytes) -> Record:
        try:
            record = json.loads(line)
            usable = record["index"] == index and ("result" in record) != ("problem" in record)
            usable = usable and {"id", "asked"} <= record.keys()
        except (ValueError, TypeError, KeyError):
            usable = False
        if not usable:
            raise RowFileError(f"{self.path}, line {index + 1}: is not row {index} of such a file")
        return dict(record)
