"""A chart of make probability by leave, for every level of bowler.

Needs matplotlib: pip install matplotlib

Run: LEAVELINE_URL=http://127.0.0.1:8080 python make_chart.py chart.png 10 3-6-10 3-10 1-2-10 7-10
"""

from __future__ import annotations

import os
import sys
from typing import get_args

from leaveline_client import Client
from leaveline_client.asking import Level
from matplotlib.figure import Figure

URL = os.environ.get("LEAVELINE_URL", "http://127.0.0.1:8080")
KEY = os.environ.get("LEAVELINE_API_KEY") or None
LEAVES = ["10", "2-8", "3-6-10", "3-6-9-10", "2-4-5-8", "3-10", "1-2-10", "5-7", "7-10"]


def main(*arguments: str) -> int:
    """Ask for each leave at each level, and draw."""
    if not arguments:
        print("usage: python make_chart.py PICTURE [LEAVE ...]", file=sys.stderr)
        return 2
    path, *leaves = arguments
    shown = leaves or LEAVES
    levels: tuple[Level, ...] = get_args(Level)
    figure = Figure(figsize=(8, 5), layout="constrained")
    axes = figure.add_subplot()
    with Client(URL, api_key=KEY) as client:
        for level, marker in zip(levels, "o^sD", strict=True):
            # The form that caches keep: the same few leaves are asked again and again.
            lines = [client.lines_for(leave, level=level).lines[0] for leave in shown]
            axes.errorbar(
                shown,
                [line.make_probability for line in lines],
                yerr=[2 * line.standard_error for line in lines],
                fmt=marker,
                capsize=3,
                label=level,
            )
    axes.set_ylim(-0.02, 1.02)
    axes.set_xlabel("leave")
    axes.set_ylabel("make probability (± two standard errors)")
    axes.grid(axis="y", alpha=0.4)
    axes.legend(title="level")
    figure.savefig(path)
    return 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
