"""The ball on the lane against textbooks, a second solver, published throws and its own laws."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from leaveline.delivery.ball import COVERS, Ball
from leaveline.delivery.path import (
    STILL_SLIDING_Y_IN,
    Arrivals,
    PathTrace,
    roll_balls,
    trace_path,
)
from leaveline.delivery.release import Release, default_release
from leaveline.lane.boards import board_from_x, x_from_board
from leaveline.lane.dimensions import BALL_RADIUS_IN, GRAVITY_IN_S2, HALF_LANE_IN, MPH_IN_S
from leaveline.lane.oil import CoverFriction, FrictionMap, OilPattern, OilZone, friction_map
from numpy.typing import NDArray
from scipy.optimize import brentq

from tests.reference.ball_motion import roll_ball

RPM_RAD_S = np.pi / 30
METRE_IN = 1 / 0.0254
UNIFORM_SPHERE = np.sqrt(0.4)  # radius of gyration over radius
HOOKING = CoverFriction(on_oil=0.04, dry=0.2)  # Frohlich, Am. J. Phys. 72, 1170, 2004 (memory)
HOUSE = OilPattern(40, 10)
POCKET_X_IN = 6 / 2.54  # best impact about 6 cm off the head pin's centre (Physics 18, 96, seen)

by_example = settings(derandomize=True, deadline=None, max_examples=80)


def even_lane(mu: float) -> FrictionMap:
    return FrictionMap(np.full((2, 2), mu), x_from_in=-20, y_from_in=0, x_step_in=40, y_step_in=720)


def throw(friction: FrictionMap, **changes: Any) -> dict[str, Any]:
    """A throw to change: 18 mph, 300 rpm, 45 degrees, straight up the middle of the lane."""
    return {
        "lay_down_x_in": 0.0,
        "launch_angle_rad": 0.0,
        "speed_in_s": 18 * MPH_IN_S,
        "rev_rate_rad_s": 300 * RPM_RAD_S,
        "axis_rotation_rad": np.radians(45),
        "axis_tilt_rad": np.radians(10),
        "friction": friction,
        "ball_radius_in": BALL_RADIUS_IN,
        "gyration_ratio": 0.6,
        **changes,
    }


def one(arrivals: Arrivals) -> dict[str, float]:
    return {field.name: float(getattr(arrivals, field.name)[0]) for field in fields(arrivals)}


def start_of(spec: dict[str, Any]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Velocity, and rolling velocity of the spin, by vectors: u = R e_z x w."""
    launch, rotation = spec["launch_angle_rad"], spec["axis_rotation_rad"]
    forward = np.array([np.sin(launch), np.cos(launch), 0.0])
    left = np.array([-forward[1], forward[0], 0.0])
    up = np.array([0.0, 0.0, 1.0])
    spin = (
        spec["rev_rate_rad_s"]
        * np.cos(spec["axis_tilt_rad"])
        * (np.cos(rotation) * left - np.sin(rotation) * forward)
    )
    rolling = np.cross(spec["ball_radius_in"] * spin, up)
    return spec["speed_in_s"] * forward[:2], rolling[:2]


# Closed forms


@by_example
@given(st.floats(100, 400), st.floats(0.03, 0.32))
def test_uniform_sphere_launched_without_spin(v: float, mu: float) -> None:
    # Mechanics textbooks: rolls after 2v/(7 mu g), at 5v/7, after 12 v^2/(49 mu g).
    roll_y = 12 * v**2 / (49 * mu * GRAVITY_IN_S2)
    assume(roll_y < 719)
    spec = throw(even_lane(mu), speed_in_s=v, rev_rate_rad_s=0.0, gyration_ratio=UNIFORM_SPHERE)
    got = one(roll_balls(**spec))
    assert got["roll_y_in"] == pytest.approx(roll_y)
    assert got["speed_at_pins_in_s"] == pytest.approx(5 * v / 7)
    assert got["time_s"] == pytest.approx(
        2 * v / (7 * mu * GRAVITY_IN_S2) + (720 - roll_y) / (5 * v / 7)
    )
    assert got["x_at_pins_in"] == pytest.approx(0, abs=1e-9)


def test_textbook_worked_example() -> None:
    # Halliday et al., Fundamentals of Physics, problem: r 0.11 m, 8.10 m/s, mu 0.19: 1.86 m/s2,
    # 42.3 rad/s2; rolls after 1.24 s and 8.6 m, at 5.79 m/s (seen / derived; all to 3 figures).
    radius = 0.11 * METRE_IN
    spec = throw(
        even_lane(0.19),
        speed_in_s=8.10 * METRE_IN,
        rev_rate_rad_s=0.0,
        gyration_ratio=UNIFORM_SPHERE,
        ball_radius_in=radius,
    )
    got, trace = one(roll_balls(**spec)), trace_path(**spec)
    roll_s = got["time_s"] - (720 - got["roll_y_in"]) / got["speed_at_pins_in_s"]
    assert got["roll_y_in"] / METRE_IN == pytest.approx(8.6, abs=0.05)
    assert got["speed_at_pins_in_s"] / METRE_IN == pytest.approx(5.79, abs=0.005)
    assert roll_s == pytest.approx(1.24, abs=0.005)
    # Both accelerations from the first ten feet: v^2 - v0^2 = -2 a y, and slip v - r w.
    v0, v = trace.speed_in_s[[0, 10]] / METRE_IN
    deceleration = (v0**2 - v**2) / (2 * 120 / METRE_IN)
    spin = (v - trace.slip_in_s[10] / METRE_IN) / 0.11
    assert deceleration == pytest.approx(1.86, abs=0.005)
    assert spin / ((v0 - v) / deceleration) == pytest.approx(42.3, abs=0.1)


@by_example
@given(
    st.floats(-0.03, 0.03), st.floats(0, 500), st.floats(0, 1.4), st.floats(0, 0.7),
    st.floats(0.02, 0.3),
)  # fmt: skip
def test_parabola_under_constant_friction(
    launch: float, rpm: float, rotation: float, tilt: float, mu: float
) -> None:
    # Hopkins & Patterson, Am. J. Phys. 45, 263, 1977 (memory): the centre follows a parabola
    # while the ball slides, then its tangent.
    spec = throw(
        even_lane(mu),
        launch_angle_rad=launch,
        rev_rate_rad_s=rpm * RPM_RAD_S,
        axis_rotation_rad=rotation,
        axis_tilt_rad=tilt,
    )
    v, u = start_of(spec)
    slip = np.linalg.norm(v - u)
    push = -mu * GRAVITY_IN_S2 * (v - u) / slip
    roll_s = slip / (mu * GRAVITY_IN_S2 * (1 + 0.6**-2))
    t = np.linspace(0, roll_s, 400)
    slid = np.outer(t, v) + np.outer(0.5 * t**2, push)
    v_end = v + push * roll_s
    beyond = slid[-1] + np.outer((800 - slid[-1, 1]) / v_end[1] * np.array([0.5, 1.0]), v_end)
    ys, xs = np.append(slid[:, 1], beyond[:, 1]), np.append(slid[:, 0], beyond[:, 0])
    trace = trace_path(**spec)
    # 2e-3 in: what straight lines between 400 points of the parabola cost.
    np.testing.assert_allclose(trace.x_in, np.interp(trace.y_in, ys, xs), atol=2e-3)
    if slid[-1, 1] < 720:
        assert one(roll_balls(**spec))["roll_y_in"] == pytest.approx(slid[-1, 1])


def test_top_spin_speeds_a_ball_up() -> None:
    # Rolled speed (v + kappa u) / (1 + kappa), kappa = (k/R)^2, from the conserved angular
    # momentum about a line on the lane (mechanics textbooks).
    spec = throw(even_lane(0.2), speed_in_s=200.0, rev_rate_rad_s=70.0, axis_rotation_rad=0.0)
    u = BALL_RADIUS_IN * 70.0 * np.cos(np.radians(10))
    assert one(roll_balls(**spec))["speed_at_pins_in_s"] == pytest.approx((200 + 0.36 * u) / 1.36)


def test_a_ball_that_rolls_from_the_start_goes_straight() -> None:
    spec = throw(
        even_lane(0.2),
        lay_down_x_in=3.0,
        launch_angle_rad=-0.01,
        speed_in_s=BALL_RADIUS_IN * 70.0,
        rev_rate_rad_s=70.0,
        axis_rotation_rad=0.0,
        axis_tilt_rad=0.0,
    )
    got = one(roll_balls(**spec))
    assert got["roll_y_in"] == pytest.approx(0, abs=1e-6)
    assert got["x_at_pins_in"] == pytest.approx(3 + 720 * np.tan(-0.01))
    assert got["x_at_target_in"] == pytest.approx(3 + 180 * np.tan(-0.01))
    assert got["breakpoint_x_in"] == 3.0
    assert got["breakpoint_y_in"] == 0.0


def test_tilt_only_takes_from_the_horizontal_spin() -> None:
    tilted = throw(even_lane(0.1), axis_tilt_rad=np.radians(30))
    fewer = throw(
        even_lane(0.1),
        axis_tilt_rad=0.0,
        rev_rate_rad_s=300 * RPM_RAD_S * np.cos(np.radians(30)),
    )
    assert one(roll_balls(**tilted)) == pytest.approx(one(roll_balls(**fewer)))


# A second solver


def random_throws(count: int) -> list[dict[str, Any]]:
    rng = np.random.default_rng(20)
    specs = []
    for n in range(count):
        if n % 2:
            pattern = OilPattern(float(rng.uniform(34, 48)), float(rng.uniform(1, 12)))
        else:
            starts, widths = rng.integers(1, 20, 4), rng.integers(5, 20, 4)
            fronts, spans = rng.uniform(0, 15, 4), rng.uniform(8, 30, 4)
            pattern = OilPattern(
                zones=tuple(
                    OilZone(int(b), int(b + w), float(f), float(f + s), float(a))
                    for b, w, f, s, a in zip(
                        starts, widths, fronts, spans, rng.uniform(0.05, 1, 4), strict=True
                    )
                )
            )
        ball = Ball(
            cover=COVERS[n % len(COVERS)],
            radius_of_gyration_in=float(rng.uniform(2.46, 2.80)),
        )
        friction = friction_map(pattern, cover=ball.friction, games_worn=float(rng.uniform(0, 30)))
        specs.append(
            throw(
                friction,
                lay_down_x_in=rng.uniform(-10, 12),
                launch_angle_rad=np.radians(rng.uniform(-1.5, 2.5)),
                speed_in_s=MPH_IN_S * rng.uniform(10, 24),
                rev_rate_rad_s=RPM_RAD_S * rng.uniform(0, 600),
                axis_rotation_rad=np.radians(rng.uniform(0, 90)),
                axis_tilt_rad=np.radians(rng.uniform(0, 45)),
                gyration_ratio=ball.gyration_ratio,
            )
        )
    return specs


@pytest.mark.parametrize("spec", random_throws(24))
def test_against_the_full_equations_of_motion(spec: dict[str, Any]) -> None:
    # Witness: scipy's solve_ivp on a sphere's full equations, tests/reference/ball_motion.py.
    got, want = one(roll_balls(**spec)), roll_ball(**spec)
    assert got["x_at_pins_in"] == pytest.approx(want.x_at_pins_in, abs=0.02)
    assert got["x_at_target_in"] == pytest.approx(want.x_at_target_in, abs=0.01)
    assert got["angle_at_pins_rad"] == pytest.approx(want.angle_at_pins_rad, abs=1e-4)
    assert got["speed_at_pins_in_s"] == pytest.approx(want.speed_at_pins_in_s, abs=0.02)
    assert got["time_s"] == pytest.approx(want.time_s, abs=5e-4)
    assert got["breakpoint_x_in"] == pytest.approx(want.furthest_right_in, abs=0.02)
    if np.isnan(want.roll_y_in):
        assert got["roll_y_in"] == STILL_SLIDING_Y_IN
    else:
        assert got["roll_y_in"] == pytest.approx(want.roll_y_in, abs=1.5)
    # What the fast way rests on: the slip never turns, whatever the friction does (Hopkins &
    # Patterson 1977, memory). The witness assumes nothing of the kind.
    assert want.slip_turn_rad < 1e-6


@pytest.mark.parametrize("spec", random_throws(6))
def test_energy_and_angular_momentum_along_a_path(spec: dict[str, Any]) -> None:
    v0, u0 = start_of(spec)
    slip0 = v0 - u0
    trace = trace_path(**spec)
    v = trace.speed_in_s[:, None] * np.stack([np.sin(trace.angle_rad), np.cos(trace.angle_rad)], 1)
    u = v - trace.slip_in_s[:, None] * slip0 / np.linalg.norm(slip0)
    kappa = spec["gyration_ratio"] ** 2
    # About any line on the lane friction has no moment: v + kappa u stays what it was.
    np.testing.assert_allclose(v + kappa * u, np.tile(v0 + kappa * u0, (61, 1)), rtol=1e-9)
    energy = 0.5 * ((v**2).sum(axis=1) + kappa * (u**2).sum(axis=1))
    lost = -np.diff(energy)
    sliding = ~trace.is_rolling[1:]
    assert (lost >= -1e-7).all()
    assert (lost[sliding] > 0).all()
    assert lost[trace.is_rolling[:-1]] == pytest.approx(0, abs=1e-7)


# Consistency


@by_example
@given(
    st.floats(-15, 15), st.floats(-0.05, 0.05), st.floats(12, 24), st.floats(0, 600),
    st.floats(0, 90),
)  # fmt: skip
def test_the_trace_tells_the_same_throw(
    x: float, launch: float, mph: float, rpm: float, rotation: float
) -> None:
    spec = throw(
        friction_map(HOUSE, cover=HOOKING),
        lay_down_x_in=x,
        launch_angle_rad=launch,
        speed_in_s=mph * MPH_IN_S,
        rev_rate_rad_s=rpm * RPM_RAD_S,
        axis_rotation_rad=np.radians(rotation),
    )
    got, trace = one(roll_balls(**spec)), trace_path(**spec)
    assert trace.x_in[0] == x
    assert trace.x_in[15] == pytest.approx(got["x_at_target_in"], abs=0.02)
    assert trace.x_in[60] == pytest.approx(got["x_at_pins_in"], abs=0.03)
    assert trace.angle_rad[60] == pytest.approx(got["angle_at_pins_rad"], abs=2e-4)
    assert trace.speed_in_s[60] == pytest.approx(got["speed_at_pins_in_s"], abs=0.05)
    furthest = trace.x_in.max()
    assert furthest - 0.01 <= got["breakpoint_x_in"] <= furthest + 0.1
    assert got["edge_margin_in"] == pytest.approx(
        HALF_LANE_IN - max(got["breakpoint_x_in"], -trace.x_in.min()), abs=0.1
    )
    rolls_at = np.flatnonzero(trace.is_rolling)
    first = 12.0 * rolls_at[0] if len(rolls_at) else 720.0 + 12.0
    assert first - 12 - 0.5 <= got["roll_y_in"] <= first + 0.5
    assert (np.diff(trace.is_rolling.astype(int)) >= 0).all(), "once it rolls it rolls on"


def test_many_throws_are_each_as_if_alone() -> None:
    rng = np.random.default_rng(3)
    x, revs = rng.uniform(-10, 10, 50), rng.uniform(0, 60, 50)
    friction = friction_map(HOUSE, cover=HOOKING)
    many = roll_balls(**throw(friction, lay_down_x_in=x, rev_rate_rad_s=revs))
    for n in (0, 17, 49):
        alone = roll_balls(**throw(friction, lay_down_x_in=x[n], rev_rate_rad_s=revs[n]))
        for field in fields(Arrivals):
            assert getattr(many, field.name).shape == (50,)
            assert getattr(many, field.name)[n] == getattr(alone, field.name)[0]


def test_a_gutter_ball_has_a_negative_margin() -> None:
    wide = one(roll_balls(**throw(even_lane(0.04), lay_down_x_in=15, launch_angle_rad=0.03)))
    hooked = one(roll_balls(**throw(even_lane(0.2), lay_down_x_in=-15)))
    good = one(roll_balls(**throw(even_lane(0.04), rev_rate_rad_s=0.0)))
    assert wide["edge_margin_in"] < 0
    assert hooked["edge_margin_in"] < 0
    assert good["edge_margin_in"] == pytest.approx(HALF_LANE_IN)


@by_example
@given(
    st.floats(-12, 12), st.floats(-0.04, 0.04), st.floats(0, 600), st.floats(0.01, 90),
    st.integers(0, 5),
)  # fmt: skip
def test_the_mirrored_throw_is_the_mirror_image(
    x: float, launch: float, rpm: float, rotation: float, seed: int
) -> None:
    rng = np.random.default_rng(seed)
    pattern = OilPattern(
        zones=(
            OilZone(int(rng.integers(1, 15)), int(rng.integers(16, 39)), 0, 40, 0.5),
            OilZone(int(rng.integers(1, 20)), 20, 5, 30, 0.2),
        )
    )
    friction = friction_map(pattern, cover=HOOKING)
    changes = {"rev_rate_rad_s": rpm * RPM_RAD_S}
    here = one(
        roll_balls(
            **throw(
                friction,
                lay_down_x_in=x,
                launch_angle_rad=launch,
                axis_rotation_rad=np.radians(rotation),
                **changes,
            )
        )
    )
    there = one(
        roll_balls(
            **throw(
                friction.mirrored(),
                lay_down_x_in=-x,
                launch_angle_rad=-launch,
                axis_rotation_rad=-np.radians(rotation),
                **changes,
            )
        )
    )
    for name in ("x_at_pins_in", "angle_at_pins_rad", "x_at_target_in", "breakpoint_x_in"):
        there[name] *= -1
    assert there == pytest.approx(here, rel=1e-9, abs=1e-7)


# What bowlers know


@by_example
@given(st.floats(50, 500), st.floats(5, 100), st.floats(10, 80), st.floats(30, 50))
def test_more_revs_hook_more(rpm: float, more: float, rotation: float, length: float) -> None:
    friction = friction_map(OilPattern(length, 1), cover=HOOKING)
    got = roll_balls(
        **throw(
            friction,
            rev_rate_rad_s=np.array([rpm, rpm + more]) * RPM_RAD_S,
            axis_rotation_rad=np.radians(rotation),
        )
    )
    assert got.x_at_pins_in[1] < got.x_at_pins_in[0]
    assert got.angle_at_pins_rad[1] < got.angle_at_pins_rad[0]


@by_example
@given(st.floats(0, 80), st.floats(1, 10), st.floats(100, 500), st.floats(30, 50))
def test_more_rotation_comes_in_steeper(
    rotation: float, more: float, rpm: float, length: float
) -> None:
    friction = friction_map(OilPattern(length, 1), cover=HOOKING)
    got = roll_balls(
        **throw(
            friction,
            rev_rate_rad_s=rpm * RPM_RAD_S,
            axis_rotation_rad=np.radians([rotation, rotation + more]),
        )
    )
    # Once the ball rolls before the pins; a ball still sliding has not used up its rotation.
    assume((got.roll_y_in < 720).all())
    assert got.angle_at_pins_rad[1] < got.angle_at_pins_rad[0]


@by_example
@given(st.floats(0, 1), st.floats(0.5, 0.99), st.floats(100, 500), st.floats(30, 50))
def test_more_rotation_hooks_more_up_to_the_steepest_slip(
    less: float, share: float, rpm: float, length: float
) -> None:
    # The slip v - u leans most to the side where cos(rotation) = u/v; past that more rotation
    # only lengthens the slide. Up to there both the hook and the entry angle grow.
    u_over_v = BALL_RADIUS_IN * rpm * RPM_RAD_S * np.cos(np.radians(10)) / (18 * MPH_IN_S)
    rotation = np.arccos(u_over_v) * share
    got = roll_balls(
        **throw(
            friction_map(OilPattern(length, 1), cover=HOOKING),
            rev_rate_rad_s=rpm * RPM_RAD_S,
            axis_rotation_rad=np.array([rotation * less * 0.98, rotation]),
        )
    )
    assert got.x_at_pins_in[1] < got.x_at_pins_in[0]
    assert got.angle_at_pins_rad[1] < got.angle_at_pins_rad[0]


@by_example
@given(
    st.floats(22, 50), st.floats(0.5, 5), st.floats(100, 500), st.floats(10, 80),
    st.floats(14, 22),
)  # fmt: skip
def test_longer_oil_hooks_less(
    length: float, more: float, rpm: float, rotation: float, mph: float
) -> None:
    spec = {
        "rev_rate_rad_s": rpm * RPM_RAD_S,
        "axis_rotation_rad": np.radians(rotation),
        "speed_in_s": mph * MPH_IN_S,
    }
    short, long = (
        one(roll_balls(**throw(friction_map(OilPattern(feet, 1), cover=HOOKING), **spec)))
        for feet in (length, length + more)
    )
    assert long["x_at_pins_in"] > short["x_at_pins_in"]
    assert long["angle_at_pins_rad"] >= short["angle_at_pins_rad"] - 1e-12
    assert long["roll_y_in"] >= short["roll_y_in"]


@by_example
@given(st.floats(0, 0.2), st.floats(0.01, 0.5), st.floats(100, 500), st.floats(10, 80))
def test_heavier_oil_hooks_less(amount: float, more: float, rpm: float, rotation: float) -> None:
    spec = {"rev_rate_rad_s": rpm * RPM_RAD_S, "axis_rotation_rad": np.radians(rotation)}
    light, heavy = (
        one(
            roll_balls(
                **throw(
                    friction_map(OilPattern(zones=(OilZone(1, 39, 0, 40, oil),)), cover=HOOKING),
                    **spec,
                )
            )
        )
        for oil in (amount, amount + more)
    )
    assert heavy["x_at_pins_in"] > light["x_at_pins_in"]
    assert heavy["angle_at_pins_rad"] >= light["angle_at_pins_rad"] - 1e-12


def test_styles_measured() -> None:
    # Governing body's style study (2000s, seen): 220 rpm at 19 mph, 325 at 18, 520 at 19, axis
    # rotation 80, 70, 60: the more revs of them, the steeper and the more hook.
    got = roll_balls(
        **throw(
            friction_map(OilPattern(40, 1), cover=HOOKING),
            speed_in_s=np.array([19, 18, 19]) * MPH_IN_S,
            rev_rate_rad_s=np.array([220, 325, 520]) * RPM_RAD_S,
            axis_rotation_rad=np.radians([80, 70, 60]),
        )
    )
    assert (np.diff(got.angle_at_pins_rad) < 0).all()
    assert (np.diff(got.x_at_pins_in) < 0).all()


def test_speed_and_time_of_the_trade() -> None:
    # Trade articles (seen): 18-21 mph off the hand, 16-18 at the pins, 2.1-2.4 s.
    mph = np.array([18.0, 19.0, 20.0, 21.0])
    release = default_release("strike", level="tour")
    got = roll_balls(
        **throw(
            friction_map(OilPattern(42, 3), cover=HOOKING),
            speed_in_s=mph * MPH_IN_S,
            rev_rate_rad_s=release.rev_rate_rad_s,
            axis_rotation_rad=np.radians(45),
            axis_tilt_rad=release.axis_tilt_rad,
        )
    )
    at_pins = got.speed_at_pins_in_s / MPH_IN_S
    assert ((at_pins[1:] > 16) & (at_pins[1:] < 18)).all()
    assert ((got.time_s[1:3] > 2.1) & (got.time_s[1:3] < 2.4)).all()
    # The ends fall just outside: a ball that rolls has lost 2.5 to 3.3 mph whatever the lane
    # does, so 18 comes to 15.4-15.5; and 21 mph takes less than 2.1 s even unbraked (1.95 s).
    assert at_pins[0] == pytest.approx(16, abs=0.7)
    assert got.time_s[[0, 3]] == pytest.approx([2.4, 2.1], abs=0.06)


def test_the_breakpoint_moves_in_with_longer_oil() -> None:
    # Common practice: it lies about the board that is the oil's length in feet less 31. Held
    # here are the direction and the board at a middling 40 ft. The rule moves a board a foot, for
    # bowlers who also move their feet; with the lay-down kept on board 18 it is 0.2 to 0.4.
    lay_down = x_from_board(18)
    spec = {
        "lay_down_x_in": lay_down,
        "speed_in_s": 18.5 * MPH_IN_S,
        "axis_tilt_rad": np.radians(13),
    }

    def turning_board(length: float) -> float:
        friction = friction_map(OilPattern(length, 3), cover=HOOKING)

        def miss(launch: float) -> float:
            got = roll_balls(**throw(friction, launch_angle_rad=launch, **spec))
            return float(got.x_at_pins_in[0]) - POCKET_X_IN

        launch = brentq(miss, 0.0, 0.07)
        got = one(roll_balls(**throw(friction, launch_angle_rad=launch, **spec)))
        return board_from_x(got["breakpoint_x_in"])

    boards = [turning_board(length) for length in (34, 37, 40, 43, 46)]
    assert (np.diff(boards) > 0).all()
    assert boards[2] == pytest.approx(40 - 31, abs=1.5)


# The best strike line reported: 17.9 mph, 416 rpm, axis rotation 45, released on board 12 from
# the right, 1.8 degrees right of straight, oil over two thirds of the lane (AIP Advances 15,
# 045222, 2025, as reported; its friction numbers and pattern were not seen).
BEST_LINE = {
    "lay_down_x_in": x_from_board(12),
    "launch_angle_rad": np.radians(1.8),
    "speed_in_s": 17.9 * MPH_IN_S,
    "rev_rate_rad_s": 416 * RPM_RAD_S,
    "axis_rotation_rad": np.radians(45),
    "axis_tilt_rad": 0.0,
}
TWO_THIRDS = OilPattern(40, 1)


def test_best_strike_line_reaches_the_pocket_on_slick_oil() -> None:
    # Assumed: oil even across the lane; no tilt; radius of gyration 0.6 of the radius; dry
    # friction 0.2. The friction on oil that then brings it to the pocket is 0.020, half of the
    # typical 0.04.
    friction = friction_map(TWO_THIRDS, cover=CoverFriction(on_oil=0.0205, dry=0.2))
    got = one(roll_balls(**throw(friction, **BEST_LINE)))
    assert board_from_x(got["x_at_pins_in"]) == pytest.approx(17.7, abs=0.5)
    assert got["x_at_pins_in"] == pytest.approx(POCKET_X_IN, abs=0.7)
    assert np.degrees(got["angle_at_pins_rad"]) == pytest.approx(-6, abs=0.5)
    assert got["speed_at_pins_in_s"] / MPH_IN_S == pytest.approx(15.3, abs=0.1)
    assert got["edge_margin_in"] > 0
    assert 400 < got["roll_y_in"] < 720


def test_best_strike_line_misses_left_with_typical_friction() -> None:
    # What could not be matched: with the typical 0.04 on oil the same throw comes in at the same
    # angle, which friction has no say in, but nearly nine boards past the pocket; even oil would
    # have to reach 53 ft, not 40, to bring it there. The boards are a regression pin.
    got = one(roll_balls(**throw(friction_map(TWO_THIRDS, cover=HOOKING), **BEST_LINE)))
    assert np.degrees(got["angle_at_pins_rad"]) == pytest.approx(-5.69, abs=0.01)
    assert board_from_x(got["x_at_pins_in"]) - 17.7 == pytest.approx(8.9, abs=0.2)


# Ball and release


def test_a_balls_numbers() -> None:
    ball = Ball(radius_of_gyration_in=2.5, diameter_in=8.5)
    assert ball.radius_in == 4.25
    assert ball.gyration_ratio == pytest.approx(2.5 / 4.25)


@pytest.mark.parametrize("level", ["tour", "scratch", "league", "casual"])
def test_a_spare_ball_goes_nearly_straight(level: Any) -> None:
    # Common practice: polyester with a near-normal release goes straight at spares.
    def drift(kind: Any, cover: Any) -> float:
        release, ball = default_release(kind, level=level), Ball(cover=cover)
        spec = throw(
            friction_map(HOUSE, cover=ball.friction),
            speed_in_s=release.speed_in_s,
            rev_rate_rad_s=release.rev_rate_rad_s,
            axis_rotation_rad=release.axis_rotation_rad,
            axis_tilt_rad=release.axis_tilt_rad,
            gyration_ratio=ball.gyration_ratio,
        )
        return 20 - board_from_x(one(roll_balls(**spec))["x_at_pins_in"])

    assert -3 < drift("spare", "polyester") < 0
    assert drift("strike", "reactive_solid") < drift("strike", "polyester")
    assert drift("strike", "polyester") < drift("spare", "polyester")


def test_a_releases_units() -> None:
    release = Release(speed_mph=20, rev_rate_rpm=300, axis_rotation_deg=90, axis_tilt_deg=45)
    assert release.speed_in_s == pytest.approx(352.0)  # 20 mph is 29 1/3 ft/s
    assert release.rev_rate_rad_s == pytest.approx(10 * np.pi)
    assert release.axis_rotation_rad == pytest.approx(np.pi / 2)
    assert release.axis_tilt_rad == pytest.approx(np.pi / 4)


@pytest.mark.parametrize(
    ("fields_", "message"),
    [
        ({"cover": "rubber"}, r"cover = 'rubber': must be one of polyester, urethane"),
        ({"weight_lb": 16.5}, r"weight_lb = 16.5: must be from 6 to 16"),
        ({"radius_of_gyration_in": 2.4}, r"radius_of_gyration_in = 2.4: must be from 2.46 to 2.8"),
        ({"diameter_in": 8.6}, r"diameter_in = 8.6: must be from 8.5 to 8.595"),
        ({"surface_grit": 100}, r"surface_grit = 100: must be from 180 to 10000"),
    ],
)
def test_ball_refusals(fields_: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        Ball(**fields_)


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("speed_mph", 7.9, r"speed_mph = 7.9: must be from 8 to 28"),
        ("rev_rate_rpm", 701, r"rev_rate_rpm = 701: must be from 0 to 700"),
        ("axis_rotation_deg", -1, r"axis_rotation_deg = -1: must be from 0 to 90"),
        ("axis_tilt_deg", float("nan"), r"axis_tilt_deg = nan: must be from 0 to 45"),
    ],
)
def test_release_refusals(field: str, value: float, message: str) -> None:
    good = {"speed_mph": 18, "rev_rate_rpm": 300, "axis_rotation_deg": 45, "axis_tilt_deg": 10}
    Release(**good)
    with pytest.raises(ValueError, match=message):
        Release(**{**good, field: value})


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"lay_down_x_in": [0.0, 31.0]}, r"lay_down_x_in = 31.0: must be from -30.06 to 30.06"),
        ({"launch_angle_rad": np.nan}, r"launch_angle_rad = nan"),
        ({"speed_in_s": 0.0}, r"speed_in_s = 0.0: must be from 1 to 1000"),
        ({"rev_rate_rad_s": -1.0}, r"rev_rate_rad_s = -1.0: must be from 0 to 200"),
        ({"axis_tilt_rad": 2.0}, r"axis_tilt_rad = 2.0"),
        ({"gyration_ratio": 0.0}, r"gyration_ratio = 0.0: must be from 0.1 to 1"),
        (
            {"axis_rotation_rad": np.pi, "rev_rate_rad_s": 199.0, "speed_in_s": 100.0},
            r"would bring a ball to a halt",
        ),
    ],
)
def test_throw_refusals(changes: dict[str, Any], message: str) -> None:
    for follow in (roll_balls, trace_path):
        if follow is trace_path and np.ndim(changes.get("lay_down_x_in", 0.0)):
            continue
        with pytest.raises(ValueError, match=message):
            follow(**throw(even_lane(0.1), **changes))


def test_a_trace_has_a_row_for_every_foot() -> None:
    trace = trace_path(**throw(even_lane(0.1)))
    assert trace.y_in.tolist() == [12.0 * foot for foot in range(61)]
    assert all(getattr(trace, field.name).shape == (61,) for field in fields(PathTrace))
