"""`POST /v1/accuracy`: a known bowler is found again, what cannot be told is said, errors point."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import given, settings
from hypothesis import strategies as st
from leaveline.delivery import LEVELS
from leaveline.lines import Bowler
from leaveline.pins import Leave
from leaveline.practice.accuracy import MOST_THROWS
from leaveline.practice.forward import line_for, table_of
from leaveline.web.accuracy_schemas import MAX_MISSES, MAX_RESULTS
from leaveline.web.practice_paths import ACCURACY_EXAMPLE

from tests.web.test_document import conforms
from tests.web.test_errors import problem

SCALE, LEAN = 1.3, 0.5
SINGLE_PINS = ("10", "7", "4", "6")


def fit(client: FlaskClient, **body: Any) -> dict[str, Any]:
    response = client.post("/v1/accuracy", json=body)
    assert response.status_code == 200, response.get_data(as_text=True)
    answer: dict[str, Any] = json.loads(response.get_data())
    return answer


def thrown(attempts: int, *, seed: int, scale: float = SCALE, lean: float = 0.0) -> dict[str, Any]:
    """Results and recorded misses of an invented bowler of known spread and lean."""
    rng = np.random.default_rng(seed)
    results = []
    for name in SINGLE_PINS:
        leave = Leave.parse(name)
        line = line_for(leave, Bowler(), target_boards=scale)
        chance = table_of(leave, Bowler(), line).at(scale, lean)
        made = int(rng.binomial(attempts, chance))
        results.append(
            {
                "leave": name,
                "attempts": attempts,
                "made": made,
                "lay_down_board": line.lay_down_board,
                "target_board": line.target_board,
            }
        )
    misses = [float(round(miss)) for miss in rng.normal(lean, scale, attempts)]
    return {"results": results, "target_misses_boards": misses}


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("kinds", [("results",), ("target_misses_boards",), None])
def test_a_known_bowler_is_found_again(
    client: FlaskClient, seed: int, kinds: tuple[str, ...] | None
) -> None:
    told = thrown(150, seed=seed)
    found = fit(client, **{k: v for k, v in told.items() if kinds is None or k in kinds},
                confidence=0.99)  # fmt: skip
    scale = found["target_boards"]
    assert scale["low"] <= SCALE <= scale["high"]
    assert scale["low"] < scale["value"] < scale["high"]
    assert found["can_tell"]
    assert found["spread"]["target_boards"] == scale["value"]


def test_a_lean_is_found_on_its_side_and_none_where_there_is_none(client: FlaskClient) -> None:
    right = fit(client, **thrown(200, seed=4, lean=LEAN))
    assert right["lean_side"] == "right"
    assert right["lean_boards"]["low"] <= LEAN <= right["lean_boards"]["high"] + 0.1
    assert "lean" in right["words"]
    assert fit(client, **thrown(200, seed=5))["lean_side"] == "neither"
    unsought = fit(client, **thrown(200, seed=4, lean=LEAN), look_for_lean=False)
    assert not unsought["looked_for_lean"]
    assert unsought["lean_boards"] == {"value": 0, "low": 0, "high": 0}


@pytest.mark.parametrize("misses", [[], [0.1] * 200, [-20, 20] * 50])
def test_the_spread_can_be_sent_to_lines_as_it_is(client: FlaskClient, misses: list[float]) -> None:
    found = fit(client, target_misses_boards=misses)
    body = {"leave": "3-10", "bowler": {"spread": found["spread"]}, "limit": 1}
    answered = client.post("/v1/lines", json=body)
    assert answered.status_code == 200
    for path in ("/v1/reviews", "/v1/comparisons"):
        rows = {"rows": [{"rolls": "9/", "leave": "10"}], "bowler": body["bowler"]}
        again = client.post(path, json=rows)
        assert again.status_code == 200, again.get_data(as_text=True)


def test_a_preset_thrown_exactly_is_answered_by_that_preset_in_proportion(
    client: FlaskClient,
) -> None:
    """The prior alone of a stated level lies about its preset."""
    found = fit(client, bowler={"level": "scratch"})
    assert found["level"] == "scratch"
    assert found["throws"] == 0
    assert [reason["code"] for reason in found["reasons"]] == ["no_throws"]
    preset = LEVELS["scratch"]
    assert found["target_boards"]["value"] == pytest.approx(preset.target_boards, rel=0.02)
    assert found["spread"]["rotation_deg"] == pytest.approx(preset.rotation_deg, rel=0.05)


def test_too_few_throws_say_so_and_how_many_more_would_tell(client: FlaskClient) -> None:
    few = fit(client, results=[{"leave": "10", "attempts": 4, "made": 3}])
    assert not few["can_tell"]
    assert "few_throws" in {reason["code"] for reason in few["reasons"]}
    recorded = next(one for one in few["more_throws"] if one["leave"] is None)
    assert 0 < recorded["throws_to_tell"] <= 50
    assert "To tell the spread" in few["words"]
    # Thrown as asked, as such a bowler throws, they do tell.
    scale, lean = few["target_boards"]["value"], few["lean_boards"]["value"]
    told = 0
    for seed in range(10):
        rng = np.random.default_rng(seed)
        misses = rng.normal(lean, scale, round(1.25 * recorded["throws_to_tell"]))
        more = fit(client, results=[{"leave": "10", "attempts": 4, "made": 3}],
                   target_misses_boards=[float(np.round(miss)) for miss in misses])  # fmt: skip
        told += more["can_tell"]
    assert told >= 7
    many = fit(client, **thrown(150, seed=1))
    assert {one["throws_to_tell"] for one in many["more_throws"]} == {0}


def test_leaves_that_any_spread_makes_say_little_and_are_named(client: FlaskClient) -> None:
    found = fit(client, bowler={"level": "tour"},
                results=[{"leave": "5", "attempts": 60, "made": 60},
                         {"leave": "7-10", "attempts": 30, "made": 0}])  # fmt: skip
    reason = next(one for one in found["reasons"] if one["code"] == "leaves_say_little")
    assert "7-10" in reason["leaves"]
    assert "7-10" in reason["words"]


def test_a_mirrored_bowler_is_fitted_mirrored(client: FlaskClient) -> None:
    misses = [0, 1, 1, -1, 2]
    right = fit(client, results=[{"leave": "10", "attempts": 50, "made": 30}],
                target_misses_boards=misses)  # fmt: skip
    left = fit(client, results=[{"leave": "7", "attempts": 50, "made": 30}],
               target_misses_boards=[-miss for miss in misses],
               bowler={"hand": "left"})  # fmt: skip
    assert left["target_boards"]["value"] == pytest.approx(right["target_boards"]["value"], 1e-6)
    assert left["lean_boards"]["value"] == pytest.approx(-right["lean_boards"]["value"], abs=1e-5)


def test_a_line_that_is_assumed_is_told(client: FlaskClient) -> None:
    given_line = {"lay_down_board": 30, "target_board": 24}
    found = fit(client, results=[
        {"leave": "10", "attempts": 50, "made": 30},
        {"leave": "10", "attempts": 50, "made": 30, **given_line},
    ])  # fmt: skip
    assumed, told = found["leaves"]
    assert (assumed["line_assumed"], told["line_assumed"]) == (True, False)
    assert {name: told[name] for name in given_line} == given_line
    assert found["throws"] == 100


def test_ball_release_and_lane_change_the_answer(client: FlaskClient) -> None:
    """A hooking ball misses more for the same spread, so the same makes mean a closer one."""
    results = [{"leave": "10", "attempts": 100, "made": 60}]
    straight = fit(client, results=results)
    hooking = fit(client, results=results, lane={"oil": {"length_ft": 40, "ratio": 2}},
                  bowler={"ball": {"cover": "reactive_solid"},
                          "release": {"rev_rate_rpm": 300, "axis_rotation_deg": 50}})  # fmt: skip
    assert hooking["target_boards"]["value"] < straight["target_boards"]["value"]


def test_the_same_body_gives_the_same_bytes_and_is_never_stored(client: FlaskClient) -> None:
    one, other = (client.post("/v1/accuracy", json=ACCURACY_EXAMPLE) for _ in range(2))
    assert one.data == other.data
    assert one.headers["Cache-Control"] == "no-store"
    answer = one.get_json()
    conforms("AccuracyAnswer", answer)
    assert answer["model"]["seed"] == 1
    changed = client.post("/v1/accuracy", json={**ACCURACY_EXAMPLE, "confidence": 0.9}).get_json()
    assert changed["input_digest"] != answer["input_digest"]


RESULT = {"leave": "10", "attempts": 50, "made": 30}
INVALID: list[tuple[dict[str, Any], str, str, str]] = [
    ({"results": {}}, "#/results", "wrong_type", "must be a list"),
    ({"results": [RESULT] * (MAX_RESULTS + 1)}, "#/results", "out_of_range", f"0 to {MAX_RESULTS}"),
    ({"results": [{"leave": "10"}]}, "#/results/0/attempts", "required", "required"),
    ({"results": [{**RESULT, "leave": "10-10"}]}, "#/results/0/leave", "invalid_leave", "twice"),
    ({"results": [{**RESULT, "attempts": 0}]}, "#/results/0/attempts", "out_of_range",
     f"from 1 to {MOST_THROWS}"),
    ({"results": [{**RESULT, "made": 51}]}, "#/results/0/made", "out_of_range",
     "0 to the attempts, 50, got 51"),
    ({"results": [{**RESULT, "made": -1}]}, "#/results/0/made", "out_of_range", "got -1"),
    ({"results": [{**RESULT, "made": "30"}]}, "#/results/0/made", "wrong_type", "whole number"),
    ({"results": [{**RESULT, "made": True}]}, "#/results/0/made", "wrong_type", "whole number"),
    ({"results": [{**RESULT, "made": 3.5}]}, "#/results/0/made", "wrong_type", "whole number"),
    ({"results": [RESULT, {**RESULT, "target_board": 3}]}, "#/results/1/target_board",
     "inconsistent", "lay_down_board"),
    ({"results": [{**RESULT, "lay_down_board": 41, "target_board": 3}]},
     "#/results/0/lay_down_board", "out_of_range", "from 0 to 40"),
    ({"results": [{**RESULT, "makes": 3}]}, "#/results/0/makes", "unknown_field", "not known"),
    ({"target_misses_boards": [0, 21]}, "#/target_misses_boards/1", "out_of_range", "-20 to 20"),
    ({"target_misses_boards": ["1"]}, "#/target_misses_boards/0", "wrong_type", "number"),
    ({"target_misses_boards": [0] * (MAX_MISSES + 1)}, "#/target_misses_boards", "out_of_range",
     f"0 to {MAX_MISSES}"),
    ({"pins_misses_boards": [40]}, "#/pins_misses_boards/0", "out_of_range", "-39 to 39"),
    ({"bowler": {"spread": {"target_boards": 1}}}, "#/bowler/spread", "inconsistent", "is fitted"),
    ({"bowler": {"level": "pro"}}, "#/bowler/level", "not_one_of", "tour"),
    ({"look_for_lean": 1}, "#/look_for_lean", "wrong_type", "true or false"),
    ({"confidence": 1}, "#/confidence", "out_of_range", "from 0.5 to 0.99"),
    ({"confidence": 0.49}, "#/confidence", "out_of_range", "got 0.49"),
    ({"throws": 3}, "#/throws", "unknown_field", "not known"),
]  # fmt: skip


@pytest.mark.parametrize(("body", "pointer", "code", "says"), INVALID)
def test_invalid_input_names_field_value_and_range(
    client: FlaskClient, body: dict[str, Any], pointer: str, code: str, says: str
) -> None:
    response = client.post("/v1/accuracy", json=body)
    faults = problem(response, 422, "invalid-request")["errors"]
    fault = next(fault for fault in faults if fault["pointer"] == pointer)
    assert fault["code"] == code
    assert says in fault["detail"]


@settings(max_examples=25)
@given(
    misses=st.lists(st.floats(-20, 20), max_size=6),
    pins=st.lists(st.floats(-39, 39), max_size=6),
    share=st.floats(0, 1),
    attempts=st.integers(1, MOST_THROWS),
    leave=st.sampled_from(["10", "7-10", "1-2-3-4-5-6-7-8-9-10"]),
    level=st.sampled_from([None, "tour", "casual"]),
)
def test_whatever_was_thrown_is_answered(
    app: Flask,
    misses: list[float],
    pins: list[float],
    share: float,
    attempts: int,
    leave: str,
    level: str | None,
) -> None:
    found = fit(
        app.test_client(),
        results=[{"leave": leave, "attempts": attempts, "made": int(share * attempts)}],
        target_misses_boards=misses,
        pins_misses_boards=pins,
        bowler={} if level is None else {"level": level},
    )
    for name in ("target_boards", "lean_boards"):
        estimate = found[name]
        assert estimate["low"] <= estimate["value"] <= estimate["high"]
    for one in found["leaves"]:
        assert 0 <= one["make_probability"]["value"] <= 1
