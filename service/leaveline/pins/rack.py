"""The values the collision model runs on, and where each comes from."""

from __future__ import annotations

from leaveline.lane.dimensions import PIN_MASS_LB
from leaveline.pins.collide import Rack


def standard_rack(*, ball_mass_lb: float = 15.0) -> Rack:
    """Give the rack as set against the 3D rigid-body rack."""
    return Rack(
        ball_mass=ball_mass_lb,
        pin_mass=PIN_MASS_LB,
        restitution_ball_pin=0.635,
        restitution_pin_pin=0.43,
        restitution_kickback=0.85,
        restitution_spread=0.02,
        friction_ball_pin=0.08,
        friction_pin_pin=0.12,
        spot_spread_in=0.07,
        reach_mean=1.2,
        reach_spread=0.15,
        scatter_ball_rad=0.02,
        scatter_pin_rad=0.04,
        scatter_kickback_rad=0.35,
        slide_friction=0.58,
        ball_lane_friction=0.1,
        fall_speed_in_s=10.0,
        nose_ahead_in=2.0,
        nose_ahead_spread_in=0.7,
        nose_touch_in=3.7,
    )
