"""The values the collision model runs on, and where each comes from.

Masses are published. The others stand for what a disc in the plane lacks (pins tumble, impacts are
below their centre of gravity) and were set together, by an evolution strategy, so that
made-or-missed agrees best with 61,000 recorded throws of a 3D rigid-body rack at 69 leaves; 9,600
throws at 16 other leaves, made afterwards, were held out. They are effective values, not material
constants, though they come out near what the 3D rack does: a pin sent to the kickback from 20 in
or more comes back with 0.45 of its speed there (median of some 130 rebounds), one from 14 in with
0.74, and flies rather than slides until then. The spread of the spots was kept at no less than the
1/32 in with which the 3D rack was spotted. How often a 7-10 comes back off a kickback follows from
them and agrees with the published 1 in 145.
"""

from __future__ import annotations

from leaveline.lane.dimensions import PIN_MASS_LB
from leaveline.pins.collide import Rack


def standard_rack(*, ball_mass_lb: float = 15.0) -> Rack:
    """Give the rack as set against the 3D rigid-body rack.

    Parameters
    ----------
    ball_mass_lb : float
        6 to 16.
    """
    return Rack(
        ball_mass=ball_mass_lb,
        pin_mass=PIN_MASS_LB,
        restitution_ball_pin=0.745,
        restitution_pin_pin=0.498,
        restitution_pin_pin_far=0.115,
        restitution_spread=0.0425,
        restitution_kickback=0.822,
        restitution_kickback_far=0.403,
        restitution_kickback_spread=0.103,
        friction_ball_pin=0.11,
        friction_pin_pin=0.256,
        spot_spread_in=0.054,
        reach_near=1.084,
        reach_far=1.204,
        reach_far_spread=0.17,
        reach_by_pin=1.887,
        reach_by_wall=1.789,
        reach_kickback_in=7.45,
        scatter_pin_rad=0.199,
        scatter_kickback_rad=0.474,
        slide_friction=0.057,
        slide_friction_walled=0.144,
        ball_lane_friction=0.485,
        fall_speed_in_s=23.8,
        gutter_speed_in_s=33.9,
    )
