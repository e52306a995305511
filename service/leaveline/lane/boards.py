"""Boards to positions and back, for either hand.

Board 1 is the outermost board on the bowler's ball-hand side, 39 the outermost on the other;
the middle of board 20 is the lane's centre line for both hands. Boards may be fractional.
"""

from __future__ import annotations

from typing import Literal

from leaveline.lane.dimensions import BOARD_IN, CENTRE_BOARD

Hand = Literal["right", "left"]


def x_from_board(board: float, hand: Hand = "right") -> float:
    """Give the lateral position x [in] of a board's middle, positive to the right."""
    return _side(hand) * (CENTRE_BOARD - board) * BOARD_IN


def board_from_x(x_in: float, hand: Hand = "right") -> float:
    """Give the (fractional) board at lateral position x [in]."""
    return CENTRE_BOARD - _side(hand) * x_in / BOARD_IN


def other_hand_board(board: float) -> float:
    """Give the same place as counted by a bowler of the other hand: 40 minus the board."""
    return 2 * CENTRE_BOARD - board


def _side(hand: Hand) -> int:
    return 1 if hand == "right" else -1
