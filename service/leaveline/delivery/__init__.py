"""From the hand to the pins: release, path, and how a bowler misses.

`spread` holds what varies from throw to throw and the level presets; `arrivals` tabulates where
a ball arrives for every lay-down and target.
"""

from leaveline.delivery.arrivals import ArrivalTable, straight_arrivals
from leaveline.delivery.spread import LEVELS, Spread

__all__ = ["LEVELS", "ArrivalTable", "Spread", "straight_arrivals"]
