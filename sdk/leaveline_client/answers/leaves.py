"""Answers about leaves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from leaveline_client.answers.base import Answer
from leaveline_client.reading import Part

Category = Literal["single_pin", "multi_pin", "split", "washout"] | str


@dataclass(frozen=True, slots=True, kw_only=True)
class HiddenPinAnswer(Part):
    """A pin that stands straight behind another.

    Attributes
    ----------
    pin, behind : int
        The hidden pin, and the pin it stands behind, 1 to 10.
    """

    pin: int
    behind: int


@dataclass(frozen=True, slots=True, kw_only=True)
class GapAnswer(Part):
    """The room between two neighbours of a row.

    Attributes
    ----------
    pins : tuple of int
        The two pins.
    clear_in : float
        Clear room between them [in].
    ball_fits : bool
        Whether a ball passes between them.
    """

    pins: tuple[int, ...]
    clear_in: float
    ball_fits: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LeaveAnswer(Answer):
    """What kind of leave it is.

    Attributes
    ----------
    leave : str
        The standing pins.
    pins : tuple of int
        The same as numbers, ascending.
    pin_count : int
        How many stand, 1 to 10.
    category : str
        `single_pin`, `multi_pin`, `split` or `washout`.
    is_split, is_washout, head_pin_standing : bool
        A split by rule; head pin standing with an empty column between standing ones; head pin
        standing at all.
    trade_names : tuple of str
        What the trade calls it; often nothing.
    hidden_pins : tuple of HiddenPinAnswer
        Pins straight behind another.
    gaps : tuple of GapAnswer
        Neighbours of a row the ball must or cannot pass between.
    makeable : bool
        Whether a straight ball can make it other than by a freak.
    best_make_probability : float
        How often a perfectly repeated straight ball makes it, 0 to 1.
    ball_alone : bool
        Whether the ball itself can touch every pin, with none sent.
    mirror : str
        The leave seen in a mirror.
    """

    leave: str
    pins: tuple[int, ...]
    pin_count: int
    category: Category
    is_split: bool
    is_washout: bool
    head_pin_standing: bool
    trade_names: tuple[str, ...]
    hidden_pins: tuple[HiddenPinAnswer, ...]
    gaps: tuple[GapAnswer, ...]
    makeable: bool
    best_make_probability: float
    ball_alone: bool
    mirror: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LeavesAnswer(Answer):
    """Leaves, by number of pins, then pin by pin.

    Attributes
    ----------
    items : tuple of LeaveAnswer
        The leaves.
    count : int
        How many, 0 to 1023.
    """

    items: tuple[LeaveAnswer, ...]
    count: int
