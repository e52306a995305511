"""A ball rolling over oil: what is thrown and on what, and where it arrives.

The path is integrated (`leaveline.delivery.path`) on a grid of lay-downs and targets; what the
bowler varies besides, and that a pattern is never known exactly, enters through its first order.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from leaveline.delivery.arrivals import (
    ANGLE,
    COLUMNS,
    EDGE_MARGIN,
    SPEED,
    ArrivalTable,
    X,
    table_grid,
)
from leaveline.delivery.ball import Ball
from leaveline.delivery.path import Arrivals as Arrived
from leaveline.delivery.path import PathTrace, roll_balls, trace_path
from leaveline.delivery.release import Release
from leaveline.delivery.spread import Spread
from leaveline.lane.dimensions import TARGET_IN
from leaveline.lane.oil import (
    FRICTION_MAX,
    FrictionMap,
    LaneSurface,
    OilPattern,
    friction_map,
)

FloatArray = npt.NDArray[np.float64]

LANE_SD = 0.06
"""Standard deviation of the lane's friction about what the pattern says, everywhere alike, as a
share (assumed): a pattern is never known exactly."""
AIM_PASSES = 2
"""Corrections of the launch angle until the ball crosses its target; each takes the miss there
from boards to hundredths."""


@dataclass(frozen=True, slots=True)
class Rolling:
    """A ball, a release and a lane, told for a right-hander.

    Attributes
    ----------
    ball : Ball
    release : Release
    oil : OilPattern
    games_worn : float
        Games bowled on the pattern, 0 to 60.
    lane_surface : {"synthetic", "wood"}
    """

    ball: Ball
    release: Release
    oil: OilPattern = field(default_factory=lambda: OilPattern(40.0, 10.0))
    games_worn: float = 0.0
    lane_surface: LaneSurface = "synthetic"


@lru_cache(maxsize=64)
def rolling_arrivals(rolling: Rolling, spread: Spread) -> ArrivalTable:
    """Tabulate where the ball arrives; slopes are for speed, rotation, rev rate and the lane.

    Raises
    ------
    ValueError
        For a throw that would not reach the pins.
    """
    lay, target = table_grid()
    lay_down, aim = (grid.ravel() for grid in np.meshgrid(lay, target, indexing="ij"))
    friction = friction_of(rolling)
    launch = _launch_at(rolling, friction, lay_down, aim)
    as_meant = _columns(_roll(rolling, friction, lay_down, launch))
    shape = (lay.size, target.size, COLUMNS)
    slopes = [
        sign * (_columns(_roll(changed, on, lay_down, launch)) - as_meant)
        for changed, on, sign in _one_sd_changes(rolling, spread, friction)
    ]
    return ArrivalTable(lay, target, as_meant.reshape(shape), np.array(slopes).reshape(-1, *shape))


def rolling_path(rolling: Rolling, lay_down_x_in: float, target_x_in: float) -> PathTrace:
    """Follow one throw foot by foot, for drawing."""
    friction = friction_of(rolling)
    launch = _launch_at(rolling, friction, np.array([lay_down_x_in]), np.array([target_x_in]))
    release = rolling.release
    return trace_path(
        lay_down_x_in=lay_down_x_in,
        launch_angle_rad=float(launch[0]),
        speed_in_s=release.speed_in_s,
        rev_rate_rad_s=release.rev_rate_rad_s,
        axis_rotation_rad=release.axis_rotation_rad,
        axis_tilt_rad=release.axis_tilt_rad,
        friction=friction,
        ball_radius_in=rolling.ball.radius_in,
        gyration_ratio=rolling.ball.gyration_ratio,
    )


@lru_cache(maxsize=64)
def friction_of(rolling: Rolling) -> FrictionMap:
    """The friction this ball meets on this lane."""
    return friction_map(
        rolling.oil,
        cover=rolling.ball.friction,
        games_worn=rolling.games_worn,
        lane_surface=rolling.lane_surface,
    )


def _launch_at(
    rolling: Rolling, friction: FrictionMap, lay_down: FloatArray, aim: FloatArray
) -> FloatArray:
    """Find the launch angles [rad] at which each throw crosses its target."""
    launch = np.arctan((aim - lay_down) / TARGET_IN)
    for _ in range(AIM_PASSES):
        miss = aim - _roll(rolling, friction, lay_down, launch).x_at_target_in
        launch = launch + miss / TARGET_IN
    return launch


def _one_sd_changes(
    rolling: Rolling, spread: Spread, friction: FrictionMap
) -> list[tuple[Rolling, FrictionMap, float]]:
    """The same throw with one thing a standard deviation off, each in turn: more, or less (sign
    -1) where more would leave the range of releases."""
    release = rolling.release
    found: list[tuple[Rolling, FrictionMap, float]] = []
    for name, by in (
        ("speed_mph", spread.speed_mph),
        ("axis_rotation_deg", spread.rotation_deg),
        ("rev_rate_rpm", spread.rev_rate_rpm),
    ):
        value = getattr(release, name)
        sign = 1.0 if value + by <= release.highest(name) else -1.0
        changed = replace(release, **{name: value + sign * by})
        found.append((replace(rolling, release=changed), friction, sign))
    drier = replace(friction, mu=np.minimum(friction.mu * (1 + LANE_SD), FRICTION_MAX))
    return [*found, (rolling, drier, 1.0)]


def _roll(
    rolling: Rolling, friction: FrictionMap, lay_down: FloatArray, launch: FloatArray
) -> Arrived:
    release = rolling.release
    return roll_balls(
        lay_down_x_in=lay_down,
        launch_angle_rad=launch,
        speed_in_s=release.speed_in_s,
        rev_rate_rad_s=release.rev_rate_rad_s,
        axis_rotation_rad=release.axis_rotation_rad,
        axis_tilt_rad=release.axis_tilt_rad,
        friction=friction,
        ball_radius_in=rolling.ball.radius_in,
        gyration_ratio=rolling.ball.gyration_ratio,
    )


def _columns(arrived: Arrived) -> FloatArray:
    columns = np.empty((arrived.x_at_pins_in.size, COLUMNS))
    columns[:, X] = arrived.x_at_pins_in
    columns[:, ANGLE] = arrived.angle_at_pins_rad
    columns[:, EDGE_MARGIN] = arrived.edge_margin_in
    columns[:, SPEED] = arrived.speed_at_pins_in_s
    return columns
