"""`POST /v1/reviews`: what was planted is found, sums are exact, rows are used or reported."""

from __future__ import annotations

import csv
import io
import json
from functools import cache
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import given, settings
from hypothesis import strategies as st
from leaveline.delivery import LEVELS
from leaveline.lines import Bowler
from leaveline.pins import Leave
from leaveline.practice.forward import line_for, table_of
from leaveline.practice.row_values import FIELDS
from leaveline.practice.season import MOST_ROWS
from leaveline.scoring import score_sheet
from leaveline.web.practice_paths import CSV_EXAMPLE, REVIEW_EXAMPLE
from werkzeug.test import TestResponse

from tests.practice.synthetic import Row, as_csv, season_rows
from tests.web.test_document import conforms
from tests.web.test_errors import problem

SCALE = 1.3
LEAGUE = Bowler(spread=LEVELS["league"])
HEADER = "date,game,frame,rolls,leave,made"


@cache
def chance(leave: Leave, lean: float = 0.0) -> float:
    line = line_for(leave, LEAGUE, target_boards=SCALE)
    return table_of(leave, LEAGUE, line).at(SCALE, lean)


def post_csv(client: FlaskClient, data: bytes | str, query: str = "", kind: str = "") -> Any:
    return client.post(f"/v1/reviews{query}", data=data, content_type=kind or "text/csv")


def answer(response: TestResponse) -> dict[str, Any]:
    assert response.status_code == 200, response.get_data(as_text=True)[:500]
    found: dict[str, Any] = json.loads(response.get_data())
    return found


def review(client: FlaskClient, rows: list[Row], **body: Any) -> dict[str, Any]:
    return answer(client.post("/v1/reviews", json={"rows": rows, **body}))


@pytest.mark.parametrize("weak", ["10", "3-6-10", "6-10"])
def test_a_planted_weakness_is_found_first(client: FlaskClient, weak: str) -> None:
    leave = Leave.parse(weak)
    rows = season_rows(300, lambda one: chance(one) * (0.5 if one == leave else 1), seed=1)
    found = answer(post_csv(client, as_csv(rows), "?level=league"))
    first = found["practice"][0]
    assert (first["leave"], first["kind"]) == (weak, "weakness")
    one = next(one for one in found["leaves"] if one["leave"] == weak)
    assert one["verdict"] == "skill"
    assert one["made_share"]["high"] < one["expected"]["value"]
    assert first["gain_pins_per_game"]["low"] > 0
    assert f"Throw {first['drill']['throws']} balls at the {weak}" in first["words"]
    assert first["words"] in found["words"]
    gains = [item["gain_pins_per_game"]["value"] for item in found["practice"]]
    assert gains == sorted(gains, reverse=True)


def test_an_honest_season_has_its_accuracy_and_is_luck(client: FlaskClient) -> None:
    rows = season_rows(250, chance, seed=11)
    found = review(client, rows, bowler={"level": "league"}, confidence=0.95)
    scale = found["accuracy"]["target_boards"]
    assert scale["low"] <= SCALE <= scale["high"]
    assert found["spread"] == found["accuracy"]["spread"]
    everything = next(group for group in found["groups"] if group["kind"] == "all")
    assert everything["verdict"] == "luck"
    assert sum(one["verdict"] not in ("luck", None) for one in found["leaves"]) <= 2


def test_a_known_spread_is_not_fitted(client: FlaskClient) -> None:
    rows = season_rows(20, chance, seed=2)
    spread = {"target_boards": 0.9, "lay_down_boards": 0.3}
    found = review(client, rows, bowler={"level": "league", "spread": spread})
    assert found["accuracy"] is None
    assert found["spread"] == {
        "lay_down_boards": 0.3, "target_boards": 0.9, "speed_mph": 0.6, "rotation_deg": 6.0,
        "rev_rate_rpm": 20.0,
    }  # fmt: skip
    line = client.post("/v1/lines", json={"leave": "10", "bowler": {"spread": spread}, "limit": 1})
    ten = next(one for one in found["leaves"] if one["leave"] == "10")
    assert ten["expected"]["value"] == pytest.approx(
        line.get_json()["lines"][0]["make_probability"], abs=1e-6
    )


def test_a_lean_and_the_choice_of_line_are_told_from_skill(client: FlaskClient) -> None:
    rows = season_rows(
        200, lambda leave: chance(leave, 1.0), seed=3,
        about_the_ball=lambda rng, _: {"missed_target_by_boards": round(rng.normal(1.0, 1.3))},
    )  # fmt: skip
    found = review(client, rows)
    assert found["lean"]["side"] == "right"
    assert found["lean"]["mean_boards"]["value"] == pytest.approx(1.0, abs=0.15)
    assert found["accuracy"]["lean_side"] == "right"
    assert "aim" in {item["kind"] for item in found["practice"]}
    off_line = {"lay_down_board": 20, "target_board": 20}
    ten = Leave.parse("10")
    rows = season_rows(
        200,
        lambda leave: 0.02 if leave == ten else chance(leave),
        seed=4,
        about_the_ball=lambda _, leave: off_line if leave == ten else {},
    )
    found = review(client, rows, bowler={"spread": {"target_boards": 1.3}})
    one = next(one for one in found["leaves"] if one["leave"] == "10")
    assert one["verdict"] == "line"
    assert one["cost_of_lines"] > 0.3


def test_sums_agree_with_scoring_every_game_again(client: FlaskClient) -> None:
    """The independent witness: each missed spare made in turn, the sheet scored anew."""
    rows = season_rows(40, chance, seed=12)
    found = review(client, rows)
    by_game: dict[str, list[Row]] = {}
    for row in rows:
        by_game.setdefault(row["game"], []).append(row)
    firsts = [10 if row["rolls"][0] == "X" else _pins(row["rolls"][0]) for row in rows]
    fill = sum(firsts) / len(firsts)
    scores, lost = [], {}
    for game in by_game.values():
        sheet = [ball for row in game for ball in row["rolls"].split()]
        score = score_sheet(sheet).final_score
        assert score is not None
        scores.append(score)
        place = 0
        for row in game:
            balls = row["rolls"].split()
            if row.get("made") == "no":
                index = _miss_index(balls)
                made = [*sheet[: place + index], "/", *sheet[place + index + 1 :]]
                earns = row["frame"] == "10" and index == 1
                again = score_sheet([*made, "-"] if earns else made).final_score
                assert again is not None
                gained = again - score + (fill if earns else 0)
                lost[row["leave"]] = lost.get(row["leave"], 0.0) + gained
            place += len(balls)
    assert found["average_pins"] == pytest.approx(sum(scores) / 40, abs=1e-6)
    assert found["pins_lost_per_game"] == pytest.approx(sum(lost.values()) / 40, abs=1e-5)
    for one in found["leaves"]:
        assert one["pins_lost"] == pytest.approx(lost.get(one["leave"], 0.0), abs=1e-5)
        own = [row for row in rows if row.get("leave") == one["leave"] and "made" in row]
        assert one["attempts"] == len(own)
        assert one["made"] == sum(row["made"] == "yes" for row in own)
    assert sum(g["attempts"] for g in found["groups"] if g["kind"] == "category") == sum(
        one["attempts"] for one in found["leaves"]
    )


def _pins(symbol: str) -> int:
    return 0 if symbol in "-F" else int(symbol)


def _miss_index(balls: list[str]) -> int:
    """Which ball was thrown at the leave: the one after the last first ball that did not strike."""
    return next(index for index, ball in enumerate(balls) if ball != "X") + 1


def test_rows_text_and_file_are_one_season(client: FlaskClient) -> None:
    rows = season_rows(10, chance, seed=6)
    text = as_csv(rows)
    answers = [
        review(client, rows),
        answer(client.post("/v1/reviews", json={"csv": text})),
        answer(post_csv(client, text)),
        answer(post_csv(client, text.replace(",", ";"))),
        answer(post_csv(client, text.replace(",", "\t").replace("\n", "\r\n"))),
        answer(post_csv(client, b"\xef\xbb\xbf" + text.encode())),
        answer(post_csv(client, text.encode("utf-16"))),
        answer(post_csv(client, text.encode("utf-16-be"), kind="text/csv; charset=UTF-16BE")),
        answer(post_csv(client, text.encode("latin-1"), kind="text/csv; charset=iso-8859-1")),
        answer(client.post("/v1/reviews?scoring=traditional", json={"rows": rows})),
    ]
    how = [(one["rows"]["encoding"], one["rows"]["separator"]) for one in answers]
    assert how == [
        (None, None), (None, ","), ("utf-8", ","), ("utf-8", ";"), ("utf-8", "\t"), ("utf-8", ","),
        ("utf-16", ","), ("utf-16be", ","), ("iso-8859-1", ","), (None, None),
    ]  # fmt: skip
    for one in answers:
        del one["rows"], one["input_digest"]
        assert one == answers[0]


def test_the_bowler_in_a_few_words_is_the_bowler_in_full(client: FlaskClient) -> None:
    rows = season_rows(10, chance, seed=7)
    few = answer(
        post_csv(client, as_csv(rows), "?hand=left&level=scratch&oil_length_ft=41&limit=2")
    )
    full = review(client, rows, limit=2, bowler={"hand": "left", "level": "scratch"},
                  lane={"oil": {"length_ft": 41}})  # fmt: skip
    for one in (few, full):
        del one["rows"], one["input_digest"]
    assert few == full
    assert few["accuracy"]["level"] == "scratch"
    assert len(few["practice"]) <= 2


MALFORMED: list[tuple[bytes, list[tuple[int, str | None, bool, str]]]] = [
    (b"1,9/,10", [(2, None, False, "the row has 3 fields")]),
    (b"9/,10\n8 1,3-10\nqq,10", [(4, "rolls", False, "'qq' is no frame")]),
    (b"9/,11", [(2, "leave", False, "1 to 10")]),
    (b"9/,10-10", [(2, "leave", False, "twice")]),
    (b"9/,3-10", [(2, "leave", False, "2 pins, but the rolls leave 1")]),
    (b"8 3,7", [(2, "rolls", False, "ball 2 is '3'")]),
    (b"9,10", [(2, "rolls", False, "a ball is missing")]),
    (b"X X,", [(2, "rolls", False, "more than a frame")]),
    (b"9 / 5,", [(2, "rolls", False, "more than a frame")]),
    (b"S9 /,10", [(2, "rolls", False, "'S9 /' is no frame")]),
    (b"-1,10", [(2, "leave", False, "10 is 1 pin, but the rolls leave 10")]),
    (b'"9/,10', [(2, None, False, "quotes")]),
    (b'"9/","10"', []),
    (b"9/,03-Oct", [(2, "leave", False, "spreadsheet made a date")]),
    (b",", []),
    (b"\n\n9/,10\n;;", [(5, "rolls", False, "0 balls; allowed in a frame: 1 to 3")]),
    (b"9/," + b"1" * 5000, [(2, "leave", False, "numbered 1 to 10, got 999")]),
    ("9/,10\nзз,10".encode(), [(3, "rolls", False, "no frame")]),
    (b"9/,10\n\xff\xfe,10", [(3, "rolls", False, "no frame")]),
    (b"9/,10\n\x00,10", [(3, "rolls", False, "no frame")]),
]


@pytest.mark.parametrize(("lines", "reports"), MALFORMED)
def test_malformed_rows_are_reported_one_by_one(
    client: FlaskClient, lines: bytes, reports: list[tuple[int, str | None, bool, str]]
) -> None:
    """A good row follows each: it is used, whatever stands before it."""
    content = b"rolls,leave\n" + lines + b"\n9/,7\n"
    found = answer(post_csv(client, content))
    conforms("ReviewAnswer", found)
    told = [(r["row"], r["field"], r["row_used"]) for r in found["rows"]["reports"]]
    assert told == [report[:3] for report in reports]
    for report, wanted in zip(found["rows"]["reports"], reports, strict=True):
        assert wanted[3] in report["reason"]
    assert found["rows"]["used"] + found["rows"]["not_used"] == found["rows"]["given"]
    assert "7" in {one["leave"] for one in found["leaves"]}


def test_a_field_that_cannot_be_read_is_left_out_and_reported(client: FlaskClient) -> None:
    found = review(client, [{"rolls": "9/", "leave": "10", "missed_target_by_boards": "far"}])
    (report,) = found["rows"]["reports"]
    assert (report["row"], report["field"], report["row_used"]) == (
        1, "missed_target_by_boards", True,
    )  # fmt: skip
    assert found["rows"]["used"] == 1
    unknown = answer(post_csv(client, "rolls,leave,weather\n9/,10,wet\n"))
    assert unknown["rows"]["ignored_columns"] == ["weather"]


def test_a_season_of_which_nothing_can_be_read_is_told_row_by_row(client: FlaskClient) -> None:
    found = review(client, [{"rolls": "??"}, {"leave": "10"}, {}])
    assert found["rows"]["used"] == found["frames"] == 0
    assert [report["row"] for report in found["rows"]["reports"]] == [1, 2, 3]
    assert "3 rows could not be read" in " ".join(found["cautions"])
    conforms("ReviewAnswer", found)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "is empty"),
        (b"\n \n\t\n", "is empty"),
        (b"\xef\xbb\xbf", "is empty"),
        (b"9/,10\n9-,10\n", "names no column that is known; known are date, game"),
        (b"rolls,leave,leave\n9/,10,10\n", "names leave twice"),
        (b"rolls,leave\n", "no row below its first line; allowed: 1 to 50000"),
        (b"rolls,leave\n,\n", "no row below its first line"),
        (b"\x00\x01\x02\x03", "names no column"),
        ("rolls,leave\n9/,10".encode("utf-16-le"), "names no column"),
        (b"rolls\n" + b"X\n" * (MOST_ROWS + 1), f"more than {MOST_ROWS} rows"),
    ],
)
def test_what_holds_no_rows_is_refused(client: FlaskClient, content: bytes, says: str) -> None:
    fault = problem(post_csv(client, content), 422, "invalid-request")["errors"][0]
    assert fault["pointer"] == "#"
    assert fault["code"] in ("unreadable_csv", "out_of_range")
    assert says in fault["detail"]
    if content:
        text = content.decode("latin-1")
        refused = client.post("/v1/reviews", json={"csv": text})
        assert problem(refused, 422, "invalid-request")["errors"][0]["pointer"] == "#/csv"


ROW = {"rolls": "9/", "leave": "10"}
INVALID: list[tuple[dict[str, Any], str, str, str]] = [
    ({}, "#/rows", "required", "or csv"),
    ({"rows": []}, "#/rows", "out_of_range", f"1 to {MOST_ROWS} items, got 0"),
    ({"rows": [{}] * (MOST_ROWS + 1)}, "#/rows", "out_of_range", f"got {MOST_ROWS + 1}"),
    ({"rows": ROW}, "#/rows", "wrong_type", "must be a list"),
    ({"rows": [ROW, 3]}, "#/rows/1", "wrong_type", "must be an object"),
    ({"rows": [ROW, None]}, "#/rows/1", "wrong_type", "null"),
    ({"rows": [{**ROW, "roll": 3}]}, "#/rows/0/roll", "unknown_field", "not known"),
    ({"rows": [ROW], "csv": "rolls\nX"}, "#/csv", "inconsistent", "rows"),
    ({"csv": ""}, "#/csv", "out_of_range", "1 to 5000000 characters"),
    ({"csv": 3}, "#/csv", "wrong_type", "text"),
    ({"rows": [ROW], "limit": 0}, "#/limit", "out_of_range", "from 1 to 20"),
    ({"rows": [ROW], "confidence": 0.3}, "#/confidence", "out_of_range", "from 0.5 to 0.99"),
    ({"rows": [ROW], "drill_confidence": 1}, "#/drill_confidence", "out_of_range", "to 0.99"),
    ({"rows": [ROW], "scoring": "baker"}, "#/scoring", "not_one_of", "traditional"),
    ({"rows": [ROW], "bowler": {"hand": "both"}}, "#/bowler/hand", "not_one_of", "right, left"),
    ({"rows": [ROW], "bowler": {"spread": {"target_boards": 9}}}, "#/bowler/spread/target_boards",
     "out_of_range", "from 0 to 8"),
    ({"rows": [ROW], "season": 1}, "#/season", "unknown_field", "not known"),
]  # fmt: skip


@pytest.mark.parametrize(("body", "pointer", "code", "says"), INVALID)
def test_invalid_input_names_field_value_and_range(
    client: FlaskClient, body: dict[str, Any], pointer: str, code: str, says: str
) -> None:
    response = client.post("/v1/reviews", json=body)
    faults = problem(response, 422, "invalid-request")["errors"]
    fault = next(fault for fault in faults if fault["pointer"] == pointer)
    assert fault["code"] == code
    assert says in fault["detail"]


@pytest.mark.parametrize(
    ("query", "pointer", "code"),
    [
        ("hand=both", "query/hand", "not_one_of"),
        ("limit=x", "query/limit", "wrong_type"),
        ("limit=21", "query/limit", "out_of_range"),
        ("confidence=1", "query/confidence", "out_of_range"),
        ("player=x", "query/player", "unknown_field"),
        ("hand=left&hand=left", "query/hand", "duplicate"),
        ("oil_length_ft=10", "query/oil_length_ft", "out_of_range"),
    ],
)
def test_bad_query_parameters(client: FlaskClient, query: str, pointer: str, code: str) -> None:
    faults = problem(post_csv(client, CSV_EXAMPLE, f"?{query}"), 422, "invalid-request")["errors"]
    assert (faults[0]["pointer"], faults[0]["code"]) == (pointer, code)


@pytest.mark.parametrize(
    ("query", "body", "pointer"),
    [
        ("hand=left", {"bowler": {}}, "#/bowler"),
        ("oil_length_ft=40", {"lane": {}}, "#/lane"),
        ("limit=3", {"limit": 3}, "#/limit"),
        ("scoring=traditional", {"scoring": "current_frame"}, "#/scoring"),
    ],
)
def test_nothing_is_told_in_two_places(
    client: FlaskClient, query: str, body: dict[str, Any], pointer: str
) -> None:
    response = client.post(f"/v1/reviews?{query}", json={"rows": [ROW], **body})
    fault = problem(response, 422, "invalid-request")["errors"][0]
    assert (fault["pointer"], fault["code"]) == (pointer, "inconsistent")


def test_content_types_and_charsets(client: FlaskClient) -> None:
    refused = post_csv(client, CSV_EXAMPLE, kind="text/plain")
    assert (
        "text/csv or application/json" in problem(refused, 415, "unsupported-media-type")["detail"]
    )
    refused = post_csv(client, CSV_EXAMPLE, kind="text/csv; charset=ebcdic")
    assert "windows-1252" in problem(refused, 415, "unsupported-media-type")["detail"]
    refused = post_csv(client, b"rolls\n\xff", kind="text/csv; charset=utf-8")
    assert "byte 6" in problem(refused, 400, "unreadable-body")["detail"]
    refused = post_csv(client, "rolls\n" + "X,,,\n" * 250_000)
    problem(refused, 413, "body-too-large")


def test_half_a_character_is_refused(client: FlaskClient) -> None:
    """JSON can escape half of a surrogate pair; no answer could quote it. Whole pairs are text."""
    for data in (rb'{"csv": "rolls\n\ud800"}', rb'{"rows": [{"ball": "\udfff", "rolls": "9/"}]}'):
        response = client.post("/v1/reviews", data=data, content_type="application/json")
        assert "surrogate" in problem(response, 400, "unreadable-body")["detail"]
    data = rb'{"rows": [{"ball": "\ud83c\udfb3", "rolls": "9/", "leave": "10"}]}'
    found = answer(client.post("/v1/reviews", data=data, content_type="application/json"))
    assert "\N{BOWLING}" in {group["name"] for group in found["groups"]}


def test_thousands_of_frames_fit_in_one_request(client: FlaskClient) -> None:
    rows = season_rows(500, chance, seed=8)
    assert len(rows) == 5000
    found = answer(post_csv(client, as_csv(rows)))
    assert found["frames"] == 5000
    assert review(client, rows)["frames"] == 5000
    assert client.get("/v1/limits").get_json()["review_rows"] == MOST_ROWS


@pytest.mark.parametrize("body", [REVIEW_EXAMPLE, {"rows": [ROW]}])
def test_the_same_body_gives_the_same_bytes_and_is_never_stored(
    client: FlaskClient, body: dict[str, Any]
) -> None:
    one, other = (client.post("/v1/reviews", json=body) for _ in range(2))
    assert one.data == other.data
    assert one.headers["Cache-Control"] == "no-store"
    conforms("ReviewAnswer", one.get_json())
    assert one.get_json()["input_digest"].startswith("sha256:")


CELLS = st.one_of(
    st.sampled_from(["9/", "X", "8 1", "S7 2", "10", "3-10", "7-10", "yes", "no", "hit", "-", ""]),
    st.text(max_size=6),
)
PLAIN = st.one_of(
    CELLS, st.none(), st.booleans(), st.integers(-(10**19), 10**19),
    st.floats(allow_nan=False, allow_infinity=False),
    st.lists(st.one_of(st.integers(-1, 11), st.text(max_size=2)), max_size=4),
)  # fmt: skip


@settings(max_examples=60)
@given(st.binary(max_size=200))
def test_any_bytes_are_answered_or_refused(app: Flask, data: bytes) -> None:
    for content in (data, b"rolls,leave\n" + data):
        response = post_csv(app.test_client(), content)
        assert response.status_code in (200, 422)


@settings(max_examples=40)
@given(st.lists(st.tuples(CELLS, CELLS, CELLS, CELLS), max_size=6), st.sampled_from(",;\t"))
def test_any_cells_are_used_or_reported(
    app: Flask, cells: list[tuple[str, ...]], separator: str
) -> None:
    text = io.StringIO()
    writer = csv.writer(text, delimiter=separator)
    writer.writerows([("game", "frame", "rolls", "leave"), *cells])
    response = post_csv(app.test_client(), text.getvalue().encode())
    assert response.status_code in (200, 422)
    if response.status_code == 200:
        rows = response.get_json()["rows"]
        assert rows["used"] + rows["not_used"] == rows["given"]
        assert sum(not report["row_used"] for report in rows["reports"]) == rows["not_used"]


@settings(max_examples=60)
@given(
    st.lists(st.dictionaries(st.sampled_from(FIELDS), PLAIN, max_size=5), min_size=1, max_size=5)
)
def test_any_plain_values_are_used_or_reported(app: Flask, rows: list[dict[str, Any]]) -> None:
    found = review(app.test_client(), rows)
    assert found["rows"]["given"] == len(rows)
    refused = {report["row"] for report in found["rows"]["reports"] if not report["row_used"]}
    assert found["rows"]["used"] == len(rows) - len(refused)
