"""What a line brings in that the bowler should know before throwing it."""

from __future__ import annotations

from leaveline.lane.dimensions import CENTRE_BOARD
from leaveline.lines.line import Caution, Line, Side, SideMiss
from leaveline.pins.deck import COLUMN, ROW
from leaveline.pins.leave import Leave, pins_of

CHOP_AT_LEAST = 0.02
GUTTER_AT_LEAST = 0.02
DRY_AT_LEAST = 0.25
WALL_AT_LEAST = 0.25
"""Least probability of each caution; for the wall, the share of makes that needed it."""
LONG_SHOT_BELOW = 0.1
OUT_OF_REACH_BELOW_PINS = 0.05
"""Fewer pins on average than this: the ball does not get to them."""


def cautions_for(leave: Leave, line: Line, gutter: Side) -> tuple[Caution, ...]:
    """List what a line brings in, likeliest first; `gutter` is the one its way comes nearest to."""
    found = [
        caution
        for side, miss in (("left", line.missed_left), ("right", line.missed_right))
        if (caution := _chop(leave, line, side, miss)) is not None  # type: ignore[arg-type]
    ]
    if line.lost_probability >= GUTTER_AT_LEAST:
        found.append(Caution("gutter", gutter, line.lost_probability))
    if line.dry_probability >= DRY_AT_LEAST:
        side: Side = "right" if line.target_board < CENTRE_BOARD else "left"
        found.append(Caution("dry_boards", side, line.dry_probability))
    if line.expected_pins < OUT_OF_REACH_BELOW_PINS:
        found.append(Caution("out_of_reach", None, 1.0))
    if line.make_probability > 0:
        share = line.wall_probability / line.make_probability
        if share >= WALL_AT_LEAST:
            found.append(Caution("wall_needed", None, share))
    if line.make_probability < LONG_SHOT_BELOW:
        found.append(Caution("long_shot", None, line.make_probability))
    return tuple(sorted(found, key=lambda caution: -caution.probability))


def _chop(leave: Leave, line: Line, side: Side, miss: SideMiss) -> Caution | None:
    """A chop: the pin struck first goes and takes some, and a neighbour or one behind stays."""
    if line.contact is None or len(leave) == 1:
        return None
    struck = line.contact.pin
    for remainder in miss.remainders:
        left = pins_of(remainder.mask)
        if struck in left or not any(_beside_or_behind(struck, pin) for pin in left):
            continue
        probability = remainder.probability * miss.probability
        if probability >= CHOP_AT_LEAST:
            return Caution("chop", side, probability, remainder.mask)
    return None


def _beside_or_behind(struck: int, pin: int) -> bool:
    """Whether a pin stands next to the struck one: in its row, one row back, or straight behind."""
    rows, columns = ROW[pin] - ROW[struck], abs(COLUMN[pin] - COLUMN[struck])
    return (rows, columns) in {(0, 2), (1, 1), (2, 0)}
