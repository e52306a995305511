"""Does a line run over dry boards where there should be oil?"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from leaveline.delivery.path import PathTrace
from leaveline.delivery.rolling import Rolling, friction_of
from leaveline.lane.dimensions import TARGET_IN

FloatArray = npt.NDArray[np.float64]

MUCH_OF_THE_OIL = 1 / 3
"""A throw counts as run over dry boards when it spends this share of the oil's length on them."""


def dry_share(rolling: Rolling, path: PathTrace, errors: FloatArray) -> float:
    """Share of throws that run over dry boards beside the oil.

    Within the oil's length (where the middle of the lane is nearer to oiled than to dry) a board
    is dry where its friction is nearer to dry than to oiled. A throw runs beside the path as meant
    by what it is off at the foul line and at the target; how else its hook differs is left out.

    Parameters
    ----------
    rolling : Rolling
        Ball, release and lane as a right-hander's.
    path : PathTrace
        The line as it is meant.
    errors : (n, k) array
        What the bowler adds; its first two columns are inches at the foul line and at the target.
    """
    friction = friction_of(rolling)
    halfway = (friction.mu.min() + friction.mu.max()) / 2
    middle = friction.mu[:, friction.mu.shape[1] // 2]
    rows = np.flatnonzero(middle < halfway)
    if not rows.size or friction.mu.min() == friction.mu.max():
        return 0.0
    y = friction.y_from_in + rows * friction.y_step_in
    off = errors[:, :1] + (errors[:, 1:2] - errors[:, :1]) * (y[None, :] / TARGET_IN)
    x = np.interp(y, path.y_in, path.x_in)[None, :] + off
    columns = np.rint((x - friction.x_from_in) / friction.x_step_in).astype(np.int64)
    columns = np.clip(columns, 0, friction.mu.shape[1] - 1)
    is_dry = friction.mu[rows[None, :], columns] > halfway
    return float(np.mean(is_dry.mean(axis=1) >= MUCH_OF_THE_OIL))
