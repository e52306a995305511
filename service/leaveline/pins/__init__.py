"""Leaves, what kind each is, and what falls when a ball arrives.

`Leave` names a set of standing pins; `classify` tells its kind; `collide` plays a throw out;
`carry` keeps the outcomes of one leave as a map over position and angle.
"""

from leaveline.pins.carry import CarryMap, carry_map
from leaveline.pins.leave import ALL_LEAVES, Leave, LeaveError

__all__ = ["ALL_LEAVES", "CarryMap", "Leave", "LeaveError", "carry_map"]
