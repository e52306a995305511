"""Reading a season: everything is used or reported, nothing crashes, nothing is dropped."""

from __future__ import annotations

import pickle
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from leaveline.pins import Leave
from leaveline.practice import Season, SeasonError, season_from_csv, season_from_rows
from leaveline.practice.row_values import FIELDS, RowError
from leaveline.practice.season_file import MOST_BYTES
from leaveline.scoring import score_sheet

from tests.practice.synthetic import as_csv, season_rows

HEADER = "date,game,frame,rolls,leave,ball,missed_target_by_boards,made"
RULE_BOOK = ["X", "X", "X", "S7 2", "8/", "F 9", "X", "7/", "9-", "X X 8"]
RULE_BOOK_LEAVES = ["", "", "", "4-6-7", "2 8", "1+2+3+4+5+6+7+8+9+10", "", "1,2,4", "10", ""]


def read(*lines: str, header: str = HEADER) -> Season:
    return season_from_csv("\n".join((header, *lines)))


def reasons(season: Season) -> list[tuple[int, str | None, str]]:
    return [(one.row, one.field, one.reason) for one in season.reports]


def test_the_rule_books_game() -> None:
    """International Bowling Federation, Universal Playing Rules 2.1.2: 180 pins."""
    season = season_from_rows(
        {"game": 1, "frame": number, "rolls": rolls, "leave": leave}
        for number, (rolls, leave) in enumerate(
            zip(RULE_BOOK, RULE_BOOK_LEAVES, strict=True), start=1
        )
    )
    assert not season.reports
    (game,) = season.games
    assert game.score == 180
    assert [frame.made for frame in game.frames] == [
        None, None, None, False, True, False, None, True, False, None,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("rolls", "frame", "pins", "standing", "made"),
    [
        ("X", 1, (10,), None, None),
        ("x", 9, (10,), None, None),
        ("9/", 1, (9, 1), 1, True),
        ("9 /", 1, (9, 1), 1, True),
        ("9–", 1, (9, 0), 1, False),
        ("8 1", 1, (8, 1), 2, False),
        ("81", 1, (8, 1), 2, False),
        ("7 3", 1, (7, 3), 3, True),
        ("-/", 1, (0, 10), 10, True),
        ("f/", 1, (0, 10), 10, True),
        ("0 10", 1, (0, 10), 10, True),
        ("9/8", 10, (9, 1, 8), 1, True),
        ("X 8 1", 10, (10, 8, 1), 2, False),
        ("X 9/", 10, (10, 9, 1), 1, True),
        ("10 10 10", 10, (10, 10, 10), None, None),
        ("XX7", 10, (10, 10, 7), None, None),
        ("9-", 10, (9, 0), 1, False),
        ([9, "/"], 1, (9, 1), 1, True),
        ([10, 7, 2], 10, (10, 7, 2), 3, False),
    ],
)
def test_rolls(
    rolls: Any, frame: int, pins: tuple[int, ...], standing: int | None, made: bool | None
) -> None:
    season = season_from_rows([{"frame": frame, "rolls": rolls}])
    (one,) = season.frames
    assert (one.pins, one.made) == (pins, made)
    if standing is not None:
        assert one.spare_ball_index is not None
        assert 10 - one.pins[one.spare_ball_index - 1] == standing


@pytest.mark.parametrize(
    ("line", "field", "says"),
    [
        (",,1,9 2,,,,", "rolls", "ball 2 is '2'; allowed: 0 to 1 pins"),
        (",,1,X X,,,,", "rolls", "more than a frame before the tenth"),
        (",,1,8,,,,", "rolls", "not finished"),
        (",,10,X X,,,,", "rolls", "not finished"),
        (",,10,9 - 5,,,,", "rolls", "ball 3 is '5'; allowed: no further ball"),
        (",,10,X 5 6,,,,", "rolls", "ball 3 is '6'; allowed: 0 to 5 pins"),
        (",,1,10,,,,", "rolls", "write X, or 1 0"),
        (",,1,strike,,,,", "rolls", "is no frame"),
        (",,1,XXXX,,,,", "rolls", "4 balls"),
        (",,1,/9,,,,", "rolls", "ball 1 is '/'"),
        (",,1,X,10,,,", "leave", "10 is 1 pin, but the rolls leave 0"),
        (",,1,X,,,,yes", "made", "no spare ball was thrown"),
        (",,1,9/,3-10,,,", "leave", "3-10 is 2 pins, but the rolls leave 1"),
        (",,1,9/,10,,,no", "made", "the rolls make the spare, but made is no"),
        (",,1,S8 1,6-10,,,", "leave", "mark a split, but 6-10 is none"),
        (",,1,,10,,,", "rolls", "needed: the rolls, or the leave and whether it was made"),
        (",,1,,,,,", "rolls", "needed: the rolls"),
        (",,1,9/,0,,,", "leave", "got 0"),
        (",,1,9/,11,,,", "leave", "got 11"),
        (",,1,8/,3-3,,,", "leave", "pin 3 is named twice"),
        (",,1,8/,10-Mar,,,", "leave", "if a spreadsheet made a date of it"),
        (",,1,8/,3/10/2025,,,", "leave", "if a spreadsheet made a date of it"),
        (",,0,9/,10,,,", "frame", "frame is '0'; allowed: 1 to 10"),
        (",,11,9/,10,,,", "frame", "frame is '11'"),
        (",,one,9/,10,,,", "frame", "frame is 'one'"),
        (",,00011,9/,10,,,", "frame", "frame is '00011'; allowed: 1 to 10"),
        (",,000199999,9/,10,,,", "frame", "frame is '000199999'; allowed: 1 to 10"),
        (",,-1,9/,10,,,", "frame", "frame is '-1'"),
        (",,1,9/,10,,,perhaps", "made", "made is 'perhaps'; allowed: yes or no"),
        (",,1,9/,10,,,,,extra", None, "the row has 10 fields, the first line 8"),
        (',,1,"9/,10,,,', None, "quotes"),
        (',,1,"9/"x,10,,,', None, "quotes"),
    ],
)
def test_rows_that_cannot_be_read(line: str, field: str | None, says: str) -> None:
    season = read(",,1,9/,10,,,yes", line, ",,2,8 1,3-10,,,no")
    assert [frame.row for frame in season.frames] == [2, 4]
    (report,) = season.rows_not_used
    assert (report.row, report.field) == (3, field)
    assert says in report.reason
    assert len(report.reason) < 300
    assert season.row_count == 3


@pytest.mark.parametrize(
    ("changes", "field", "says"),
    [
        ({"missed_target_by_boards": "two"}, "missed_target_by_boards", "is no miss"),
        ({"missed_target_by_boards": "21"}, "missed_target_by_boards", "allowed: -20 to 20"),
        ({"missed_target_by_boards": "-1 left"}, "missed_target_by_boards", "one of them"),
        ({"missed_target_by_boards": "nan"}, "missed_target_by_boards", "is no miss"),
        ({"missed_target_by_boards": float("nan")}, "missed_target_by_boards", "text or a number"),
        ({"missed_target_by_boards": True}, "missed_target_by_boards", "text or a number"),
        ({"ball": "b" * 41}, "ball", "41 characters; allowed: 40"),
        ({"ball": ["x"]}, "ball", "text or a number"),
        ({"lay_down_board": "20"}, "lay_down_board", "needs both"),
        ({"lay_down_board": "20", "target_board": "41"}, "target_board", "allowed: 0 to 40"),
        ({"lay_down_board": "-1", "target_board": "9"}, "lay_down_board", "allowed: 0 to 40"),
        ({"colour": "blue"}, None, "'colour' is not a field"),
        (dict.fromkeys("abcdefg", 1), None, "'a', 'b', 'c', 'd', 'e' and 2 more are not fields"),
    ],
)
def test_fields_that_cannot_be_read_are_left_out_and_the_row_used(
    changes: Mapping[str, Any], field: str | None, says: str
) -> None:
    season = season_from_rows([{"rolls": "9/", "leave": "10", **changes}])
    (frame,) = season.frames
    assert replace(frame, row=0) == replace(
        season_from_rows([{"rolls": "9/", "leave": "10"}]).frames[0], row=0
    )
    (report,) = season.reports
    assert report.row_used
    assert report.field == field
    assert says in report.reason


def test_a_miss_noted_where_no_spare_ball_was_thrown_is_reported() -> None:
    season = season_from_rows([{"rolls": "X", "missed_target_by_boards": 1}])
    assert reasons(season) == [
        (1, "missed_target_by_boards", "no spare ball was thrown in this frame; it was not used")
    ]
    assert season.frames[0].missed_target_by_boards is None


@pytest.mark.parametrize(
    ("given", "boards"),
    [
        ("hit", 0.0), ("HIT", 0.0), ("0", 0.0), (0, 0.0), ("1", 1.0), ("+1.5", 1.5), ("-2", -2.0),
        ("−2", -2.0), ("1.5 left", -1.5), ("2 right", 2.0), ("2R", 2.0), ("1,5l", -1.5),
        (-0.5, -0.5), (2, 2.0), ("", None), (None, None),
    ],
)  # fmt: skip
def test_misses_are_positive_to_the_right(given: Any, boards: float | None) -> None:
    season = season_from_rows([{"leave": [10], "made": True, "missed_target_by_boards": given}])
    assert season.frames[0].missed_target_by_boards == boards
    assert not season.reports


@pytest.mark.parametrize(
    "leave", ["3-10", "10-3", "3 10", "3, 10", "3+10", "3–10", " 3 - 10 ", [3, 10], (10, 3)]
)
def test_ways_to_write_a_leave(leave: Any) -> None:
    season = season_from_rows([{"rolls": "S8/", "leave": leave}])
    assert season.frames[0].leave == Leave.parse("3-10")


@pytest.mark.parametrize("leave", [[3, True], [3.0], ["3"], [], [[3]], [11], {"3": 1}, True, 3.5])
def test_leaves_that_are_none_in_a_list_of_rows(leave: Any) -> None:
    season = season_from_rows([{"leave": leave, "made": True}])
    assert not season.frames
    assert season.reports[0].field == "leave"


BEYOND_WRITING_OUT = 10**5000
"""Python refuses to write numbers of more than 4300 digits out."""


@pytest.mark.parametrize(
    "value",
    [10**400, 1e300, -1, object(), b"9/", {1: 2}, [None], [[9]], BEYOND_WRITING_OUT,
     [BEYOND_WRITING_OUT], {1: BEYOND_WRITING_OUT}, "9" * 5000, "00011", "000199999"],
    ids=lambda value: type(value).__name__,
)  # fmt: skip
@pytest.mark.parametrize("name", FIELDS)
def test_no_value_breaks_the_reader(name: str, value: Any) -> None:
    season = season_from_rows([{"rolls": "9/", "leave": "10", name: value}])
    assert len(season.frames) + len(season.rows_not_used) == 1
    assert all(len(report.reason) < 300 for report in season.reports)


def test_a_frame_of_too_many_digits_does_not_spoil_a_whole_game() -> None:
    rows: list[Any] = [{"game": "1", "frame": n, "rolls": "9/"} for n in range(1, 10)]
    rows.append({"game": "1", "frame": 10, "rolls": "9/9"})
    season = season_from_rows([*rows, {"game": "1", "frame": "00011", "rolls": "9/"}])
    assert [game.score for game in season.complete_games] == [190]
    assert [report.row for report in season.rows_not_used] == [11]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize(
    ("encode", "encoding"),
    [
        ("utf-8", "utf-8"),
        ("utf-8-sig", "utf-8"),
        ("utf-16", "utf-16"),
        ("latin-1", "latin-1"),
    ],
)
def test_encodings_separators_and_line_ends(
    encode: str, encoding: str, separator: str, end: str
) -> None:
    rows = season_rows(2, lambda _: 0.5, seed=1)
    rows = [row | {"ball": "Räumball"} for row in rows]
    season = season_from_csv(as_csv(rows, separator=separator, end=end).encode(encode))
    assert not season.rows_not_used
    assert (season.encoding, season.separator) == (encoding, separator)
    assert {frame.ball for frame in season.frames} == {"Räumball"}
    expected = season_from_rows(rows)
    assert [game.score for game in season.games] == [game.score for game in expected.games]


def test_quotes_decimal_commas_headers_and_blank_lines() -> None:
    season = season_from_csv(
        "\n \n"
        'Rolls;"Leave";Missed target by boards;MADE;weather;\n'
        "\n"
        '"9 /";"10";"1,5";yes;"wet; cold";\n'
        ";;;;;\n"
        '"S8 /";"3,10";-0,5;;;\n'
        "9/;10\n"
    )
    assert [frame.row for frame in season.frames] == [5, 7, 8]
    assert [frame.missed_target_by_boards for frame in season.frames] == [1.5, -0.5, None]
    assert season.ignored_columns == ("weather",)
    assert not season.reports
    assert season.row_count == 3


def test_one_stray_quote_spoils_one_row_only() -> None:
    season = read('1,1,1,"9/,10,,,', "1,1,2,9/,10,,,", '1,1,3,9/,10,the "big" one,,')
    assert [frame.row for frame in season.frames] == [3, 4]
    assert [report.row for report in season.reports] == [2]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "empty"),
        (b"\xef\xbb\xbf", "empty"),
        (b"\n\r\n  \n", "empty"),
        (b"a,b,c\n1,2,3", "names no column that is known"),
        (b"\x00\x01\x02\xff", "names no column that is known"),
        (b"PK\x03\x04" + bytes(range(256)), "names no column that is known"),
        (b"rolls,leave,rolls\nX,,X", "names rolls twice"),
        (b"rolls\n" + b"X" * MOST_BYTES, "allowed: at most 5000000"),
        (b"rolls\n" + b"X\n" * 50_001, "more than 50000 rows"),
        (b'"rolls\nX', "names no column"),
    ],
)
def test_files_that_cannot_be_read_at_all(content: bytes, says: str) -> None:
    with pytest.raises(SeasonError, match=says):
        season_from_csv(content)


def test_as_many_rows_as_are_allowed() -> None:
    season = season_from_csv(b"rolls\n" + b"X\n" * 50_000)
    assert len(season.frames) == 50_000


def test_a_header_alone_is_an_empty_season() -> None:
    season = read()
    assert (season.row_count, season.frames, season.games) == (0, (), ())


def test_a_huge_field_is_one_row_that_cannot_be_read() -> None:
    season = read(f",,1,{'9' * 200_000},,,,", ",,1,9/,10,,,")
    assert [report.row for report in season.rows_not_used] == [2]
    assert len(season.frames) == 1


def test_a_frame_given_twice_is_reported_and_games_are_told_apart() -> None:
    season = read("d,1,1,9/,10,,,", "d,1,1,8/,3-10,,,", "d,2,1,9/,10,,,", "e,1,1,9/,10,,,")
    assert reasons(season) == [(3, "frame", "frame 1 of this game is already given in row 2")]
    assert [(game.date, game.game) for game in season.games] == [("d", "1"), ("d", "2"), ("e", "1")]


def test_a_game_without_all_its_frames_is_not_scored_but_its_frames_count() -> None:
    rows = season_rows(2, lambda _: 0.5, seed=3)
    rows[4] = rows[4] | {"rolls": "9 9"}
    season = season_from_rows(rows)
    broken, whole = season.games
    assert (broken.score, broken.missing_frames) == (None, (5,))
    assert whole.score is not None
    assert len(season.frames) == 19


def test_games_score_as_the_scoring_package_scores_them() -> None:
    rows = season_rows(40, lambda _: 0.6, seed=4)
    season = season_from_rows(reversed(rows))
    assert not season.reports
    for game in season.games:
        own = [row for row in rows if row["game"] == game.game]
        balls = [ball for row in own for ball in row["rolls"].split()]
        assert game.score == score_sheet(balls).final_score


def test_current_frame_scoring_has_no_fill_balls() -> None:
    season = season_from_rows(
        [{"game": "1", "frame": n, "rolls": "X"} for n in range(1, 11)], scoring="current_frame"
    )
    assert season.games[0].score == 300
    refused = season_from_rows([{"frame": 10, "rolls": "X X X"}], scoring="current_frame")
    assert refused.rows_not_used


def test_errors_pickle() -> None:
    error = RowError("leave", "why")
    again = pickle.loads(pickle.dumps(error))
    assert (again.field, again.reason) == ("leave", "why")


CELLS = st.one_of(
    st.sampled_from(["X", "9/", "8 1", "10", "3-10", "yes", "no", "1.5", "hit", "", '"', "1,5"]),
    st.text(max_size=12),
)


@settings(max_examples=300)
@given(st.lists(st.lists(CELLS, max_size=11), max_size=8), st.sampled_from([",", ";", "\t"]))
def test_any_cells_are_used_or_reported(rows: list[list[str]], separator: str) -> None:
    """Fuzz: rows in = rows used + rows reported, and no other error than the documented one."""
    lines = [separator.join(row).replace("\r", " ").replace("\n", " ") for row in rows]
    text = "\n".join([separator.join(FIELDS), *lines])
    season = season_from_csv(text)
    data = [n for n, line in enumerate(lines, start=2) if line.strip(f'{separator} \t"')]
    used = [frame.row for frame in season.frames]
    refused = [report.row for report in season.rows_not_used]
    assert sorted(used + refused) == data
    assert season.row_count == len(data)


@settings(max_examples=300)
@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(content: bytes) -> None:
    for start in (b"", b"rolls,leave,made\n", b"rolls;leave\r\n", b"\xff\xfe"):
        try:
            season = season_from_csv(start + content)
        except SeasonError:
            continue
        assert season.row_count == len(season.frames) + len(season.rows_not_used)


VALUES = st.one_of(
    CELLS,
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.lists(st.one_of(st.integers(-1, 12), st.text(max_size=2)), max_size=4),
)


@settings(max_examples=300)
@given(st.lists(st.dictionaries(st.sampled_from([*FIELDS, "other"]), VALUES), max_size=5))
def test_any_plain_values_are_used_or_reported(rows: list[dict[str, Any]]) -> None:
    season = season_from_rows(rows)
    used = [frame.row for frame in season.frames]
    refused = [report.row for report in season.rows_not_used]
    assert sorted(used + refused) == list(range(1, len(rows) + 1))
