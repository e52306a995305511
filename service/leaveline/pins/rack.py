"""The values the collision model runs on, and where each comes from."""

from __future__ import annotations

from leaveline.lane.dimensions import PIN_MASS_LB
from leaveline.pins.collide import Rack


def standard_rack(*, ball_mass_lb: float = 15.0) -> Rack:
    """Give the rack as set against the 3D rigid-body rack."""
    return Rack(
        ball_mass=ball_mass_lb,
        pin_mass=PIN_MASS_LB,
        restitution_ball_pin=0.698,
        restitution_pin_pin=0.447,
        restitution_kickback=0.86,
        restitution_spread=0.02,
        friction_ball_pin=0.109,
        friction_pin_pin=0.127,
        spot_spread_in=0.07,
        reach_mean=1.168,
        reach_spread=0.14,
        scatter_ball_rad=0.02,
        scatter_pin_rad=0.075,
        scatter_kickback_rad=0.283,
        friction_kickback=0.149,
        reach_kickback_in=3.37,
        slide_friction=0.218,
        ball_lane_friction=0.117,
        fall_speed_in_s=21.1,
    )
