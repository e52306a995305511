"""Spare or count at a real leave: the best line for each, and what each is worth in this game."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from leaveline.lines import Bowler, Line, solve
from leaveline.lines.known import KnownLine, as_moves
from leaveline.lines.solve import DEFAULT_SEED
from leaveline.pins.leave import Leave
from leaveline.scoring.decision import Decision, decide
from leaveline.scoring.game import GameState
from leaveline.scoring.plays import Play
from leaveline.scoring.situation import Situation
from leaveline.scoring.strength import Strength


@dataclass(frozen=True, slots=True)
class Advice:
    """Both plays' lines and the decision between them."""

    spare_line: Line
    count_line: Line
    decision: Decision


def advise(
    leave: Leave,
    bowler: Bowler,
    *,
    state: GameState,
    own: Strength,
    situation: Situation,
    known: Sequence[KnownLine] = (),
    seed: int = DEFAULT_SEED,
) -> Advice:
    """Solve the best line for the spare and for count, and compare what they are worth.

    Parameters
    ----------
    leave, bowler
        As in `leaveline.lines.solve`.
    state
        Own game; as many pins must stand in it as the leave has.
    own
        Strength of the bowler's other frames.
    situation
        A match, a cut, or the score.
    known
        Lines the bowler trusts; the spare's line may give way to one that is easier to move to.

    Raises
    ------
    ValueError
        When the game is over, when another number of pins stands in it than the leave has, and
        for a situation that does not fit the game.
    """
    if state.over:
        raise ValueError(f"the game is over after the last ball of own_rolls: no leave {leave}")
    if state.standing != len(leave):
        raise ValueError(
            f"{state.standing} pins stand after the last ball of own_rolls, "
            f"but the leave {leave} has {len(leave)}"
        )
    spare = solve(leave, bowler, play="spare", limit=1, seed=seed)[0]
    if known:
        spare, _ = as_moves(leave, bowler, spare, known, seed=seed)
    count = solve(leave, bowler, play="count", limit=1, seed=seed)[0]
    decision = decide(
        state,
        spare=Play(spare.pinfall, spare.standard_error),
        count=Play(count.pinfall, count.standard_error),
        own=own,
        situation=situation,
    )
    return Advice(spare, count, decision)
