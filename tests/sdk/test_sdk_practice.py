"""Accuracy, reviews and comparisons through the client: typed objects in, typed objects out."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from leaveline_client import (
    Ball,
    Bowler,
    Client,
    ComparedOption,
    Interval,
    InvalidRequest,
    Lane,
    LeaveCount,
    LeaveResult,
    Oil,
    Release,
    SeasonRow,
    Spread,
)

TEXT = "game;frame;rolls;leave;ball\n1;1;9/;10;für Spares\n1;2;9-;7;für Spares\n1;3;qq;10;\n"
RESULTS = [
    LeaveResult(leave="10", attempts=60, made=41),
    LeaveResult(leave=[7], attempts=9, made=5),
]


def test_an_accuracys_spread_goes_into_any_other_question(client: Client) -> None:
    fit = client.accuracy(results=RESULTS, target_misses_boards=(0, 1.0, -1), bowler=Bowler())
    assert fit.throws == 72
    assert fit.target_boards.low < fit.spread.target_boards < fit.target_boards.high
    bowler = Bowler(level="league", spread=fit.spread)
    same = client.lines(leave="10", bowler={"spread": fit.spread.to_dict()}, limit=1)
    assert client.lines(leave="10", bowler=bowler, limit=1) == same
    review = client.review(rows=[SeasonRow(rolls="9/", leave="10")], bowler=bowler)
    assert review.accuracy is None
    assert review.spread == fit.spread
    compared = client.compare(bowler=bowler, target_boards=fit.target_boards)
    assert compared.leaves_from == "usual"


def test_a_file_is_reviewed_however_it_is_given(client: Client, tmp_path: Path) -> None:
    path = tmp_path / "season.csv"
    path.write_bytes(TEXT.encode("utf-16"))
    with path.open("rb") as binary, path.open(encoding="utf-16") as text:
        given: list[Any] = [
            TEXT, TEXT.encode(), TEXT.encode("utf-8-sig"), TEXT.encode("latin-1"), path, binary,
            text, io.StringIO(TEXT), io.BytesIO(TEXT.encode()),
        ]  # fmt: skip
        found = [client.review(csv=csv) for csv in given]
    assert all(one == found[0] for one in found)
    assert [(report.row, report.field) for report in found[0].rows.reports] == [(4, "rolls")]
    assert "für Spares" in {group.name for group in found[0].groups}
    with pytest.raises(FileNotFoundError):
        client.review(csv=tmp_path / "none.csv")


def test_rows_are_objects_or_mappings(client: Client) -> None:
    rows = [
        SeasonRow(game=1, frame=1, rolls=[9, "/"], leave=[10], made=True),
        SeasonRow(leave="3-10", made="no", missed_target_by_boards="1 left"),
    ]
    found = client.review(rows=rows)
    assert found == client.review(rows=[row.to_dict() for row in rows])
    assert (found.rows.used, found.rows.reports) == (2, ())


def test_a_bowler_in_a_few_words_is_the_bowler_in_full(client: Client) -> None:
    few = client.review(csv=TEXT, hand="left", level="tour", oil_length_ft=40)
    full = client.review(
        csv=TEXT, bowler=Bowler(hand="left", level="tour"), lane=Lane(oil=Oil(length_ft=40))
    )
    assert few == full
    with pytest.raises(InvalidRequest) as caught:
        client.review(csv=TEXT, bowler=Bowler(), hand="left")
    assert [fault.pointer for fault in caught.value.errors] == ["#/bowler"]


def test_ways_to_throw_are_compared(client: Client) -> None:
    found = client.compare(
        bowler=Bowler(
            ball=Ball(cover="reactive_solid"),
            release=Release(rev_rate_rpm=300, axis_rotation_deg=50),
        ),
        lane=Lane(oil=Oil(length_ft=40, ratio=2)),
        options=[
            ComparedOption(name="now"),
            ComparedOption(name="polyester", ball=Ball(cover="polyester")),
            ComparedOption(name="steady", spread=Spread(rotation_deg=2)),
        ],
        leave_counts=[LeaveCount(leave="10", count=45)],
        games=30,
        target_boards=Interval(value=1.3, low=1.1, high=1.5),
    )
    assert [option.name for option in found.options] == ["now", "polyester", "steady"]
    assert found.options[1].gain_pins_per_game.value > 0
    assert len(found.leaves[0].make_probabilities) == 3
    season = client.compare(csv=TEXT)
    assert season.rows is not None
    assert season.leaves_from == "season"


def test_what_is_wrong_is_pointed_at(client: Client) -> None:
    with pytest.raises(InvalidRequest) as caught:
        client.accuracy(results=[LeaveResult(leave="10", attempts=5, made=6)])
    assert caught.value.errors[0].pointer == "#/results/0/made"
    with pytest.raises(ValueError, match=r"target_misses_boards\[1\] = nan"):
        client.accuracy(target_misses_boards=[0, float("nan")])
