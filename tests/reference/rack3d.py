"""A full 3D rack in MuJoCo: the outside witness for what the pins do.

Nothing here comes from ``leaveline``. Pins are bodies of revolution with the published profile,
the ball is a rolling sphere, and deck, gutters, kickbacks, pit and rear curtain are solid.

Axes and units: x lateral from the lane's centre line (in, positive to the right seen from the
bowler), y down the lane from the foul line (in), z up from the lane (in); seconds, radians,
pounds as mass. The head-pin spot is at (0, 720).

Where the numbers come from
    Lane, pin and ball dimensions: the governing body's equipment specification (the pin profile
    is from memory). Restitution ball-pin 0.70 and pin-pin 0.68: inside the specified range for
    the ball (0.650-0.780, memory). Frictions, the kickbacks' restitution and the pit's softness
    are assumptions of ours, stated beside their names.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import mujoco  # type: ignore[import-untyped]
import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

GRAVITY = 386.09  # in/s^2
HEAD_PIN_Y = 720.0
ROW = 12.0 * math.sqrt(3.0) / 2.0
SPOTS: dict[int, tuple[float, float]] = {
    pin: (6.0 * column, HEAD_PIN_Y + ROW * row)
    for pin, column, row in (
        (1, 0, 0),
        (2, -1, 1),
        (3, 1, 1),
        (4, -2, 2),
        (5, 0, 2),
        (6, 2, 2),
        (7, -3, 3),
        (8, -1, 3),
        (9, 1, 3),
        (10, 3, 3),
    )
}
"""Nominal pin spots (x, y), in."""

LANE_HALF_WIDTH = 20.75
KICKBACK_X = 30.06
GUTTER_DEPTH = 1.875
PIT_EDGE_Y = HEAD_PIN_Y + 34.0 + 3.0 / 16.0
PIT_DEPTH = 6.0  # assumption: pins and ball that are in the pit stay there
CURTAIN_Y = PIT_EDGE_Y + 30.0  # assumption
START_Y = HEAD_PIN_Y - 14.0
"""Where the watch begins: a ball whose centre is off the lane here or later, before it has
touched a pin, is lost in the gutter."""

BALL_RADIUS = 8.55 / 2.0
BALL_MASS = 15.0
PIN_MASS = 3.0 + 9.0 / 16.0
PIN_HEIGHT = 15.0
PROFILE = np.array(
    [
        (0.0, 2.031),
        (0.75, 2.828),
        (2.25, 3.906),
        (3.375, 4.510),
        (4.5, 4.766),
        (5.875, 4.563),
        (7.25, 3.703),
        (8.625, 2.472),
        (9.375, 1.965),
        (10.0, 1.797),
        (10.875, 1.870),
        (11.75, 2.094),
        (12.625, 2.406),
        (13.5, 2.547),
    ]
)
"""Pin heights and diameters (in), the published profile; above it the head is half an ellipse."""
PIN_RADIUS = 4.766 / 2.0
BASE_RADIUS = 2.031 / 2.0

SPHERE_HEIGHTS = (
    *(1.1, 1.75, 2.4, 3.0, 3.5, 4.0, 4.5, 5.0, 5.5, 6.1, 6.7),
    *(7.3, 8.0, 8.7, 9.5, 10.3, 11.2, 12.1, 12.9, 13.7),
)
"""Centres of the spheres (in above the base) whose union is the pin's surface.

Spheres meet each other in closed form and are exactly round, where a mesh of facets is neither.
"""

NEAR = 0.12
"""Distance (in) at which ball and pins count as near: the two geoms' gaps add up to it.

From MuJoCo 4.0 on a gap lists a contact before it acts; earlier releases mean something else by it.
"""
if int(mujoco.__version__.split(".")[0]) < 4:
    raise ImportError(f"the 3D rack needs mujoco 4.0 or later, found {mujoco.__version__}")


@dataclass(frozen=True, slots=True)
class Materials:
    """Contact values: ``e_`` normal restitution, ``mu_`` Coulomb friction.

    Restitutions against deck, kickback and pit, and every friction, are assumptions.
    """

    e_ball_pin: float = 0.70
    e_pin_pin: float = 0.68
    e_deck: float = 0.40
    e_kickback: float = 0.65
    e_pit: float = 0.05
    mu_ball_pin: float = 0.15
    mu_pin_pin: float = 0.20
    mu_deck: float = 0.25
    mu_kickback: float = 0.20
    mu_pit: float = 0.50


@dataclass(frozen=True, slots=True)
class Timing:
    """Steps and lengths of impacts (s).

    A long impact would let the ball roll round the pin while they touch, which robs thin hits, so
    impacts among ball and pins are short and get a fine step. The rest of the time a coarse step
    will do, and a coarser one with softer impacts once nothing on the deck is fast.
    """

    fine_step: float = 2.5e-5
    fine_contact: float = 3.0e-4  # ball-pin and pin-pin
    coarse_step: float = 2.0e-4
    coarse_contact: float = 1.6e-3  # with deck, kickbacks and pit
    slow_step: float = 8.0e-4
    slow_contact: float = 6.4e-3
    slow_below: float = 60.0  # in/s, the fastest motion on the deck
    longest: float = 2.5  # s after the first touch


MATERIALS = Materials()
TIMING = Timing()


def _radius(height: Floats) -> Floats:
    """Pin radius (in) at the heights, linear between the published ones."""
    head = PROFILE[-1, 1] / 2.0
    dome = (height - PROFILE[-1, 0]) / (PIN_HEIGHT - PROFILE[-1, 0])
    return np.where(
        dome <= 0.0,
        np.interp(height, PROFILE[:, 0], PROFILE[:, 1] / 2.0),
        head * np.sqrt(np.clip(1.0 - dome**2, 0.0, 1.0)),
    )


@lru_cache(maxsize=1)
def pin_solid() -> tuple[float, float, float]:
    """Centre of gravity (in above the base), axial and transverse inertia (lb in^2).

    Of the uniform solid of the published profile.
    """
    z = np.linspace(0.0, PIN_HEIGHT, 15001)
    r2 = _radius(z) ** 2
    volume = r2.sum()
    cog = float((r2 * z).sum() / volume)
    axial = float(PIN_MASS * (r2**2 / 2.0).sum() / volume)
    transverse = float(PIN_MASS * (r2**2 / 4.0 + r2 * (z - cog) ** 2).sum() / volume)
    return cog, axial, transverse


def _sphere_radii() -> list[float]:
    """Radii (in) of the largest spheres about ``SPHERE_HEIGHTS`` inside the profile."""
    z = np.linspace(0.0, PIN_HEIGHT, 15001)
    r = _radius(z)
    radii = [float(np.sqrt((r**2 + (z - c) ** 2).min())) for c in SPHERE_HEIGHTS]
    # The profile's corner at its widest point would shave the belly by 0.02 in; the lowest
    # spheres must not reach through the base.
    return [
        PIN_RADIUS if c == 4.5 else min(a, c - 0.05)
        for c, a in zip(SPHERE_HEIGHTS, radii, strict=True)
    ]


def rebound(damping_ratio: float, steps_per_contact: float) -> float:
    """Restitution of MuJoCo's contact spring-damper in its own discrete time.

    Averaged over where in a step the first touch falls.
    """
    w = math.pi / steps_per_contact
    total = 0.0
    starts = 16
    for start in range(starts):
        r, v = -(start + 0.5) / starts, -1.0
        while True:
            a = -2.0 * damping_ratio * w * v - w * w * r if r < 0.0 else 0.0
            v += max(a, 0.0)
            r += v
            if r >= 0.0 and v > 0.0:
                break
            if v > 0.0 and r < 0.0 and -2.0 * damping_ratio * w * v - w * w * r <= 0.0:
                break
        total += v
    return total / starts


@lru_cache(maxsize=64)
def _solref(restitution: float, contact: float, step: float) -> tuple[float, float]:
    """MuJoCo's direct (-stiffness, -damping) for a wanted restitution."""
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = (low + high) / 2.0
        if rebound(middle, contact / step) > restitution:
            low = middle
        else:
            high = middle
    w = math.pi / contact
    return -(w**2), -2.0 * low * w


def _model_xml(pins: Sequence[int]) -> str:
    cog, axial, transverse = pin_solid()
    solimp = 'solimp="0.99 0.99 0.001 0.5 2"'
    edge, wall, pit = LANE_HALF_WIDTH, KICKBACK_X, PIT_EDGE_Y
    near, far = HEAD_PIN_Y - 40.0, CURTAIN_Y
    # Priority decides whose contact values count: wall over deck over ball over pin.
    fixed = f'contype="1" conaffinity="6" condim="3" {solimp}'

    def box(name: str, priority: int, low: Sequence[float], high: Sequence[float]) -> str:
        pos = " ".join(f"{(a + b) / 2:.6f}" for a, b in zip(low, high, strict=True))
        size = " ".join(f"{(b - a) / 2:.6f}" for a, b in zip(low, high, strict=True))
        return (
            f'<geom name="{name}" type="box" pos="{pos}" size="{size}" '
            f'priority="{priority}" {fixed}/>'
        )

    parts = [
        box("deck", 2, (-edge, near, -12.0), (edge, pit, 0.0)),
        box("deck_l", 2, (-wall, near, -12.0), (-edge, pit, -GUTTER_DEPTH)),
        box("deck_r", 2, (edge, near, -12.0), (wall, pit, -GUTTER_DEPTH)),
        box("kick_l", 3, (-wall - 6.0, HEAD_PIN_Y - 12.0, -12.0), (-wall, far + 6.0, 40.0)),
        box("kick_r", 3, (wall, HEAD_PIN_Y - 12.0, -12.0), (wall + 6.0, far + 6.0, 40.0)),
        box("pit_floor", 4, (-wall, pit, -PIT_DEPTH - 6.0), (wall, far, -PIT_DEPTH)),
        box("pit_curtain", 4, (-wall, far, -12.0), (wall, far + 6.0, 60.0)),
        # Only the standing pins' flat bases meet this plane; it is level with the deck.
        f'<geom name="deck_flat" type="plane" size="0 0 1" pos="0 720 0" priority="2" '
        f'contype="8" conaffinity="8" condim="3" {solimp}/>',
        f'<body name="ball" pos="0 700 {BALL_RADIUS}"><freejoint/>'
        f'<geom name="ball" type="sphere" size="{BALL_RADIUS}" mass="{BALL_MASS}" priority="1" '
        f'contype="2" conaffinity="5" condim="3" gap="{NEAR / 2}" {solimp}/></body>',
    ]
    radii = _sphere_radii()
    for pin in pins:
        x, y = SPOTS[pin]
        spheres = "".join(
            f'<geom name="pin{pin}_{k}" type="sphere" size="{a:.6f}" pos="0 0 {c - cog:.6f}" '
            f'contype="4" conaffinity="7" condim="3" priority="0" gap="{NEAR / 2}" {solimp}/>'
            for k, (c, a) in enumerate(zip(SPHERE_HEIGHTS, radii, strict=True))
        )
        parts.append(
            f'<body name="pin{pin}" pos="{x} {y} {cog}"><freejoint/>'
            f'<inertial pos="0 0 0" mass="{PIN_MASS}" '
            f'diaginertia="{transverse} {transverse} {axial}"/>{spheres}'
            f'<geom name="base{pin}" type="cylinder" size="{BASE_RADIUS} 0.1" '
            f'pos="0 0 {0.1 - cog:.6f}" contype="8" conaffinity="8" condim="3" priority="0" '
            f"{solimp}/></body>"
        )
    return (
        f'<mujoco><compiler autolimits="true"/><option gravity="0 0 {-GRAVITY}" '
        'integrator="Euler" cone="elliptic" solver="Newton" iterations="20" tolerance="1e-6" '
        'impratio="1"/><worldbody>' + "".join(parts) + "</worldbody></mujoco>"
    )


class _Rack:
    """One leave's compiled model, kept between throws."""

    def __init__(self, pins: tuple[int, ...], materials: Materials, timing: Timing) -> None:
        self.pins = pins
        self.timing = timing
        self.model: Any = mujoco.MjModel.from_xml_string(_model_xml(pins))
        self.data: Any = mujoco.MjData(self.model)
        names = [self.model.geom(g).name for g in range(self.model.ngeom)]
        values = {
            "pin": (materials.e_pin_pin, materials.mu_pin_pin),
            "ball": (materials.e_ball_pin, materials.mu_ball_pin),
            "deck": (materials.e_deck, materials.mu_deck),
            "base": (materials.e_deck, materials.mu_deck),
            "kick": (materials.e_kickback, materials.mu_kickback),
            "pit_": (materials.e_pit, materials.mu_pit),
        }
        kinds = [values[name[:3] if name.startswith("pin") else name[:4]] for name in names]
        self.first_mover = names.index("ball")
        self.solref_fast = np.array(
            [
                _solref(e, timing.fine_contact, timing.fine_step)
                if k >= self.first_mover and not names[k].startswith("base")
                else _solref(e, timing.coarse_contact, timing.coarse_step)
                for k, (e, _) in enumerate(kinds)
            ]
        )
        self.solref_slow = np.array(
            [_solref(e, timing.slow_contact, timing.slow_step) for e, _ in kinds]
        )
        self.model.geom_friction[:, 0] = [mu for _, mu in kinds]
        self.base_geoms = np.array([names.index(f"base{p}") for p in pins])

    def throw(self, ball_xy: Floats, ball_v: Floats, spots: Floats) -> npt.NDArray[np.bool_]:
        """Roll the ball from ``ball_xy`` at ``ball_v`` (in/s); which pins stay up, (n,)."""
        model, data, timing = self.model, self.data, self.timing
        n = len(self.pins)
        mujoco.mj_resetData(model, data)
        qpos = data.qpos.reshape(n + 1, 7)
        qvel = data.qvel.reshape(n + 1, 6)
        qpos[0, :2] = ball_xy
        qvel[0, :2] = ball_v
        # Rolling: the spin axis is level and square to the path.
        qvel[0, 3:5] = -ball_v[1] / BALL_RADIUS, ball_v[0] / BALL_RADIUS
        qpos[1:, :2] = spots
        model.geom_contype[self.base_geoms] = 8
        model.geom_conaffinity[self.base_geoms] = 8
        cog = pin_solid()[0]
        down = np.zeros(n, dtype=np.bool_)
        fast = True
        model.geom_solref[:] = self.solref_fast
        while data.time < timing.longest:
            if fast:
                self._advance_fast()
            else:
                mujoco.mj_step(model, data, nstep=10)
            x, y, z = qpos[1:, 0], qpos[1:, 1], qpos[1:, 2]
            upright = 1.0 - 2.0 * (qpos[1:, 4] ** 2 + qpos[1:, 5] ** 2)
            off = (np.abs(x) > LANE_HALF_WIDTH) | (y > PIT_EDGE_Y) | (z < cog / 2.0)
            fallen = ~down & (off | (upright < math.sqrt(0.5)))
            if fallen.any():
                down |= fallen
                model.geom_contype[self.base_geoms[down]] = 0
                model.geom_conaffinity[self.base_geoms[down]] = 0
                if down.all():
                    break
            # Whatever lies in the pit is out of play.
            in_play = (qpos[:, 1] < PIT_EDGE_Y + 5.0) | (qpos[:, 2] > cog + 6.0)
            speed = np.sqrt((qvel[:, :3] ** 2).sum(axis=1))
            turn = np.sqrt((qvel[:, 3:] ** 2).sum(axis=1))
            turn[0] = 0.0
            pace = np.where(in_play, speed + 7.0 * turn, 0.0)
            if fast and pace.max() < timing.slow_below:
                fast = False
                model.opt.timestep = timing.slow_step
                model.geom_solref[:] = self.solref_slow
            still = np.where(
                down, (speed[1:] < 5.0) & (turn[1:] < 2.5), (pace[1:] < 1.5) & (upright > 0.99)
            )
            if (still | ~in_play[1:]).all() and (not in_play[0] or speed[0] < 5.0):
                break
        up: npt.NDArray[np.bool_] = ~down & (upright > math.cos(math.radians(25.0)))
        return up

    def _advance_fast(self) -> None:
        """About 5 ms in coarse steps, in fine ones while ball and pins are near each other."""
        model, data, timing = self.model, self.data, self.timing
        fine_steps = round(timing.coarse_step / timing.fine_step)
        for _ in range(round(5.0e-3 / timing.coarse_step)):
            pairs = data.contact.geom
            if len(pairs) and (pairs.min(axis=1) >= self.first_mover).any():
                model.opt.timestep = timing.fine_step
                mujoco.mj_step(model, data, nstep=fine_steps)
            else:
                model.opt.timestep = timing.coarse_step
                mujoco.mj_step(model, data)


@lru_cache(maxsize=64)
def _rack(pins: tuple[int, ...], materials: Materials, timing: Timing) -> _Rack:
    return _Rack(pins, materials, timing)


SPOT_SPREAD = 1.0 / 32.0
"""Standard deviation (in, per axis) of the seeded displacement of each pin from its spot."""


def spots(leave: Sequence[int], spot_seed: int | None) -> Floats:
    """Where the leave's pins stand, (n, 2) in; displaced when a seed is given."""
    nominal = np.array([SPOTS[p] for p in leave])
    if spot_seed is None:
        return nominal
    return nominal + np.random.default_rng(spot_seed).normal(0.0, SPOT_SPREAD, nominal.shape)


def first_touch_y(x_at_pins_in: float, angle_rad: float, where: Floats) -> float | None:
    """Ball-centre y (in) at the first touch of the straight line with pins at ``where``.

    None when it touches none, or when the centre leaves the lane first (from ``START_Y`` on).
    """
    unit = np.array([math.sin(angle_rad), math.cos(angle_rad)])
    offset = where - np.array([x_at_pins_in, HEAD_PIN_Y])
    along = offset @ unit
    across = offset[:, 0] * unit[1] - offset[:, 1] * unit[0]
    reach = BALL_RADIUS + PIN_RADIUS
    hit = np.abs(across) < reach
    if not hit.any():
        return None
    path = float((along[hit] - np.sqrt(reach**2 - across[hit] ** 2)).min())
    y = HEAD_PIN_Y + path * math.cos(angle_rad)
    for at in (START_Y, y):
        if abs(x_at_pins_in + math.tan(angle_rad) * (at - HEAD_PIN_Y)) > LANE_HALF_WIDTH:
            return None
    return y


def throw(
    *,
    leave: Sequence[int],
    x_at_pins_in: float,
    angle_rad: float,
    speed_in_s: float,
    spot_seed: int | None = None,
    materials: Materials = MATERIALS,
    timing: Timing = TIMING,
) -> int:
    """Pins left standing by one straight, rolling ball, as a bit mask (bit pin-1 set = up).

    Parameters
    ----------
    leave
        Pin numbers standing, 1 to 10.
    x_at_pins_in
        Where the straight line of the ball's centre crosses the head pin's row, y = 720 in.
    angle_rad
        Its angle to the lane's axis, positive to the right.
    speed_in_s
        Ball speed at the pins, in/s.
    spot_seed
        Seed of the pins' displacements (see ``SPOT_SPREAD``); None for exact spots.
    """
    pins = tuple(sorted(leave))
    where = spots(pins, spot_seed)
    everything = sum(1 << (p - 1) for p in pins)
    touch = first_touch_y(x_at_pins_in, angle_rad, where)
    if touch is None:
        return everything
    y = touch - 0.3
    ball = np.array([x_at_pins_in + math.tan(angle_rad) * (y - HEAD_PIN_Y), y])
    v = speed_in_s * np.array([math.sin(angle_rad), math.cos(angle_rad)])
    up = _rack(pins, materials, timing).throw(ball, v, where)
    return sum(1 << (p - 1) for p, standing in zip(pins, up, strict=True) if standing)
