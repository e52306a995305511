"""The throw that is drawn is the throw that is computed."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from leaveline.pins import ALL_LEAVES, Leave
from leaveline.pins.collide import NORMALS_PER_THROW, throw_many
from leaveline.pins.deck import PIN_X_IN, PIN_Y_IN
from leaveline.pins.rack import standard_rack
from leaveline.pins.trace import follow


@settings(max_examples=150)
@given(st.sampled_from(ALL_LEAVES), st.floats(-20, 20), st.floats(-0.05, 0.05))
def test_the_traced_throw_has_the_computed_outcome(leave: Leave, x: float, angle: float) -> None:
    ids = np.array([pin - 1 for pin in leave.pins])
    computed = throw_many(
        standard_rack(ball_mass_lb=15.0), ids, np.array(PIN_X_IN)[ids], np.array(PIN_Y_IN)[ids],
        np.array([x]), np.array([angle]), np.array([290.0]), np.zeros((1, NORMALS_PER_THROW)),
        np.array([0]),
    )  # fmt: skip
    traced = follow(leave, x_at_head_pin_in=x, angle_rad=angle, speed_in_s=290.0)
    assert traced.outcome == int(computed[0])
