"""A leave: the pins standing after a ball.

Kept as a bit mask (bit 0 is the head pin, bit 9 the 10 pin), written as the trade writes it:
the standing pins in ascending order, joined by hyphens.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

PIN_COUNT = 10
FULL_RACK_MASK = (1 << PIN_COUNT) - 1
MIRROR_PIN = {1: 1, 2: 3, 3: 2, 4: 6, 5: 5, 6: 4, 7: 10, 8: 9, 9: 8, 10: 7}


class LeaveError(ValueError):
    """The text or list given does not name a leave."""


@dataclass(frozen=True, order=True, slots=True)
class Leave:
    """One of the 1023 non-empty sets of standing pins.

    Parameters
    ----------
    mask : int
        1 to 1023; bit (pin - 1) is set when the pin stands.

    Raises
    ------
    LeaveError
        If the mask is outside 1 to 1023.
    """

    mask: int

    def __post_init__(self) -> None:
        if not 1 <= self.mask <= FULL_RACK_MASK:
            raise LeaveError(f"a leave has between 1 and 10 pins standing, got mask {self.mask}")

    @classmethod
    def parse(cls, text: str) -> Leave:
        """Read `3-6-9-10`: whole numbers 1 to 10, no pin twice, any order."""
        parts = text.split("-")
        if not all(part.isascii() and part.isdigit() for part in parts):
            raise LeaveError(f"expected pin numbers 1 to 10 joined by hyphens, got {text[:40]!r}")
        # A pin number has two digits at most; longer digit strings need not become integers.
        return cls.of(int(part) if len(part) < 4 else 999 for part in parts)

    @classmethod
    def of(cls, pins: Iterable[int]) -> Leave:
        """Make a leave from pin numbers 1 to 10, in any order, no pin twice."""
        mask = 0
        for pin in pins:
            if not 1 <= pin <= PIN_COUNT:
                raise LeaveError(f"pins are numbered 1 to 10, got {pin}")
            if mask & bit(pin):
                raise LeaveError(f"pin {pin} is named twice")
            mask |= bit(pin)
        if not mask:
            raise LeaveError("a leave needs at least one standing pin, got none")
        return cls(mask)

    @property
    def pins(self) -> tuple[int, ...]:
        """The standing pins, ascending."""
        return pins_of(self.mask)

    @property
    def mirror(self) -> Leave:
        """The same leave seen in a mirror: 7 for 10, 4 for 6, and so on."""
        return Leave(mirror_mask(self.mask))

    def __str__(self) -> str:
        return format_mask(self.mask)

    def __len__(self) -> int:
        return self.mask.bit_count()

    def __contains__(self, pin: int) -> bool:
        return bool(self.mask & bit(pin))


def bit(pin: int) -> int:
    """The mask of a single pin."""
    return 1 << (pin - 1)


def pins_of(mask: int) -> tuple[int, ...]:
    """The pins in a mask, ascending."""
    return tuple(pin for pin in range(1, PIN_COUNT + 1) if mask & bit(pin))


def format_mask(mask: int) -> str:
    """Write a mask as a leave; an empty one, nothing standing, is the empty string."""
    return "-".join(str(pin) for pin in pins_of(mask))


def mirror_mask(mask: int) -> int:
    """The mask with left and right exchanged."""
    return sum(bit(MIRROR_PIN[pin]) for pin in pins_of(mask))


ALL_LEAVES = tuple(Leave(mask) for mask in range(1, FULL_RACK_MASK + 1))
