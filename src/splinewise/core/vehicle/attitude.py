"""Heights of the body's points by its heave and the lean of its floor.

The body stands at a height z (of its origin) and leans; what counts for heights is
the world's upward direction n seen in the body's axes, |n| = 1.  Its first two
components are the unknowns u and v, its third is √(1 − u² − v²): no angles, no
trigonometry.  The height of a body point p is z + n·p.  Nose-down pitch is −asin u,
roll to the right side down is atan2(v, n_z) (ISO 8855; own derivation).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from splinewise.core.quantities import Array

__all__ = ["Attitude", "Height"]


@dataclass(frozen=True, slots=True, eq=False)
class Height:
    """A height with its first and second derivatives by (z, u, v, θ).

    Attributes
    ----------
    value : ndarray, shape (...)
        The height. [m]
    gradient : tuple of ndarray, shape (...)
        By z, u, v and the arm angle θ. [m]
    uu, uv, vv, ut, vt, tt : ndarray, shape (...)
        Second derivatives; those by z are nought. [m]
    """

    value: Array
    gradient: tuple[Array, Array, Array, Array]
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
        """The world's upward direction in the body's axes. [1]"""
        return self.u, self.v, np.sqrt(1.0 - self.u * self.u - self.v * self.v)

    @property
    def pitch(self) -> Array:
        """Pitch, positive nose down. [rad]"""
        return -np.arcsin(self.u)

    @property
    def roll(self) -> Array:
        """Roll, positive right side down. [rad]"""
        return np.arctan2(self.v, self.up[2])

    def along(
        self,
        p: tuple[Array, Array, Array],
        d: tuple[Array, Array, Array] | None = None,
        dd: tuple[Array, Array, Array] | None = None,
    ) -> Height:
        """Return n·p with its derivatives; z is not in it.

        Parameters
        ----------
        p : tuple of ndarray, shape (...)
            A vector in the body's axes. [m]
        d, dd : tuple of ndarray or None, shape (...)
            Its first and second derivative by the arm angle; None for a fixed
            one. [m/rad]

        Returns
        -------
        Height, shape (...)
            The product. [m]
        """
        u, v, w = self.up
        x, y, zz = p
        # ∂w/∂u = −u/w, ∂²w/∂u² = −(1 + u²/w²)/w and so on, since w² = 1 − u² − v².
        a, b = u / w, v / w
        k = zz / w
        nil = np.zeros(())
        by_u, by_v = x - a * zz, y - b * zz
        gradient = (np.ones(()), by_u, by_v, nil)
        ut, vt, tt = nil, nil, nil
        if d is not None:
            gradient = (
                np.ones(()),
                by_u,
                by_v,
                u * d[0] + v * d[1] + w * d[2],
            )
            ut, vt = d[0] - a * d[2], d[1] - b * d[2]
        if dd is not None:
            tt = u * dd[0] + v * dd[1] + w * dd[2]
        return Height(
            value=u * x + v * y + w * zz,
            gradient=gradient,
            uu=-(1.0 + a * a) * k,
            uv=-a * b * k,
            vv=-(1.0 + b * b) * k,
            ut=ut,
            vt=vt,
            tt=tt,
        )

    def height(self, p: tuple[Array, Array, Array]) -> Array:
        """Return the height of a fixed point of the body. [m]"""
        u, v, w = self.up
        return np.asarray(self.z + u * p[0] + v * p[1] + w * p[2])
