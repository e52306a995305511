"""What a pro shop is asked about most: a polyester ball, a slower one, a steadier axis."""

from __future__ import annotations

from dataclasses import replace

from leaveline.delivery import Release
from leaveline.lines import Bowler
from leaveline.practice.spare_ball import BallOption

SLOWER_MPH = 2.0
STEADIER = 0.5
"""Share of the spread in axis rotation that is left once the wrist stays behind the ball
(assumed)."""


def usual_options(bowler: Bowler) -> list[BallOption]:
    """Give the bowler as now and, where they would be a change, the usual alternatives.

    Parameters
    ----------
    bowler : Bowler
        Whose ball rolls on oil; the alternatives each change one thing.

    Returns
    -------
    list of BallOption
        At least "as now": where the ball is polyester already, two mph less cannot be thrown, or
        the axis does not vary, the alternative is left out.
    """
    options = [BallOption("as now", bowler)]
    rolling = bowler.rolling
    if rolling is None:
        return options
    if rolling.ball.cover != "polyester":
        ball = replace(rolling.ball, cover="polyester", surface_grit=None)
        polyester = replace(bowler, rolling=replace(rolling, ball=ball))
        options.append(BallOption("polyester ball", polyester))
    speed = rolling.release.speed_mph - SLOWER_MPH
    if speed >= Release.lowest("speed_mph"):
        release = replace(rolling.release, speed_mph=speed)
        slower = replace(bowler, rolling=replace(rolling, release=release))
        options.append(BallOption(f"{SLOWER_MPH:g} mph slower", slower))
    if bowler.spread.rotation_deg > 0:
        steady = replace(bowler.spread, rotation_deg=STEADIER * bowler.spread.rotation_deg)
        options.append(BallOption("steadier axis", replace(bowler, spread=steady)))
    return options
