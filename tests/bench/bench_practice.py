"""How fast a season is read and reviewed, and an accuracy fitted; beside plain ways to do it.

Run from the project's root with ``service`` and the root on the Python path. Everything is timed
in one run on one core, so read the ratios; the times alone depend on the machine. Nothing is
asserted.
"""

from __future__ import annotations

import csv
import io
import json
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np
from leaveline.delivery import LEVELS
from leaveline.lines import Bowler, make_probabilities
from leaveline.pins import Leave
from leaveline.practice import (
    BallOption,
    LeaveResult,
    compare_balls,
    fit_accuracy,
    forward,
    review,
    season_from_csv,
    spare_ball,
    usual_leaves,
)
from leaveline.practice.forward import line_for, spread_in_proportion, table_of
from leaveline.web import create_app
from leaveline.web.settings import Settings

from tests.practice.synthetic import as_csv, season_rows

GAMES = 1000  # ten thousand frames
SCALE = 1.3
LEAGUE = Bowler(spread=LEVELS["league"])
CLIENT = create_app(Settings()).test_client()


def main() -> None:
    table_of(TEN, LEAGUE, line_for(TEN, LEAGUE, target_boards=1.0))  # compiles what is compiled
    rows = season_rows(GAMES, chance, seed=1)
    content = as_csv(rows).encode()
    season = season_from_csv(content)
    print(f"season of {len(season.frames)} frames, {len(content) / 1e6:.1f} MB")
    plain = seconds(lambda: list(csv.DictReader(io.StringIO(content.decode()))))
    row("csv module alone, nothing checked", plain, "")
    read = seconds(lambda: season_from_csv(content))
    row("read and checked by the rules", read, f"{read / plain:8.1f} times the first line")

    forget()
    cold = seconds(lambda: review(season), repeats=1)
    row("reviewed, no line known yet", cold, f"{len(season.frames) / cold:8.0f} frames a second")
    warm = seconds(lambda: review(season))
    row("reviewed, lines cached", warm, f"{len(season.frames) / warm:8.0f} frames a second")
    known = seconds(lambda: review(season, LEVELS["league"]))
    row("reviewed, accuracy given", known, f"{len(season.frames) / known:8.0f} frames a second")

    print("the same over HTTP, lines cached")
    both = read + warm
    for name, body, kind in (
        ("CSV file", content, "text/csv"),
        ("its text in JSON", json.dumps({"csv": content.decode()}).encode(), "application/json"),
        ("rows in JSON", json.dumps({"rows": rows}).encode(), "application/json"),
    ):
        asked = seconds(partial(posted, body, kind), repeats=3)
        note = f"{asked / both:8.2f} times reading and reviewing it"
        row(f"{name}, {len(body) / 1e6:.2f} MB", asked, note)

    results = [LeaveResult(TEN, 100, 60), LeaveResult(SEVEN, 100, 58)]
    misses = np.round(np.random.default_rng(1).normal(0.2, SCALE, 100)).tolist()
    fit_accuracy(results)
    print("accuracy")
    row("fit, makes at two corner pins", seconds(lambda: fit_accuracy(results)), "")
    fitted = seconds(lambda: fit_accuracy(results, target_misses_boards=misses))
    row("fit, those and 100 misses", fitted, "")
    # The same likelihood on a grid of 61 by 41, every cell asked of the model directly.
    cell = seconds(one_cell)
    row("one cell asked directly, two leaves", cell, f"{61 * 41 * cell / fitted:8.0f} fits a grid")

    options = [BallOption("now", LEAGUE), BallOption("bends", replace(LEAGUE, hook_boards=4.0))]
    forget()
    print("two balls over the usual leaves")
    row("lines not known", seconds(lambda: compare_balls(options, usual_leaves()), repeats=1), "")
    row("lines cached", seconds(lambda: compare_balls(options, usual_leaves())), "")


TEN, SEVEN = Leave.parse("10"), Leave.parse("7")


def chance(leave: Leave) -> float:
    return table_of(leave, LEAGUE, line_for(leave, LEAGUE, target_boards=SCALE)).at(SCALE)


def posted(body: bytes, kind: str) -> None:
    answer = CLIENT.post("/v1/reviews", data=body, content_type=kind)
    assert answer.status_code == 200


def one_cell() -> None:
    bowler = replace(LEAGUE, spread=spread_in_proportion(1.1))
    for leave in (TEN, SEVEN):
        line = line_for(leave, LEAGUE, target_boards=SCALE)
        aimed = np.array([line.target_board])
        make_probabilities(leave, bowler, lay_down_board=line.lay_down_board, target_boards=aimed)


def forget() -> None:
    """Forget every line and table; the pins' carry maps stay."""
    for cache in (forward._solved, forward._table, spare_ball._best):
        cache.cache_clear()


def seconds(task: Callable[[], object], *, repeats: int = 5) -> float:
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        task()
        times.append(time.perf_counter() - start)
    return float(np.median(times))


def row(name: str, time_s: float, note: str) -> None:
    print(f"  {name:<38}{1e3 * time_s:10.1f} ms {note}")


if __name__ == "__main__":
    main()
