"""`POST /v1/comparisons`: each option on its own best lines, over the leaves that are told."""

from __future__ import annotations

import json
from typing import Any

import pytest
from flask.testing import FlaskClient
from leaveline.pins import Leave
from leaveline.practice import usual_leaves
from leaveline.practice.spare_ball import MOST_OPTIONS, pins_of_a_make
from leaveline.scoring import strength_of_level
from leaveline.web.practice_paths import COMPARISON_EXAMPLE

from tests.practice.synthetic import as_csv, season_rows
from tests.web.test_document import conforms
from tests.web.test_errors import problem

HOOKING: dict[str, Any] = {
    "level": "league",
    "ball": {"cover": "reactive_solid", "weight_lb": 14},
    "release": {"speed_mph": 17, "rev_rate_rpm": 300, "axis_rotation_deg": 50},
}
FLAT = {"oil": {"length_ft": 40, "ratio": 2}}
TWO = [{"name": "now"}, {"name": "polyester", "ball": {"cover": "polyester"}}]
COUNTS = [{"leave": "10", "count": 45}, {"leave": "3-6-10", "count": 15}]
COUNTED = {"leave_counts": COUNTS, "games": 30}


def compare(client: FlaskClient, **body: Any) -> dict[str, Any]:
    response = client.post("/v1/comparisons", json=body)
    assert response.status_code == 200, response.get_data(as_text=True)
    answer: dict[str, Any] = json.loads(response.get_data())
    conforms("ComparisonAnswer", answer)
    return answer


def chance(client: FlaskClient, leave: str, bowler: dict[str, Any]) -> float:
    body = {"leave": leave, "bowler": bowler, "lane": FLAT, "limit": 1}
    line = client.post("/v1/lines", json=body).get_json()["lines"][0]
    return float(line["make_probability"])


def test_each_option_makes_what_its_own_lines_make(client: FlaskClient) -> None:
    options = [
        *TWO,
        {"name": "slower", "release": {"speed_mph": 15}},
        {"name": "steadier", "spread": {"rotation_deg": 2}},
    ]
    found = compare(client, bowler=HOOKING, lane=FLAT, options=options, **COUNTED)
    bowlers = [
        HOOKING,
        {**HOOKING, "ball": {"cover": "polyester", "weight_lb": 14}},
        {**HOOKING, "release": {**HOOKING["release"], "speed_mph": 15}},
        {**HOOKING, "spread": {"rotation_deg": 2}},
    ]
    often = {"10": 1.5, "3-6-10": 0.5}
    worth = pins_of_a_make({Leave.parse(name): count for name, count in often.items()})
    chances = {name: [chance(client, name, bowler) for bowler in bowlers] for name in often}
    for row in found["leaves"]:
        assert row["leaves_per_game"] == often[row["leave"]]
        assert row["make_probabilities"] == pytest.approx(chances[row["leave"]], abs=1e-6)
    for place, option in enumerate(found["options"]):
        made = sum(often[name] * chances[name][place] for name in often) / 2
        assert option["conversion"]["value"] == pytest.approx(made, abs=1e-5)
        gained = sum(
            often[name] * (chances[name][place] - chances[name][0]) * worth[len(Leave.parse(name))]
            for name in often
        )
        gain = option["gain_pins_per_game"]
        assert gain["value"] == pytest.approx(gained, abs=1e-4)
        assert gain["low"] <= gain["value"] <= gain["high"]
        assert option["words"] in found["words"]
    assert found["options"][1]["shown"]
    assert found["options"][1]["gain_pins_per_game"]["value"] > 0
    assert found["options"][3]["gain_pins_per_game"]["value"] > 0
    assert any("qualified staff" in caution for caution in found["cautions"])


def test_the_usual_ways_are_compared_where_none_are_named(client: FlaskClient) -> None:
    found = compare(client, bowler=HOOKING, **COUNTED)
    assert [option["name"] for option in found["options"]] == [
        "as now", "polyester ball", "2 mph slower", "steadier axis",
    ]  # fmt: skip
    named = compare(client, bowler=HOOKING, **COUNTED, options=[
        {"name": "as now"},
        {"name": "polyester ball", "ball": {"cover": "polyester"}},
        {"name": "2 mph slower", "release": {"speed_mph": 15}},
        {"name": "steadier axis", "spread": {"rotation_deg": 3}},
    ])  # fmt: skip
    assert named["options"] == found["options"]
    polyester = compare(client, **COUNTED)
    assert "polyester ball" not in {option["name"] for option in polyester["options"]}


def test_leaves_come_from_counts_games_or_what_is_usual(client: FlaskClient) -> None:
    usual = compare(client, bowler={**HOOKING, "hand": "left"}, options=TWO)
    assert (usual["leaves_from"], usual["games"], usual["rows"]) == ("usual", None, None)
    strikes = strength_of_level("league").strike_probability
    mix = usual_leaves(hand="left", strike_probability=strikes)
    assert {row["leave"]: row["leaves_per_game"] for row in usual["leaves"]} == pytest.approx(
        {str(leave): often for leave, often in mix.items()}, abs=1e-6
    )
    counts = compare(client, bowler=HOOKING, options=TWO, **COUNTED)
    assert (counts["leaves_from"], counts["games"]) == ("counts", 30)
    rows = season_rows(20, lambda _: 0.6, seed=1)
    season = compare(client, bowler=HOOKING, options=TWO, rows=[*rows, {"rolls": "??"}])
    assert (season["leaves_from"], season["games"]) == ("season", 20)
    assert season["rows"]["not_used"] == 1
    thrown = sum("made" in row for row in rows)
    assert season["leaves_per_game"] + season["left_out_per_game"] == pytest.approx(
        thrown / 20, abs=1e-5
    )
    text = compare(client, bowler=HOOKING, options=TWO, csv=as_csv(rows))
    assert text["options"] == season["options"]


def test_what_is_not_known_of_the_spread_widens_the_intervals(client: FlaskClient) -> None:
    def width(**known: Any) -> float:
        found = compare(client, bowler=HOOKING, options=TWO, **known)
        gain = found["options"][1]["gain_pins_per_game"]
        return float(gain["high"] - gain["low"])

    fitted = client.post(
        "/v1/accuracy", json={"results": [{"leave": "10", "attempts": 30, "made": 18}]}
    ).get_json()["target_boards"]
    assert width(**COUNTED, target_boards=fitted) > width(**COUNTED)
    assert width(**COUNTED, confidence=0.95) > width(**COUNTED)


def test_a_comparison_with_itself_shows_nothing(client: FlaskClient) -> None:
    same = [{"name": "now"}, {"name": "the same"}]
    found = compare(client, bowler=HOOKING, options=same, **COUNTED)
    assert found["options"][1]["gain_pins_per_game"]["value"] == 0
    assert not found["options"][1]["shown"]


def test_the_same_body_gives_the_same_bytes_and_is_never_stored(client: FlaskClient) -> None:
    one, other = (client.post("/v1/comparisons", json=COMPARISON_EXAMPLE) for _ in range(2))
    assert one.data == other.data
    assert one.headers["Cache-Control"] == "no-store"


INVALID: list[tuple[dict[str, Any], str, str, str]] = [
    ({"options": TWO[:1]}, "#/options", "out_of_range", f"2 to {MOST_OPTIONS} items, got 1"),
    ({"options": [{"name": str(n)} for n in range(7)]}, "#/options", "out_of_range", "got 7"),
    ({"options": [TWO[0], TWO[0]]}, "#/options/1/name", "duplicate", "no other option"),
    ({"options": [{}, {"name": "b"}]}, "#/options/0/name", "required", "required"),
    ({"options": [{"name": "a", "ball": {"cover": "glass"}}, {"name": "b"}]},
     "#/options/0/ball/cover", "not_one_of", "polyester"),
    ({"options": [TWO[0], {"name": "b", "release": {"hook_boards": 1}}]},
     "#/options/1/release/hook_boards", "inconsistent", "worked out"),
    ({"bowler": {"release": {"hook_boards": 1}}}, "#/bowler/release/hook_boards", "inconsistent",
     "worked out"),
    ({"leave_counts": COUNTS}, "#/games", "required", "go together"),
    ({"games": 3}, "#/leave_counts", "required", "go together"),
    ({"leave_counts": [], "games": 3}, "#/leave_counts", "out_of_range", "1 to 60"),
    ({"leave_counts": COUNTS, "games": 0}, "#/games", "out_of_range", "from 0.1"),
    ({"leave_counts": COUNTS, "games": 5}, "#/leave_counts", "out_of_range", "60 leaves in 5"),
    ({"leave_counts": [{"leave": "7", "count": 0}], "games": 5}, "#/leave_counts", "out_of_range",
     "more than 0"),
    ({"leave_counts": [COUNTS[0], COUNTS[0]], "games": 30}, "#/leave_counts/1/leave", "duplicate",
     "10 is counted twice"),
    ({**COUNTED, "rows": [{"rolls": "9/", "leave": "10"}]}, "#/leave_counts", "inconsistent",
     "rows"),
    ({"rows": [{"rolls": "X"}]}, "#/rows", "inconsistent", "nothing to compare"),
    ({"csv": "rolls\nX"}, "#/csv", "inconsistent", "nothing to compare"),
    ({"csv": "x\nX"}, "#/csv", "unreadable_csv", "names no column"),
    ({"target_boards": {"value": 1, "low": 1.1, "high": 2}}, "#/target_boards", "inconsistent",
     "low <= value <= high"),
    ({"target_boards": {"value": 1, "low": 0.2, "high": 2}}, "#/target_boards/low",
     "out_of_range", "0.25 to 4 times the value, 1, got 0.2"),
    ({"confidence": 0.2}, "#/confidence", "out_of_range", "from 0.5 to 0.99"),
    ({"bowler": {"release": {"speed_mph": 9}, "spread": {"rotation_deg": 0}}}, "#/options",
     "required", "no usual way"),
]  # fmt: skip


@pytest.mark.parametrize(("body", "pointer", "code", "says"), INVALID)
def test_invalid_input_names_field_value_and_range(
    client: FlaskClient, body: dict[str, Any], pointer: str, code: str, says: str
) -> None:
    response = client.post("/v1/comparisons", json=body)
    faults = problem(response, 422, "invalid-request")["errors"]
    fault = next(fault for fault in faults if fault["pointer"] == pointer)
    assert fault["code"] == code
    assert says in fault["detail"]
