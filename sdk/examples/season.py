"""A season's CSV analysed: how accurate, what was lost where, what to practise.

`season.csv` is invented; one of its leaves was spoilt by a spreadsheet, as happens.

Run: LEAVELINE_URL=http://127.0.0.1:8080 python season.py season.csv
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from leaveline_client import Client, ReviewAnswer

URL = os.environ.get("LEAVELINE_URL", "http://127.0.0.1:8080")
KEY = os.environ.get("LEAVELINE_API_KEY") or None
SHOWN = 8


def main(*arguments: str) -> int:
    """Print a review of the season's file on the command line."""
    if len(arguments) != 1:
        print("usage: python season.py SEASON.csv", file=sys.stderr)
        return 2
    with Client(URL, api_key=KEY) as client:
        found = client.review(csv=Path(arguments[0]), hand="right", level="league", limit=3)
    for report in found.rows.reports:
        print(f"row {report.row}: {report.reason}", file=sys.stderr)
    show(found)
    return 0


def show(found: ReviewAnswer) -> None:
    """Print what a coach looks at first."""
    print(f"{found.frames} frames, {found.complete_games} games, average {found.average_pins:.1f}")
    if found.accuracy is not None:
        print(found.accuracy.words)
    print(f"{'leave':<10}{'made':>10}{'expected':>10}{'pins lost a game':>18}  verdict")
    for one in found.leaves[:SHOWN]:
        expected = "" if one.expected is None else f"{one.expected.value:.0%}"
        made = f"{one.made} of {one.attempts}"
        lost = f"{one.pins_lost_per_game:.2f}"
        print(f"{one.leave:<10}{made:>10}{expected:>10}{lost:>18}  {one.verdict}")
    for place, item in enumerate(found.practice, start=1):
        print(f"{place}. {item.words}")
    for caution in found.cautions:
        print(f"- {caution}")


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
