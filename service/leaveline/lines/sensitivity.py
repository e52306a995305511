"""What happens to a line when one thing about the throw changes and the bowler does not move."""

from __future__ import annotations

from dataclasses import dataclass, replace

from leaveline.lines.bowler import Bowler
from leaveline.lines.line import Line
from leaveline.lines.solve import DEFAULT_SEED, evaluate
from leaveline.pins.leave import Leave

RELEASE_STEPS = {"speed_mph": 1.0, "rev_rate_rpm": 25.0, "axis_rotation_deg": 5.0}
"""Changes tried, each way: small beside what bowlers vary, large beside the integration's noise."""


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """Change for one more of something: board, mph, rpm or degree.

    Attributes
    ----------
    of : str
        `lay_down_board`, `target_board`, `speed_mph`, `rev_rate_rpm` or `axis_rotation_deg`.
    board_at_pins, make_probability : float
        Change of each for one unit more.
    """

    of: str
    board_at_pins: float
    make_probability: float


def sensitivities(
    leave: Leave, bowler: Bowler, line: Line, *, seed: int = DEFAULT_SEED
) -> tuple[Sensitivity, ...]:
    """Work out what one more of each thing does to a line, boards and release in turn.

    Boards move by one; the release's values by small steps each way, as far as they may go.
    """
    lay_down, target = line.lay_down_board, line.target_board

    def throw(who: Bowler, lay_down_step: float = 0.0, target_step: float = 0.0) -> Line:
        return evaluate(
            leave,
            who,
            lay_down_board=lay_down + lay_down_step,
            target_board=target + target_step,
            seed=seed,
        )

    found = [
        _difference("lay_down_board", throw(bowler, -0.5), throw(bowler, 0.5), 1.0),
        _difference("target_board", throw(bowler, 0.0, -0.5), throw(bowler, 0.0, 0.5), 1.0),
    ]
    if bowler.rolling is None:
        return tuple(found)
    release = bowler.rolling.release
    for name, step in RELEASE_STEPS.items():
        value = getattr(release, name)
        low = max(value - step, release.lowest(name))
        high = min(value + step, release.highest(name))
        less, more = (
            throw(replace(bowler, rolling=replace(bowler.rolling, release=changed)))
            for changed in (replace(release, **{name: low}), replace(release, **{name: high}))
        )
        found.append(_difference(name, less, more, high - low))
    return tuple(found)


def _difference(name: str, low: Line, high: Line, apart: float) -> Sensitivity:
    return Sensitivity(
        name,
        (high.board_at_pins - low.board_at_pins) / apart,
        (high.make_probability - low.make_probability) / apart,
    )
