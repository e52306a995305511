"""A season's leaves in bulk: what was made, against what this accuracy should make.

`season.csv` is invented. Answers are kept in a file, so a run that was stopped goes on, and a
second look at the same season asks the service nothing.

Run: LEAVELINE_URL=http://127.0.0.1:8000 python season.py season.csv season.rows.jsonl
"""

from __future__ import annotations

import csv
import os
import sys
from collections import defaultdict
from dataclasses import dataclass

from leaveline_client import Client


@dataclass(slots=True)
class Tally:
    """Leaves of one kind."""

    count: int = 0
    made: int = 0
    expected: float = 0.0
    variance: float = 0.0

    def add(self, *, made: bool, probability: float) -> None:
        """Count one leave."""
        self.count += 1
        self.made += made
        self.expected += probability
        self.variance += probability * (1 - probability)

    @property
    def verdict(self) -> str:
        """Whether the difference is more than chance: two standard deviations, a common bar."""
        if abs(self.made - self.expected) <= 2 * self.variance**0.5:
            return "as expected"
        return "better than expected" if self.made > self.expected else "practise this"


def main(season: str, answers: str) -> None:
    """Print a table by kind of leave."""
    with open(season, encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    tallies: dict[str, Tally] = defaultdict(Tally)
    with Client(os.environ.get("LEAVELINE_URL", "http://127.0.0.1:8000")) as client:
        kinds = {leave.leave: leave.category for leave in client.leaves().items}
        items = [
            {
                "id": f"{row['week']}/{row['game']}/{row['frame']}",
                "leave": row["leave"],
                "bowler": {"hand": row["hand"], "level": row["level"]},
                "limit": 1,
            }
            for row in rows
        ]
        for own, answer in zip(rows, client.lines_many(items, output=answers), strict=True):
            if answer.problem is not None:
                print(f"{answer.id}: {answer.problem.detail}", file=sys.stderr)
            elif answer.result is not None:
                tallies[kinds[answer.result.leave]].add(
                    made=own["made"] == "yes",
                    probability=answer.result.lines[0].make_probability,
                )
    print(f"{'kind':<12}{'leaves':>8}{'made':>6}{'expected':>10}  verdict")
    for kind, tally in sorted(tallies.items()):
        print(f"{kind:<12}{tally.count:>8}{tally.made:>6}{tally.expected:>10.1f}  {tally.verdict}")


if __name__ == "__main__":
    main(*sys.argv[1:])
