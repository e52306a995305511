"""The followed throw ends as the kernel's throw ends, and its ways are ways things can go."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from leaveline.lane.dimensions import (
    BALL_RADIUS_IN,
    KICKBACK_X_IN,
    PIN_RADIUS_IN,
    PIT_IN,
    USUAL_SPEED_IN_S,
)
from leaveline.pins import ALL_LEAVES, Leave
from leaveline.pins.collide import NORMALS_PER_THROW, STANDING_BITS, throw_many
from leaveline.pins.deck import PIN_X_IN, PIN_Y_IN
from leaveline.pins.leave import pins_of
from leaveline.pins.rack import standard_rack
from leaveline.pins.trace import BALL, Throw, follow, nearest_make

leaves = st.sampled_from(ALL_LEAVES)
positions = st.floats(-21.0, 21.0)
angles = st.floats(-0.12, 0.12)


def kernel(leave: Leave, x: np.ndarray, angle: np.ndarray) -> np.ndarray:
    """Outcome words of the same throws by the kernel, all normal numbers zero."""
    ids = np.array([pin - 1 for pin in leave.pins])
    return throw_many(
        standard_rack(), ids, np.array(PIN_X_IN)[ids], np.array(PIN_Y_IN)[ids], x, angle,
        np.full(x.size, USUAL_SPEED_IN_S), np.zeros((1, NORMALS_PER_THROW)),
        np.zeros(x.size, np.int64),
    )  # fmt: skip


def test_every_leave_ends_as_in_the_kernel() -> None:
    generator = np.random.default_rng(5)
    for leave in ALL_LEAVES:
        x, angle = generator.uniform(-21, 21, 3), generator.uniform(-0.12, 0.12, 3)
        followed = [
            follow(leave, x_at_head_pin_in=float(at), angle_rad=float(a)).outcome
            for at, a in zip(x, angle, strict=True)
        ]
        assert followed == kernel(leave, x, angle).tolist(), leave


@given(leaves, positions, angles)
def test_what_is_told_fits_the_outcome(leave: Leave, x: float, angle: float) -> None:
    throw = follow(leave, x_at_head_pin_in=x, angle_rad=angle)
    assert throw.left == pins_of(throw.outcome & STANDING_BITS)
    assert tuple(trail.pin for trail in throw.pins) == leave.pins
    for trail in throw.pins:
        spot = PIN_X_IN[trail.pin - 1], PIN_Y_IN[trail.pin - 1]
        assert trail.points[0] == spot
        assert trail.is_down == (len(trail.points) > 1)
        if not trail.is_down:
            assert trail.walls == ()
        else:
            assert trail.felled_by == BALL or trail.felled_by in leave
            assert trail.felled_by != trail.pin
    stays = -1e-9
    for trail in (*throw.pins, throw.ball):
        for at_x, at_y in trail.points:
            assert PIT_IN - at_y > stays
            assert KICKBACK_X_IN - abs(at_x) > stays


@given(leaves, positions.filter(lambda x: abs(x) > 0.01), angles)
def test_mirror(leave: Leave, x: float, angle: float) -> None:
    """Off the middle: there, two impacts come at one instant, and a mirror turns their order."""
    seen = follow(leave.mirror, x_at_head_pin_in=-x, angle_rad=-angle).mirrored()
    throw = follow(leave, x_at_head_pin_in=x, angle_rad=angle)
    assert seen.outcome == throw.outcome
    assert seen.left == throw.left
    assert [trail.felled_by for trail in seen.pins] == [trail.felled_by for trail in throw.pins]
    assert (seen.contact is None) == (throw.contact is None)
    if throw.contact is not None:
        assert seen.contact == pytest.approx(throw.contact)


def test_mirroring_twice_changes_nothing() -> None:
    throw = follow(Leave.parse("3-6-9-10"), x_at_head_pin_in=6.0, angle_rad=0.01)
    assert throw.mirrored().mirrored() == throw
    assert throw.mirrored() != throw


@given(positions, angles)
def test_a_single_pin_is_touched_where_the_bodies_meet(x: float, angle: float) -> None:
    throw = follow(Leave.parse("1"), x_at_head_pin_in=x, angle_rad=angle)
    aside = abs(x * math.cos(angle))  # how far the ball's line runs past the pin's middle
    if aside < BALL_RADIUS_IN + PIN_RADIUS_IN - 0.01:
        assert throw.contact is not None
        apart = math.dist(throw.contact, (PIN_X_IN[0], PIN_Y_IN[0]))
        assert apart == pytest.approx(BALL_RADIUS_IN + PIN_RADIUS_IN, abs=1e-6)
    elif aside > BALL_RADIUS_IN + PIN_RADIUS_IN + 0.01:
        assert throw.contact is None
        assert throw.left == (1,)


def test_a_pin_sent_into_another() -> None:
    """Common practice: in the 1-2-10 the head pin, hit on its left, is sent into the 10."""
    found = nearest_make(Leave.parse("1-2-10"), x_at_head_pin_in=-3.0, angle_rad=0.0)
    assert found is not None
    _, throw = found
    by = {trail.pin: trail.felled_by for trail in throw.pins}
    assert by == {1: BALL, 2: BALL, 10: 1}


@pytest.mark.parametrize("text", ["10", "2-4-5-8", "3-6-9-10", "1-2-10"])
def test_no_nearer_throw_makes_it(text: str) -> None:
    leave = Leave.parse(text)
    found = nearest_make(leave, x_at_head_pin_in=-2.0, angle_rad=0.0, within_in=15.0)
    assert found is not None
    aside, throw = found
    assert throw.left == ()
    nearer = np.arange(-abs(aside) + 0.1, abs(aside) - 0.05, 0.1) - 2.0
    left = kernel(leave, nearer, np.zeros(nearer.size)) & STANDING_BITS
    assert np.all(left != 0)


def test_nothing_near_makes_it() -> None:
    assert nearest_make(Leave.parse("7-10"), x_at_head_pin_in=0.0, angle_rad=0.0) is None


def test_a_lost_ball_touches_nothing() -> None:
    throw = follow(Leave.parse("7-10"), x_at_head_pin_in=21.0, angle_rad=0.0)
    assert throw == Throw(throw.ball, throw.pins, None, Leave.parse("7-10").mask)
    assert throw.left == (7, 10)
