"""From the hand to the pins: ball, release, path, and how a bowler misses.

`spread` holds what varies from throw to throw and the level presets; `arrivals` and `rolling`
tabulate where a ball arrives for every lay-down and target, straight or over oil; `path` follows a
sliding, spinning ball.
"""

from leaveline.delivery.arrivals import ArrivalTable, straight_arrivals
from leaveline.delivery.ball import COVERS, Ball, Cover
from leaveline.delivery.release import Release, default_release
from leaveline.delivery.rolling import Rolling, rolling_arrivals, rolling_path
from leaveline.delivery.spread import LEVELS, Spread

__all__ = [
    "COVERS",
    "LEVELS",
    "ArrivalTable",
    "Ball",
    "Cover",
    "Release",
    "Rolling",
    "Spread",
    "default_release",
    "rolling_arrivals",
    "rolling_path",
    "straight_arrivals",
]
