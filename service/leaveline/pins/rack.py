"""The values the collision model runs on, and where each comes from."""

from __future__ import annotations

from leaveline.lane.dimensions import PIN_MASS_LB
from leaveline.pins.collide import Rack


def standard_rack(*, ball_mass_lb: float = 15.0) -> Rack:
    """Give the rack as set against the 3D rigid-body rack."""
    return Rack(
        ball_mass=ball_mass_lb,
        pin_mass=PIN_MASS_LB,
        restitution_ball_pin=0.668,
        restitution_pin_pin=0.45,
        restitution_kickback=0.86,
        restitution_spread=0.02,
        friction_ball_pin=0.1,
        friction_pin_pin=0.2,
        spot_spread_in=0.07,
        reach_mean=1.168,
        reach_spread=0.14,
        scatter_ball_rad=0.02,
        scatter_pin_rad=0.02,
        scatter_kickback_rad=0.3,
        friction_kickback=0.095,
        reach_kickback_in=3.7,
        slide_friction=0.52,
        ball_lane_friction=0.152,
        fall_speed_in_s=13,
        nose_ahead_in=0.4,
        nose_ahead_spread_in=1.15,
        nose_touch_in=3.4,
    )
