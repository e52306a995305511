"""The release: how a ball leaves the hand, told for a right-hander.

Axis rotation is the angle, seen from above, between the horizontal part of the spin's axis and
the line square to the ball's travel: 0 rolls end over end and goes straight, 90 spins sideways,
to the side away from the ball hand. Axis tilt is how far the axis leans up from the horizontal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from leaveline.lane.dimensions import MPH_IN_S
from leaveline.lane.oil import check_range

Level = Literal["tour", "scratch", "league", "casual"]
ReleaseKind = Literal["strike", "spare"]

SPEED_RANGE_MPH = (8.0, 28.0)
REV_RATE_RANGE_RPM = (0.0, 700.0)
AXIS_ROTATION_RANGE_DEG = (0.0, 90.0)
AXIS_TILT_RANGE_DEG = (0.0, 45.0)

_RANGES = {
    "speed_mph": SPEED_RANGE_MPH,
    "rev_rate_rpm": REV_RATE_RANGE_RPM,
    "axis_rotation_deg": AXIS_ROTATION_RANGE_DEG,
    "axis_tilt_deg": AXIS_TILT_RANGE_DEG,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """A right-hander's release, as it leaves the hand.

    Parameters
    ----------
    speed_mph : float
        8 to 28, off the hand; a display at the pins shows some 2 to 4 less.
    rev_rate_rpm : float
        0 to 700.
    axis_rotation_deg : float
        0 to 90.
    axis_tilt_deg : float
        0 to 45.

    Raises
    ------
    ValueError
        Names the field, its value and the allowed range.
    """

    speed_mph: float
    rev_rate_rpm: float
    axis_rotation_deg: float
    axis_tilt_deg: float

    def __post_init__(self) -> None:
        for name, allowed in _RANGES.items():
            check_range(name, getattr(self, name), *allowed)

    @staticmethod
    def lowest(name: str) -> float:
        """Least value a field may have."""
        return _RANGES[name][0]

    @staticmethod
    def highest(name: str) -> float:
        """Largest value a field may have."""
        return _RANGES[name][1]

    @property
    def speed_in_s(self) -> float:
        """Speed [in/s]."""
        return self.speed_mph * MPH_IN_S

    @property
    def rev_rate_rad_s(self) -> float:
        """Rev rate [rad/s]."""
        return self.rev_rate_rpm * math.tau / 60

    @property
    def axis_rotation_rad(self) -> float:
        """Axis rotation [rad]."""
        return math.radians(self.axis_rotation_deg)

    @property
    def axis_tilt_rad(self) -> float:
        """Axis tilt [rad]."""
        return math.radians(self.axis_tilt_deg)


def default_release(kind: ReleaseKind, *, level: Level) -> Release:
    """Give a usual release for a level of bowler: a hook for strikes, near straight for spares.

    Raises
    ------
    KeyError
        For a kind or level that is not one of the names in `ReleaseKind` and `Level`.
    """
    return _RELEASES[kind][level]


def _release(speed: float, revs: float, rotation: float, tilt: float) -> Release:
    return Release(
        speed_mph=speed, rev_rate_rpm=revs, axis_rotation_deg=rotation, axis_tilt_deg=tilt
    )


# Speed [mph], rev rate [rpm], axis rotation [deg], axis tilt [deg].
_RELEASES: dict[ReleaseKind, dict[Level, Release]] = {
    "strike": {
        # 18.6 mph, 436 rpm: mean of the 30 men in a televised team event (newspaper, 2020, seen).
        # Rotation: between 45, of the best strike line reported (AIP Advances 15, 045222, 2025,
        # as reported), and 60 to 80, of the governing body's style study (seen). Tilt: assumed.
        "tour": _release(18.6, 436, 55, 13),
        # 18 mph, 325 rpm: middle one of the three styles of that study. The rest: assumed.
        "scratch": _release(18.0, 325, 50, 13),
        "league": _release(17.0, 250, 45, 12),  # assumed
        "casual": _release(15.0, 130, 20, 10),  # assumed
    },
    # Straighter, with fewer revs and a little faster (common practice); the figures are assumed.
    "spare": {
        "tour": _release(19.5, 250, 10, 5),
        "scratch": _release(19.0, 200, 10, 5),
        "league": _release(17.5, 160, 10, 5),
        "casual": _release(15.0, 100, 10, 5),
    },
}
