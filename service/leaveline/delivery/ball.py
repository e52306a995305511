"""The ball: its size, how its mass is spread, and how its cover grips the lane.

The path needs no weight: friction and inertia both grow with it. The pins do.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from leaveline.lane.dimensions import BALL_MASS_LB_MAX, BALL_MASS_LB_MIN, BALL_RADIUS_IN
from leaveline.lane.oil import FRICTION_MAX, CoverFriction, check_range

Cover = Literal["polyester", "urethane", "reactive_pearl", "reactive_hybrid", "reactive_solid"]
COVERS: tuple[Cover, ...] = get_args(Cover)

GYRATION_RANGE_IN = (2.46, 2.80)  # equipment specification (seen in summaries)
DIAMETER_RANGE_IN = (8.500, 8.595)  # equipment specification (seen)
GRIT_RANGE = (180, 10000)  # assumed: from the coarsest pad in use to a polish

# Friction on well-oiled and on dry boards. Typical of a hooking cover are 0.04 and 0.2 (Frohlich,
# Am. J. Phys. 72, 1170, 2004, from memory); the row between the others has exactly these. How far
# the others stand from it is assumed, in the order of common practice: polyester grips dry boards
# least, urethane is sooner and smoother, solid sooner than pearl. Third: the grit of a fresh
# cover (assumed).
_FRICTIONS: dict[Cover, tuple[float, float, int]] = {
    "polyester": (0.025, 0.09, 6000),
    "urethane": (0.045, 0.17, 1000),
    "reactive_pearl": (0.036, 0.21, 5000),
    "reactive_hybrid": (0.040, 0.20, 3000),
    "reactive_solid": (0.044, 0.20, 2000),
}

GRIT_POWER_ON_OIL = 0.25  # assumed: 500 grit grips 1.57 times as well on oil as 3000 grit
GRIT_POWER_DRY = 0.05  # assumed: and 1.09 times as well on dry boards


@dataclass(frozen=True, slots=True, kw_only=True)
class Ball:
    """One ball.

    Parameters
    ----------
    cover : {"polyester", "urethane", "reactive_pearl", "reactive_hybrid", "reactive_solid"}
    weight_lb : float
        6 to 16. Choose it for fit and comfort with qualified staff, not from a number here.
    radius_of_gyration_in : float
        2.46 to 2.80.
    diameter_in : float
        8.500 to 8.595.
    surface_grit : float, optional
        180 (coarse) to 10000 (polished); the cover's usual one where left out.

    Raises
    ------
    ValueError
        Names the field, its value and the allowed range.
    """

    cover: Cover = "reactive_hybrid"
    weight_lb: float = 15.0
    radius_of_gyration_in: float = 2.55
    diameter_in: float = 2 * BALL_RADIUS_IN
    surface_grit: float | None = None

    def __post_init__(self) -> None:
        if self.cover not in COVERS:
            raise ValueError(f"cover = {self.cover!r}: must be one of {', '.join(COVERS)}")
        check_range("weight_lb", self.weight_lb, BALL_MASS_LB_MIN, BALL_MASS_LB_MAX)
        check_range("radius_of_gyration_in", self.radius_of_gyration_in, *GYRATION_RANGE_IN)
        check_range("diameter_in", self.diameter_in, *DIAMETER_RANGE_IN)
        if self.surface_grit is not None:
            check_range("surface_grit", self.surface_grit, *GRIT_RANGE)

    @property
    def radius_in(self) -> float:
        """Half the diameter [in]."""
        return self.diameter_in / 2

    @property
    def gyration_ratio(self) -> float:
        """Radius of gyration over radius [unitless]; sqrt(0.4) = 0.632 for a uniform sphere."""
        return self.radius_of_gyration_in / self.radius_in

    @property
    def friction(self) -> CoverFriction:
        """What this ball's cover meets on well-oiled and on dry boards."""
        on_oil, dry, usual_grit = _FRICTIONS[self.cover]
        coarser = usual_grit / (self.surface_grit or usual_grit)
        return CoverFriction(
            on_oil=on_oil * coarser**GRIT_POWER_ON_OIL,
            dry=min(dry * coarser**GRIT_POWER_DRY, FRICTION_MAX),
        )
