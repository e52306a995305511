"""Oil on the lane, and the friction a ball meets on it.

A pattern is told by its length and ratio, or zone by zone; `oil_amount` lays it out over 39
boards and 60 ft, worn by the games bowled on it; `friction_map` turns oil into the friction of
one cover. Everything here is seen as a right-hander sees it: boards count from the RIGHT, arrays
run from left to right (their last axis by ascending x) and from the foul line to the head pin.
A left-hander's lane is `mirrored()`.

Amounts are relative: 1 is the oil on the middle boards at the foul line of a fresh pattern. No
published table ties amounts to friction, so the shapes and constants below marked "assumed" are
modest, smooth choices that give the published friction where the lane is well oiled and where it
is dry.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from numbers import Real
from typing import Literal, Self

import numpy as np
from numpy.typing import NDArray

from leaveline.lane.boards import other_hand_board
from leaveline.lane.dimensions import BOARD_COUNT, BOARD_IN, CENTRE_BOARD, FOUL_TO_HEAD_PIN_IN

Array = NDArray[np.float64]
LaneSurface = Literal["synthetic", "wood"]

FRICTION_MAX = 0.32  # equipment specification: the most a ball may have (seen in summaries)
FRICTION_MIN = 0.005  # assumed: nothing on a lane is slicker; keeps the ball's slip falling

LENGTH_RANGE_FT = (20.0, 55.0)  # assumed: wider than the 32-52 ft of common practice
RATIO_RANGE = (1.0, 20.0)  # flat to well past a walled house shot of about 10 (common practice)
AMOUNT_RANGE = (0.0, 2.0)
GAMES_WORN_RANGE = (0.0, 60.0)
TRACK_BOARD_DEFAULT = 10.0  # assumed: most right-handers play around the second arrow

OUTSIDE_BOARD = 7.0  # common practice: the ratio compares boards 3-7 with boards 18-22
MIDDLE_BOARD = 13.0  # assumed: full oil from here in, so that a wall stands about the second arrow
ZONE_EDGE_BOARDS = 2.0  # assumed: a zone's side edges smear over two boards
ZONE_EDGE_FT = 2.0  # assumed: and its ends over two feet
OIL_SCALE = 0.06  # assumed: friction falls from dry towards oiled as exp(-amount / scale), so
# that a ball still slides on the outside boards of a 10:1 wall, and usual lines to the pocket
# turn about the board that common practice names, the oil's length in feet less 31

TRACK_SD_BOARDS = 2.5  # assumed: how widely the balls of a session spread about their track
DEPLETION_MAX = 0.6  # assumed: the most of the track's oil that balls carry off
DEPLETION_GAMES = 24.0  # trade article: after some 24 games the whole track has dried (seen)
CARRY_SHARE = 0.1  # assumed: the part of it that is put down again past the end of the oil
CARRY_FT = 8.0  # assumed: over this length

SURFACE_FACTOR: dict[LaneSurface, float] = {
    "synthetic": 1.0,
    "wood": 1.1,  # assumed; wood hooks somewhat more (common practice)
}

BOARDS = np.arange(BOARD_COUNT, 0.0, -1.0)  # left to right, counted from the right: 39 ... 1
FEET = np.arange(0.0, FOUL_TO_HEAD_PIN_IN / 12 + 1)  # 0 ... 60


@dataclass(frozen=True, slots=True)
class OilZone:
    """A stretch of oil: whole boards `board_from` to `board_to`, both included.

    Parameters
    ----------
    board_from, board_to : float
        Boards from the right, 1 to 39, `board_from` not the larger.
    feet_from, feet_to : float
        Distance from the foul line [ft], 0 to 60, `feet_from` the smaller.
    amount : float
        Oil, 0 to 2; zones that overlap add up.

    Raises
    ------
    ValueError
        Names the field, its value and the allowed range.
    """

    board_from: float
    board_to: float
    feet_from: float
    feet_to: float
    amount: float

    def __post_init__(self) -> None:
        check_range("board_from", self.board_from, 1, BOARD_COUNT)
        check_range("board_to", self.board_to, self.board_from, BOARD_COUNT)
        check_range("feet_from", self.feet_from, 0, FEET[-1])
        check_range("feet_to", self.feet_to, self.feet_from, FEET[-1])
        if self.feet_to == self.feet_from:
            raise ValueError(f"feet_to = {self.feet_to}: must be larger than feet_from")
        check_range("amount", self.amount, *AMOUNT_RANGE)

    def mirrored(self) -> Self:
        """Give the zone as counted from the other side of the lane."""
        return replace(
            self,
            board_from=other_hand_board(self.board_to),
            board_to=other_hand_board(self.board_from),
        )


@dataclass(frozen=True, slots=True)
class OilPattern:
    """A fresh oil pattern: either its length and ratio, or its zones.

    Parameters
    ----------
    length_ft : float, optional
        Where the oil ends [ft from the foul line], 20 to 55.
    ratio : float, optional
        Oil on the middle boards (18-22) over oil on the outside boards (3-7), 1 (flat) to 20; a
        walled house shot has about 10 (common practice).
    zones : sequence of OilZone, optional
        Instead of the two others.

    Raises
    ------
    ValueError
        For a value out of range, or for both or neither of the two ways to tell a pattern.
    """

    length_ft: float | None = None
    ratio: float | None = None
    zones: tuple[OilZone, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "zones", tuple(self.zones))
        if self.zones:
            if self.length_ft is not None or self.ratio is not None:
                raise ValueError("zones: give either zones or length_ft and ratio, not both")
            return
        if self.length_ft is None or self.ratio is None:
            raise ValueError("length_ft and ratio: both are needed where there are no zones")
        check_range("length_ft", self.length_ft, *LENGTH_RANGE_FT)
        check_range("ratio", self.ratio, *RATIO_RANGE)

    @property
    def end_ft(self) -> float:
        """Where the oil ends [ft]."""
        if self.length_ft is not None:
            return self.length_ft
        return max(zone.feet_to for zone in self.zones)

    def mirrored(self) -> Self:
        """Give the pattern as counted from the other side of the lane."""
        return replace(self, zones=tuple(zone.mirrored() for zone in self.zones))


@dataclass(frozen=True, slots=True)
class CoverFriction:
    """The friction of one ball's cover [unitless] on well-oiled boards and on dry ones."""

    on_oil: float
    dry: float

    def __post_init__(self) -> None:
        check_range("dry", self.dry, FRICTION_MIN, FRICTION_MAX)
        check_range("on_oil", self.on_oil, FRICTION_MIN, self.dry)


@dataclass(frozen=True, slots=True, eq=False)
class FrictionMap:
    """Friction over the lane on a regular grid, interpolated bilinearly between its points.

    Beyond its outermost points the nearest edge value holds.

    Parameters
    ----------
    mu : ndarray, shape (n_y, n_x)
        Friction coefficients [unitless], 0.005 to 0.32; rows by ascending y, columns by
        ascending x. At least two of each. Kept as a read-only copy.
    x_from_in, y_from_in : float
        Position of the first column and row [in].
    x_step_in, y_step_in : float
        Their spacing [in], positive.

    Raises
    ------
    ValueError
        For a wrong shape, a spacing that is not positive, or friction out of range.
    """

    mu: Array
    x_from_in: float
    y_from_in: float
    x_step_in: float
    y_step_in: float

    def __post_init__(self) -> None:
        mu = np.array(self.mu, dtype=np.float64, order="C")
        if mu.ndim != 2 or min(mu.shape) < 2:
            raise ValueError(f"mu: shape {mu.shape}, must be two-dimensional, at least 2 by 2")
        check_range("mu", float(mu.min()), FRICTION_MIN, FRICTION_MAX)
        check_range("mu", float(mu.max()), FRICTION_MIN, FRICTION_MAX)
        for name in ("x_step_in", "y_step_in"):
            if not 0 < getattr(self, name) < math.inf:
                raise ValueError(f"{name} = {getattr(self, name)}: must be positive")
        mu.flags.writeable = False
        object.__setattr__(self, "mu", mu)

    def mirrored(self) -> Self:
        """Give the map of the mirrored lane (x becomes -x)."""
        x_to_in = self.x_from_in + (self.mu.shape[1] - 1) * self.x_step_in
        return replace(self, mu=self.mu[:, ::-1], x_from_in=-x_to_in)


def friction_map(
    pattern: OilPattern,
    *,
    cover: CoverFriction,
    games_worn: float = 0.0,
    track_board: float = TRACK_BOARD_DEFAULT,
    lane_surface: LaneSurface = "synthetic",
) -> FrictionMap:
    """Map the friction of a cover on an oiled lane, one point per board and foot.

    Friction falls smoothly from dry to oiled, mu = on_oil + (dry - on_oil) exp(-amount / 0.06):
    a little oil already takes much of it, more oil ever less (assumed; a film that is thick
    enough separates the surfaces). Sliding friction is taken as independent of speed (Coulomb),
    which a university laboratory's trials with a ball on a lane found to fit better than viscous
    drag (sports biomechanics group, UC Davis, web page on ball dynamics, seen).

    Parameters
    ----------
    pattern : OilPattern
    cover : CoverFriction
        What the ball brings; `leaveline.delivery.ball` gives it.
    games_worn : float
        Games bowled on this lane since it was oiled, 0 to 60.
    track_board : float
        The board those games mostly ran over, 1 to 39 from the right.
    lane_surface : {"synthetic", "wood"}
        Wood multiplies friction by 1.1 (assumed), up to the limit of 0.32.

    Returns
    -------
    FrictionMap
        Shape (61, 39).

    Raises
    ------
    ValueError
        For a value out of range.
    """
    if lane_surface not in SURFACE_FACTOR:
        raise ValueError(
            f"lane_surface = {lane_surface!r}: must be one of {', '.join(SURFACE_FACTOR)}"
        )
    amount = oil_amount(pattern, games_worn=games_worn, track_board=track_board)
    mu = cover.on_oil + (cover.dry - cover.on_oil) * np.exp(-amount / OIL_SCALE)
    return FrictionMap(
        mu=np.minimum(mu * SURFACE_FACTOR[lane_surface], FRICTION_MAX),
        x_from_in=float(CENTRE_BOARD - BOARDS[0]) * BOARD_IN,
        y_from_in=0.0,
        x_step_in=BOARD_IN,
        y_step_in=12.0,
    )


def oil_amount(
    pattern: OilPattern, *, games_worn: float = 0.0, track_board: float = TRACK_BOARD_DEFAULT
) -> Array:
    """Lay a pattern out over the lane and wear it.

    Wear (assumed, simple): balls take oil off the boards around their track, in the pattern's
    whole length, the share growing with the games towards 0.6 as 1 - exp(-games / 24); a tenth
    of what is taken is put down again over the 8 ft past the end, thinning out. No oil is made:
    the lane's total never rises.

    Parameters
    ----------
    pattern : OilPattern
    games_worn : float
        0 to 60.
    track_board : float
        1 to 39, from the right.

    Returns
    -------
    ndarray, shape (61, 39)
        Oil by foot (0 to 60) and by board from left to right (39 to 1).
    """
    check_range("games_worn", games_worn, *GAMES_WORN_RANGE)
    check_range("track_board", track_board, 1, BOARD_COUNT)
    if pattern.length_ft is None or pattern.ratio is None:
        fresh = _zoned(pattern.zones)
    else:
        fresh = _expanded(length_ft=pattern.length_ft, ratio=pattern.ratio)
    in_track = np.exp(-0.5 * ((BOARDS - track_board) / TRACK_SD_BOARDS) ** 2)
    taken = fresh * DEPLETION_MAX * (1 - math.exp(-games_worn / DEPLETION_GAMES)) * in_track
    return fresh - taken + _carried_down(taken, end_ft=pattern.end_ft)


def check_range(name: str, value: float, low: float, high: float) -> None:
    """Raise a ValueError that names field, value and range, unless low <= value <= high.

    NaN and anything that is not a plain number are refused too.
    """
    is_number = isinstance(value, Real) and not isinstance(value, bool)
    if not is_number or not low <= value <= high:
        shown = str(value) if is_number else repr(value)
        raise ValueError(f"{name} = {shown}: must be from {low:g} to {high:g}")


def _expanded(*, length_ft: float, ratio: float) -> Array:
    """Expand length and ratio: heaviest at the foul line, none at the end, less outside.

    Along the lane 1 - (y / length)^2; across, 1 on boards 13 and further in and 1 / ratio on
    boards 7 and further out, with a smooth step between (all assumed).
    """
    from_edge = np.minimum(BOARDS, BOARDS[::-1])
    share = _smooth_step((from_edge - OUTSIDE_BOARD) / (MIDDLE_BOARD - OUTSIDE_BOARD))
    across = 1 / ratio + (1 - 1 / ratio) * share
    along = np.maximum(1 - (FEET / length_ft) ** 2, 0.0)
    return np.outer(along, across)


def _zoned(zones: tuple[OilZone, ...]) -> Array:
    """Add up the zones, each with softened edges."""
    amount = np.zeros((len(FEET), len(BOARDS)))
    for zone in zones:
        across = _plateau(BOARDS, zone.board_from - 0.5, zone.board_to + 0.5, ZONE_EDGE_BOARDS)
        along = _plateau(FEET, zone.feet_from, zone.feet_to, ZONE_EDGE_FT)
        amount += zone.amount * np.outer(along, across)
    return amount


def _carried_down(taken: Array, *, end_ft: float) -> Array:
    """Put a tenth of what each board lost down again past the end of the oil."""
    past_ft = FEET - end_ft
    thinning = np.where(past_ft > 0, np.maximum(1 - past_ft / CARRY_FT, 0.0), 0.0)
    if not thinning.any():
        return np.zeros_like(taken)
    return np.outer(thinning / thinning.sum(), CARRY_SHARE * taken.sum(axis=0))


def _plateau(at: Array, low: float, high: float, edge: float) -> Array:
    """1 between low and high, 0 outside, each edge a smooth step of width `edge` about it."""
    rise = _smooth_step((at - low) / edge + 0.5)
    fall = _smooth_step((high - at) / edge + 0.5)
    return rise * fall


def _smooth_step(share: Array) -> Array:
    """Go from 0 at 0 to 1 at 1 with level ends (3s^2 - 2s^3)."""
    s = np.clip(share, 0.0, 1.0)
    return s * s * (3 - 2 * s)
