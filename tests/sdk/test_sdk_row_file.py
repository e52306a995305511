"""The file of rows: cut off at any byte, it loses no row and doubles none."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from leaveline_client import RowFileError
from leaveline_client.row_file import RowFile, digest

ASKED = [{"leave": leave} for leave in ("3-10", "7-10", "1-2-10", "10")]
IDS: list[str | int] = ["a", 2, "ö\n", "a"]
WANTED = [(row_id, digest(asked)) for row_id, asked in zip(IDS, ASKED, strict=True)]
RECORDS: list[dict[str, Any]] = [
    {"id": row_id, "index": index, "asked": asked, "result": {"words": "–" * index}}
    for index, (row_id, asked) in enumerate(WANTED)
]


def write(path: Path, records: list[dict[str, Any]]) -> bytes:
    with RowFile(path) as file:
        file.add(records)
    return path.read_bytes()


def kept(path: Path, wanted: list[tuple[str | int, str]] = WANTED) -> list[dict[str, Any]]:
    with RowFile(path) as file:
        return list(file.kept(iter(wanted)))


def test_what_is_written_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "rows.jsonl"
    assert kept(path) == []
    data = write(path, RECORDS[:3])
    assert data.count(b"\n") == 3
    assert kept(path) == RECORDS[:3]
    write(path, RECORDS[3:])
    assert kept(path) == RECORDS
    assert path.read_bytes().startswith(data)


def test_cut_off_at_any_byte_the_whole_rows_are_kept_and_work_goes_on(tmp_path: Path) -> None:
    path = tmp_path / "rows.jsonl"
    data = write(path, RECORDS)
    for cut in range(len(data) + 1):
        path.write_bytes(data[:cut])
        whole = data[:cut].count(b"\n")
        assert kept(path) == RECORDS[:whole], cut
        write(path, RECORDS[whole:])
        assert path.read_bytes() == data, cut


def test_a_long_half_line_is_dropped(tmp_path: Path) -> None:
    path = tmp_path / "rows.jsonl"
    data = write(path, RECORDS)
    path.write_bytes(data + b'{"id":"' + b"x" * 300_000)
    assert kept(path) == RECORDS
    assert path.read_bytes() == data


@pytest.mark.parametrize(
    "content",
    [
        b"leave,hand\n3-10,right\n",
        b"leave,hand\n3-10,right",
        b"x",
        b'{"id":"a","index":0}\nmy notes, not yet finished',
        b'[{"id":"a"}]',
    ],
)
def test_a_file_of_something_else_is_left_as_it_is(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "notes.txt"
    path.write_bytes(content)
    with pytest.raises(RowFileError, match="left as it is"):
        RowFile(path)
    assert path.read_bytes() == content


@pytest.mark.parametrize(
    "line",
    [
        b'{"id":"a","index":0}',
        b'{"id":"a","index":1,"asked":"x","result":{}}',
        b'{"id":"a","index":0,"asked":"x"}',
        b'{"id":"a","index":0,"asked":"x","result":{},"problem":{}}',
        b'{"id":"a","index":0,"result":{}}',
        b'{"id":"a","index":0,"asked":"x","result',
    ],
)
def test_a_line_that_is_no_row_is_named(tmp_path: Path, line: bytes) -> None:
    path = tmp_path / "rows.jsonl"
    path.write_bytes(line + b"\n")
    with pytest.raises(RowFileError, match=r"rows\.jsonl, line 1: is not row 0"):
        kept(path)


def test_rows_of_another_input_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "rows.jsonl"
    data = write(path, RECORDS)
    swapped = [WANTED[1], WANTED[0], *WANTED[2:]]
    with pytest.raises(RowFileError, match="line 1: answers id 'a', but the input has id 2 there"):
        kept(path, swapped)
    changed = [WANTED[0], (2, digest({"leave": "7"})), *WANTED[2:]]
    with pytest.raises(RowFileError, match="line 2: answers an older form of id 2"):
        kept(path, changed)
    with pytest.raises(RowFileError, match="line 4: answers id 'a', but the input has no more"):
        kept(path, WANTED[:3])
    assert path.read_bytes() == data


def test_two_runs_on_one_file_are_refused(tmp_path: Path) -> None:
    pytest.importorskip("fcntl")
    path = tmp_path / "rows.jsonl"
    with RowFile(path), pytest.raises(RowFileError, match="another run"):
        RowFile(path)
    RowFile(path).__exit__()


@given(st.dictionaries(st.text(), st.integers() | st.floats(allow_nan=False) | st.text()))
def test_a_digest_does_not_depend_on_the_order_of_names(asked: dict[str, Any]) -> None:
    assert digest(asked) == digest(dict(reversed(asked.items())))
    assert digest(asked) != digest(asked | {"one more": 1})
