"""Answers about count or spare."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from leaveline_client.answers.base import Answer
from leaveline_client.answers.lines import LineAnswer, ModelAnswer, PinfallAnswer, Play
from leaveline_client.reading import Part

Maximised = Literal["win_probability", "cut_probability", "expected_score"] | str
BecauseCode = Literal["only_a_mark_can_win", "same_line", "tenth_frame_fill_ball"] | str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayAnswer(Part):
    """What one play is worth.

    Attributes
    ----------
    line : LineAnswer
        Its best line.
    make_probability : float
        Chance that all pins fall, 0 to 1.
    pinfall : tuple of PinfallAnswer
        Probability of each count, 0 to all pins.
    win_probability, tie_probability : float or None
        match: chance of winning, ties counted by the tie rule, and of a tie before any roll-off.
    cut_probability : float or None
        cut: chance of making it.
    expected_score : float
        Mean final score of this game [pins].
    value_standard_error : float
        Uncertainty of what is maximised, from the make probability's.
    """

    line: LineAnswer
    make_probability: float
    pinfall: tuple[PinfallAnswer, ...]
    win_probability: float | None
    tie_probability: float | None
    cut_probability: float | None
    expected_score: float
    value_standard_error: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaysAnswer(Part):
    """The two plays.

    Attributes
    ----------
    spare, count : PlayAnswer
        Going for the spare, and for count.
    """

    spare: PlayAnswer
    count: PlayAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class BecauseAnswer(Part):
    """One reason.

    Attributes
    ----------
    code : str
        What; the set may grow.
    words : str
        The reason in words and numbers.
    """

    code: BecauseCode
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AdviceAnswer(Answer):
    """Count or spare, by how much, and why. An advice is a probability, not a promise.

    Attributes
    ----------
    leave : str
        The standing pins.
    play : str
        The play worth more: `spare` or `count`.
    maximised : str
        What is being maximised: `win_probability`, `cut_probability` or `expected_score`.
    margin : float
        Value of the better play less that of the other, in what is maximised.
    plays : PlaysAnswer
        Both plays.
    because : tuple of BecauseAnswer
        Why, most telling first.
    words : str
        The decision in words.
    flips_at : float or None
        Make probability at which the other play would be worth as much; None where none is.
    input_digest : str
        Digest of the normalised request and the model's version.
    model : ModelAnswer
        What reproduces it.
    """

    leave: str
    play: Play
    maximised: Maximised
    margin: float
    plays: PlaysAnswer
    because: tuple[BecauseAnswer, ...]
    words: str
    flips_at: float | None
    input_digest: str
    model: ModelAnswer
