"""What every layout of suspension can be asked: arm angle in, pose out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from splinewise.core.arm import Arm
from splinewise.core.geometry import Vec, length, unit
from splinewise.core.jet import Number, seed, slope, sqrt, square, value
from splinewise.core.quantities import Array, refuse_where

__all__ = ["Linkage", "Pose", "contact_below", "locking_angle", "outward", "solve"]

# Least sideways part of a wheel's axis: a wheel turned or laid by some 84° is none.
_ACROSS = 0.1


@dataclass(frozen=True, slots=True, eq=False)
class Pose:
    """Where one corner's parts are, in the body's axes.

    Attributes
    ----------
    contact : Vec, shape (...)
        Lowest point of the tyre's circle. [m]
    twist : Jet or ndarray, shape (...)
        Turn of the bar's arm end since the drawn position, positive in bump. [rad]
    wheel : Vec or None, shape (...)
        Wheel centre; None where the layout does not know it. [m]
    spindle : Vec or None, shape (...)
        Unit vector along the wheel's axis, pointing outboard. [1]
    steering : tuple of Vec or None, shape (...)
        A low and a high point of the steering axis. [m]
    damper : Jet or ndarray or None, shape (...)
        Length between the damper's bolts. [m]
    """

    contact: Vec
    twist: Number
    wheel: Vec | None = None
    spindle: Vec | None = None
    steering: tuple[Vec, Vec] | None = None
    damper: Number | None = None


class Linkage(Protocol):
    """One corner of a suspension that a torsion bar springs.

    Attributes
    ----------
    outboard : float, shape ()
        +1 on the left of the vehicle, −1 on the right. [1]
    arm : Arm
        The arm that the bar holds, with the linkage on the car or off it. [m]
    """

    @property
    def outboard(self) -> float:
        """+1 on the left of the vehicle, −1 on the right. [1]"""
        ...

    @property
    def arm(self) -> Arm:
        """The arm that the bar holds. [m]"""
        ...

    def pose(self, angle: Number, *, rack: Number = 0.0) -> Pose:
        """Return the pose at an arm angle.

        Parameters
        ----------
        angle : Jet or array_like, shape (...)
            Arm angle, zero at the drawn position, positive in bump. [rad]
        rack : Jet or array_like, shape (...), default 0
            Movement of the inner track-rod joint to the left. [m]

        Returns
        -------
        Pose, shape (...)
            The pose; NaN where the linkage cannot be assembled. [m]
        """
        ...

    def bar_turn(self, angle: Number) -> Number:
        """Return the turn of the bar's arm end at an arm angle.

        That of `Pose.twist`, but of the arm and what works the bar alone: it holds
        also where the rest of the linkage is off the car or could not be assembled.

        Parameters
        ----------
        angle : Jet or array_like, shape (...)
            Arm angle. [rad]

        Returns
        -------
        Jet or ndarray, shape (...)
            Turn since the drawn position; NaN where the arm cannot go. [rad]
        """
        ...

    def angle_at(self, twist: Number) -> Number:
        """Return the arm angle at which the bar's arm end has turned so far.

        Parameters
        ----------
        twist : Jet or array_like, shape (...)
            Turn since the drawn position. [rad]

        Returns
        -------
        Jet or ndarray, shape (...)
            Arm angle, as `bar_turn` the other way round. [rad]
        """
        ...


def contact_below(wheel: Vec, spindle: Vec, radius: Number) -> Vec:
    """Return the lowest point of a wheel's circle.

    The circle lies across the spindle s; down within it is −(z − (z·s) s)/√(1 − s_z²)
    (own derivation).

    Parameters
    ----------
    wheel : Vec, shape (...)
        Wheel centre. [m]
    spindle : Vec, shape (...)
        Unit vector along the wheel's axis. [1]
    radius : Jet or array_like, shape (...)
        Loaded tyre radius. [m]

    Returns
    -------
    Vec, shape (...)
        The contact point. [m]
    """
    upright = sqrt(1.0 - square(spindle.z))
    lean = spindle.z * (radius / upright)
    return Vec(
        wheel.x + spindle.x * lean,
        wheel.y + spindle.y * lean,
        wheel.z - radius * upright,
    )


def solve(
    linkage: Linkage, angle: ArrayLike, *, rack: Number = 0.0, order: int = 2
) -> Pose:
    """Return the pose with its exact derivatives by arm angle.

    Parameters
    ----------
    linkage : Linkage
        The corner. [m]
    angle : array_like, shape (...)
        Arm angle. [rad]
    rack : array_like, shape (...), default 0
        As in `Linkage.pose`. [m]
    order : int, shape (), default 2
        Highest derivative to carry, 1 or 2; the first alone costs less. [1]

    Returns
    -------
    Pose, shape (...)
        The pose as jets; NaN where the linkage cannot be assembled. [m]
    """
    theta = seed(np.asarray(angle, dtype=np.float64), order=order)
    with np.errstate(invalid="ignore", divide="ignore"):
        return linkage.pose(theta, rack=rack)


def locking_angle(
    linkage: Linkage, direction: float, *, farthest: float = np.pi / 2.0
) -> float:
    """Return the arm angle at which the assembled linkage locks or goes over centre.

    Beyond it the linkage cannot be assembled, or bump of the arm no longer lifts the
    wheel.

    Parameters
    ----------
    linkage : Linkage
        One corner, not a batch. [m]
    direction : float, shape ()
        +1 to look in bump, −1 in droop. [1]
    farthest : float, shape (), default π/2
        How far to look. [rad]

    Returns
    -------
    float, shape ()
        The last arm angle that can be used, or `direction · farthest` if it never
        locks. [rad]
    """

    def closes(angle: Array) -> NDArray[np.bool_]:
        with np.errstate(invalid="ignore", divide="ignore"):
            z = linkage.pose(seed(angle, order=1)).contact.z
            return np.isfinite(value(z)) & (slope(z) > 0.0)

    # Each round looks at 65 angles at once and keeps the interval that holds the
    # last pose: nine rounds leave less than 1e-15 of the span.
    low, high = 0.0, farthest
    for _ in range(9):
        steps = np.linspace(low, high, 65)
        good = np.logical_and.accumulate(closes(direction * steps))
        last = int(np.count_nonzero(good)) - 1
        if last == 64:
            return direction * high
        low, high = float(steps[max(last, 0)]), float(steps[max(last, 0) + 1])
    return direction * low


def outward(spindle: Vec, outboard: float) -> Vec:
    """Return a spindle direction as a unit vector that points outboard.

    Parameters
    ----------
    spindle : Vec, shape (...)
        Direction along the wheel's axis, of any length and sense. [1]
    outboard : float, shape ()
        +1 on the left of the vehicle, −1 on the right. [1]

    Returns
    -------
    Vec, shape (...)
        The unit vector. [1]

    Raises
    ------
    QuantityError
        If the direction is none, or lies in the plane of the vehicle's length and
        height, so that neither end of it is outboard.
    """
    size = value(length(spindle))
    refuse_where(~(size > 0.0), "spindle", size, "long", "a direction")
    s = unit(spindle)
    across = value(s.y)
    refuse_where(
        np.abs(across) < _ACROSS, "spindle", across, "of it sideways", "sideways"
    )
    return s * np.where(across * outboard < 0.0, -1.0, 1.0)
