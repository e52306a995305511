"""Why one play is worth more than the other: codes and numbers, for machines and for `because`.

What is said to be certain or impossible here follows from the rules alone (the lowest and highest
final scores still open to both bowlers), never from how strong anybody is taken to be.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from .game import FRAMES, PERFECT
from .outlook import final_scores, mean_and_sd, series_scores
from .plays import EQUAL, Comparison
from .situation import Cut, Match

Goal: TypeAlias = Literal["match", "cut", "score"]
Code: TypeAlias = Literal[
    "same_line",
    "equal_plays",
    "margin_below_noise",
    "already_won",
    "out_of_reach",
    "only_a_tie_left",
    "needs_exactly_n",
    "count_wins_outright",
    "spare_wins_outright",
    "only_a_mark_can_win",
    "needs_at_least_n",
    "opponent_finished",
    "opponent_heading_for",
    "ahead_before",
    "behind_before",
    "behind_cut_by",
    "ahead_of_cut_by",
    "striking_out_reaches",
    "tenth_frame_fill_ball",
    "tenth_frame_mark_earns_ball",
    "foundation_frame",
    "ball_counts_times",
    "making_adds",
    "flips_at",
]


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason.

    Attributes
    ----------
    code
        What it is.
    goal
        What is played for: ``match``, ``cut`` or ``score``.
    numbers
        Its numbers by name, in a fixed order; pins and probabilities.
    """

    code: Code
    goal: Goal
    numbers: tuple[tuple[str, float], ...] = ()

    def __getitem__(self, name: str) -> float:
        return dict(self.numbers)[name]


@dataclass(frozen=True, slots=True, eq=False)
class _Reach:
    """For each pinfall of this ball, by how many pins the goal is met at worst and at best."""

    worst: NDArray[np.int_]
    best: NDArray[np.int_]
    wins_from: int  # pins to be ahead by: 1 where a tie does not win, else 0

    @property
    def certain(self) -> NDArray[np.bool_]:
        return self.worst >= self.wins_from

    @property
    def possible(self) -> NDArray[np.bool_]:
        return self.best >= self.wins_from


Found: TypeAlias = tuple[Code, dict[str, float]]


def find_reasons(comparison: Comparison) -> tuple[Reason, ...]:
    """The reasons that apply, most telling first."""
    situation = comparison.situation
    goal: Goal = (
        "match"
        if isinstance(situation, Match)
        else "cut"
        if isinstance(situation, Cut)
        else "score"
    )
    rules: Iterable[Callable[[Comparison], Iterator[Found]]] = (
        _closeness,
        _certainties,
        _standing,
        _striking_out,
        _frame,
        _worth_of_making,
    )
    return tuple(
        Reason(code, goal, tuple(numbers.items()))
        for rule in rules
        for code, numbers in rule(comparison)
    )


def _closeness(comparison: Comparison) -> Iterator[Found]:
    """Plays that are one, or too close to call."""
    if comparison.same_line:
        yield "same_line", {}
    if comparison.equal:
        yield (
            "equal_plays",
            {
                "spare_expected_score": comparison.spare.expected_score,
                "count_expected_score": comparison.count.expected_score,
            },
        )
        return
    noise = float(np.hypot(comparison.spare.value_noise, comparison.count.value_noise))
    if abs(comparison.lead) < 2 * noise:
        yield "margin_below_noise", {"margin": abs(comparison.lead), "standard_error": noise}


def _certainties(comparison: Comparison) -> Iterator[Found]:
    """What this ball can settle, by the rules alone."""
    reach = _reach(comparison)
    if reach is None:
        return
    standing = comparison.state.standing
    if reach.certain[0]:
        yield "already_won", {"to_spare_pins": float(reach.worst[0] - reach.wins_from)}
        return
    situation = comparison.situation
    ties_count = isinstance(situation, Match) and situation.tie_rule in ("roll_off", "half")
    if not reach.possible[-1]:
        if isinstance(situation, Match) and ties_count and reach.best[-1] == 0:
            yield "only_a_tie_left", {"roll_off": float(situation.tie_rule == "roll_off")}
        else:
            short = float(reach.wins_from - reach.best[-1])
            if isinstance(situation, Cut):  # of the cut as given, whole pins or not
                short -= float(np.ceil(situation.cut_pins)) - situation.cut_pins
            yield "out_of_reach", {"short_pins": short}
        return
    needed = int(np.argmax(reach.possible))
    settles = int(np.argmax(reach.certain)) if reach.certain[-1] else None
    below_ties = float(ties_count and needed > 0 and reach.best[needed - 1] == 0)
    if settles == needed:
        yield "needs_exactly_n", {"pins": needed, "one_fewer_ties": below_ties}
    if settles is not None:
        code: Code = "spare_wins_outright" if settles == standing else "count_wins_outright"
        yield code, {"pins": settles}
    if needed == standing and not comparison.state.fill_ball:
        yield "only_a_mark_can_win", {"count_can_tie": below_ties}
    elif needed > 0 and settles != needed:
        yield "needs_at_least_n", {"pins": needed, "one_fewer_ties": below_ties}


def _standing(comparison: Comparison) -> Iterator[Found]:
    """Where the opponent or the cut is."""
    situation = comparison.situation
    if isinstance(situation, Match):
        opponent = situation.opponent
        if opponent.over:
            yield "opponent_finished", {"score": opponent.score}
        else:
            mean, sd = mean_and_sd(final_scores(opponent, situation.opponent_strength))
            yield (
                "opponent_heading_for",
                {"score": mean, "sd": sd, "highest_score": opponent.highest_final()},
            )
        if situation.lead_pins:
            side: Code = "ahead_before" if situation.lead_pins > 0 else "behind_before"
            yield side, {"pins": abs(situation.lead_pins)}
    elif isinstance(situation, Cut):
        usual, _ = mean_and_sd(series_scores(comparison.own, comparison.state.scoring, 1))
        best_play = comparison.spare if comparison.better == "spare" else comparison.count
        total = situation.pins_before + best_play.expected_score + situation.games_after * usual
        ahead = total - situation.cut_pins
        code: Code = "ahead_of_cut_by" if ahead >= 0 else "behind_cut_by"
        yield code, {"pins": abs(ahead), "expected_total": total, "cut": situation.cut_pins}


def _striking_out(comparison: Comparison) -> Iterator[Found]:
    """What striking out reaches after the spare and after the best count, late in the game."""
    state, situation = comparison.state, comparison.situation
    late = state.frame >= FRAMES - 1 or (isinstance(situation, Match) and situation.opponent.over)
    made, counted = state.throw(state.standing), state.throw(state.standing - 1)
    if isinstance(situation, Match | Cut) and late and not made.over and not situation.games_after:
        yield (
            "striking_out_reaches",
            {
                "after_spare": made.highest_final(),
                "after_count": counted.highest_final(),
                "best_count_pins": state.standing - 1,
                "count_ends_game": float(counted.over),
            },
        )


def _frame(comparison: Comparison) -> Iterator[Found]:
    """What is special about this frame and this ball."""
    state = comparison.state
    if state.frame == FRAMES and state.scoring == "traditional":
        yield ("tenth_frame_fill_ball" if state.fill_ball else "tenth_frame_mark_earns_ball"), {}
    elif state.frame == FRAMES - 1 and state.scoring == "traditional":
        yield "foundation_frame", {}
    if state.pending[0]:
        yield "ball_counts_times", {"times": 1 + state.pending[0]}


def _worth_of_making(comparison: Comparison) -> Iterator[Found]:
    """What the make is worth over the best count, and how likely it would have to be."""
    *_, one_short, made = comparison.value_by_pinfall
    if made - one_short > EQUAL:
        yield (
            "making_adds",
            {
                "value": made - one_short,
                "made": made,
                "one_pin_short": one_short,
                "best_count_pins": comparison.state.standing - 1,
            },
        )
    if comparison.flips_at is not None:
        yield (
            "flips_at",
            {
                "make_probability": comparison.flips_at,
                "spare_make_probability": comparison.spare.make_probability,
            },
        )


def _reach(comparison: Comparison) -> _Reach | None:
    """Pins to spare over the goal at worst and at best; None where there is no fixed goal."""
    state, situation = comparison.state, comparison.situation
    after = [state.throw(pins) for pins in range(state.standing + 1)]
    lowest = np.array([one.lowest_final() for one in after])
    highest = np.array([one.highest_final() for one in after])
    if isinstance(situation, Match):
        more = PERFECT * situation.games_after
        lowest, highest = lowest + situation.lead_pins, highest + situation.lead_pins + more
        theirs = situation.opponent
        return _Reach(
            lowest - (theirs.highest_final() + more),
            highest - theirs.lowest_final(),
            0 if situation.tie_rule == "win" else 1,
        )
    if isinstance(situation, Cut) and situation.cut_sd_pins == 0:
        # A cut between two whole numbers takes the higher one to reach.
        short_of = int(np.ceil(situation.cut_pins)) - situation.pins_before
        more = PERFECT * situation.games_after
        return _Reach(lowest - short_of, highest + more - short_of, 0)
    return None
