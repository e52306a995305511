"""From a leave and a bowler to lines: the main job.

A left-hander is solved as the right-hander at the mirrored leave, and the answer mirrored back.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from leaveline.delivery import ArrivalTable, Spread, rolling_path
from leaveline.delivery.arrivals import ANGLE, EDGE_MARGIN, X
from leaveline.lane import board_from_x, x_from_board
from leaveline.lane.dimensions import BOARD_COUNT, BOARD_IN, CENTRE_BOARD
from leaveline.lines.bowler import Bowler
from leaveline.lines.cautions import cautions_for
from leaveline.lines.contact import first_contact
from leaveline.lines.dry import dry_share
from leaveline.lines.integrate import (
    BLOCKS,
    MapView,
    Tally,
    arrivals_as_meant,
    averages,
    standard_errors_set,
    tally,
)
from leaveline.lines.line import Line, MissRoom, Play, Remainder, Side, SideMiss
from leaveline.lines.search import Landscape, LayDownRange, search, useful_arrivals
from leaveline.pins.carry import (
    DRAWS,
    CarryMap,
    carry_map,
    layers_for,
    mirrored_rows,
    rows_for,
)
from leaveline.pins.leave import Leave, mirror_mask

FloatArray = npt.NDArray[np.float64]

DEFAULT_SEED = 1
TALLY_ERRORS = 1024
"""Throws each reported line is averaged over."""
LOWEST_LAY_DOWN_BOARD = 2.0
"""The ball's centre stays a board inside the lane's edge when it is laid down."""
ROOM_REACH_BOARDS = 8.0
ROOM_STEP_BOARDS = 0.05
ROOM_SMOOTHING_BOARDS = 0.2
"""Miss room is read off the map averaged over this width at the target (0.9 in at the pins):
a cell's own probability comes from few decks."""
REMAINDERS_REPORTED = 3
MOST_LINES = 8
LEAST_SHARE_OF_BEST = 0.2
"""An alternative worth less than this share of the best line is not worth showing."""


def solve(
    leave: Leave,
    bowler: Bowler,
    *,
    play: Play = "spare",
    limit: int = 3,
    seed: int = DEFAULT_SEED,
) -> tuple[Line, ...]:
    """Find the best line for a leave, and alternatives that really differ, best first.

    Parameters
    ----------
    leave : Leave
    bowler : Bowler
    play : {"spare", "count"}
        What is made as large as possible: the probability that all fall, or the pins that fall.
    limit : int
        At most this many lines, 1 to 8.
    seed : int
        Seed of the fixed set of throws that every line is averaged over.

    Returns
    -------
    tuple of Line
        Never empty: where nothing makes the leave, the line with the most pins is given, and where
        nothing reaches a pin, the one that stays on the lane longest.

    Raises
    ------
    ValueError
        For a play of another name, or a limit out of range.
    """
    if play not in _worth:
        raise ValueError(f"play = {play!r}: must be spare or count")
    if not 1 <= limit <= MOST_LINES:
        raise ValueError(f"limit = {limit}: must be from 1 to {MOST_LINES}")
    if bowler.hand == "left":
        as_right = bowler.as_right_hander()
        lines = solve(leave.mirror, as_right, play=play, limit=limit, seed=seed)
        return tuple(line.mirrored() for line in lines)
    return _Solver(leave, bowler, seed).best(play, limit)


def evaluate(
    leave: Leave,
    bowler: Bowler,
    *,
    lay_down_board: float,
    target_board: float,
    play: Play = "spare",
    seed: int = DEFAULT_SEED,
) -> Line:
    """Work out everything about one given line, as `solve` does for the ones it finds."""
    if bowler.hand == "left":
        line = evaluate(
            leave.mirror,
            bowler.as_right_hander(),
            lay_down_board=lay_down_board,
            target_board=target_board,
            play=play,
            seed=seed,
        )
        return line.mirrored()
    return _Solver(leave, bowler, seed).line(lay_down_board, target_board, play=play)


def make_probabilities(
    leave: Leave,
    bowler: Bowler,
    *,
    lay_down_board: float | FloatArray,
    target_boards: FloatArray,
    seed: int = DEFAULT_SEED,
) -> FloatArray:
    """Make probability of each target (n,) from one lay-down or from each its own (n,): fast.

    A bowler who misses on average by b boards to one side throws the line of a target b boards
    off, so this also tells what a lean costs.
    """
    if bowler.hand == "left":
        leave, bowler = leave.mirror, bowler.as_right_hander()
    return _Solver(leave, bowler, seed).make_probabilities(lay_down_board, target_boards)


def lay_down_range(bowler: Bowler) -> LayDownRange:
    """Boards this bowler can lay the ball down on, the slide foot kept on the lane's own boards."""
    highest = BOARD_COUNT - bowler.stance.lay_down_offset_boards
    return LayDownRange(LOWEST_LAY_DOWN_BOARD, min(highest, BOARD_COUNT - 1))


class _Solver:
    """One right-handed bowler at one leave."""

    def __init__(self, leave: Leave, bowler: Bowler, seed: int) -> None:
        self.leave = leave
        self.bowler = bowler
        self.table = bowler.arrivals
        self.errors = standard_errors_set(TALLY_ERRORS, seed) * _scale(bowler.spread)
        self.carry, self.view = _carry_for(leave, self.table, bowler)

    def best(self, play: Play, limit: int) -> tuple[Line, ...]:
        """Best lines of each kind, those worth showing, best first."""
        candidates = search(self._landscape(play), limit + 1)
        lean = self.bowler.lean_boards
        # Boards to aim at are given to a tenth, as boards to cross are.
        lines = [
            self.line(lay_down, round(cross + lean, 1), play=play) for lay_down, cross in candidates
        ]
        if play == "spare" and not any(line.make_probability > 0 for line in lines):
            return tuple(replace(line, play="spare") for line in self.best("count", limit))
        worth = _worth[play]
        lines.sort(key=worth, reverse=True)
        enough = worth(lines[0]) * LEAST_SHARE_OF_BEST
        return tuple(line for line in lines[:limit] if worth(line) >= enough)

    def _landscape(self, play: Play) -> Landscape:
        return Landscape(
            leave=self.leave,
            table=self.table,
            chance=self.carry.made if play == "spare" else self.carry.pins,
            view=self.view,
            errors=self.errors,
            lay_downs=lay_down_range(self.bowler),
        )

    def line(self, lay_down_board: float, target_board: float, *, play: Play) -> Line:
        """Work out everything about one line; its target is where the bowler aims."""
        lay = x_from_board(lay_down_board)
        aim = x_from_board(target_board - self.bowler.lean_boards)
        arrival = arrivals_as_meant(self.table, np.array([lay]), np.array([aim]))[0]
        x, angle = float(arrival[X]), float(arrival[ANGLE])
        counted = tally(
            self.table,
            self.carry.outcomes,
            self.view,
            lay,
            aim,
            self.errors,
            leave_mask=self.carry.leave.mask,
        )
        # Weights add up to one give or take the last bit; a probability is never above it.
        pinfall = tuple(min(float(p), 1.0) for p in counted.pinfall[: len(self.leave) + 1])
        left, right = (self._missed(counted.remainders[side]) for side in (0, 1))
        line = Line(
            play=play,
            stand_board=self.bowler.stance.stand_board(lay_down_board),
            lay_down_board=lay_down_board,
            target_board=target_board,
            board_at_pins=board_from_x(x),
            entry_angle_rad=angle,
            contact=first_contact(self.leave, x, angle) if arrival[EDGE_MARGIN] >= 0 else None,
            make_probability=pinfall[-1],
            standard_error=_standard_error(counted),
            expected_pins=math.fsum(count * p for count, p in enumerate(pinfall)),
            pinfall=pinfall,
            miss_room=self._miss_room(lay, aim),
            missed_left=left,
            missed_right=right,
            sent_probability=counted.sent,
            wall_probability=counted.walls,
            lost_probability=counted.lost,
        )
        nearest_edge = max(lay, x, key=abs)
        rolling = self.bowler.rolling
        if rolling is not None:
            path = rolling_path(rolling, lay, aim)
            nearest_edge = float(max(path.x_in, key=abs))
            line = replace(line, dry_probability=dry_share(rolling, path, self.errors))
        gutter: Side = "right" if nearest_edge > 0 else "left"
        return replace(line, cautions=cautions_for(self.leave, line, gutter))

    def make_probabilities(
        self, lay_down_board: float | FloatArray, target_boards: FloatArray
    ) -> FloatArray:
        """Make probability for each target, over the whole error set."""
        lay_down = np.broadcast_to(lay_down_board, target_boards.shape)
        lay = (CENTRE_BOARD - lay_down) * BOARD_IN
        aim = (CENTRE_BOARD - target_boards + self.bowler.lean_boards) * BOARD_IN
        return averages(self.table, self.carry.made, self.view, lay, aim, self.errors)

    def _missed(self, remainders: FloatArray) -> SideMiss:
        missed = remainders.copy()
        missed[0] = 0.0
        total = float(missed.sum())
        top = np.argsort(-missed, kind="stable")[:REMAINDERS_REPORTED]
        return SideMiss(
            total,
            tuple(
                Remainder(
                    mirror_mask(int(mask)) if self.view.mirrored else int(mask),
                    float(missed[mask] / total),
                )
                for mask in top
                if missed[mask] > 0.0
            ),
        )

    def _miss_room(self, lay: float, aim: float) -> MissRoom:
        """Walk out from the target to both sides until the spare is no longer likely."""
        count = round(ROOM_REACH_BOARDS / ROOM_STEP_BOARDS)
        offsets: FloatArray = np.arange(-count, count + 1, dtype=np.float64) * ROOM_STEP_BOARDS
        none = np.zeros((1, self.errors.shape[1]))
        chance = averages(
            self.table,
            self.carry.made,
            self.view,
            np.full(offsets.size, lay),
            aim + offsets * BOARD_IN,
            none,
        )
        width = round(ROOM_SMOOTHING_BOARDS / ROOM_STEP_BOARDS) + 1
        smooth = np.convolve(chance, np.full(width, 1 / width), mode="same")
        likely = smooth > 0.5
        if not likely[count]:
            return MissRoom(0.0, 0.0)
        to_left = int(np.argmin(likely[count::-1]) or count) - 1
        to_right = int(np.argmin(likely[count:]) or count) - 1
        return MissRoom(to_left * ROOM_STEP_BOARDS, to_right * ROOM_STEP_BOARDS)


_worth: dict[Play, Callable[[Line], float]] = {
    "spare": lambda line: line.make_probability,
    "count": lambda line: line.expected_pins,
}


def _scale(spread: Spread) -> FloatArray:
    """Turn standard errors into inches of lay-down and target; the rest stay standard."""
    scale = np.ones(6)
    scale[0] = spread.lay_down_boards * BOARD_IN
    scale[1] = spread.target_boards * BOARD_IN
    return scale


def _carry_for(leave: Leave, table: ArrivalTable, bowler: Bowler) -> tuple[CarryMap, MapView]:
    """Give the carry map, filled for every angle at which this bowler can meet the leave."""
    carry, mirrored = carry_map(leave, ball_mass_lb=bowler.ball_weight_lb)
    useful = useful_arrivals(leave, table, lay_down_range(bowler))
    rows = rows_for(useful.lowest_angle_rad, useful.highest_angle_rad)
    view = MapView(
        rows=mirrored_rows(rows) if mirrored else rows,
        layers=layers_for(useful.slowest_in_s, useful.fastest_in_s),
        depth_in=carry.depth_in,
        mirrored=mirrored,
    )
    carry.fill(view.rows, view.layers)
    return carry, view


def _standard_error(counted: Tally) -> float:
    """Uncertainty of the make probability: of the throws' set and of the map's finite decks."""
    of_set = float(np.std(counted.made_by_block, ddof=1)) / math.sqrt(BLOCKS)
    # A sure make sums to one give or take the last bit, and its variance to just below zero.
    of_map = math.sqrt(max(counted.map_variance, 0.0) / (TALLY_ERRORS / 4 * DRAWS))
    return math.hypot(of_set, of_map)
