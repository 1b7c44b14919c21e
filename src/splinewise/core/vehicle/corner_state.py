"""What one corner does at a pose: its springs, its tyre, its own weight."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from splinewise.core.corner import Spring
from splinewise.core.jet import Number, curvature, slope, value
from splinewise.core.linkages.base import Pose
from splinewise.core.other_springs import on_arm
from splinewise.core.quantities import Array
from splinewise.core.vehicle.attitude import Attitude, Height
from splinewise.core.vehicle.parts import Corner, SpringAt
from splinewise.core.vehicle.potential import Part, of_height
from splinewise.errors import TaskError

__all__ = ["CornerState", "Drawn", "corner_state", "drawn"]


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """What is counted from the drawn position.

    Attributes
    ----------
    contact : Jet or ndarray, shape (...)
        Height of the contact point in the body's axes. [m]
    lengths : tuple of Jet or ndarray, shape (...)
        Lengths that work the corner's other springs; 0 for those on the rise. [m]
    """

    contact: Number
    lengths: tuple[Number, ...]


def drawn(corner: Corner) -> Drawn:
    """Return what is counted from the drawn position.

    Parameters
    ----------
    corner : Corner, shape (...)
        The corner. [m]

    Returns
    -------
    Drawn, shape (...)
        Heights and lengths at no arm angle. [m]

    Raises
    ------
    TaskError
        If a spring is on a damper whose bolts are not known.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        pose = corner.linkage.pose(np.zeros(()))
    return Drawn(
        pose.contact.z, tuple(_length(other, pose, corner) for other in corner.others)
    )


@dataclass(frozen=True, slots=True, eq=False)
class CornerState:
    """What one corner does at a state of the vehicle.

    Attributes
    ----------
    rise : Jet, shape (...)
        Rise of the contact point in the body's axes since drawn. [m]
    turned : Jet, shape (...)
        Turn of the bar's arm end since drawn. [rad]
    twist : ndarray, shape (...)
        Twist of the bar from slack; 0 without a bar. [rad]
    torque : ndarray, shape (...)
        Its torque; 0 without a bar. [N·m]
    wheel : Height, shape (...)
        Height at which its unsprung mass is taken. [m]
    tyre : Height, shape (...)
        Height of the unloaded tyre's lowest point. [m]
    by_radius : Height, shape (...)
        Derivative of that by the tyre's radius. [1]
    sunk : ndarray, shape (...)
        How far the unloaded tyre would be in the floor; below 0 if it is off it. [m]
    tyre_force : ndarray, shape (...)
        Force between tyre and floor. [N]
    part : Part, shape (...)
        What the corner adds to the forces out of balance. [N]
    """

    rise: Number
    turned: Number
    twist: Array
    torque: Array
    wheel: Height
    tyre: Height
    by_radius: Height
    sunk: Array
    tyre_force: Array
    part: Part


def corner_state(
    corner: Corner,
    pose: Pose,
    theta: Number,
    at: Attitude,
    gravity: float,
    zero: Drawn,
) -> CornerState:
    """Return what a corner does at a pose.

    Everything is differentiated by whatever parameter the pose and the angle were
    seeded with: the arm angle, or a way on which hard points move as well.

    Parameters
    ----------
    corner : Corner, shape (...)
        The corner. [m]
    pose : Pose, shape (...)
        Its pose. [m]
    theta : Jet or ndarray, shape (...)
        Its arm angle. [rad]
    at : Attitude, shape (...)
        Heave and lean of the body. [m]
    gravity : float
        Acceleration of free fall. [m/s²]
    zero : Drawn, shape (...)
        What is counted from the drawn position. [m]

    Returns
    -------
    CornerState, shape (...)
        Springs, tyre and what they add; NaN where there is no pose. [N]
    """
    rise = pose.contact.z - zero.contact
    twist, torque, out, stiff = _bar(corner.spring, pose, theta)
    for other, length in zip(corner.others, zero.lengths, strict=True):
        short = rise if other.on == "rise" else length - _length(other, pose, corner)
        pushed = on_arm(other.law, short)
        out, stiff = out + pushed.torque, stiff + pushed.slope
    for stop in corner.stops:
        pushed = on_arm(stop, rise)
        out, stiff = out + pushed.torque, stiff + pushed.slope

    wheel = at.along(pose.contact if pose.wheel is None else pose.wheel)
    tyre, by_radius = _lowest(corner, at, pose, wheel)
    sunk = np.asarray(corner.floor - tyre.value - at.z)
    rate = np.where(sunk > 0.0, corner.tyre_rate, 0.0)
    force = np.asarray(corner.tyre_rate * np.maximum(sunk, 0.0))
    part = of_height(tyre, -force, rate)
    part = replace(part, t=part.t + out, tt=part.tt + stiff)
    weights = [(corner.unsprung, wheel)]
    weights += [(mass.mass, at.along(mass.at(pose))) for mass in corner.masses]
    for m, height in weights:
        part = part + of_height(height, np.asarray(m * gravity))
    return CornerState(
        rise=rise,
        turned=pose.twist,
        twist=twist,
        torque=torque,
        wheel=wheel,
        tyre=tyre,
        by_radius=by_radius,
        sunk=sunk,
        tyre_force=force,
        part=part,
    )


def _bar(
    spring: Spring | None, pose: Pose, theta: Number
) -> tuple[Array, Array, Array, Array]:
    """Return twist and torque of a bar, and what it and its bushes do to the arm."""
    if spring is None:
        return _NIL, _NIL, _NIL, _NIL
    bush = spring.bush
    twist = np.asarray(value(pose.twist) - spring.slack)
    torque = np.asarray(spring.rate * twist)
    t1, a1 = slope(pose.twist), slope(theta)
    held = bush.rate * (value(theta) - bush.tightened_at)
    # The arm angle bends on no way that is asked here, so the bush has no second term.
    stiff = spring.rate * t1 * t1 + torque * curvature(pose.twist) + bush.rate * a1 * a1
    return twist, torque, torque * t1 + held * a1, stiff


def _length(other: SpringAt, pose: Pose, corner: Corner) -> Number:
    if other.on == "rise":
        return 0.0
    if callable(other.on):
        return other.on(pose)
    if pose.damper is None:
        msg = (
            f"The spring on the damper of {corner.name} cannot be reckoned: where the "
            "damper's two bolts are is not known.  Give them, or put the spring at "
            "the wheel."
        )
        raise TaskError(msg)
    return pose.damper


def _lowest(
    corner: Corner, at: Attitude, pose: Pose, wheel: Height
) -> tuple[Height, Height]:
    """Return the lowest point of the unloaded tyre, and its change with the radius.

    With c = n·s the rise of the spindle s it is h − R √(1 − c²).
    """
    R = np.asarray(corner.tyre_radius)
    if pose.wheel is None or pose.spindle is None:
        if pose.wheel is None:
            drawn_radius = corner.drawn_radius
            R = R - (corner.tyre_radius if drawn_radius is None else drawn_radius)
        return replace(wheel, value=wheel.value - R), _UPRIGHT
    c = at.along(pose.spindle)
    root = np.sqrt(1.0 - c.value * c.value)
    f1 = c.value / root
    f2 = 1.0 / (root * root * root)
    by_radius = Height(
        value=-root,
        u=f1 * c.u,
        v=f1 * c.v,
        t=f1 * c.t,
        uu=f1 * c.uu + f2 * c.u * c.u,
        uv=f1 * c.uv + f2 * c.u * c.v,
        vv=f1 * c.vv + f2 * c.v * c.v,
        ut=f1 * c.ut + f2 * c.u * c.t,
        vt=f1 * c.vt + f2 * c.v * c.t,
        tt=f1 * c.tt + f2 * c.t * c.t,
    )
    names = Height.__dataclass_fields__
    return (
        Height(*(getattr(wheel, n) + R * getattr(by_radius, n) for n in names)),
        by_radius,
    )


_NIL = np.zeros(())
_UPRIGHT = Height(-np.ones(()), *(_NIL for _ in range(9)))
