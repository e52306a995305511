"""Boards, positions and hands."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from leaveline.lane import board_from_x, other_hand_board, x_from_board
from leaveline.lane import dimensions as lane
from leaveline.pins.deck import PIN_X_IN, PIN_Y_IN

BOARDS = st.floats(0, 40)
HANDS = st.sampled_from(["right", "left"])

# Derived from the governing body's equipment specification: board of each pin from the right.
PIN_BOARDS = {
    1: 20.00, 5: 20.00, 2: 25.64, 8: 25.64, 3: 14.36, 9: 14.36, 4: 31.28, 6: 8.72, 7: 36.92,
    10: 3.08,
}  # fmt: skip


@given(BOARDS, HANDS)
def test_position_and_back(board: float, hand: str) -> None:
    assert board_from_x(x_from_board(board, hand), hand) == pytest.approx(board, abs=1e-9)


@given(BOARDS)
def test_left_hander_counts_from_the_other_side(board: float) -> None:
    assert x_from_board(board, "left") == pytest.approx(-x_from_board(board, "right"))
    assert x_from_board(other_hand_board(board), "left") == pytest.approx(x_from_board(board))


def test_one_board_is_the_published_width() -> None:
    """Equipment specification: 41 1/2 in of 39 boards, so 1.064 in each."""
    assert pytest.approx(1.064, abs=5e-4) == lane.BOARD_IN


@pytest.mark.parametrize(("pin", "board"), PIN_BOARDS.items())
def test_pins_stand_on_the_derived_boards(pin: int, board: float) -> None:
    assert board_from_x(PIN_X_IN[pin - 1]) == pytest.approx(board, abs=0.005)


@pytest.mark.parametrize(("pin", "y_in"), [(1, 720.000), (2, 730.392), (4, 740.785), (7, 751.177)])
def test_rows_stand_where_the_specification_puts_them(pin: int, y_in: float) -> None:
    assert PIN_Y_IN[pin - 1] == pytest.approx(y_in, abs=5e-4)


def test_deck_distances() -> None:
    """Derived values of the specification: 7 and 10 spots to the lane's edge and the kickback."""
    assert pytest.approx(2.75) == lane.HALF_LANE_IN - PIN_X_IN[9]
    assert pytest.approx(12.06) == lane.KICKBACK_X_IN - PIN_X_IN[9]
    assert pytest.approx(34.1875) == lane.PIT_IN - lane.FOUL_TO_HEAD_PIN_IN
    assert pytest.approx(2 * 6.68, abs=0.005) == 2 * (lane.BALL_RADIUS_IN + lane.PIN_RADIUS_IN)
