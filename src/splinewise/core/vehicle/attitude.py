"""Heights of the body's points by its heave and the lean of its floor.

The body stands at a height z (of its origin) and leans; what counts for heights is
the world's upward direction n seen in the body's axes, |n| = 1.  Its first two
components are the unknowns u and v, its third is w = √(1 − u² − v²): no angles, no
trigonometry.  The height of a body point p is z + n·p.  Nose-down pitch is −asin u,
roll to the right side down is atan2(v, w) (ISO 8855; own derivation).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from splinewise.core.geometry import Vec
from splinewise.core.jet import curvature, slope, value
from splinewise.core.quantities import Array

__all__ = ["Attitude", "Height"]


@dataclass(frozen=True, slots=True, eq=False)
class Height:
    """A height above that of the body's origin, with its derivatives.

    Attributes
    ----------
    value : ndarray, shape (...)
        The height, n·p. [m]
    u, v, t : ndarray, shape (...)
        First derivatives by u, v and the arm angle; that of the whole height by z
        is one. [m]
    uu, uv, vv, ut, vt, tt : ndarray, shape (...)
        Second derivatives; those by z are nought. [m]
    """

    value: Array
    u: Array
    v: Array
    t: Array
    uu: Array
    uv: Array
    vv: Array
    ut: Array
    vt: Array
    tt: Array


@dataclass(frozen=True, slots=True, eq=False)
class Attitude:
    """Heave and lean of the body.

    Attributes
    ----------
    z, u, v : ndarray, shape (...)
        Height of the origin; first two components of up in the body's axes. [m]
    """

    z: Array
    u: Array
    v: Array

    @property
    def up(self) -> tuple[Array, Array, Array]:
        """The world's upward direction in the body's axes; NaN past lying. [1]"""
        with np.errstate(invalid="ignore"):
            return self.u, self.v, np.sqrt(1.0 - self.u * self.u - self.v * self.v)

    @property
    def pitch(self) -> Array:
        """Pitch, positive nose down. [rad]"""
        return -np.arcsin(self.u)

    @property
    def roll(self) -> Array:
        """Roll, positive right side down. [rad]"""
        return np.arctan2(self.v, self.up[2])

    def along(self, p: Vec) -> Height:
        """Return n·p with its derivatives.

        Parameters
        ----------
        p : Vec, shape (...)
            A vector in the body's axes, as jets if it moves with the arm angle. [m]

        Returns
        -------
        Height, shape (...)
            The product; NaN where the body lies. [m]
        """
        u, v, w = self.up
        x, y, z = value(p.x), value(p.y), value(p.z)
        dx, dy, dz = slope(p.x), slope(p.y), slope(p.z)
        with np.errstate(divide="ignore", invalid="ignore"):
            # ∂w/∂u = −u/w, ∂²w/∂u² = −(1 + u²/w²)/w and so on, as w² = 1 − u² − v².
            a, b, k = u / w, v / w, z / w
        return Height(
            value=u * x + v * y + w * z,
            u=x - a * z,
            v=y - b * z,
            t=u * dx + v * dy + w * dz,
            uu=-(1.0 + a * a) * k,
            uv=-a * b * k,
            vv=-(1.0 + b * b) * k,
            ut=dx - a * dz,
            vt=dy - b * dz,
            tt=u * curvature(p.x) + v * curvature(p.y) + w * curvature(p.z),
        )

    def height(self, p: Vec) -> Array:
        """Return the height of a point fixed in the body.

        Parameters
        ----------
        p : Vec, shape (...)
            The point, in the body's axes. [m]

        Returns
        -------
        ndarray, shape (...)
            Its height above the level from which the floor is counted. [m]
        """
        u, v, w = self.up
        return np.asarray(self.z + u * value(p.x) + v * value(p.y) + w * value(p.z))
