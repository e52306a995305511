"""The room to miss, drawn: for each leave, how far off the target board still makes it.

The lane is drawn as the bowler sees it, so that left- and right-handers stand on one picture.
Needs matplotlib (the extra `plot`), imported only when something is drawn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from os import PathLike
from typing import Self

from leaveline_client.answers import LinesAnswer
from leaveline_client.asking import Hand

CENTRE_BOARD = 20  # middle of 39 boards, for both hands
LANE_HALF_BOARDS = 19.5
ARROWS_APART_BOARDS = 5  # equipment specification: seven arrows on boards 5, 10, 15 ... 35
MOST_ROOMS = 100
"""More would be too small to read; the picture says how many are left out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The room of one line.

    Parameters
    ----------
    label : str
        What to write beside it.
    hand : {"right", "left"}
        Ball hand, whose side boards count from.
    target_board : float
        Board to hit, 15 ft out [board].
    left_boards, right_boards : float
        Room to each side as the bowler sees it [boards].
    make_probability : float
        0 to 1.
    """

    label: str
    hand: Hand
    target_board: float
    left_boards: float
    right_boards: float
    make_probability: float

    @classmethod
    def of(cls, answer: LinesAnswer, *, label: str, hand: Hand) -> Self:
        """The room of an answer's best line."""
        line = answer.lines[0]
        return cls(
            label=label,
            hand=hand,
            target_board=line.target_board,
            left_boards=line.miss_room.left_boards,
            right_boards=line.miss_room.right_boards,
            make_probability=line.make_probability,
        )

    @property
    def target(self) -> float:
        """Where the target is from the lane's middle [boards], positive to the right."""
        from_middle = CENTRE_BOARD - self.target_board
        return from_middle if self.hand == "right" else -from_middle


def draw_miss_room(rooms: Sequence[Room], path: str | PathLike[str]) -> None:
    """Draw rooms one below the other and save the picture.

    Parameters
    ----------
    rooms : sequence of Room
        The first MOST_ROOMS are drawn.
    path : path
        Its ending tells the format: .png, .svg, .pdf.

    Raises
    ------
    ImportError
        Without matplotlib.
    """
    from matplotlib.figure import Figure  # type: ignore[import-not-found,unused-ignore]

    shown = list(rooms[:MOST_ROOMS])
    figure = Figure(figsize=(9, 1.6 + 0.32 * len(shown)), layout="constrained")
    axes = figure.add_subplot()
    for arrow in range(-15, 16, ARROWS_APART_BOARDS):
        axes.axvline(arrow, color="0.85", linewidth=1, zorder=0)
    for y, room in enumerate(shown):
        left, right = room.target - room.left_boards, room.target + room.right_boards
        axes.plot([left, right], [y, y], color="tab:blue", linewidth=7, solid_capstyle="butt")
        axes.plot(room.target, y, marker="|", markersize=14, color="black")
        axes.annotate(
            f"board {room.target_board:g}: {room.make_probability:.0%}",
            (1.01, y),
            xycoords=("axes fraction", "data"),
            va="center",
        )
    axes.set_yticks(range(len(shown)), [room.label for room in shown])
    axes.set_ylim(len(shown) - 0.5, -0.5)
    axes.set_xlim(-LANE_HALF_BOARDS, LANE_HALF_BOARDS)
    axes.set_xlabel(
        "boards from the lane's middle at the arrows, as the bowler sees it (thin lines: arrows)"
    )
    left_out = len(rooms) - len(shown)
    more = f" ({left_out} more not drawn)" if left_out else ""
    axes.set_title(f"Room to miss and still more likely make it than not{more}")
    figure.savefig(path)
