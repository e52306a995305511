"""`POST /v1/advice`: decisions with a provable answer, and what it refuses."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient
from leaveline.web.document import ADVICE_EXAMPLE

from tests.web.test_document import conforms
from tests.web.test_errors import problem

NINES = [9, "-"] * 9


def advice(client: FlaskClient, leave: str, **situation: Any) -> dict[str, Any]:
    body = {"leave": leave, "bowler": {"level": "scratch"}, "situation": situation}
    response = client.post("/v1/advice", json=body)
    assert response.status_code == 200, response.get_data(as_text=True)
    answer: dict[str, Any] = response.json  # type: ignore[assignment]
    return answer


def match(client: FlaskClient, leave: str, own: list[Any], other: list[Any]) -> dict[str, Any]:
    return advice(client, leave, kind="match", own_rolls=own, opponent_rolls=other, tie_rule="half")


def test_the_documented_example_is_answered_as_documented(client: FlaskClient) -> None:
    body = client.post("/v1/advice", json=ADVICE_EXAMPLE).json
    conforms("AdviceAnswer", body)


def test_two_pins_win_outright_so_play_for_count(client: FlaskClient) -> None:
    """Own 81 + 6 with four standing in the tenth, the opponent finished on 88: two more win."""
    own = [*NINES, "S6"]
    finished = [*NINES, 7, "-"]
    answer = match(client, "4-6-7-10", own, finished)
    assert answer["play"] == "count"
    assert answer["margin"] > 0
    assert answer["plays"]["count"]["win_probability"] > answer["plays"]["spare"]["win_probability"]


def test_only_a_mark_can_win_so_play_for_the_spare_however_thin(client: FlaskClient) -> None:
    """Own 81 + 6 in the tenth, the opponent finished on 95: without a mark at most 90."""
    own = [*NINES, "S6"]
    finished = [9, "-"] * 8 + [9, "/", 9, "-"]
    answer = match(client, "4-6-7-10", own, finished)
    assert answer["play"] == "spare"
    assert (
        answer["plays"]["count"]["win_probability"] <= answer["plays"]["count"]["make_probability"]
    )
    assert "only_a_mark_can_win" in {reason["code"] for reason in answer["because"]}


def test_equal_lines_are_called_equal(client: FlaskClient) -> None:
    answer = advice(client, "10", kind="score", own_rolls=[9])
    assert answer["margin"] == pytest.approx(0.0, abs=0.02)
    assert {"same_line", "equal_plays"} & {reason["code"] for reason in answer["because"]}


def test_a_single_pin_has_no_turning_point(client: FlaskClient) -> None:
    answer = advice(client, "10", kind="match", own_rolls=[9], opponent_rolls=[])
    assert answer["flips_at"] is None
    assert "flips_at" not in {reason["code"] for reason in answer["because"]}


def test_a_win_out_of_reach_is_not_promised(client: FlaskClient) -> None:
    """Own 9/ nine times, X, split of 8: a make draws level with the finished opponent, no more."""
    nines = [9, "/"] * 9
    answer = match(client, "4-9", [*nines, "X", "S8"], [*nines, "X", 8, "/"])
    assert "only_a_tie_left" in {reason["code"] for reason in answer["because"]}
    assert "wins the match with" not in answer["words"]
    assert "wins with 0.0 % and ties with" in answer["words"]


@pytest.mark.parametrize("own_rolls", [["X"] * 11 + [8], [*NINES, 9, "/", 8]])
def test_no_leave_stands_after_the_game(client: FlaskClient, own_rolls: list[Any]) -> None:
    body = {"leave": "4-9", "situation": {"kind": "score", "own_rolls": own_rolls}}
    response = client.post("/v1/advice", json=body)
    fault = problem(response, 422, "invalid-request")["errors"][0]
    assert fault["pointer"] == "#/situation/own_rolls"
    assert "the game is over" in fault["detail"]
    assert "0 pins" not in fault["detail"]


def test_behind_the_cut_by_more_than_count_can_give(client: FlaskClient) -> None:
    """Last game, tenth frame, 81 + 6: the cut needs 95 from this game."""
    answer = advice(
        client, "4-6-7-10", kind="cut", own_rolls=[*NINES, "S6"], pins_before=1000, games_after=0,
        cut_pins=1095,
    )  # fmt: skip
    assert answer["play"] == "spare"
    assert answer["maximised"] == "cut_probability"


def test_same_request_same_bytes(client: FlaskClient) -> None:
    first, second = (client.post("/v1/advice", json=ADVICE_EXAMPLE).get_data() for _ in range(2))
    assert first == second


@pytest.mark.parametrize(
    ("situation", "pointer", "code"),
    [
        ({"kind": "match"}, "#/situation/opponent_rolls", "required"),
        ({"kind": "cut"}, "#/situation/cut_pins", "required"),
        ({"kind": "luck"}, "#/situation/kind", "not_one_of"),
        ({"kind": "score", "cut_pins": 3}, "#/situation/cut_pins", "inconsistent"),
        ({"kind": "score", "own_rolls": [7]}, "#/situation/own_rolls", "inconsistent"),
        ({"kind": "score", "own_rolls": [8, 3]}, "#/situation/own_rolls/1", "illegal_ball"),
        ({"kind": "score", "own_rolls": [11]}, "#/situation/own_rolls/0", "wrong_type"),
        ({"kind": "score", "own_rolls": [True]}, "#/situation/own_rolls/0", "wrong_type"),
        ({"kind": "score", "own_rolls": [8] * 22}, "#/situation/own_rolls", "out_of_range"),
        ({"kind": "score", "own_strength": {}}, "#/situation/own_strength", "inconsistent"),
        ({"kind": "score", "own_strength": {"average_pins": 20}},
         "#/situation/own_strength/average_pins", "out_of_range"),
        ({"kind": "cut", "pins_before": -1, "games_after": 0, "cut_pins": 1},
         "#/situation/pins_before", "out_of_range"),
    ],
)  # fmt: skip
def test_what_is_refused(
    client: FlaskClient, situation: dict[str, Any], pointer: str, code: str
) -> None:
    response = client.post("/v1/advice", json={"leave": "3-10", "situation": situation})
    faults = problem(response, 422, "invalid-request")["errors"]
    assert (pointer, code) in {(fault["pointer"], fault["code"]) for fault in faults}


@pytest.mark.parametrize("leave", ["3-10", "4-5", "2-7", "5-10"])
def test_early_in_qualifying_a_makeable_split_is_tried(client: FlaskClient, leave: str) -> None:
    """Common practice: in qualifying most splits are tried. First frame, five games to come."""
    answer = advice(
        client, leave, kind="cut", own_rolls=["S8"], pins_before=0, games_after=5, cut_pins=1250,
        cut_sd_pins=20, own_strength={"level": "scratch"},
    )  # fmt: skip
    assert answer["play"] == "spare"
    assert answer["plays"]["spare"]["make_probability"] > 0.1
