"""Lines a bowler trusts: a hidden lean is found, and lines are told as moves."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from leaveline.delivery import LEVELS
from leaveline.lane import Hand
from leaveline.lines import Bowler, solve
from leaveline.lines.known import Fitted, KnownLine, as_moves, fit
from leaveline.lines.line import Line, Stance
from leaveline.lines.solve import evaluate, make_probabilities
from leaveline.lines.words import move_in_words
from leaveline.pins import Leave

SCRATCH = Bowler(spread=LEVELS["scratch"])
SHOWN_AT = ("10", "7", "3-6-10", "2-4-5-8", "3-10")
HIDDEN = replace(SCRATCH, lean_boards=0.8, stance=Stance(6.0, 1.0))


def best(text: str, who: Bowler) -> Line:
    return solve(Leave.parse(text), who, limit=1)[0]


def lines_of(who: Bowler, *, with_lay_down: bool) -> list[KnownLine]:
    """What a bowler who has found their lines by trying would tell: boards to the half."""
    told = []
    for text in SHOWN_AT:
        line = best(text, who)
        stand, target = (round(2 * board) / 2 for board in (line.stand_board, line.target_board))
        lay_down = line.lay_down_board if with_lay_down else None
        told.append(KnownLine(Leave.parse(text), stand, target, lay_down))
    return told


def thrown_by(who: Bowler, leave: Leave, line: Line) -> float:
    """How often the bowler as they really are makes it, standing and aiming as they are told."""
    stance = who.stance
    lay_down = line.stand_board - stance.lay_down_offset_boards + stance.drift_boards
    return evaluate(
        leave, who, lay_down_board=lay_down, target_board=line.target_board
    ).make_probability


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("lean", [-1.2, 0.0, 0.8])
def test_a_hidden_lean_and_offset_are_recovered(hand: Hand, lean: float) -> None:
    hidden = replace(HIDDEN, hand=hand, lean_boards=lean)
    told = lines_of(hidden, with_lay_down=True)
    fitted = fit(replace(SCRATCH, hand=hand, stance=Stance(9.0, 1.0)), told)
    assert fitted.offset_shown
    assert fitted.bowler.stance.lay_down_offset_boards == pytest.approx(6.0, abs=0.3)
    assert fitted.lean_error_boards is not None
    assert fitted.lean_error_boards < 0.25
    assert abs(fitted.bowler.lean_boards - lean) < 3 * fitted.lean_error_boards


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("with_lay_down", [True, False])
def test_new_leaves_are_made_as_often_as_if_all_were_known(hand: Hand, with_lay_down: bool) -> None:
    """An offset that is wrong by a board goes into the lean, which makes up for it at the pins."""
    hidden = replace(HIDDEN, hand=hand)
    told = lines_of(hidden, with_lay_down=with_lay_down)
    fitted = fit(replace(SCRATCH, hand=hand, stance=Stance(7.0, 1.0)), told)
    for text in ("1-2-10", "6-10", "2-4"):
        leave = Leave.parse(text)
        line, _ = as_moves(leave, fitted.bowler, best(text, fitted.bowler), told)
        best_possible = best(text, hidden).make_probability
        assert thrown_by(hidden, leave, line) > best_possible - 0.03


def test_without_known_lines_they_would_not_be() -> None:
    """The recovery above is worth something: told nothing, a 10 pin is missed more often."""
    leave = Leave.parse("10")
    line = best("10", replace(SCRATCH, stance=HIDDEN.stance))
    assert thrown_by(HIDDEN, leave, line) < best("10", HIDDEN).make_probability - 0.1


@pytest.mark.parametrize("lay_down", [25.0, 28.0, 30.0])
@pytest.mark.parametrize("hand", ["right", "left"])
def test_the_3_6_9_10_is_one_and_one_from_the_3_6_10(lay_down: float, hand: Hand) -> None:
    """Common practice: shot parallel to the 3-6-10 line, about one board left at the feet and one
    at the target. Known: the middle of all targets that make the 3-6-10 practically as often."""
    who = replace(SCRATCH, hand=hand)
    first, second = (Leave.parse(text) for text in ("3-6-10", "3-6-9-10"))
    if hand == "left":
        first, second = first.mirror, second.mirror
    targets = np.arange(10.0, 39.0, 0.05)
    made = make_probabilities(first, who, lay_down_board=lay_down, target_boards=targets)
    middle = float(targets[made >= 0.97 * made.max()].mean())
    known = KnownLine(first, who.stance.stand_board(lay_down), round(middle, 1))
    line, (move,) = as_moves(second, who, solve(second, who, limit=1)[0], [known])
    assert move.is_parallel
    assert move.stand_boards == pytest.approx(1.0)
    side = "left" if hand == "right" else "right"
    assert move_in_words(move, hand) == (
        f"From the {first} line: feet and target 1 board {side}, parallel."
    )
    best_of_all = solve(second, who, limit=1)[0]
    assert line.make_probability > best_of_all.make_probability - 0.02


def test_a_line_that_cannot_tell_says_so() -> None:
    known = KnownLine(Leave.parse("7-10"), 30.0, 20.0)
    fitted = fit(replace(SCRATCH, lean_boards=2.0), [known])
    assert fitted == Fitted(SCRATCH, None, False, (type(fitted.told[0])(known, None, None),))


def test_the_wider_the_room_the_less_a_line_tells() -> None:
    narrow, wide = (
        fit(SCRATCH, [KnownLine(Leave.parse(text), line.stand_board, line.target_board)])
        for text in ("3-10", "3-6-10")
        for line in [best(text, SCRATCH)]
    )
    assert narrow.lean_error_boards is not None
    assert wide.lean_error_boards is not None
    assert narrow.lean_error_boards < wide.lean_error_boards


@pytest.mark.parametrize("lean", [-1.5, 0.6])
def test_leaning_bowlers_aim_to_the_other_side(lean: float) -> None:
    leaning = best("10", replace(SCRATCH, lean_boards=lean))
    straight = best("10", SCRATCH)
    # To the right is a lower board: who leans right aims at a higher one.
    assert leaning.target_board - straight.target_board == pytest.approx(lean, abs=0.051)
    assert leaning.make_probability == pytest.approx(straight.make_probability, abs=0.01)


def test_moves_are_from_the_nearest_line_first() -> None:
    told = lines_of(SCRATCH, with_lay_down=False)
    line, moves = as_moves(Leave.parse("6-10"), SCRATCH, best("6-10", SCRATCH), told)
    sizes = [abs(m.stand_boards) + abs(m.target_boards) for m in moves]
    assert sizes == sorted(sizes)
    for move in moves:
        assert move.known.stand_board + move.stand_boards == pytest.approx(line.stand_board)
        assert move.known.target_board + move.target_boards == pytest.approx(line.target_board)
