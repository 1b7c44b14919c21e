"""One wheel standing under its load.

Virtual work of the bar, the bushes and the ground: k (τ − τ₀) τ' + T_b = F z', with
τ the turn of the bar's arm end, z the rise of the contact point and ' the derivative
by arm angle.  The force follows in closed form, and its slope carries the geometric
term of the moving linkage with it (own derivation; for a plain arm it is the
expression checked in `tests/validation/test_plain_arm_rates.py`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.jet import curvature, slope, value
from splinewise.core.linkages.base import Linkage, solve
from splinewise.core.quantities import Array, finite, positive, refuse_where

__all__ = [
    "Bush",
    "Spring",
    "WheelForce",
    "ride_frequency",
    "slack_for",
    "standing_angle",
    "wheel_force",
]


@dataclass(frozen=True, slots=True, eq=False)
class Bush:
    """Rubber bushes that twist with the arm.

    Attributes
    ----------
    rate : ndarray, shape (...)
        Torque per arm angle; 0 for plain bearings. [N·m/rad]
    tightened_at : ndarray, shape (...)
        Arm angle at which they were clamped and carry no torque. [rad]
    """

    rate: Array | float = 0.0
    tightened_at: Array | float = 0.0

    def __post_init__(self) -> None:
        """Refuse rubber that cannot be."""
        k = finite("bush rate", self.rate, "N·m/rad")
        refuse_where(k < 0.0, "bush rate", k, "N·m/rad", "zero or more")
        finite("tightened_at", self.tightened_at, "rad")


@dataclass(frozen=True, slots=True, eq=False)
class Spring:
    """The torsion bar as the corner feels it.

    Attributes
    ----------
    rate : ndarray, shape (...)
        Torque per turn of the bar's arm end, k. [N·m/rad]
    slack : ndarray, shape (...)
        Turn of the arm end at which the bar carries no torque, τ₀. [rad]
    bush : Bush
        What the bushes add. [N·m]
    """

    rate: Array | float
    slack: Array | float
    bush: Bush = Bush()

    def __post_init__(self) -> None:
        """Refuse a bar that cannot be."""
        positive("rate", self.rate, "N·m/rad")
        finite("slack", self.slack, "rad")


@dataclass(frozen=True, slots=True, eq=False)
class WheelForce:
    """What one corner carries at an arm angle.

    Attributes
    ----------
    force : ndarray, shape (...)
        Vertical force at the contact point from the bar and the bushes. [N]
    wheel_rate : ndarray, shape (...)
        Its growth per rise of the wheel, geometric term included. [N/m]
    spring_part : ndarray, shape (...)
        The part of it that the bar's and the bushes' rate alone give. [N/m]
    torque : ndarray, shape (...)
        Torque in the bar. [N·m]
    twist : ndarray, shape (...)
        Turn of the bar from slack. [rad]
    rise : ndarray, shape (...)
        Height of the contact point in the body's axes. [m]
    rise_slope : ndarray, shape (...)
        Its change with arm angle. [m/rad]
    """

    force: Array
    wheel_rate: Array
    spring_part: Array
    torque: Array
    twist: Array
    rise: Array
    rise_slope: Array


def wheel_force(linkage: Linkage, spring: Spring, angle: ArrayLike) -> WheelForce:
    """Return the vertical force that a corner carries at an arm angle.

    F = (k (τ − τ₀) τ' + T_b)/z' and
    dF/dz = (k τ'² + k_b)/z'² + (k (τ − τ₀) τ'' − F z'')/z'².

    Parameters
    ----------
    linkage : Linkage
        The corner. [m]
    spring : Spring, shape (...)
        Its bar and bushes. [N·m]
    angle : array_like, shape (...)
        Arm angle. [rad]

    Returns
    -------
    WheelForce, shape (...)
        Force, rate, torque and twist; NaN where the linkage locks. [N]
    """
    theta = finite("angle", angle, "rad")
    pose = solve(linkage, theta)
    bush = spring.bush
    with np.errstate(invalid="ignore", divide="ignore"):
        twist = value(pose.twist) - spring.slack
        torque = spring.rate * twist
        t1, t2 = slope(pose.twist), curvature(pose.twist)
        z1, z2 = slope(pose.contact.z), curvature(pose.contact.z)
        force = (torque * t1 + bush.rate * (theta - bush.tightened_at)) / z1
        spring_part = (spring.rate * t1 * t1 + bush.rate) / (z1 * z1)
        rate = spring_part + (torque * t2 - force * z2) / (z1 * z1)
    return WheelForce(
        force=np.asarray(force),
        wheel_rate=np.asarray(rate),
        spring_part=np.asarray(spring_part),
        torque=np.asarray(torque),
        twist=np.asarray(twist),
        rise=value(pose.contact.z),
        rise_slope=z1,
    )


def slack_for(
    linkage: Linkage,
    *,
    angle: ArrayLike,
    rate: ArrayLike,
    load: ArrayLike,
    bush: Bush | None = None,
) -> Array:
    """Return the slack angle with which a corner stands at an arm angle.

    τ₀ = τ − (F z' − T_b)/(k τ').

    Parameters
    ----------
    linkage : Linkage
        The corner. [m]
    angle : array_like, shape (...)
        Arm angle at which it shall stand. [rad]
    rate : array_like, shape (...)
        Rate of the bar. [N·m/rad]
    load : array_like, shape (...)
        Vertical force that it shall carry. [N]
    bush : Bush or None, shape (...)
        What the bushes add; None for nothing. [N·m]

    Returns
    -------
    ndarray, shape (...)
        Slack angle; NaN where the linkage cannot be posed. [rad]
    """
    k = positive("rate", rate, "N·m/rad")
    theta = finite("angle", angle, "rad")
    rubber = bush or Bush()
    pose = solve(linkage, theta, order=1)
    held = rubber.rate * (theta - rubber.tightened_at)
    wanted = finite("load", load, "N") * slope(pose.contact.z) - held
    with np.errstate(invalid="ignore", divide="ignore"):
        slack = value(pose.twist) - wanted / (slope(pose.twist) * k)
    # At the dead centre of a lever the bar has no say: no angle of it would do.
    return np.where(np.isfinite(slack), slack, np.nan)


def standing_angle(
    linkage: Linkage,
    spring: Spring,
    load: ArrayLike,
    *,
    low: ArrayLike,
    high: ArrayLike,
) -> Array:
    """Return the arm angle at which the corner carries a load.

    Newton's method on F(θ) = load, kept inside a bracket that shrinks at each step,
    so that it always ends.

    Parameters
    ----------
    linkage : Linkage
        The corner. [m]
    spring : Spring, shape (...)
        Its bar and bushes. [N·m]
    load : array_like, shape (...)
        Vertical force to carry. [N]
    low, high : array_like, shape (...)
        Arm angles between which to look, where the linkage can be posed. [rad]

    Returns
    -------
    ndarray, shape (...)
        Arm angle; NaN where no angle between the two carries the load. [rad]
    """
    wanted = finite("load", load, "N")
    shape = np.broadcast_shapes(
        wanted.shape,
        np.shape(low),
        np.shape(high),
        np.shape(spring.rate),
        np.shape(spring.slack),
    )
    wanted = np.broadcast_to(wanted, shape)
    lower = np.broadcast_to(finite("low", low, "rad"), shape).copy()
    upper = np.broadcast_to(finite("high", high, "rad"), shape).copy()

    def excess(angle: Array) -> tuple[Array, Array]:
        at = wheel_force(linkage, spring, angle)
        # Newton wants the slope by arm angle: dF/dθ = (dF/dz) z'.
        return at.force - wanted, at.wheel_rate * at.rise_slope

    inside = (excess(lower)[0] <= 0.0) & (excess(upper)[0] >= 0.0)
    theta = 0.5 * (lower + upper)
    for _ in range(80):
        over, rise = excess(theta)
        lower = np.where(over < 0.0, theta, lower)
        upper = np.where(over > 0.0, theta, upper)
        with np.errstate(invalid="ignore", divide="ignore"):
            step = theta - over / rise
        within = (step > lower) & (step < upper)
        new = np.where(
            over == 0.0, theta, np.where(within, step, 0.5 * (lower + upper))
        )
        moved = np.max(np.abs(new - theta), where=inside, initial=0.0)
        theta = new
        if moved < 1e-14:
            break
    return np.where(inside, theta, np.nan)


def ride_frequency(wheel_rate: ArrayLike, mass: ArrayLike) -> Array:
    """Return the natural frequency of a mass on a rate, √(k/m)/2π.

    Parameters
    ----------
    wheel_rate : array_like, shape (...)
        Rate at the wheel. [N/m]
    mass : array_like, shape (...)
        Sprung mass on it. [kg]

    Returns
    -------
    ndarray, shape (...)
        Frequency; NaN for a rate below zero. [Hz]
    """
    k = finite("wheel_rate", wheel_rate, "N/m")
    m = positive("mass", mass, "kg")
    with np.errstate(invalid="ignore"):
        return np.sqrt(k / m) / (2.0 * np.pi)
