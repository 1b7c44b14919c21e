"""What travel does to camber, caster and toe: the curves and their exact slopes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.alignment.targets import angles_at
from splinewise.core.jet import Number, curvature, seed, slope, value
from splinewise.core.linkages import Linkage
from splinewise.core.quantities import Array, finite

__all__ = ["BumpCurve", "bump_curve", "bump_steer"]


@dataclass(frozen=True, slots=True, eq=False)
class BumpCurve:
    """Camber, caster and toe over the travel of one wheel.

    Attributes
    ----------
    angle : ndarray, shape (...)
        Arm angle. [rad]
    rise : ndarray, shape (...)
        Rise of the contact point since the drawn position. [m]
    camber, caster, toe : ndarray, shape (...)
        The angles; caster NaN where the layout has no steering axis. [rad]
    camber_slope, caster_slope, toe_slope : ndarray, shape (...)
        Their change per rise of the wheel. [rad/m]
    toe_bend : ndarray, shape (...)
        Change of the toe's slope per rise of the wheel. [rad/m²]
    """

    angle: Array
    rise: Array
    camber: Array
    caster: Array
    toe: Array
    camber_slope: Array
    caster_slope: Array
    toe_slope: Array
    toe_bend: Array


def bump_curve(
    linkage: Linkage, angle: ArrayLike, *, rack: ArrayLike = 0.0
) -> BumpCurve:
    """Return camber, caster and toe over arm angles, with exact slopes.

    By the rise z of the contact point: dt/dz = t'/z' and
    d²t/dz² = (t'' z' − t' z'')/z'³, with ' by arm angle.

    Parameters
    ----------
    linkage : Linkage
        The corner. [m]
    angle : array_like, shape (...)
        Arm angles. [rad]
    rack : array_like, shape (...), default 0
        Movement of the inner track-rod joints to the left. [m]

    Returns
    -------
    BumpCurve, shape (...)
        The curves; NaN where the linkage cannot be assembled. [rad]
    """
    theta = finite("angle", angle, "rad")
    shift = finite("rack", rack, "m")
    with np.errstate(invalid="ignore", divide="ignore"):
        pose = linkage.pose(seed(theta), rack=shift)
        drawn = value(linkage.pose(np.zeros(()), rack=shift).contact.z)
        angles = angles_at(linkage, seed(theta), rack=shift)
        z = pose.contact.z
        camber, caster, toe = angles

        def per_rise(x: Number) -> Array:
            return np.asarray(slope(x) / slope(z))

        bend = curvature(toe) * slope(z) - slope(toe) * curvature(z)
        return BumpCurve(
            angle=theta,
            rise=np.asarray(value(z) - drawn),
            camber=value(camber),
            caster=value(caster),
            toe=value(toe),
            camber_slope=per_rise(camber),
            # Where there is no axis, the slope of nothing is not nought.
            caster_slope=np.where(np.isnan(value(caster)), np.nan, per_rise(caster)),
            toe_slope=per_rise(toe),
            toe_bend=np.asarray(bend / slope(z) ** 3),
        )


def bump_steer(linkage: Linkage, angle: ArrayLike) -> Array:
    """Return the change of toe per rise of the wheel, the bump-steer coefficient.

    Positive where the wheel toes in as it rises.

    Parameters
    ----------
    linkage : Linkage
        The corner. [m]
    angle : array_like, shape (...)
        Arm angle at which the car stands. [rad]

    Returns
    -------
    ndarray, shape (...)
        Change of toe per rise. [rad/m]
    """
    return bump_curve(linkage, angle).toe_slope
