"""A decision in a match: go for the spare, or take the count?

An invented final, tenth frame: six pins fell, 4-6-7-10 stands, and the opponent has a frame to go.

Run: LEAVELINE_URL=http://127.0.0.1:8080 python match.py
"""

from __future__ import annotations

import os

from leaveline_client import Bowler, Client, Situation, Strength

URL = os.environ.get("LEAVELINE_URL", "http://127.0.0.1:8080")
KEY = os.environ.get("LEAVELINE_API_KEY") or None
OWN = ["X", 7, "/", 9, "/", "X", "X", 8, "/", 9, "-", "X", 9, "/", "S6"]
OPPONENT = [9, "/", 8, "/", 8, "-", "X", 9, "/", 7, "/", 7, "/", "X", 9, "/"]


def main() -> None:
    """Ask, and show both plays side by side."""
    situation = Situation(
        kind="match",
        own_rolls=OWN,
        own_strength=Strength(average_pins=205),
        opponent_rolls=OPPONENT,
        opponent_strength=Strength(average_pins=210),
        tie_rule="roll_off",
    )
    with Client(URL, api_key=KEY) as client:
        advice = client.advice(
            leave="4-6-7-10", bowler=Bowler(level="scratch"), situation=situation
        )
    print(advice.words)
    print(f"{'play':<8}{'made':>8}{'win':>8}{'score':>8}")
    for name, play in (("spare", advice.plays.spare), ("count", advice.plays.count)):
        print(
            f"{name:<8}{play.make_probability:>8.1%}{play.win_probability or 0:>8.1%}"
            f"{play.expected_score:>8.1f}"
        )
    for reason in advice.because:
        print(f"- {reason.words}")
    print((advice.plays.spare if advice.play == "spare" else advice.plays.count).line.words)


if __name__ == "__main__":
    main()
