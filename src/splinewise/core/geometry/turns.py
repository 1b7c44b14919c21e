"""Turns by their sine and cosine, and the circles that turning points run on."""

from __future__ import annotations

from dataclasses import dataclass

from splinewise.core.geometry.vectors import Vec, combine, cross, dot
from splinewise.core.jet import Number, sincos

__all__ = ["Circle", "Turned", "turn"]


@dataclass(frozen=True, slots=True, eq=False)
class Circle:
    """The path of a point that turns about an axis: c + p cos φ + q sin φ.

    Attributes
    ----------
    centre : Vec, shape (...)
        Foot of the point on the axis, c. [m]
    start : Vec, shape (...)
        From the foot to the point at φ = 0, p. [m]
    ahead : Vec, shape (...)
        The same a quarter turn later, q, of the length of p. [m]
    """

    centre: Vec
    start: Vec
    ahead: Vec

    @classmethod
    def about(cls, foot: Vec, axis: Vec, point: Vec) -> Circle:
        """Return the path of `point` about the unit `axis` through `foot`. [m]"""
        arm = point - foot
        along = axis * dot(axis, arm)
        p = arm - along
        return cls(foot + along, p, cross(axis, p))

    def at(self, sine: Number, cosine: Number) -> Vec:
        """Return the point at the angle of this sine and cosine. [m]"""
        c, p, q = self.centre, self.start, self.ahead
        return combine((p, cosine), (q, sine), plus=c)


@dataclass(frozen=True, slots=True, eq=False)
class Turned:
    """A turn by its sine and cosine.

    Attributes
    ----------
    sine, cosine : Jet or ndarray, shape (...)
        Sine and cosine of the angle. [1]
    """

    sine: Number
    cosine: Number


def turn(angle: Number) -> Turned:
    """Return sine and cosine of an angle.

    Parameters
    ----------
    angle : Jet or array_like, shape (...)
        Angle. [rad]

    Returns
    -------
    Turned, shape (...)
        The turn. [1]
    """
    return Turned(*sincos(angle))
