"""The command line: a CSV in, a CSV out, every exit code."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterable
from pathlib import Path

import leaveline_client.command as command
import pytest
from leaveline_client import Client
from leaveline_client.command import ANSWER_COLUMNS, EPILOG, main

from tests.sdk.helpers import Act, ScriptedServer, answers

INPUT = """\
session,leave,hand,level,note
1,3-10,right,league,"late, tired"
1,7-10,left,tour,
2,3-11,right,league,typed wrong
2,10,,,–
"""


@pytest.fixture
def files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, bulk_url: str) -> Path:
    """A directory with an input, and a service to ask."""
    monkeypatch.setenv("LEAVELINE_URL", bulk_url)
    monkeypatch.delenv("LEAVELINE_API_KEY", raising=False)
    monkeypatch.chdir(tmp_path)
    Path("in.csv").write_text(INPUT, encoding="utf-8")
    return tmp_path


def table(path: str, delimiter: str = ",") -> list[dict[str, str]]:
    with open(path, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, delimiter=delimiter))


def test_every_row_comes_back_with_its_line(files: Path, bulk_url: str) -> None:
    assert main(["in.csv", "out.csv"]) == 1
    own = list(csv.DictReader(io.StringIO(INPUT)))
    rows = table("out.csv")
    assert list(rows[0]) == [*own[0], *ANSWER_COLUMNS]
    assert [{name: row[name] for name in own[0]} for row in rows] == own
    with Client(bulk_url) as client:
        answer = client.lines(leave="7-10", bowler={"hand": "left", "level": "tour"}, limit=1)
    line = answer.lines[0]
    for name in ("stand_board", "lay_down_board", "target_board", "make_probability"):
        assert float(rows[1][name]) == getattr(line, name)
    assert float(rows[1]["miss_room_left_boards"]) == line.miss_room.left_boards
    assert rows[1]["words"] == line.words
    assert rows[1]["cautions"].split("; ")[0].split()[0] == line.cautions[0].code
    assert rows[1]["model_version"] == answer.model.model_version
    assert [bool(row["problem"]) for row in rows] == [False, False, True, False]
    assert "got 11" in rows[2]["problem"]
    assert sorted(path.name for path in files.iterdir()) == ["in.csv", "out.csv"]


@pytest.mark.usefixtures("files")
def test_all_answered_is_zero_and_silent(capsys: pytest.CaptureFixture[str]) -> None:
    Path("in.csv").write_text("leave\n10\n")
    assert main(["in.csv", "out.csv", "--play", "count"]) == 0
    assert table("out.csv")[0]["play"] == "count"
    assert capsys.readouterr() == ("", "")


@pytest.mark.usefixtures("files")
def test_a_row_without_a_leave_passes_through(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """At the start, between, at the end; stopped and gone on with, too."""
    Path("in.csv").write_text("frame,leave\n1,\n2,10\n3,  \n4,\n5,7\n6,\n")
    arguments = ["in.csv", "out.csv", "--batch-size", "1"]
    with monkeypatch.context() as patched:
        patched.setattr(command, "answer_cells", interrupts_at(2))
        assert main(arguments) == 130
    capsys.readouterr()
    assert main([*arguments, "--resume"]) == 0
    assert capsys.readouterr().err == "leaveline-client: of 6 rows, 4 without a leave\n"
    rows = table("out.csv")
    assert [row["frame"] for row in rows] == list("123456")
    assert [bool(row["words"]) for row in rows] == [False, True, False, False, True, False]
    empty = [row for row in rows if not row["leave"].strip()]
    assert all(row[name] == "" for row in empty for name in ANSWER_COLUMNS)


def test_a_file_of_strikes_has_nothing_to_ask(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("in.csv").write_text("frame,leave\n1,\n2,\n")
    assert main(["in.csv", "out.csv", "--url", "http://127.0.0.1:1"]) == 0
    assert "of 2 rows, 2 without a leave" in capsys.readouterr().err
    assert [row["frame"] for row in table("out.csv")] == ["1", "2"]
    assert sorted(path.name for path in files.iterdir()) == ["in.csv", "out.csv"]


@pytest.mark.usefixtures("files")
def test_a_leave_may_be_written_as_the_review_reads_it() -> None:
    forms = ["3-10", "3 10", " 3  10 ", "3 - 10", "3–10", "3+10", "3, 10"]
    Path("in.csv").write_text("leave\n" + "".join(f'"{form}"\n' for form in forms), "utf-8")
    assert main(["in.csv", "out.csv"]) == 0
    rows = table("out.csv")
    assert [row["leave"] for row in rows] == forms
    assert len({row["words"] for row in rows}) == 1


@pytest.mark.usefixtures("files")
@pytest.mark.parametrize("leave", ["3--10", "-3", "03-Oct", "-"])
def test_a_leave_that_cannot_be_read_is_a_problem(leave: str) -> None:
    Path("in.csv").write_text(f"leave\n{leave}\n")
    assert main(["in.csv", "out.csv"]) == 1
    assert "expected pin numbers" in table("out.csv")[0]["problem"]


@pytest.mark.usefixtures("files")
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_spreadsheets_write_csv_in_many_ways(delimiter: str) -> None:
    text = f" note {delimiter}leave\r\nä{delimiter}3-10\r\n"
    Path("in.csv").write_bytes(b"\xef\xbb\xbf" + text.encode())
    assert main(["in.csv", "out.csv"]) == 0
    (row,) = table("out.csv", delimiter)
    assert (row["note"], row["leave"]) == ("ä", "3-10")


@pytest.mark.usefixtures("files")
@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"pins,hand\n3-10,right\n", "has no column `leave`; its columns are pins, hand"),
        (b"", "has no column `leave`"),
        (b"leave,note,note\n3-10,a,b\n", "columns of the same name: note"),
        (b"leave,words\n3-10,a\n", "rename these columns, the answer has its own: words"),
        (b"leave\n3-10,right\n", "line 2: has more cells than the header"),
        (b"leave,note\n3-10,\xfc\n", "is not UTF-8 text"),
        (b'leave,note\n3-10,"open\n', "line 2: unexpected end of data"),
    ],
)
def test_an_input_that_cannot_be_used_is_named(
    content: bytes, says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("in.csv").write_bytes(content)
    assert main(["in.csv", "out.csv"]) == 2
    assert says in capsys.readouterr().err
    assert not Path("out.csv").exists()


@pytest.mark.usefixtures("files")
@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["missing.csv", "out.csv"], "No such file"),
        (["in.csv", "there.csv"], "there.csv is there already"),
        (["in.csv", "in.csv", "--overwrite"], "OUTPUT is INPUT"),
        (["in.csv", "begun.csv"], "add --resume, or delete it"),
        (["in.csv", "out.csv", "--batch-size", "0"], "--batch-size 0: must be 1 to 2000"),
        (["in.csv", "out.csv", "--plot", "room.doc"], "must end in .png, .svg, .pdf"),
        (["in.csv", "out.csv", "--url", "localhost"], "base_url = 'localhost'"),
        (["in.csv", "out.csv", "--url", ""], "give --url, or set LEAVELINE_URL"),
    ],
)
def test_a_command_that_cannot_be_used_is_told_why(
    arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("there.csv").write_text("mine")
    Path("begun.csv.rows.jsonl").write_text("")
    assert main(arguments) == 2
    assert says in capsys.readouterr().err
    assert Path("there.csv").read_text() == "mine"
    assert not Path("out.csv").exists()


@pytest.mark.usefixtures("files")
def test_plot_without_matplotlib_is_told_before_anything_is_asked(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(command, "find_spec", lambda _: None)
    assert main(["in.csv", "out.csv", "--plot", "room.png"]) == 2
    assert "pip install matplotlib" in capsys.readouterr().err
    assert not Path("out.csv").exists()


@pytest.mark.usefixtures("files")
def test_plot_draws_a_picture() -> None:
    assert main(["in.csv", "out.csv", "--plot", "room.svg"]) == 1
    assert "7-10, left hand, tour" in Path("room.svg").read_text()


@pytest.mark.usefixtures("files")
def test_overwrite_replaces(bulk_url: str) -> None:
    Path("out.csv").write_text("old")
    assert main(["in.csv", "out.csv", "--overwrite", "--url", bulk_url]) == 1
    assert len(table("out.csv")) == 4


def test_a_run_that_was_stopped_is_gone_on_with(
    files: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    whole = ["in.csv", "whole.csv", "--batch-size", "1"]
    assert main(whole) == 1
    arguments = ["in.csv", "out.csv", "--batch-size", "1"]
    with monkeypatch.context() as patched:
        patched.setattr(command, "answer_cells", interrupts_at(3))
        assert main(arguments) == 130
    assert "--resume" in capsys.readouterr().err
    assert sorted(path.name for path in files.iterdir()) == [
        "in.csv",
        "out.csv.rows.jsonl",
        "whole.csv",
    ]
    assert len(Path("out.csv.rows.jsonl").read_bytes().splitlines()) >= 3
    assert main([*arguments, "--resume"]) == 1
    assert Path("out.csv").read_bytes() == Path("whole.csv").read_bytes()
    assert not Path("out.csv.rows.jsonl").exists()


@pytest.mark.usefixtures("files")
def test_resume_with_another_input_is_refused(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with monkeypatch.context() as patched:
        patched.setattr(command, "answer_cells", interrupts_at(2))
        assert main(["in.csv", "out.csv"]) == 130
    Path("in.csv").write_text(INPUT.replace("7-10", "7-9"), encoding="utf-8")
    assert main(["in.csv", "out.csv", "--resume"]) == 2
    assert "line 2: answers an older form of id 1" in capsys.readouterr().err


@pytest.mark.usefixtures("files")
def test_a_service_that_cannot_be_reached_is_three(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("leaveline_client.retry.FIRST_WAIT_S", 0.001)
    assert main(["in.csv", "out.csv", "--url", "http://127.0.0.1:1"]) == 3
    said = capsys.readouterr().err
    assert "refused" in said
    assert "--resume" in said
    assert not Path("out.csv").exists()


@pytest.mark.usefixtures("files")
def test_an_item_that_the_service_failed_at_is_no_row(
    scripted: Callable[[Iterable[Act]], ScriptedServer],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    bulk_url: str,
) -> None:
    """Not like a bad leave, which stays bad: --resume asks again."""
    monkeypatch.setattr("leaveline_client.bulk.FIRST_WAIT_S", 0.001)
    Path("in.csv").write_text("leave\n10\n")
    problem = {"type": "/problems/x", "title": "Late", "status": 503, "detail": "no time left"}
    body = {"results": [{"id": "0", "index": 0, "problem": problem}]}
    body |= {"succeeded_count": 0, "failed_count": 1}
    server = scripted([answers("200 OK", json.dumps(body).encode())])
    assert main(["in.csv", "out.csv", "--url", server.url]) == 3
    assert "503 Late: item 0: no time left" in capsys.readouterr().err
    assert len(server.requests) == 3
    assert not Path("out.csv").exists()
    assert main(["in.csv", "out.csv", "--url", bulk_url, "--resume"]) == 0
    assert [row["problem"] for row in table("out.csv")] == [""]


def test_help_tells_the_exit_codes(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(["--help"])
    assert caught.value.code == 0
    shown = capsys.readouterr().out
    assert EPILOG.strip() in shown
    for code in ("0 ", "1 ", "2 ", "3 ", "130 "):
        assert f"\n  {code}" in shown


def interrupts_at(number: int) -> object:
    """Stands in for `answer_cells`, and is interrupted at the n-th row as by Ctrl-C."""
    real, count = command.answer_cells, 0

    def cells(row: object) -> object:
        nonlocal count
        count += 1
        if count == number:
            raise KeyboardInterrupt
        return real(row)  # type: ignore[arg-type]

    return cells
