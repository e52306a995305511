"""A season as bowled: frames checked against the rules, and the games they make up.

A row is one frame (or, in practice, one ball at a leave). Its fields, all text or plain values:

==========================  ====================================================================
``date``, ``game``          labels, up to 40 characters; together they name a game
``frame``                   1 to 10
``rolls``                   the frame's balls: pins or sheet symbols (`leaveline.scoring.sheet`),
                            as ``9/``, ``X``, ``8 1`` or ``S7 2``; in the tenth up to three
``leave``                   pins the spare ball was thrown at, as ``3-10`` or ``3 10``
``ball``                    label of the ball thrown at the leave, up to 40 characters
``missed_target_by_boards`` where the spare ball crossed the target less where it was meant to,
                            positive to the right seen from the bowler, within 20; ``hit`` or 0
                            when it hit; ``1.5 left`` and ``2 right`` are read too
``made``                    yes or no: whether the spare was made
``lay_down_board``,         the line meant at the leave, both or neither, 0 to 40 from the
``target_board``            ball-hand side
==========================  ====================================================================

A row needs its rolls, or its leave and whether it was made. With ``game`` and ``frame`` it takes
its place in a game, which is scored once all ten frames are there. A row that cannot be read is
reported with its number and the reason, and the others are used; a field that cannot be read in a
row that can is left out and reported too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from operator import attrgetter

from leaveline.practice.row import BowledFrame, read_row
from leaveline.practice.row_values import Field, RowError
from leaveline.scoring import Scoring, score_sheet
from leaveline.scoring.game import FRAMES

MOST_ROWS = 50_000


class SeasonError(ValueError):
    """The whole season cannot be read: no rows at all can be told from it."""


@dataclass(frozen=True, slots=True)
class RowReport:
    """Something in a row that was not used: the whole row, or one field of a row that was.

    `row` counts as the file does: the header is row 1. In a list, the first row is 1.
    """

    row: int
    field: Field | None
    reason: str
    row_used: bool


@dataclass(frozen=True, slots=True)
class BowledGame:
    """The frames of one game, in order; its score once all ten are there with their rolls."""

    date: str
    game: str
    frames: tuple[BowledFrame, ...]
    score: int | None

    @property
    def pins(self) -> tuple[int, ...]:
        """Pins of every ball, in order."""
        return tuple(pins for frame in self.frames for pins in frame.pins)

    @property
    def missing_frames(self) -> tuple[int, ...]:
        """Frames that no row gave, or only without rolls."""
        there = {frame.frame for frame in self.frames if frame.pins}
        return tuple(number for number in range(1, FRAMES + 1) if number not in there)


@dataclass(frozen=True, slots=True)
class Season:
    """Everything that was read, and everything that was not.

    Attributes
    ----------
    frames : tuple of BowledFrame
        One for each row used, in the order of the rows.
    games : tuple of BowledGame
    reports : tuple of RowReport
    row_count : int
        Rows given: those used and those reported as not used. In a file, a line with nothing
        but separators on it is no row.
    scoring : {"traditional", "current_frame"}
    encoding, separator : str
        How a file was read; empty for a list of rows.
    ignored_columns : tuple of str
        Columns of the file that no field goes by.
    """

    frames: tuple[BowledFrame, ...]
    games: tuple[BowledGame, ...]
    reports: tuple[RowReport, ...]
    row_count: int
    scoring: Scoring
    encoding: str = ""
    separator: str = ""
    ignored_columns: tuple[str, ...] = ()

    @property
    def rows_not_used(self) -> tuple[RowReport, ...]:
        """Reports of rows of which nothing was used."""
        return tuple(report for report in self.reports if not report.row_used)

    @property
    def complete_games(self) -> tuple[BowledGame, ...]:
        """Games with a score."""
        return tuple(game for game in self.games if game.score is not None)


def season_from_rows(
    rows: Iterable[Mapping[str, object]], *, scoring: Scoring = "traditional"
) -> Season:
    """Read a season from rows of plain values.

    Parameters
    ----------
    rows : iterable of mapping
        Fields as above: text as in a file, or numbers, truth values, lists of pins and of balls.
        Fields left out, None or empty are not known; other names are reported.
    scoring : {"traditional", "current_frame"}

    Raises
    ------
    SeasonError
        For more than 50,000 rows.
    """
    return collect(enumerate(rows, start=1), scoring=scoring)


def collect(
    rows: Iterable[tuple[int, Mapping[str, object] | RowError]], *, scoring: Scoring
) -> Season:
    """Check numbered rows one by one, keep what can be used and report what cannot."""
    frames: list[BowledFrame] = []
    reports: list[RowReport] = []
    taken: dict[tuple[str, str, int], int] = {}
    count = 0
    for number, fields in rows:
        count += 1
        if count > MOST_ROWS:
            raise SeasonError(f"more than {MOST_ROWS} rows; allowed: at most {MOST_ROWS}")
        try:
            if isinstance(fields, RowError):
                raise fields
            frame, left_out = read_row(fields, row=number, scoring=scoring)
            _take_place(frame, taken)
        except RowError as error:
            reports.append(RowReport(number, error.field, error.reason, row_used=False))
            continue
        frames.append(frame)
        reports += [RowReport(number, e.field, e.reason, row_used=True) for e in left_out]
    return Season(tuple(frames), _games(frames, scoring), tuple(reports), count, scoring)


def _take_place(frame: BowledFrame, taken: dict[tuple[str, str, int], int]) -> None:
    """Note which row gave a frame of a game; a second row for it is refused."""
    if frame.frame is None or not frame.game:
        return
    place = frame.date, frame.game, frame.frame
    if place in taken:
        reason = f"frame {frame.frame} of this game is already given in row {taken[place]}"
        raise RowError("frame", reason)
    taken[place] = frame.row


def _games(frames: list[BowledFrame], scoring: Scoring) -> tuple[BowledGame, ...]:
    by_game: dict[tuple[str, str], list[BowledFrame]] = {}
    for frame in frames:
        if frame.frame is not None and frame.game:
            by_game.setdefault((frame.date, frame.game), []).append(frame)
    games = []
    for (date, name), own in by_game.items():
        game = BowledGame(date, name, tuple(sorted(own, key=attrgetter("frame"))), None)
        if not game.missing_frames:
            score = score_sheet(game.pins, scoring=scoring).final_score
            game = BowledGame(date, name, game.frames, score)
        games.append(game)
    return tuple(games)
