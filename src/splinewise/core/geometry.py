"""Points, axes and turns in space, on plain numbers or on jets.

A `Vec` keeps its three components apart: each is one contiguous array, which is what
makes a million poses cheap, and each may be a jet, which is what makes their
derivatives exact.  Axes are those of ISO 8855: x forward, y left, z up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.jet import Number, cos, sin, slope, sqrt, value
from splinewise.core.quantities import Array, finite, refuse_where

__all__ = [
    "Circle",
    "Turned",
    "Vec",
    "circle_meets_sphere",
    "cross",
    "dot",
    "length",
    "three_spheres",
    "turn",
    "unit",
    "vec",
]


@dataclass(frozen=True, slots=True, eq=False)
class Vec:
    """A point or a direction in space.

    Attributes
    ----------
    x, y, z : Jet or ndarray, shape (...)
        Components: forward, left, up. [m]
    """

    x: Number
    y: Number
    z: Number

    def __add__(self, other: Vec) -> Vec:
        return Vec(self.x + other.x, self.y + other.y, self.z + other.z)

    def __sub__(self, other: Vec) -> Vec:
        return Vec(self.x - other.x, self.y - other.y, self.z - other.z)

    def __mul__(self, factor: Number) -> Vec:
        return Vec(self.x * factor, self.y * factor, self.z * factor)

    __rmul__ = __mul__

    def __neg__(self) -> Vec:
        return Vec(-self.x, -self.y, -self.z)

    @property
    def array(self) -> Array:
        """Values as an array whose last axis is x, y, z. [m]"""
        return np.stack(
            np.broadcast_arrays(value(self.x), value(self.y), value(self.z)), axis=-1
        )

    @property
    def velocity(self) -> Array:
        """First derivatives, last axis x, y, z. [m/parameter]"""
        return np.stack(
            np.broadcast_arrays(slope(self.x), slope(self.y), slope(self.z)), axis=-1
        )


def vec(point: ArrayLike | Sequence[float], name: str = "point") -> Vec:
    """Return a `Vec` from an array whose last axis is x, y, z.

    Parameters
    ----------
    point : array_like, shape (..., 3)
        Components. [m]
    name : str, shape ()
        What the point is, for the error. [1]

    Returns
    -------
    Vec, shape (...)
        The same point. [m]

    Raises
    ------
    QuantityError
        If a component is not finite.
    """
    p = finite(name, np.asarray(point, dtype=np.float64), "m")
    refuse_where(np.asarray(p.shape[-1:] != (3,)), name, p, "m", "three coordinates")
    return Vec(p[..., 0], p[..., 1], p[..., 2])


def dot(a: Vec, b: Vec) -> Number:
    """Scalar product, a·b.

    Parameters
    ----------
    a, b : Vec, shape (...)
        Vectors. [m]

    Returns
    -------
    Jet or ndarray, shape (...)
        Their product. [m²]
    """
    return a.x * b.x + a.y * b.y + a.z * b.z


def cross(a: Vec, b: Vec) -> Vec:
    """Vector product, a × b.

    Parameters
    ----------
    a, b : Vec, shape (...)
        Vectors. [m]

    Returns
    -------
    Vec, shape (...)
        Their product. [m²]
    """
    return Vec(
        a.y * b.z - a.z * b.y,
        a.z * b.x - a.x * b.z,
        a.x * b.y - a.y * b.x,
    )


def length(a: Vec) -> Number:
    """Length of a vector, |a|.

    Parameters
    ----------
    a : Vec, shape (...)
        Vector. [m]

    Returns
    -------
    Jet or ndarray, shape (...)
        Its length. [m]
    """
    return sqrt(dot(a, a))


def unit(a: Vec) -> Vec:
    """Direction of a vector, a/|a|.

    Parameters
    ----------
    a : Vec, shape (...)
        Vector. [m]

    Returns
    -------
    Vec, shape (...)
        Vector of length one. [1]
    """
    return a * (1.0 / length(a))


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
        return self.centre + self.start * cosine + self.ahead * sine


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
    return Turned(sin(angle), cos(angle))


def circle_meets_sphere(
    circle: Circle, centre: Vec, radius: Number, branch: Array | float
) -> Turned:
    """Turn at which a point on a circle is `radius` away from `centre`.

    |c + p cos φ + q sin φ − s|² = r² is a cos φ + b sin φ = k, with
    a = 2 p·(c − s), b = 2 q·(c − s), k = r² − p² − (c − s)², whose two roots are
    cos φ = (a k ∓ b w)/(a² + b²), sin φ = (b k ± a w)/(a² + b²), w² = a² + b² − k²
    (own derivation).  No trigonometric function is called.

    Parameters
    ----------
    circle : Circle, shape (...)
        Path of the point. [m]
    centre : Vec, shape (...)
        Centre of the sphere, s. [m]
    radius : Jet or array_like, shape (...)
        Its radius, r. [m]
    branch : array_like, shape (...)
        +1 or −1: which of the two roots. [1]

    Returns
    -------
    Turned, shape (...)
        Sine and cosine of φ; NaN where the two do not meet. [1]
    """
    g = circle.centre - centre
    a = 2.0 * dot(circle.start, g)
    b = 2.0 * dot(circle.ahead, g)
    k = radius * radius - dot(circle.start, circle.start) - dot(g, g)
    m = a * a + b * b
    w = sqrt(m - k * k) * branch
    n = 1.0 / m
    return Turned((b * k + a * w) * n, (a * k - b * w) * n)


def three_spheres(
    a: Vec,
    b: Vec,
    c: Vec,
    distances: tuple[Number, Number, Number],
    branch: Array | float,
) -> Vec:
    """Point at given distances from three points (trilateration).

    With u = b − a, v = c − a, n = u × v and t the point seen from a, the distances
    give α = u·t and β = v·t; then t = f ± n √((r_a² − f²)/n²) with
    f = (α v − β u) × n / n² (own derivation).

    Parameters
    ----------
    a, b, c : Vec, shape (...)
        The three centres, not in one line. [m]
    distances : tuple of Jet or array_like, shape (...)
        Distance from each, in the same order. [m]
    branch : array_like, shape (...)
        +1 for the point on the side of (b − a) × (c − a), −1 for the other. [1]

    Returns
    -------
    Vec, shape (...)
        The point; NaN where the spheres do not meet. [m]
    """
    u, v = b - a, c - a
    n = cross(u, v)
    ra, rb, rc = distances
    aa = ra * ra
    alpha = 0.5 * (aa - rb * rb + dot(u, u))
    beta = 0.5 * (aa - rc * rc + dot(v, v))
    r = 1.0 / dot(n, n)
    flat = cross(v * alpha - u * beta, n) * r
    # What the distance from a leaves after the part in the plane stands along n.
    high = sqrt((aa - dot(flat, flat)) * r) * branch
    return a + flat + n * high
