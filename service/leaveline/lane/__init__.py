"""Where things are: published dimensions, boards and hands.

Axes, for the whole project: x [in] is lateral from the lane's centre line, positive to the
right seen from the bowler; y [in] runs down the lane from the foul line; the head pin stands at
(0, 720). Angles [rad] are positive to the right. Boards count from the ball-hand side.
"""

from leaveline.lane.boards import Hand, board_from_x, other_hand_board, x_from_board

__all__ = ["Hand", "board_from_x", "other_hand_board", "x_from_board"]
