"""Collisions on the pin deck: ball and pins as discs in the plane, event by event.

Between impacts every body moves on a straight line (pins off the kickback slow down by friction,
which changes their speed but not their path). At an impact the normal impulse follows Newton's law
of restitution with effective mass mM/(m+M) (Stronge, Impact Mechanics, 2000):

    J = (1 + e) v_n mM / (m + M)

A pin is down once the ball touches it, or once another pin changes its velocity by more than a
threshold. The ball is lost when its centre crosses the lane's edge; a pin leaves over the pit's
edge and rebounds from the kickbacks.

What a rack does beyond that plane is that pins tumble. A pin just struck is still nearly upright
when it meets a neighbour, and lies across its way when it meets one farther off; a kickback sends
it back the more slowly the farther it has tumbled, and one that is too slow drops into the gutter.
So reach and restitution depend on whether two pins are neighbours, and on how far the wall is, and
what is left is drawn anew for every throw from a pool of standard normal numbers. Averaged over
those draws each impact has a probability instead of one verdict. `leaveline.pins.rack` holds the
values and where they come from.

The steps are inlined into one compiled loop, and division follows IEEE rules without Python's check
for zero: together that is a third faster and changes no result.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from numba import njit

from leaveline.lane.dimensions import (
    BALL_RADIUS_IN,
    FOUL_TO_HEAD_PIN_IN,
    GRAVITY_IN_S2,
    HALF_LANE_IN,
    KICKBACK_X_IN,
    PIN_RADIUS_IN,
    PIN_SPACING_IN,
    PIT_IN,
)
from leaveline.pins.deck import PIN_X_IN, PIN_Y_IN
from leaveline.pins.leave import PIN_COUNT

START_Y_IN = FOUL_TO_HEAD_PIN_IN - 10.0  # ahead of the first possible contact (6.7 in)
MAX_EVENTS = 120  # far more than any rack needs: a full one takes about 40
NEIGHBOURS = (
    np.hypot(
        np.subtract.outer(np.array(PIN_X_IN), np.array(PIN_X_IN)),
        np.subtract.outer(np.array(PIN_Y_IN), np.array(PIN_Y_IN)),
    )
    < PIN_SPACING_IN + 1.0
)
"""Which pins (0 to 9) stand next to which: a spacing apart."""
NEAR_WALL_IN, FAR_WALL_IN = 10.0, 26.0
"""Distances from spot to kickback between which a rebound weakens: the 10 pin's, the head pin's."""

SPOT_X, SPOT_Y, REACH_DRAW, TURN, TURN_AT_WALL, BOUNCE_AT_WALL = range(0, 6 * PIN_COUNT, PIN_COUNT)
RESTITUTION_DRAW = 6 * PIN_COUNT
NORMALS_PER_THROW = 6 * PIN_COUNT + 2
"""What is drawn for a throw: for each pin its spot (two numbers), reach, turn when felled by a pin,
turn and bounce at a kickback; then the restitution of ball on pin and of pin on pin."""

LYING_REACH_IN = 7.5  # specification: a pin is 15 in long; no fallen pin reaches farther
LONGEST_REACH_IN = LYING_REACH_IN + PIN_RADIUS_IN
LEAST_REACH = 0.3  # of a standing pin's radius, whatever is drawn
STANDING_BITS = (1 << PIN_COUNT) - 1
WALL_BIT = 1 << 10  # a pin fell to one that had come off a kickback
SENT_BIT = 1 << 11  # a pin fell that the ball itself did not touch
FIRST_PIN_SHIFT = 12  # bits 12 to 15: the pin the ball struck first, 0 for none


X, Y, VX, VY, REACH, NEAR_REACH, STATE, WALLED, PIN = range(9)
"""Columns of a throw's bodies: position [in], velocity [in/s], radius to other bodies and to
neighbours [in], its state, whether it has come off a kickback, and its pin (0 to 9)."""
COLUMNS = 9
STANDING, DOWN, GONE = range(3)
"""What state a body is in; the ball is never standing."""
BALL_ID = -1.0
KICKBACK = -2
NO_TIME = 1e9


class Rack(NamedTuple):
    """How bodies on the deck behave.

    Masses in pounds; restitutions and frictions are dimensionless, of normal and tangential
    impulse; what ends in `_spread`, `_spread_in` or `scatter_*` [rad] is the standard deviation of
    what is drawn for each throw. Reaches are a fallen pin's radius to other pins, in radii of a
    standing one: `reach_near` to a neighbour that it meets straight away, `reach_far` to others,
    which is multiplied by `reach_by_pin` for a pin that another pin felled and by `reach_by_wall`
    once it has come off a kickback. Restitutions ending in `_far` hold between pins that are not
    neighbours, and for pins whose spot is far from the kickback.

    `reach_kickback_in` is a pin's distance from the wall when it rebounds [in]; a rebound slower
    than `gutter_speed_in_s` stays in the gutter. `slide_friction` slows pins that
    have come off a kickback (until then they fly); `ball_lane_friction` brings a ball back to
    rolling. `fall_speed_in_s` is the least change of velocity at which a pin topples another.
    """

    ball_mass: float
    pin_mass: float
    restitution_ball_pin: float
    restitution_pin_pin: float
    restitution_pin_pin_far: float
    restitution_spread: float
    restitution_kickback: float
    restitution_kickback_far: float
    restitution_kickback_spread: float
    friction_ball_pin: float
    friction_pin_pin: float
    spot_spread_in: float
    reach_near: float
    reach_far: float
    reach_far_spread: float
    reach_by_pin: float
    reach_by_wall: float
    reach_kickback_in: float
    scatter_pin_rad: float
    scatter_kickback_rad: float
    slide_friction: float
    ball_lane_friction: float
    fall_speed_in_s: float
    gutter_speed_in_s: float


@njit(cache=True, error_model="numpy")
def throw_many(
    rack: Rack,
    pin_ids: npt.NDArray[np.int64],
    pin_x: npt.NDArray[np.float64],
    pin_y: npt.NDArray[np.float64],
    x_at_head_pin: npt.NDArray[np.float64],
    angle: npt.NDArray[np.float64],
    speed: npt.NDArray[np.float64],
    normals: npt.NDArray[np.float64],
    normals_row: npt.NDArray[np.int64],
) -> npt.NDArray[np.uint16]:
    """Throw many balls at one leave.

    Parameters
    ----------
    rack : Rack
    pin_ids, pin_x, pin_y : (n,) arrays
        Standing pins (0 to 9) and their spots [in].
    x_at_head_pin, angle, speed : (m,) arrays
        Where the ball's straight line crosses y = 720 in [in], its angle [rad, positive right]
        and its speed [in/s].
    normals : (k, NORMALS_PER_THROW) array
        Standard normal numbers: what a throw's deck does differently.
    normals_row : (m,) array
        Which row of them each throw takes.

    Returns
    -------
    (m,) uint16
        Outcome words: standing pins in the low ten bits, then WALL_BIT, SENT_BIT and the first
        pin struck.
    """
    outcomes = np.empty(x_at_head_pin.size, np.uint16)
    bodies = np.empty((pin_ids.size + 1, COLUMNS))
    for k in range(x_at_head_pin.size):
        z = normals[normals_row[k]]
        set_up(rack, pin_ids, pin_x, pin_y, x_at_head_pin[k], angle[k], speed[k], z, bodies)
        outcomes[k] = _play_out(rack, pin_ids, bodies, z)
    return outcomes


@njit(cache=True, error_model="numpy", inline="always")
def set_up(rack, pin_ids, pin_x, pin_y, x_at_head_pin, angle, speed, z, bodies):  # type: ignore[no-untyped-def]
    """Spot the pins and send the ball off; the ball is the last body."""
    n = pin_ids.size
    for i in range(n):
        pin = pin_ids[i]
        bodies[i, X] = pin_x[i] + rack.spot_spread_in * z[SPOT_X + pin]
        bodies[i, Y] = pin_y[i] + rack.spot_spread_in * z[SPOT_Y + pin]
        bodies[i, VX] = bodies[i, VY] = 0.0
        far = rack.reach_far + rack.reach_far_spread * z[REACH_DRAW + pin]
        bodies[i, REACH] = PIN_RADIUS_IN * max(LEAST_REACH, far)
        bodies[i, NEAR_REACH] = PIN_RADIUS_IN * rack.reach_near
        bodies[i, STATE] = STANDING
        bodies[i, WALLED] = 0.0
        bodies[i, PIN] = pin
    slope = np.tan(angle)
    along = speed / np.sqrt(1.0 + slope * slope)
    bodies[n, X] = x_at_head_pin + slope * (START_Y_IN - FOUL_TO_HEAD_PIN_IN)
    bodies[n, Y] = START_Y_IN
    bodies[n, VX], bodies[n, VY] = along * slope, along
    bodies[n, REACH] = bodies[n, NEAR_REACH] = BALL_RADIUS_IN
    bodies[n, PIN] = BALL_ID
    bodies[n, STATE] = DOWN if abs(bodies[n, X]) < HALF_LANE_IN else GONE
    bodies[n, WALLED] = 0.0


@njit(cache=True, error_model="numpy")
def _play_out(rack, pin_ids, bodies, z):  # type: ignore[no-untyped-def]
    """Run one throw to its end. Returns the outcome word."""
    ball = pin_ids.size
    roll_x, roll_y = bodies[ball, VX], bodies[ball, VY]
    touched = 0
    first_pin = 0
    wall_helped = False
    left = ball
    gone_y = nothing_stands_beyond(bodies)
    for _ in range(MAX_EVENTS):
        if left == 0:
            break
        time, i, j = next_event(rack, bodies)
        if i < 0:
            break
        advance(rack, time, gone_y, bodies)
        roll_x, roll_y = regain_roll(rack, time, roll_x, roll_y, bodies)
        if j == KICKBACK:
            pin = pin_ids[i]
            rebound(rack, i, z[TURN_AT_WALL + pin], z[BOUNCE_AT_WALL + pin], bodies)
            continue
        if i == ball or j == ball:
            pin = j if i == ball else i
            touched |= 1 << pin_ids[pin]
            if first_pin == 0:
                first_pin = pin_ids[pin] + 1
        stood_i, stood_j = bodies[i, STATE] == STANDING, bodies[j, STATE] == STANDING
        impact(rack, i, j, pin_ids, bodies, z)
        fell_i = stood_i and bodies[i, STATE] != STANDING
        fell_j = stood_j and bodies[j, STATE] != STANDING
        if fell_i or fell_j:
            left -= fell_i + fell_j
            gone_y = nothing_stands_beyond(bodies)
            by_wall = bodies[j, WALLED] if fell_i else bodies[i, WALLED]
            wall_helped = wall_helped or by_wall != 0.0
    standing = 0
    sent = False
    for i in range(ball):
        if bodies[i, STATE] == STANDING:
            standing |= 1 << pin_ids[i]
        elif not touched & (1 << pin_ids[i]):
            sent = True
    outcome = standing | (first_pin << FIRST_PIN_SHIFT)
    if wall_helped:
        outcome |= WALL_BIT
    if sent:
        outcome |= SENT_BIT
    return outcome


@njit(cache=True, error_model="numpy", inline="always")
def nothing_stands_beyond(bodies):  # type: ignore[no-untyped-def]
    """Where a body that moves away from the bowler can reach no standing pin any more [in]."""
    farthest = 0.0
    for i in range(bodies.shape[0]):
        if bodies[i, STATE] == STANDING:
            farthest = max(farthest, bodies[i, Y])
    return min(farthest + LONGEST_REACH_IN, PIT_IN)


@njit(cache=True, error_model="numpy", inline="always")
def next_event(rack, bodies):  # type: ignore[no-untyped-def]
    """Find the earliest contact or kickback: (time, body, other body or KICKBACK).

    Leaving over the pit's edge (or, for the ball, the lane's edge) is no event of its own: no
    contact is looked for after it.
    """
    n = bodies.shape[0]
    ball = n - 1
    best = NO_TIME
    first, second = -1, -1
    for i in range(n):
        vx, vy = bodies[i, VX], bodies[i, VY]
        if bodies[i, STATE] != DOWN or (vx == 0.0 and vy == 0.0):
            continue
        x, y = bodies[i, X], bodies[i, Y]
        until = min(best, _time_to_leave(i == ball, x, y, vx, vy))
        if i != ball and vx != 0.0:
            wall = KICKBACK_X_IN - rack.reach_kickback_in
            time = max(0.0, ((wall if vx > 0.0 else -wall) - x) / vx)
            if time < until:
                best, first, second = time, i, KICKBACK
                until = time
        for j in range(n):
            if j == i or bodies[j, STATE] == GONE:
                continue
            wx, wy = bodies[j, VX], bodies[j, VY]
            if j < i and (wx != 0.0 or wy != 0.0):
                continue  # two moving bodies are looked at once
            px, py = bodies[j, X] - x, bodies[j, Y] - y
            ux, uy = wx - vx, wy - vy
            closing = px * ux + py * uy
            if closing >= 0.0:
                continue
            # A pin that still stands is an upright disc, and so is any pin to the ball; to each
            # other fallen pins have a reach of their own.
            near = i != ball and j != ball and _are_near(i, j, bodies)
            radius_i = PIN_RADIUS_IN
            if i == ball or j != ball:
                radius_i = _reach(i, near, bodies)
            radius_j = PIN_RADIUS_IN
            if bodies[j, STATE] != STANDING and i != ball:
                radius_j = _reach(j, near, bodies)
            speed2 = ux * ux + uy * uy
            apart = px * px + py * py - (radius_i + radius_j) ** 2
            root = closing * closing - speed2 * apart
            if apart <= 0.0:
                time = 0.0
            elif root < 0.0:
                continue
            else:
                time = (-closing - np.sqrt(root)) / speed2
            if time < until and (
                (wx == 0.0 and wy == 0.0)
                or time < _time_to_leave(j == ball, bodies[j, X], bodies[j, Y], wx, wy)
            ):
                best, first, second = time, i, j
                until = time
    return best, first, second


@njit(cache=True, error_model="numpy", inline="always")
def _are_near(i, j, bodies):  # type: ignore[no-untyped-def]
    """Whether two pins are neighbours."""
    return NEIGHBOURS[int(bodies[i, PIN]), int(bodies[j, PIN])]


@njit(cache=True, error_model="numpy", inline="always")
def _reach(i, near, bodies):  # type: ignore[no-untyped-def]
    """Radius of a body to another: one off the kickback has tumbled far, whoever it meets."""
    if near and bodies[i, WALLED] == 0.0:
        return bodies[i, NEAR_REACH]
    return bodies[i, REACH]


@njit(cache=True, error_model="numpy", inline="always")
def _time_to_leave(is_ball, x, y, vx, vy):  # type: ignore[no-untyped-def]
    """Time until a body is over the pit's edge, or the ball's centre over the lane's edge."""
    time = NO_TIME
    if vy > 0.0:
        time = (PIT_IN - y) / vy
    if is_ball and vx != 0.0:
        edge = HALF_LANE_IN if vx > 0.0 else -HALF_LANE_IN
        time = min(time, (edge - x) / vx)
    return time


@njit(cache=True, error_model="numpy", inline="always")
def advance(rack, time, gone_y, bodies):  # type: ignore[no-untyped-def]
    """Move every body on by `time`; pins off a kickback slow down, and one that stops is out."""
    ball = bodies.shape[0] - 1
    for i in range(ball + 1):
        vx, vy = bodies[i, VX], bodies[i, VY]
        if bodies[i, STATE] != DOWN or (vx == 0.0 and vy == 0.0):
            continue
        bodies[i, X] += vx * time
        bodies[i, Y] += vy * time
        if bodies[i, Y] > gone_y or (i == ball and abs(bodies[i, X]) > HALF_LANE_IN):
            bodies[i, STATE] = GONE
        elif bodies[i, WALLED] != 0.0:
            speed = np.sqrt(vx * vx + vy * vy)
            # Constant deceleration over a known distance: v^2 falls by 2 a d.
            share = 1.0 - 2.0 * rack.slide_friction * GRAVITY_IN_S2 * time / speed
            if share <= 0.0:
                bodies[i, STATE] = GONE
            else:
                keep = np.sqrt(share)
                bodies[i, VX] = keep * vx
                bodies[i, VY] = keep * vy


@njit(cache=True, error_model="numpy", inline="always")
def regain_roll(rack, time, roll_x, roll_y, bodies):  # type: ignore[no-untyped-def]
    """Let the lane's friction bring the ball back to rolling, for as long as it slips.

    An impact changes the ball's velocity, not its spin; the contact point then slips with the
    difference. Friction takes mu g off it and gives two and a half times as much to the spin's
    side (uniform sphere), until both agree. Returns the velocity that the spin would roll with.
    """
    ball = bodies.shape[0] - 1
    slip_x, slip_y = bodies[ball, VX] - roll_x, bodies[ball, VY] - roll_y
    slip2 = slip_x * slip_x + slip_y * slip_y
    if slip2 < 1e-12 or bodies[ball, STATE] == GONE:
        return roll_x, roll_y
    slip = np.sqrt(slip2)
    push = min(rack.ball_lane_friction * GRAVITY_IN_S2 * time, slip / 3.5) / slip
    bodies[ball, VX] -= push * slip_x
    bodies[ball, VY] -= push * slip_y
    return roll_x + 2.5 * push * slip_x, roll_y + 2.5 * push * slip_y


@njit(cache=True, error_model="numpy", inline="always")
def impact(rack, i, j, pin_ids, bodies, z):  # type: ignore[no-untyped-def]
    """Exchange the impulse between bodies i and j, then scatter a pin that it felled."""
    ball = bodies.shape[0] - 1
    with_ball = i == ball or j == ball
    mass_i = rack.ball_mass if i == ball else rack.pin_mass
    mass_j = rack.ball_mass if j == ball else rack.pin_mass
    nx, ny = bodies[j, X] - bodies[i, X], bodies[j, Y] - bodies[i, Y]
    scale = 1.0 / np.sqrt(nx * nx + ny * ny)
    nx, ny = nx * scale, ny * scale
    wx, wy = bodies[i, VX] - bodies[j, VX], bodies[i, VY] - bodies[j, VY]
    normal = wx * nx + wy * ny
    slip = wy * nx - wx * ny
    if with_ball:
        restitution = rack.restitution_ball_pin
    elif _are_near(i, j, bodies):
        restitution = rack.restitution_pin_pin
    else:
        restitution = rack.restitution_pin_pin_far
    restitution += rack.restitution_spread * z[RESTITUTION_DRAW + (0 if with_ball else 1)]
    restitution = min(max(restitution, 0.0), 1.0)
    mass = mass_i * mass_j / (mass_i + mass_j)
    push = (1.0 + restitution) * normal * mass
    friction = rack.friction_ball_pin if with_ball else rack.friction_pin_pin
    # Two free discs that stop slipping share a third of the slip (solid discs, both spinning up).
    rub = min(friction * push, mass * abs(slip) / 3.0)
    if slip < 0.0:
        rub = -rub
    jx, jy = push * nx - rub * ny, push * ny + rub * nx
    _kick(rack, i, -jx / mass_i, -jy / mass_i, with_ball, pin_ids, bodies, z)
    _kick(rack, j, jx / mass_j, jy / mass_j, with_ball, pin_ids, bodies, z)


@njit(cache=True, error_model="numpy", inline="always")
def _kick(rack, i, dvx, dvy, by_ball, pin_ids, bodies, z):  # type: ignore[no-untyped-def]
    """Change one body's velocity.

    A pin the ball touches falls (in the 3D rack the thinnest touch topples it); one that a pin
    touches falls when it takes at least the threshold, else it stays as it was.
    """
    falls = bodies[i, STATE] == STANDING
    if falls and not by_ball and dvx * dvx + dvy * dvy < rack.fall_speed_in_s**2:
        return
    bodies[i, VX] += dvx
    bodies[i, VY] += dvy
    if falls:
        bodies[i, STATE] = DOWN
        if not by_ball:
            _stretch(i, rack.reach_by_pin, bodies)
            _turn(i, rack.scatter_pin_rad * z[TURN + pin_ids[i]], bodies)


@njit(cache=True, error_model="numpy", inline="always")
def rebound(rack, i, turn, bounce, bodies):  # type: ignore[no-untyped-def]
    """Send a pin back off the kickback it met: restitution and a turn.

    The farther its spot from the wall, the farther it has tumbled and the less it bounces. One that
    comes back too slowly drops into the gutter and stays there.
    """
    vx = bodies[i, VX]
    spot = PIN_X_IN[int(bodies[i, PIN])]
    way = KICKBACK_X_IN - (spot if vx > 0.0 else -spot)
    tumbled = min(max((way - NEAR_WALL_IN) / (FAR_WALL_IN - NEAR_WALL_IN), 0.0), 1.0)
    near, far = rack.restitution_kickback, rack.restitution_kickback_far
    restitution = near + tumbled * (far - near) + rack.restitution_kickback_spread * bounce
    restitution = max(restitution, 0.0)
    bodies[i, VX] = -restitution * vx
    _turn(i, rack.scatter_kickback_rad * turn, bodies)
    if bodies[i, VX] * vx > 0.0:  # however far it is turned, it does not go through the wall
        bodies[i, VX] = -bodies[i, VX]
    _stretch(i, rack.reach_by_wall, bodies)
    bodies[i, WALLED] = 1.0
    if abs(bodies[i, VX]) < rack.gutter_speed_in_s:
        bodies[i, STATE] = GONE


@njit(cache=True, error_model="numpy", inline="always")
def _stretch(i, factor, bodies):  # type: ignore[no-untyped-def]
    """Let a pin reach farther, up to what it does lying across its way."""
    bodies[i, REACH] = min(bodies[i, REACH] * factor, LYING_REACH_IN)


@njit(cache=True, error_model="numpy", inline="always")
def _turn(i, angle, bodies):  # type: ignore[no-untyped-def]
    """Turn one body's velocity by about an angle [rad], keeping its speed.

    By 2 atan(angle / 2), which needs no trigonometry; the angles are small and drawn by chance.
    """
    half = 0.5 * angle
    scale = 1.0 / (1.0 + half * half)
    c, s = (1.0 - half * half) * scale, 2.0 * half * scale
    vx, vy = bodies[i, VX], bodies[i, VY]
    bodies[i, VX], bodies[i, VY] = c * vx - s * vy, s * vx + c * vy
