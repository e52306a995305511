"""How a bowler misses: the spread of what leaves the hand, and level presets.

Lay-down and target are taken as independent: `lay_down_boards` is how the ball's first board
varies about the one meant, `target_boards` how the board it crosses at the target (15 ft)
varies, whatever the lay-down was. At the pins, four times as far, a straight ball then misses by
4 target errors less 3 lay-down errors (similar triangles).

Where the presets come from:

- `scratch`, `league`: spread of ten shots at the arrows by league average, published in a
  governing body's members' magazine (July 2012, technique page): leftmost to rightmost 2 boards
  at 220 and over, 4 at 180 and over; as the expected range of ten normal values that is a standard
  deviation of 0.65 and 1.30 boards.
- `casual`: the same page's four rows (220: 0.65, 200: 0.97, 180: 1.30, 160: 1.46) continued in a
  straight line to an average of about 130: 1.9 boards.
- `tour`: set so that the solved lines make the 10 pin as often as a frame-by-frame study of
  televised professional finals counted (95.9 % of 710; the 7 pin, 95.5 % of 333, agrees).
- lay-down spread, speed, rev rate and rotation: assumed, in proportion to the level; no published
  numbers were found.
"""

from __future__ import annotations

from dataclasses import dataclass

from leaveline.lane.oil import check_range

SPREAD_HIGHEST = {
    "lay_down_boards": 8,
    "target_boards": 8,
    "speed_mph": 4,
    "rotation_deg": 30,
    "rev_rate_rpm": 120,
}
"""Largest spreads taken: several times what the widest level has."""


@dataclass(frozen=True, slots=True)
class Spread:
    """Standard deviations of what leaves the hand, throw to throw.

    Attributes
    ----------
    lay_down_boards, target_boards : float
        Board at the foul line and board at the target (15 ft), 0 to 8 [boards].
    speed_mph : float
        Ball speed off the hand, 0 to 4 [mph].
    rotation_deg : float
        Axis rotation, 0 to 30 [deg].
    rev_rate_rpm : float
        Rev rate, 0 to 120 [rpm].

    Raises
    ------
    ValueError
        For a value out of range.
    """

    lay_down_boards: float
    target_boards: float
    speed_mph: float
    rotation_deg: float
    rev_rate_rpm: float

    def __post_init__(self) -> None:
        for name, highest in SPREAD_HIGHEST.items():
            check_range(name, getattr(self, name), 0.0, highest)


LEVELS: dict[str, Spread] = {
    "tour": Spread(0.2, 0.5, 0.3, 3.0, 12.0),
    "scratch": Spread(0.3, 0.65, 0.4, 4.0, 15.0),
    "league": Spread(0.4, 1.30, 0.6, 6.0, 20.0),
    "casual": Spread(0.6, 1.9, 1.0, 10.0, 30.0),
}
