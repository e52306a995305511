"""Does a line run over dry boards where there should be oil?"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from leaveline.delivery.rolling import Rolling, friction_of
from leaveline.lane.dimensions import TARGET_IN

FloatArray = npt.NDArray[np.float64]

MUCH_OF_THE_OIL = 1 / 3
"""A throw counts as run over dry boards when it spends this share of the oil's length on them."""


def dry_share(
    rolling: Rolling, lay_down_x_in: float, target_x_in: float, errors: FloatArray
) -> float:
    """Share of throws that run over dry boards beside the oil.

    Within the oil's length (where the middle of the lane is nearer to oiled than to dry) a board
    is dry where its friction is nearer to dry than to oiled. Ways are taken straight: on oil a ball
    has hardly begun to turn.

    Parameters
    ----------
    rolling : Rolling
        Ball, release and lane as a right-hander's.
    lay_down_x_in, target_x_in : float
        The line as it is meant [in].
    errors : (n, k) array
        What the bowler adds; its first two columns are inches at the foul line and at the target.
    """
    friction = friction_of(rolling)
    halfway = (friction.mu.min() + friction.mu.max()) / 2
    if friction.mu.min() == friction.mu.max():
        return 0.0
    rows = np.flatnonzero(friction.mu[:, friction.mu.shape[1] // 2] < halfway)
    if not rows.size:
        return 0.0
    y = friction.y_from_in + rows * friction.y_step_in
    lay_down = lay_down_x_in + errors[:, :1]
    x = lay_down + (target_x_in + errors[:, 1:2] - lay_down) * (y[None, :] / TARGET_IN)
    columns = np.rint((x - friction.x_from_in) / friction.x_step_in).astype(np.int64)
    columns = np.clip(columns, 0, friction.mu.shape[1] - 1)
    is_dry = friction.mu[rows[None, :], columns] > halfway
    return float(np.mean(is_dry.mean(axis=1) >= MUCH_OF_THE_OIL))
