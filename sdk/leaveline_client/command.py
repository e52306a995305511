"""The command `leaveline-client`: a CSV of leaves in, a CSV of lines out."""

from __future__ import annotations

import argparse
import csv
import os
import re
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from leaveline_client import bulk
from leaveline_client.answers import LineAnswer
from leaveline_client.asking import Hand
from leaveline_client.bulk import LinesRow
from leaveline_client.client import Client
from leaveline_client.errors import LeavelineError
from leaveline_client.picture import Room, draw_miss_room
from leaveline_client.row_file import RowFileError
from leaveline_client.version import __version__

ALL_ANSWERED, SOME_FAILED, UNUSABLE, STOPPED, INTERRUPTED = 0, 1, 2, 3, 130

PICTURES = (".png", ".svg", ".pdf")
BOWLER_COLUMNS = ("hand", "level")
BETWEEN_PINS = re.compile(r"\s*[-–—−‐‑\s,+]\s*")  # dashes as spreadsheets write them, too
ANSWER_COLUMNS = (
    "play",
    "stand_board",
    "lay_down_board",
    "target_board",
    "board_at_pins",
    "entry_angle_deg",
    "make_probability",
    "standard_error",
    "expected_pins",
    "miss_room_left_boards",
    "miss_room_right_boards",
    "cautions",
    "words",
    "model_version",
    "problem",
)

DESCRIPTION = """\
Ask a Leaveline service for the best line of every leave in a CSV file.

INPUT needs a header row with the column `leave` (standing pins with hyphens or spaces between
them, such as 3-6-10 or 3 6 10); `hand` (right, left) and `level` (tour, scratch, league, casual)
are read where they are there, and an empty cell means the service's default. All other columns
are your own and pass through untouched. Commas, semicolons and tabs are all understood; the text
must be UTF-8.

OUTPUT gets every row of INPUT, in order, with the best line beside it: where to stand, the board
to lay the ball down on and the board to hit (counted from the bowler's ball-hand side), the
probability of making the spare, the room to miss on each side, cautions, and the line in words.
A row whose leave is empty, as after a strike, gets empty columns and is no problem.
A row that could not be answered says why in the column `problem` and does not stop the rest.
"""
EPILOG = """\
A spreadsheet may turn a leave such as 3-10 into a date: give the column the format "text"
first, or write 3 10.

While it works, answers are kept in OUTPUT.rows.jsonl. If it is stopped, the same command with
--resume goes on from there; no row is lost and none is asked twice.

environment:
  LEAVELINE_URL       where the service is, instead of --url
  LEAVELINE_API_KEY   the key, where the service asks for one

exit codes:
  0    every row with a leave was answered
  1    OUTPUT is complete, but some rows have a problem instead of a line
  2    nothing was done: the command line or INPUT cannot be used, or OUTPUT is there already
  3    the service could not be reached or failed, or a file could not be written; what is
       answered is kept for --resume
  130  interrupted; what is answered is kept for --resume

example:
  leaveline-client --url http://127.0.0.1:8080 season.csv season-lines.csv --plot room.png

Probabilities come from a model and are no promise; house and league rules win.
"""


class Unusable(Exception):
    """The command line or the input cannot be used; the message says why."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command.

    Parameters
    ----------
    arguments : sequence of str, optional
        The command line's where left out.

    Returns
    -------
    int
        The exit code, see EPILOG.
    """
    asked = _parser().parse_args(arguments)
    work = Path(f"{asked.output}.rows.jsonl")
    try:
        _check_files(asked, work)
        table = read_table(asked.input)
        client = Client(asked.url, api_key=os.environ.get("LEAVELINE_API_KEY") or None)
    except (Unusable, OSError, ValueError) as error:
        return _say(error, UNUSABLE)
    try:
        with client:
            failed, rooms = _answer(client, table, asked, work)
        if asked.plot:
            draw_miss_room(rooms, asked.plot)
    except RowFileError as error:
        return _say(error, UNUSABLE)
    except (LeavelineError, OSError) as error:
        return _say(f"{error}\nwhat is answered is kept; --resume goes on from there", STOPPED)
    except KeyboardInterrupt:
        return _say("interrupted; --resume goes on from there", INTERRUPTED)
    counts = ((failed, "with a problem"), (len(table.rows) - len(table.asked), "without a leave"))
    told = ", ".join(f"{number} {what}" for number, what in counts if number)
    code = SOME_FAILED if failed else ALL_ANSWERED
    return _say(f"of {len(table.rows)} rows, {told}", code) if told else code


@dataclass(frozen=True, slots=True)
class Table:
    """A CSV file's rows, by column name.

    Attributes
    ----------
    columns : list of str
        In the file's order.
    rows : list of dict
        Cells by column.
    delimiter : str
        What separates cells.
    """

    columns: list[str]
    rows: list[dict[str, str]]
    delimiter: str

    @property
    def asked(self) -> list[int]:
        """Which rows have a leave to ask for, from 0; after a strike there is none."""
        return [number for number, row in enumerate(self.rows) if leave_of(row)]


def read_table(path: str | os.PathLike[str]) -> Table:
    """Read a CSV file with a header row that names `leave`.

    Raises
    ------
    Unusable
        Naming what is wrong, and the line.
    OSError
        Where it cannot be read.
    """
    # utf-8-sig: spreadsheets write a byte order mark, which is not part of the first name.
    with open(path, encoding="utf-8-sig", newline="") as file:
        try:
            header = file.readline()
            delimiter = max(",;\t", key=header.count)
            file.seek(0)
            reader = csv.DictReader(file, delimiter=delimiter, strict=True, restval="")
            columns = [name.strip() for name in reader.fieldnames or []]
            _check_columns(path, columns)
            reader.fieldnames = columns
            rows = [_checked(path, reader.line_num, row) for row in reader]
        except UnicodeDecodeError as error:
            raise Unusable(f"{path}: is not UTF-8 text (byte {error.start})") from None
        except csv.Error as error:
            raise Unusable(f"{path}, line {reader.reader.line_num}: {error}") from None
    return Table(columns, rows, delimiter)


def leave_of(row: dict[str, str]) -> str:
    """A row's leave joined by hyphens, from any form that the service's review of a CSV reads."""
    return BETWEEN_PINS.sub("-", row["leave"].strip())


def question(row: dict[str, str], play: str) -> dict[str, Any]:
    """What to ask for a row; an empty cell is left to the service's default."""
    bowler = {name: row[name].strip() for name in BOWLER_COLUMNS if row.get(name, "").strip()}
    return {"leave": leave_of(row), "bowler": bowler, "play": play, "limit": 1}


def answer_cells(row: LinesRow) -> dict[str, Any]:
    """The answer's cells of a row."""
    if row.problem is not None:
        return {"problem": row.problem.detail}
    assert row.result is not None  # nosec B101 # tells the type checker
    cells: dict[str, Any] = {"model_version": row.result.model.model_version}
    for line in row.result.lines[:1]:
        cells |= {name: getattr(line, name) for name in ANSWER_COLUMNS if hasattr(line, name)}
        cells["miss_room_left_boards"] = line.miss_room.left_boards
        cells["miss_room_right_boards"] = line.miss_room.right_boards
        cells["cautions"] = "; ".join(_cautions(line))
    return cells


def _answer(
    client: Client, table: Table, asked: argparse.Namespace, work: Path
) -> tuple[int, list[Room]]:
    """Ask for all rows and write them; gives how many failed, and the rooms to draw."""
    failed = 0
    rooms: dict[tuple[str, ...], Room] = {}
    answers = client.lines_many(
        [{"id": number} | question(table.rows[number], asked.play) for number in table.asked],
        batch_size=asked.batch_size,
        output=work,
        progress=False if asked.quiet else None,
    )
    part = Path(f"{asked.output}.part")
    try:
        with part.open("w", encoding="utf-8", newline="") as file:
            columns = [*table.columns, *ANSWER_COLUMNS]
            writer = csv.DictWriter(file, columns, delimiter=table.delimiter)
            writer.writeheader()
            written = 0
            for number, answer in zip(table.asked, answers, strict=True):
                own = table.rows[number]
                writer.writerows(table.rows[written:number])  # without a leave
                writer.writerow(own | answer_cells(answer))
                written = number + 1
                failed += answer.problem is not None
                if asked.plot and answer.result is not None and answer.result.lines:
                    bowler = (own.get(name, "").strip() for name in BOWLER_COLUMNS)
                    key = (leave_of(own), *bowler)
                    hand: Hand = "left" if key[1] == "left" else "right"
                    rooms.setdefault(key, Room.of(answer.result, label=_label(*key), hand=hand))
            writer.writerows(table.rows[written:])
        part.replace(asked.output)
        work.unlink()
    finally:
        part.unlink(missing_ok=True)
    return failed, list(rooms.values())


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="leaveline-client",
        description=DESCRIPTION,
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add = parser.add_argument
    add("input", metavar="INPUT", help="CSV file of leaves")
    add("output", metavar="OUTPUT", help="CSV file to write")
    add("--url", default=os.environ.get("LEAVELINE_URL", ""), help="where the service is")
    add("--play", choices=("spare", "count"), default="spare", help="what the lines are for")
    add("--resume", action="store_true", help="go on with a run that was stopped")
    add("--overwrite", action="store_true", help="replace OUTPUT where it is there already")
    add("--plot", metavar="PICTURE", help="also draw the room to miss (.png, .svg or .pdf)")
    add(
        "--batch-size",
        type=int,
        default=bulk.BATCH_SIZE,
        metavar="N",
        help=f"rows in one request, 1 to {bulk.LARGEST_BATCH} (default: {bulk.BATCH_SIZE})",
    )
    add("--quiet", action="store_true", help="show no progress")
    add("--version", action="version", version=f"%(prog)s {__version__}")
    return parser


def _check_files(asked: argparse.Namespace, work: Path) -> None:
    if not asked.url:
        raise Unusable("give --url, or set LEAVELINE_URL: where is the service?")
    if not 1 <= asked.batch_size <= bulk.LARGEST_BATCH:
        raise Unusable(f"--batch-size {asked.batch_size}: must be 1 to {bulk.LARGEST_BATCH}")
    if asked.plot and Path(asked.plot).suffix not in PICTURES:
        raise Unusable(f"--plot {asked.plot}: must end in {', '.join(PICTURES)}")
    if asked.plot and find_spec("matplotlib") is None:
        raise Unusable("--plot needs matplotlib: pip install matplotlib")
    if Path(asked.output).exists() and not asked.overwrite:
        raise Unusable(f"{asked.output} is there already: choose another, or add --overwrite")
    if Path(asked.output).exists() and Path(asked.output).samefile(asked.input):
        raise Unusable("OUTPUT is INPUT: choose another")
    if work.exists() and not asked.resume:
        raise Unusable(f"{work} is there from a run that was stopped: add --resume, or delete it")


def _check_columns(path: str | os.PathLike[str], columns: list[str]) -> None:
    if "leave" not in columns:
        raise Unusable(f"{path}: has no column `leave`; its columns are {', '.join(columns)}")
    twice = sorted({name for name in columns if columns.count(name) > 1})
    if twice:
        raise Unusable(f"{path}: has columns of the same name: {', '.join(twice)}")
    taken = [name for name in columns if name in ANSWER_COLUMNS]
    if taken:
        raise Unusable(f"{path}: rename these columns, the answer has its own: {', '.join(taken)}")


def _checked(path: str | os.PathLike[str], line: int, row: dict[Any, Any]) -> dict[str, str]:
    if None in row:
        raise Unusable(f"{path}, line {line}: has more cells than the header")
    return row


def _label(leave: str, hand: str, level: str) -> str:
    return ", ".join(part for part in (leave, f"{hand} hand" if hand else "", level) if part)


def _cautions(line: LineAnswer) -> Iterable[str]:
    return (f"{caution.code} {caution.side or ''}".strip() for caution in line.cautions)


def _say(message: object, code: int) -> int:
    print(f"leaveline-client: {message}", file=sys.stderr)
    return code


if __name__ == "__main__":
    sys.exit(main())
