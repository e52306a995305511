"""What a line is: where to stand, what to roll over, and what to expect of it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal

from leaveline.lane.oil import check_range
from leaveline.pins.leave import MIRROR_PIN, mirror_mask

Side = Literal["left", "right", "centre"]
Play = Literal["spare", "count"]
OFFSET_RANGE_BOARDS = (0, 16)
DRIFT_RANGE_BOARDS = (-12, 12)
OTHER_SIDE: dict[Side, Side] = {"left": "right", "right": "left", "centre": "centre"}


@dataclass(frozen=True, slots=True)
class Stance:
    """How the bowler's feet relate to the ball.

    Attributes
    ----------
    lay_down_offset_boards : float
        From the ball's first board to the middle of the slide foot [boards], the foot on the
        side away from the ball hand.
    drift_boards : float
        How far the slide foot ends from where it started [boards], positive when the walk drifts
        away from the ball hand (to the left for a right-hander).

    Raises
    ------
    ValueError
        For an offset outside 0 to 16 or a drift outside -12 to 12.
    """

    lay_down_offset_boards: float = 7.0
    drift_boards: float = 0.0

    def __post_init__(self) -> None:
        check_range("lay_down_offset_boards", self.lay_down_offset_boards, *OFFSET_RANGE_BOARDS)
        check_range("drift_boards", self.drift_boards, *DRIFT_RANGE_BOARDS)

    def stand_board(self, lay_down_board: float) -> float:
        """Where the slide foot starts for a ball to be laid down on a board."""
        return lay_down_board + self.lay_down_offset_boards - self.drift_boards

    def lay_down_board(self, stand_board: float) -> float:
        """Where the ball is laid down by a slide foot that starts on a board."""
        return stand_board - self.lay_down_offset_boards + self.drift_boards

    def slide_board(self, lay_down_board: float) -> float:
        """Where the slide foot ends at the foul line."""
        return lay_down_board + self.lay_down_offset_boards


@dataclass(frozen=True, slots=True)
class Contact:
    """Which pin the ball meets first, on which side, and by how much off its centre.

    `offset_in` is the ball's line past the pin's centre [in], positive when the line passes to
    the right of it; the ball touches within 6.68 in.
    """

    pin: int
    side: Side
    offset_in: float

    def mirrored(self) -> Contact:
        """The same contact seen in a mirror."""
        return Contact(MIRROR_PIN[self.pin], OTHER_SIDE[self.side], -self.offset_in)


@dataclass(frozen=True, slots=True)
class MissRoom:
    """How far the ball may be off at the target with the spare still more likely made than not."""

    left_boards: float
    right_boards: float

    def mirrored(self) -> MissRoom:
        """The same room seen in a mirror."""
        return MissRoom(self.right_boards, self.left_boards)


@dataclass(frozen=True, slots=True)
class Remainder:
    """Pins left after a miss (a mask) and how likely, given a miss to that side."""

    mask: int
    probability: float


@dataclass(frozen=True, slots=True)
class SideMiss:
    """What missing to one side brings.

    `probability` is the chance that the throw goes to that side and the spare is missed.
    """

    probability: float
    remainders: tuple[Remainder, ...]

    def mirrored(self) -> SideMiss:
        """The same misses seen in a mirror."""
        return SideMiss(
            self.probability,
            tuple(Remainder(mirror_mask(r.mask), r.probability) for r in self.remainders),
        )


CautionCode = Literal["chop", "gutter", "dry_boards", "wall_needed", "long_shot", "out_of_reach"]


@dataclass(frozen=True, slots=True)
class Caution:
    """Something the line brings in: what, on which side, how likely, which pins it leaves."""

    code: CautionCode
    side: Side | None
    probability: float
    mask: int = 0

    def mirrored(self) -> Caution:
        """The same caution seen in a mirror."""
        side = None if self.side is None else OTHER_SIDE[self.side]
        return replace(self, side=side, mask=mirror_mask(self.mask))


@dataclass(frozen=True, slots=True)
class Line:
    """One line and all that was worked out about it.

    Boards count from the ball-hand side; `entry_angle_rad` is positive to the right;
    `board_at_pins` is where the ball's centre crosses the head-pin row, 60 ft out; `pinfall` is
    the probability of each count from 0 to all pins of the leave. `lost_probability` is that of
    the gutter, `dry_probability` that of a way over dry boards beside the oil.
    """

    play: Play
    stand_board: float
    lay_down_board: float
    target_board: float
    board_at_pins: float
    entry_angle_rad: float
    contact: Contact | None
    make_probability: float
    standard_error: float
    expected_pins: float
    pinfall: tuple[float, ...]
    miss_room: MissRoom
    missed_left: SideMiss
    missed_right: SideMiss
    sent_probability: float
    wall_probability: float
    lost_probability: float
    dry_probability: float = 0.0
    cautions: tuple[Caution, ...] = field(default=())

    def mirrored(self) -> Line:
        """The same line for a bowler of the other hand at the mirrored leave."""
        return replace(
            self,
            entry_angle_rad=-self.entry_angle_rad,
            contact=self.contact.mirrored() if self.contact else None,
            miss_room=self.miss_room.mirrored(),
            missed_left=self.missed_right.mirrored(),
            missed_right=self.missed_left.mirrored(),
            cautions=tuple(caution.mirrored() for caution in self.cautions),
        )
