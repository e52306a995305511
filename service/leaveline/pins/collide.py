"""Collisions on the pin deck: ball and pins as discs in the plane, event by event.

Between impacts every body moves on a straight line (fallen pins slow down by friction, which
changes their speed but not their path). At an impact the normal impulse follows Newton's law of
restitution with effective mass mM/(m+M) (Stronge, Impact Mechanics, 2000):

    J = (1 + e) v_n mM / (m + M)

A pin is down once an impact changes its velocity by more than a small threshold. The ball is
lost when its centre crosses the lane's edge; a pin leaves over the pit's edge and rebounds from
the kickbacks.

What a rack does beyond that plane (pins tumble, so that a fallen pin reaches sometimes farther
and sometimes less far than an upright disc, and sends the next one off the line of centres) is
drawn anew for every throw from a pool of standard normal numbers. Averaged over those draws each
impact has a probability instead of one verdict. `leaveline.pins.rack` holds the values and
where they come from.
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
    PIT_IN,
)
from leaveline.pins.leave import PIN_COUNT

START_Y_IN = FOUL_TO_HEAD_PIN_IN - 10.0  # ahead of the first possible contact (6.7 in)
MAX_EVENTS = 120  # far more than any rack needs: a full one takes about 40
NORMALS_PER_THROW = 7 * PIN_COUNT + 2

LONGEST_REACH_IN = 9.0  # more than two radii, whatever a fallen pin's reach
STANDING_BITS = (1 << PIN_COUNT) - 1
WALL_BIT = 1 << 10  # a pin fell to one that had come off a kickback
SENT_BIT = 1 << 11  # a pin fell that the ball itself did not touch
FIRST_PIN_SHIFT = 12  # bits 12 to 15: the pin the ball struck first, 0 for none


class Rack(NamedTuple):
    """How bodies on the deck behave. Masses in pounds, lengths in inches, angles in radians."""

    ball_mass: float
    pin_mass: float
    restitution_ball_pin: float
    restitution_pin_pin: float
    restitution_kickback: float
    restitution_spread: float
    friction_ball_pin: float
    friction_pin_pin: float
    spot_spread_in: float
    reach_mean: float
    reach_spread: float
    scatter_ball_rad: float
    scatter_pin_rad: float
    scatter_kickback_rad: float
    friction_kickback: float
    reach_kickback_in: float
    slide_friction: float
    ball_lane_friction: float
    fall_speed_in_s: float
    nose_ahead_in: float
    nose_ahead_spread_in: float
    nose_touch_in: float


@njit(cache=True)
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
    n = pin_ids.size
    x = np.empty(n + 1)
    y = np.empty(n + 1)
    vx = np.empty(n + 1)
    vy = np.empty(n + 1)
    present = np.empty(n + 1, np.bool_)
    down = np.empty(n + 1, np.bool_)
    walled = np.empty(n + 1, np.bool_)
    reach = np.empty(n + 1)
    ahead = np.empty(n + 1)
    for k in range(x_at_head_pin.size):
        z = normals[normals_row[k]]
        for i in range(n):
            pin = pin_ids[i]
            x[i] = pin_x[i] + rack.spot_spread_in * z[pin]
            y[i] = pin_y[i] + rack.spot_spread_in * z[PIN_COUNT + pin]
            vx[i] = 0.0
            vy[i] = 0.0
            present[i] = True
            down[i] = False
            walled[i] = False
            reach[i] = PIN_RADIUS_IN * max(
                0.3, rack.reach_mean + rack.reach_spread * z[2 * PIN_COUNT + pin]
            )
            ahead[i] = rack.nose_ahead_in + rack.nose_ahead_spread_in * z[6 * PIN_COUNT + 2 + pin]
        x[n] = x_at_head_pin[k] + np.tan(angle[k]) * (START_Y_IN - FOUL_TO_HEAD_PIN_IN)
        y[n] = START_Y_IN
        vx[n] = speed[k] * np.sin(angle[k])
        vy[n] = speed[k] * np.cos(angle[k])
        roll_x, roll_y = vx[n], vy[n]
        present[n] = abs(x[n]) < HALF_LANE_IN
        down[n] = True
        walled[n] = False
        reach[n] = BALL_RADIUS_IN
        outcomes[k] = _play_out(
            rack, pin_ids, x, y, vx, vy, present, down, walled, reach, ahead, roll_x, roll_y, z
        )
    return outcomes


@njit(cache=True)
def _play_out(  # type: ignore[no-untyped-def]
    rack, pin_ids, x, y, vx, vy, present, down, walled, reach, ahead, roll_x, roll_y, z
):
    """Run one throw to its end; the ball is the last body. Returns the outcome word."""
    n = pin_ids.size
    ball = n
    touched = 0
    first_pin = 0
    wall_helped = False
    left = n
    gone_y = _nothing_stands_beyond(y, down)
    for _ in range(MAX_EVENTS):
        if left == 0:
            break
        time, i, j, nose = _next_event(rack, x, y, vx, vy, present, down, reach, ahead)
        if i < 0:
            break
        _advance(rack, time, gone_y, x, y, vx, vy, present)
        if present[ball]:
            roll_x, roll_y = _regain(rack, time, ball, roll_x, roll_y, vx, vy)
        if j == KICKBACK:
            walled[i] = True
            rub = rack.friction_kickback * (1.0 + rack.restitution_kickback) * abs(vx[i])
            vy[i] -= min(rub, abs(vy[i]) / 3.0) if vy[i] > 0.0 else -min(rub, abs(vy[i]) / 3.0)
            vx[i] = -rack.restitution_kickback * vx[i]
            _turn(i, rack.scatter_kickback_rad * z[5 * PIN_COUNT + pin_ids[i]], vx, vy)
        else:
            if i == ball or j == ball:
                pin = j if i == ball else i
                touched |= 1 << pin_ids[pin]
                if first_pin == 0:
                    first_pin = pin_ids[pin] + 1
            stood_i, stood_j = not down[i], not down[j]
            _impact(rack, i, j, nose, pin_ids, x, y, vx, vy, down, z)
            if (stood_i and down[i]) or (stood_j and down[j]):
                left -= (stood_i and down[i]) + (stood_j and down[j])
                gone_y = _nothing_stands_beyond(y, down)
            if (stood_i and down[i] and walled[j]) or (stood_j and down[j] and walled[i]):
                wall_helped = True
    standing = 0
    sent = False
    for i in range(n):
        if not down[i]:
            standing |= 1 << pin_ids[i]
        elif not touched & (1 << pin_ids[i]):
            sent = True
    outcome = standing | (first_pin << FIRST_PIN_SHIFT)
    if wall_helped:
        outcome |= WALL_BIT
    if sent:
        outcome |= SENT_BIT
    return outcome


KICKBACK = -2
NO_TIME = 1e9


@njit(cache=True)
def _nothing_stands_beyond(y, down):  # type: ignore[no-untyped-def]
    """Where a body that moves away from the bowler can reach no standing pin any more."""
    farthest = 0.0
    for i in range(y.size):
        if not down[i]:
            farthest = max(farthest, y[i])
    return farthest + LONGEST_REACH_IN


@njit(cache=True)
def _next_event(rack, x, y, vx, vy, present, down, reach, ahead):  # type: ignore[no-untyped-def]
    """Find the earliest contact or kickback: (time, body, other body or KICKBACK).

    Leaving over the pit's edge (or, for the ball, the lane's edge) is no event of its own: no
    contact is looked for after it.
    """
    n = x.size
    ball = n - 1
    best = NO_TIME
    first, second = -1, -1
    nose = 0.0
    for i in range(n):
        if not present[i] or (vx[i] == 0.0 and vy[i] == 0.0):
            continue
        until = _time_to_leave(i, ball, x, y, vx, vy)
        if i != ball and vx[i] != 0.0:
            wall = KICKBACK_X_IN - rack.reach_kickback_in
            time = max(0.0, ((wall if vx[i] > 0.0 else -wall) - x[i]) / vx[i])
            if time < until and time < best:
                best, first, second, nose = time, i, KICKBACK, 0.0
        until = min(until, best)
        for j in range(n):
            if j == i or not present[j]:
                continue
            if j < i and (vx[j] != 0.0 or vy[j] != 0.0):
                continue
            px, py = x[j] - x[i], y[j] - y[i]
            wx, wy = vx[j] - vx[i], vy[j] - vy[i]
            closing = px * wx + py * wy
            if closing >= 0.0:
                continue
            # A pin that still stands is an upright disc, and so is any pin to the ball; to each
            # other fallen pins have a reach of their own.
            radius_i = reach[i] if i == ball or (down[i] and j != ball) else PIN_RADIUS_IN
            radius_j = reach[j] if j == ball or (down[j] and i != ball) else PIN_RADIUS_IN
            apart = px * px + py * py - (radius_i + radius_j) ** 2
            if apart <= 0.0:
                time = 0.0
            else:
                speed2 = wx * wx + wy * wy
                root = closing * closing - speed2 * apart
                time = (-closing - np.sqrt(root)) / speed2 if root >= 0.0 else NO_TIME
            if time < until and time < _time_to_leave(j, ball, x, y, vx, vy):
                best, first, second, nose = time, i, j, 0.0
                until = time
            if i != ball and not down[j]:
                speed = np.sqrt(vx[i] * vx[i] + vy[i] * vy[i])
                ux, uy = vx[i] / speed, vy[i] / speed
                along = px * ux + py * uy - ahead[i]
                aside = px * uy - py * ux
                if along > 0.0 and abs(aside) < rack.nose_touch_in:
                    time = (along - np.sqrt(rack.nose_touch_in**2 - aside * aside)) / speed
                    time = max(time, 0.0)
                    if time < until:
                        best, first, second, nose = time, i, j, ahead[i]
                        until = time
    return best, first, second, nose


@njit(cache=True)
def _time_to_leave(i, ball, x, y, vx, vy):  # type: ignore[no-untyped-def]
    """Time until a body is over the pit's edge, or the ball's centre over the lane's edge."""
    time = NO_TIME
    if vy[i] > 0.0:
        time = (PIT_IN - y[i]) / vy[i]
    if i == ball and vx[i] != 0.0:
        edge = HALF_LANE_IN if vx[i] > 0.0 else -HALF_LANE_IN
        time = min(time, (edge - x[i]) / vx[i])
    return time


@njit(cache=True)
def _advance(rack, time, gone_y, x, y, vx, vy, present):  # type: ignore[no-untyped-def]
    """Move every body on by `time`; sliding pins lose speed, and one that stops is out of it."""
    ball = x.size - 1
    for i in range(x.size):
        if not present[i] or (vx[i] == 0.0 and vy[i] == 0.0):
            continue
        x[i] += vx[i] * time
        y[i] += vy[i] * time
        if y[i] > gone_y or y[i] > PIT_IN or (i == ball and abs(x[i]) > HALF_LANE_IN):
            present[i] = False
        elif i != ball:
            speed2 = vx[i] * vx[i] + vy[i] * vy[i]
            lost = 2.0 * rack.slide_friction * GRAVITY_IN_S2 * np.sqrt(speed2) * time
            if lost >= speed2:
                present[i] = False
            else:
                keep = np.sqrt(1.0 - lost / speed2)
                vx[i] *= keep
                vy[i] *= keep


@njit(cache=True)
def _regain(rack, time, ball, roll_x, roll_y, vx, vy):  # type: ignore[no-untyped-def]
    """Let the lane's friction bring the ball back to rolling, for as long as it slips.

    An impact changes the ball's velocity, not its spin; the contact point then slips with the
    difference. Friction takes mu g off it and gives two and a half times as much to the spin's
    side (uniform sphere), until both agree. Returns the velocity that the spin would roll with.
    """
    sx, sy = vx[ball] - roll_x, vy[ball] - roll_y
    slip = np.sqrt(sx * sx + sy * sy)
    if slip < 1e-9:
        return roll_x, roll_y
    push = min(rack.ball_lane_friction * GRAVITY_IN_S2 * time, slip / 3.5)
    vx[ball] -= push * sx / slip
    vy[ball] -= push * sy / slip
    return roll_x + 2.5 * push * sx / slip, roll_y + 2.5 * push * sy / slip


@njit(cache=True)
def _impact(rack, i, j, nose, pin_ids, x, y, vx, vy, down, z):  # type: ignore[no-untyped-def]
    """Exchange the impulse between bodies i and j, then scatter the pin that was struck."""
    ball = x.size - 1
    with_ball = i == ball or j == ball
    mass_i = rack.ball_mass if i == ball else rack.pin_mass
    mass_j = rack.ball_mass if j == ball else rack.pin_mass
    nx, ny = x[j] - x[i], y[j] - y[i]
    if nose > 0.0:
        speed = np.sqrt(vx[i] * vx[i] + vy[i] * vy[i])
        nx -= nose * vx[i] / speed
        ny -= nose * vy[i] / speed
    length = np.sqrt(nx * nx + ny * ny)
    nx, ny = nx / length, ny / length
    wx, wy = vx[i] - vx[j], vy[i] - vy[j]
    normal = wx * nx + wy * ny
    slip = wy * nx - wx * ny
    restitution = rack.restitution_ball_pin if with_ball else rack.restitution_pin_pin
    restitution += rack.restitution_spread * z[6 * PIN_COUNT + (0 if with_ball else 1)]
    restitution = min(max(restitution, 0.0), 1.0)
    mass = mass_i * mass_j / (mass_i + mass_j)
    push = (1.0 + restitution) * normal * mass
    friction = rack.friction_ball_pin if with_ball else rack.friction_pin_pin
    # Two free discs that stop slipping share a third of the slip (solid discs, both spinning up).
    rub = min(friction * push, mass * abs(slip) / 3.0)
    if slip < 0.0:
        rub = -rub
    jx, jy = push * nx - rub * ny, push * ny + rub * nx
    _kick(rack, i, -jx / mass_i, -jy / mass_i, with_ball, pin_ids, vx, vy, down, z)
    _kick(rack, j, jx / mass_j, jy / mass_j, with_ball, pin_ids, vx, vy, down, z)


@njit(cache=True)
def _kick(rack, i, dvx, dvy, by_ball, pin_ids, vx, vy, down, z):  # type: ignore[no-untyped-def]
    """Change one body's velocity; a pin that takes less than the threshold stays as it was."""
    ball = vx.size - 1
    if i == ball:
        vx[i] += dvx
        vy[i] += dvy
        return
    if not down[i]:
        if dvx * dvx + dvy * dvy < rack.fall_speed_in_s**2:
            return
        down[i] = True
        vx[i] += dvx
        vy[i] += dvy
        if by_ball:
            _turn(i, rack.scatter_ball_rad * z[3 * PIN_COUNT + pin_ids[i]], vx, vy)
        else:
            _turn(i, rack.scatter_pin_rad * z[4 * PIN_COUNT + pin_ids[i]], vx, vy)
        return
    vx[i] += dvx
    vy[i] += dvy


@njit(cache=True)
def _turn(i, angle, vx, vy):  # type: ignore[no-untyped-def]
    """Turn one body's velocity by an angle [rad], keeping its speed."""
    c, s = np.cos(angle), np.sin(angle)
    vx[i], vy[i] = c * vx[i] - s * vy[i], s * vx[i] + c * vy[i]
