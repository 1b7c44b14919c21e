"""Out-of-balance forces of a vehicle and their exact derivatives.

The unknowns are q = (z, u, v, θ₁ … θₙ): the body's heave and lean (see `attitude`)
and one arm angle for each corner.  Every force here has a potential, so the forces
out of balance are its gradient g and their derivatives its symmetric Hessian H; at
rest g = 0.  All of it follows from virtual work (own derivation).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from splinewise.core.geometry import Vec
from splinewise.core.jet import Number, curvature, slope, value
from splinewise.core.linkages.base import Pose, solve
from splinewise.core.other_springs import on_arm
from splinewise.core.quantities import Array
from splinewise.core.vehicle.attitude import Attitude, Height
from splinewise.core.vehicle.parts import Corner, Vehicle

__all__ = ["Balance", "CornerState", "balance"]


@dataclass(frozen=True, slots=True, eq=False)
class CornerState:
    """What one corner does at a state of the vehicle.

    Attributes
    ----------
    rise, rise_slope, rise_curvature : ndarray, shape (...)
        Rise of the contact point in the body's axes since drawn, and its
        derivatives by arm angle. [m]
    twist, torque : ndarray, shape (...)
        Twist of the bar from slack, and its torque. [rad, N·m]
    sunk : ndarray, shape (...)
        How far the unloaded tyre would be in the floor; below 0 if it is off it. [m]
    tyre_force : ndarray, shape (...)
        Force between tyre and floor. [N]
    tyre : Height
        Height of the unloaded tyre's lowest point, with derivatives. [m]
    """

    rise: Array
    rise_slope: Array
    rise_curvature: Array
    twist: Array
    torque: Array
    sunk: Array
    tyre_force: Array
    tyre: Height


@dataclass(frozen=True, slots=True, eq=False)
class Balance:
    """Forces out of balance at a state.

    Attributes
    ----------
    gradient : ndarray, shape (..., 3 + n)
        g, by z, u, v and the arm angles. [N, N·m]
    hessian : ndarray, shape (..., 3 + n, 3 + n)
        H, symmetric. [N/m, N·m]
    corners : tuple of CornerState
        What each corner does. [N]
    """

    gradient: Array
    hessian: Array
    corners: tuple[CornerState, ...]


def balance(vehicle: Vehicle, state: Array) -> Balance:
    """Return the forces out of balance and their derivatives.

    Parameters
    ----------
    vehicle : Vehicle, shape (...)
        The vehicles. [kg]
    state : ndarray, shape (..., 3 + n)
        q: heave, lean and arm angles. [m, 1, rad]

    Returns
    -------
    Balance, shape (...)
        Gradient and Hessian; NaN where a linkage cannot be posed. [N]
    """
    n = len(vehicle.corners)
    at = Attitude(state[..., 0], state[..., 1], state[..., 2])
    g = np.zeros(state.shape)
    H = np.zeros((*state.shape, 3 + n))
    _body(vehicle, at, g, H)
    states = []
    with np.errstate(invalid="ignore", divide="ignore"):
        for i, corner in enumerate(vehicle.corners):
            states.append(
                _corner(corner, vehicle.gravity, at, state[..., 3 + i], g, H, i)
            )
        _join(vehicle, states, g, H)
    return Balance(g, H, tuple(states))


def _body(vehicle: Vehicle, at: Attitude, g: Array, H: Array) -> None:
    weights = [(vehicle.body.mass, vehicle.body.centre)]
    weights += [(load.mass, load.at) for load in vehicle.loads]
    for mass, point in weights:
        h = at.along((value(point.x), value(point.y), value(point.z)))
        _add(g, H, 0, h, mass * vehicle.gravity, 0.0)


def _add(
    g: Array, H: Array, i: int, h: Height, first: Array | float, second: Array | float
) -> None:
    """Add a potential f(h): first is f', second is f''; θ of h is corner i's."""
    places = (0, 1, 2, 3 + i)
    for a, p in enumerate(places):
        g[..., p] += first * h.gradient[a]
    if np.ndim(second) or second:
        for a, p in enumerate(places):
            for b, r in enumerate(places):
                H[..., p, r] += second * h.gradient[a] * h.gradient[b]
    t = 3 + i
    H[..., 1, 1] += first * h.uu
    H[..., 2, 2] += first * h.vv
    H[..., t, t] += first * h.tt
    for p, r, part in ((1, 2, h.uv), (1, t, h.ut), (2, t, h.vt)):
        H[..., p, r] += first * part
        H[..., r, p] += first * part


def _corner(
    corner: Corner,
    gravity: float,
    at: Attitude,
    theta: Array,
    g: Array,
    H: Array,
    i: int,
) -> CornerState:
    pose = solve(corner.linkage, theta)
    drawn = corner.linkage.pose(np.zeros(()))
    rise = pose.contact.z - value(drawn.contact.z)
    spring, bush = corner.spring, corner.spring.bush
    twist = value(pose.twist) - spring.slack
    torque = np.asarray(spring.rate * twist)
    t1, t2 = slope(pose.twist), curvature(pose.twist)
    out = torque * t1 + bush.rate * (theta - bush.tightened_at)
    stiff = spring.rate * t1 * t1 + torque * t2 + bush.rate
    for other in corner.others:
        shortened = rise if other.on == "rise" else _shortened(pose, drawn)
        pushed = on_arm(other.law, shortened)
        out, stiff = out + pushed.torque, stiff + pushed.slope
    for stop in corner.stops:
        pushed = on_arm(stop, rise)
        out, stiff = out + pushed.torque, stiff + pushed.slope
    g[..., 3 + i] += out
    H[..., 3 + i, 3 + i] += stiff

    wheel = _height(at, pose.wheel if pose.wheel is not None else pose.contact)
    _add(g, H, i, wheel, corner.unsprung * gravity, 0.0)
    lowest = _lowest(corner, at, pose, wheel)
    sunk = np.asarray(corner.floor - lowest.value - at.z)
    force = corner.tyre_rate * np.maximum(sunk, 0.0)
    _add(g, H, i, lowest, -force, np.where(sunk > 0.0, corner.tyre_rate, 0.0))
    return CornerState(
        rise=value(rise),
        rise_slope=slope(rise),
        rise_curvature=curvature(rise),
        twist=np.asarray(twist),
        torque=torque,
        sunk=sunk,
        tyre_force=np.asarray(force),
        tyre=lowest,
    )


def _shortened(pose: Pose, drawn: Pose) -> Number:
    if pose.damper is None or drawn.damper is None:
        msg = "a spring on the damper needs the damper's two bolts"
        raise ValueError(msg)
    return value(drawn.damper) - pose.damper


def _height(at: Attitude, p: Vec) -> Height:
    return at.along(
        (value(p.x), value(p.y), value(p.z)),
        (slope(p.x), slope(p.y), slope(p.z)),
        (curvature(p.x), curvature(p.y), curvature(p.z)),
    )


def _lowest(corner: Corner, at: Attitude, pose: Pose, wheel: Height) -> Height:
    """Return the lowest point of the unloaded tyre: h − R √(1 − c²), c = n·s."""
    R = corner.tyre_radius
    if pose.wheel is None:
        return wheel  # the contact point itself: see `Corner.tyre_radius`
    if pose.spindle is None:
        return replace(wheel, value=wheel.value - R)
    c = _height(at, pose.spindle)
    root = np.sqrt(1.0 - c.value * c.value)
    f1 = R * c.value / root
    f2 = R / (root * root * root)
    _, cu, cv, ct = c.gradient
    one, hu, hv, ht = wheel.gradient
    return Height(
        value=wheel.value - R * root,
        gradient=(one, hu + f1 * cu, hv + f1 * cv, ht + f1 * ct),
        uu=wheel.uu + f1 * c.uu + f2 * cu * cu,
        uv=wheel.uv + f1 * c.uv + f2 * cu * cv,
        vv=wheel.vv + f1 * c.vv + f2 * cv * cv,
        ut=wheel.ut + f1 * c.ut + f2 * cu * ct,
        vt=wheel.vt + f1 * c.vt + f2 * cv * ct,
        tt=wheel.tt + f1 * c.tt + f2 * ct * ct,
    )


def _join(vehicle: Vehicle, states: list[CornerState], g: Array, H: Array) -> None:
    for joined in vehicle.joined:
        i, j = joined.left, joined.right
        left, right = states[i], states[j]
        push = joined.bar.push(left.rise, right.rise)
        for place, own, force in ((3 + i, left, push.left), (3 + j, right, push.right)):
            g[..., place] += force * own.rise_slope
            H[..., place, place] += (
                push.rate * own.rise_slope**2 + force * own.rise_curvature
            )
        cross = -push.rate * left.rise_slope * right.rise_slope
        H[..., 3 + i, 3 + j] += cross
        H[..., 3 + j, 3 + i] += cross
