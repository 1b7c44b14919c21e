"""The other springs of a car, beside its torsion bars: coils, leaves, helpers.

Every law takes how far the spring has been shortened since the drawn position and
gives the force with which it pushes apart, and its rate.  A law acts where it is put:
`on_arm` carries it to the arm by any length that the arm changes, `WheelSpring` to
the wheel by a ratio.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.jet import Number, curvature, slope, value
from splinewise.core.quantities import Array, positive

__all__ = [
    "ArmTorque",
    "LinearSpring",
    "Push",
    "SpringLaw",
    "WheelSpring",
    "on_arm",
    "rate_for_frequency",
]


@dataclass(frozen=True, slots=True, eq=False)
class Push:
    """What a spring pushes with.

    Attributes
    ----------
    force : ndarray, shape (...)
        Force, positive where it pushes apart. [N]
    rate : ndarray, shape (...)
        Its growth per shortening. [N/m]
    """

    force: Array
    rate: Array


class SpringLaw(Protocol):
    """A force that depends on how far a spring has been shortened."""

    def push(self, shortening: ArrayLike) -> Push:
        """Return force and rate at a shortening since the drawn position. [N]"""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class LinearSpring:
    """A spring of constant rate, F = F₀ + k x.

    Attributes
    ----------
    rate : ndarray, shape (...)
        k. [N/m]
    preload : ndarray, shape (...), default 0
        Force at the drawn position, F₀; below 0 where the spring pulls. [N]
    """

    rate: Array | float
    preload: Array | float = 0.0

    def push(self, shortening: ArrayLike) -> Push:
        """Return force and rate at a shortening since the drawn position. [N]"""
        x = np.asarray(shortening, dtype=np.float64)
        force = np.asarray(self.preload + self.rate * x)
        return Push(force, np.broadcast_to(np.asarray(self.rate), force.shape))


@dataclass(frozen=True, slots=True, eq=False)
class WheelSpring:
    """A spring given at the wheel, or by a constant ratio to it.

    Force at the wheel is r F(r z) and its rate r² k, with z the wheel's rise.

    Attributes
    ----------
    law : SpringLaw
        The spring.
    ratio : ndarray, shape (...), default 1
        Shortening of the spring per rise of the wheel, r. [1]
    """

    law: SpringLaw
    ratio: Array | float = 1.0

    def push(self, shortening: ArrayLike) -> Push:
        """Return force and rate at the wheel for its rise since drawn. [N]"""
        at = self.law.push(np.asarray(shortening, dtype=np.float64) * self.ratio)
        return Push(at.force * self.ratio, at.rate * self.ratio * self.ratio)


@dataclass(frozen=True, slots=True, eq=False)
class ArmTorque:
    """What a spring does to the arm.

    Attributes
    ----------
    torque : ndarray, shape (...)
        Torque against bump. [N·m]
    slope : ndarray, shape (...)
        Its growth per arm angle. [N·m/rad]
    """

    torque: Array
    slope: Array


def on_arm(law: SpringLaw, shortening: Number) -> ArmTorque:
    """Torque of a spring about the arm, by virtual work.

    With s(θ) the shortening, Q = F s' and dQ/dθ = k s'² + F s''.

    Parameters
    ----------
    law : SpringLaw
        The spring.
    shortening : Jet, shape (...)
        How far it is shortened since the drawn position, differentiated by arm angle:
        the wheel's rise, or the drawn length of a damper less its length. [m]

    Returns
    -------
    ArmTorque, shape (...)
        Torque and its slope. [N·m]
    """
    at = law.push(value(shortening))
    s1, s2 = slope(shortening), curvature(shortening)
    return ArmTorque(at.force * s1, at.rate * s1 * s1 + at.force * s2)


def rate_for_frequency(frequency: ArrayLike, mass: ArrayLike) -> Array:
    """Rate at which a mass has a natural frequency, m (2π f)².

    Parameters
    ----------
    frequency : array_like, shape (...)
        Wanted frequency, f. [Hz]
    mass : array_like, shape (...)
        Sprung mass on the spring, m. [kg]

    Returns
    -------
    ndarray, shape (...)
        Rate; at the wheel if the mass is the wheel's share. [N/m]

    Raises
    ------
    QuantityError
        If either is not positive.
    """
    f = positive("frequency", frequency, "Hz")
    return np.asarray(positive("mass", mass, "kg") * (2.0 * np.pi * f) ** 2)
