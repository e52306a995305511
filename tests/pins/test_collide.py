"""Impacts against the textbook, whole racks against a general 2D engine."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from leaveline.lane.dimensions import BALL_RADIUS_IN, HALF_LANE_IN, PIN_RADIUS_IN, PIT_IN
from leaveline.pins import ALL_LEAVES, Leave
from leaveline.pins.collide import (
    BALL_ID,
    COLUMNS,
    DOWN,
    FIRST_PIN_SHIFT,
    GONE,
    NEAR_REACH,
    NORMALS_PER_THROW,
    PIN,
    REACH,
    SENT_BIT,
    STANDING,
    STANDING_BITS,
    STATE,
    VX,
    VY,
    WALLED,
    Rack,
    X,
    Y,
    impact,
    next_event,
    rebound,
    regain_roll,
    throw_many,
)
from leaveline.pins.deck import PIN_X_IN, PIN_Y_IN
from leaveline.pins.leave import mirror_mask
from leaveline.pins.rack import standard_rack

from tests.reference.rack2d import throw_2d

TOUCH_IN = BALL_RADIUS_IN + PIN_RADIUS_IN

PLAIN = Rack(
    ball_mass=15.0, pin_mass=3.5, restitution_ball_pin=0.7, restitution_pin_pin=0.65,
    restitution_pin_pin_far=0.65, restitution_spread=0.0, restitution_kickback=0.6,
    restitution_kickback_far=0.6, restitution_kickback_spread=0.0, friction_ball_pin=0.0,
    friction_pin_pin=0.0, spot_spread_in=0.0, reach_near=1.0, reach_far=1.0, reach_far_spread=0.0,
    reach_by_pin=1.0, reach_by_wall=1.0, reach_kickback_in=PIN_RADIUS_IN, scatter_pin_rad=0.0,
    scatter_kickback_rad=0.0, slide_friction=0.0,
    ball_lane_friction=0.0, fall_speed_in_s=1.0, gutter_speed_in_s=0.0,
)  # fmt: skip
"""Upright discs on a frictionless plane, nothing drawn by chance."""


def throw(
    leave: Leave, x: float, angle: float = 0.0, rack: Rack = PLAIN, z: np.ndarray | None = None
) -> int:
    ids = np.array([pin - 1 for pin in leave.pins])
    normals = np.zeros((1, NORMALS_PER_THROW)) if z is None else z[None, :]
    return int(
        throw_many(
            rack, ids, np.array(PIN_X_IN)[ids], np.array(PIN_Y_IN)[ids], np.array([x]),
            np.array([angle]), np.array([300.0]), normals, np.array([0]),
        )[0]
    )  # fmt: skip


def meet(rack: Rack, offset_in: float, speed: float) -> tuple[np.ndarray, float, float]:
    """One ball moving along +y meets one pin; returns velocities after it and the normal.

    Rows of the velocities: pin, ball.
    """
    ball_y = -math.sqrt(TOUCH_IN**2 - offset_in**2)
    bodies = np.zeros((2, COLUMNS))
    bodies[1, [X, Y, VY]] = offset_in, ball_y, speed
    bodies[:, STATE] = STANDING, DOWN
    bodies[:, PIN] = 0, BALL_ID
    impact(rack, 1, 0, np.array([0]), bodies, np.zeros(NORMALS_PER_THROW))
    return bodies[:, [VX, VY]], -offset_in / TOUCH_IN, -ball_y / TOUCH_IN


OFFSETS = st.floats(-6.5, 6.5)
MASSES = st.floats(6, 16)


@given(OFFSETS, MASSES, st.floats(0.1, 1.0))
def test_impact_follows_the_textbook(offset: float, mass: float, e: float) -> None:
    """Stronge, Impact Mechanics (2000): dV = -(1 + e) v_n m / (m + M), on the line of centres."""
    rack = PLAIN._replace(ball_mass=mass, restitution_ball_pin=e)
    v, nx, ny = meet(rack, offset, 300.0)
    approach = 300.0 * ny
    pin_speed = (1 + e) * approach * mass / (mass + rack.pin_mass)
    assert v[0, 0] == pytest.approx(pin_speed * nx, abs=1e-6)
    assert v[0, 1] == pytest.approx(pin_speed * ny, abs=1e-6)
    separation = (v[0, 0] - v[1, 0]) * nx + (v[0, 1] - v[1, 1]) * ny
    assert separation == pytest.approx(e * approach, abs=1e-6)


@given(OFFSETS, MASSES, st.floats(0.0, 0.3))
def test_impact_keeps_momentum_and_loses_energy(offset: float, mass: float, mu: float) -> None:
    rack = PLAIN._replace(ball_mass=mass, friction_ball_pin=mu)
    v, _, _ = meet(rack, offset, 300.0)
    assert mass * v[1, 0] + rack.pin_mass * v[0, 0] == pytest.approx(0.0, abs=1e-6)
    assert mass * v[1, 1] + rack.pin_mass * v[0, 1] == pytest.approx(mass * 300.0)
    energy = mass * (v[1, 0] ** 2 + v[1, 1] ** 2) + rack.pin_mass * (v[0, 0] ** 2 + v[0, 1] ** 2)
    assert energy <= mass * 300.0**2 * (1 + 1e-12)


@given(st.floats(-6.0, 6.0))
def test_friction_drags_the_pin_with_the_ball(offset: float) -> None:
    """Coulomb: at most mu times the normal impulse, and never past the end of slipping."""
    rack = PLAIN._replace(friction_ball_pin=0.1)
    v, nx, ny = meet(rack, offset, 300.0)
    along = -v[0, 0] * ny + v[0, 1] * nx
    normal = v[0, 0] * nx + v[0, 1] * ny
    assert abs(along) <= 0.1 * normal + 1e-9
    assert along * nx >= -1e-9  # towards the side the ball's surface slides to


def test_ball_regains_its_roll_as_a_uniform_sphere_does() -> None:
    """Mechanics textbooks: slip of a uniform sphere ends with 5/7 of it kept as velocity."""
    bodies = np.zeros((1, COLUMNS))
    bodies[0, VY] = 70.0
    bodies[0, STATE] = DOWN
    roll = regain_roll(PLAIN._replace(ball_lane_friction=0.2), 10.0, 0.0, 0.0, bodies)
    assert bodies[0, VY] == pytest.approx(50.0)
    assert roll[1] == pytest.approx(50.0)


@pytest.mark.parametrize("text", ["1", "2", "5", "3", "9", "6"])
def test_single_pin_window_is_the_sum_of_radii(text: str) -> None:
    """Derived from the specification: 6.68 in to either side of the pin."""
    leave = Leave.parse(text)
    pin_x = PIN_X_IN[leave.pins[0] - 1]
    for side in (-1, 1):
        if abs(pin_x + side * (TOUCH_IN + 0.01)) < HALF_LANE_IN:
            assert throw(leave, pin_x + side * (TOUCH_IN + 0.01)) & STANDING_BITS == leave.mask
        assert throw(leave, pin_x + side * (TOUCH_IN - 0.05)) & STANDING_BITS == 0


def test_corner_pin_window_ends_at_the_lanes_edge() -> None:
    """Derived: with the ball on the lane the 10 pin offers 9.43 in."""
    leave = Leave.parse("10")
    made = [x for x in np.arange(0, 25, 0.01) if throw(leave, float(x)) & STANDING_BITS == 0]
    assert max(made) == pytest.approx(HALF_LANE_IN, abs=0.02)
    assert max(made) - min(made) == pytest.approx(9.43, abs=0.1)


@pytest.mark.parametrize("aimed", [(2, 7), (3, 10), (6, 10), (1, 10), (3, 7)])
def test_sending_one_pin_into_another(aimed: tuple[int, int]) -> None:
    """Line of centres: the ball opposite the target sends the pin into it, give or take the
    angle that both pins' radii subtend (two-disc construction, mechanics textbooks)."""
    near, far = aimed
    dx = PIN_X_IN[far - 1] - PIN_X_IN[near - 1]
    dy = PIN_Y_IN[far - 1] - PIN_Y_IN[near - 1]
    direction = math.atan2(dx, dy)
    window = math.asin(2 * PIN_RADIUS_IN / math.hypot(dx, dy))
    leave = Leave.of([near, far])
    for degrees in np.arange(-80.0, 80.5, 0.5):
        heading = math.radians(degrees)
        x = PIN_X_IN[near - 1] - TOUCH_IN * math.sin(heading)
        if abs(x) >= HALF_LANE_IN:
            continue
        dead = PLAIN._replace(restitution_kickback=0.0, restitution_kickback_far=0.0)
        word = throw(leave, x, rack=dead)
        if word >> FIRST_PIN_SHIFT != near or (not word & SENT_BIT and not word & STANDING_BITS):
            continue
        far_down = not word & (1 << (far - 1))
        if abs(heading - direction) < window - 0.01:
            assert far_down, (aimed, degrees)
        elif abs(heading - direction) > window + 0.01:
            assert not far_down, (aimed, degrees)


@given(st.sampled_from([7, 4, 2, 1, 3, 6, 10]), st.floats(0, 1), st.floats(0, 1))
def test_a_pin_from_farther_off_bounces_less(pin: int, near: float, far: float) -> None:
    """Between 10 in (the 10 pin's spot) and 26 in (the head pin's) restitution goes evenly over."""
    rack = PLAIN._replace(restitution_kickback=near, restitution_kickback_far=far)
    bodies = np.zeros((2, COLUMNS))
    bodies[0, [VX, VY, STATE, PIN]] = 200.0, 50.0, DOWN, pin - 1
    rebound(rack, 0, 0.0, 0.0, bodies)
    tumbled = np.clip((30.06 - PIN_X_IN[pin - 1] - 10.0) / 16.0, 0.0, 1.0)
    assert bodies[0, VX] == pytest.approx(-200.0 * (near + tumbled * (far - near)), abs=0.1)
    assert bodies[0, VY] == 50.0


def test_a_slow_rebound_stays_in_the_gutter() -> None:
    rack = PLAIN._replace(gutter_speed_in_s=50.0)
    for speed, state in ((80.0, GONE), (90.0, DOWN)):
        bodies = np.zeros((2, COLUMNS))
        bodies[0, [VX, STATE, PIN]] = speed, DOWN, 9
        rebound(rack, 0, 0.0, 0.0, bodies)
        assert bodies[0, STATE] == state


@pytest.mark.parametrize(
    ("other", "walled", "reach"),
    [(2, False, "near"), (8, False, "far"), (2, True, "far")],
)
def test_a_fallen_pin_reaches_farther_once_it_has_tumbled(
    other: int, walled: bool, reach: str
) -> None:
    """To a neighbour as one just struck, to others and off the wall as one that has tumbled."""
    rack = PLAIN
    bodies = np.zeros((3, COLUMNS))
    bodies[0, [VY, NEAR_REACH, REACH, STATE, WALLED, PIN]] = 100.0, 2.0, 4.0, DOWN, walled, 0
    bodies[1, [X, Y, STATE, PIN]] = 1.0, 40.0, STANDING, other - 1
    bodies[2, [STATE, PIN]] = GONE, BALL_ID
    bodies[:2, Y] += 700.0
    time, first, second = next_event(rack, bodies)
    radius = {"near": 2.0, "far": 4.0}[reach] + PIN_RADIUS_IN
    assert (first, second) == (0, 1)
    assert 100.0 * time == pytest.approx(40.0 - math.sqrt(radius**2 - 1.0))


@settings(max_examples=60)
@given(
    st.sampled_from(ALL_LEAVES), st.floats(-20, 20), st.floats(-0.03, 0.03), st.integers(0, 10**6)
)
def test_mirrored_throw_leaves_the_mirrored_pins(
    leave: Leave, x: float, angle: float, seed: int
) -> None:
    """Mirror the leave, the ball and what chance does, and the answer is the mirror image."""
    z = np.random.default_rng(seed).standard_normal(NORMALS_PER_THROW)
    rack = standard_rack()
    assert mirror_mask(throw(leave, x, angle, rack, z) & STANDING_BITS) == (
        throw(leave.mirror, -x, -angle, rack, _mirrored(z)) & STANDING_BITS
    )


def _mirrored(z: np.ndarray) -> np.ndarray:
    swap = [0, 2, 1, 5, 4, 3, 9, 8, 7, 6]
    m = z.copy()
    blocks = m[:60].reshape(6, 10)[:, swap]
    blocks[[0, 3, 4]] *= -1  # spots across the lane, and the turns, change sides
    m[:60] = blocks.ravel()
    return m


def test_whole_racks_against_pymunk() -> None:
    """pymunk, a general 2D rigid-body engine, on a frictionless plane with the same numbers.

    Both stop a body at the pit's edge and the ball at the lane's edge. Impacts that the engine's
    fixed steps put in another order can differ, so nearly all throws, not all, must agree.
    """
    rng = np.random.default_rng(5)
    agree = total = 0
    for text in ("1-2-4", "2-4-5-8", "3-6-9-10", "1-2-10", "3-10", "1-3-6-10", "6-7-10"):
        leave = Leave.parse(text)
        spots = [(PIN_X_IN[pin - 1], PIN_Y_IN[pin - 1]) for pin in leave.pins]
        for _ in range(12):
            x, angle = rng.uniform(-20, 20), rng.uniform(-0.03, 0.03)
            out = throw_2d(
                pins_xy=spots, ball_radius=BALL_RADIUS_IN, ball_mass=PLAIN.ball_mass,
                pin_radius=PIN_RADIUS_IN, pin_mass=PLAIN.pin_mass,
                e_ball_pin=PLAIN.restitution_ball_pin, e_pin_pin=PLAIN.restitution_pin_pin,
                ball_x=x - 10 * math.tan(angle), ball_y=710.0, ball_vx=300 * math.sin(angle),
                ball_vy=300 * math.cos(angle), duration=0.5, step=1e-4,
                walls=[((-30.06, 0), (-30.06, 900)), ((30.06, 0), (30.06, 900))],
                e_pin_wall=PLAIN.restitution_kickback, ball_lost_beyond_x=HALF_LANE_IN,
                out_beyond_y=PIT_IN,
            )  # fmt: skip
            standing = sum(
                1 << (pin - 1)
                for pin, change in zip(leave.pins, out.peak_speed_change[1:], strict=True)
                if change < PLAIN.fall_speed_in_s
            )
            total += 1
            agree += standing == throw(leave, x, angle) & STANDING_BITS
    assert agree >= 0.97 * total, (agree, total)
