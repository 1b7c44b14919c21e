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

from splinewise.core.jet import (
    UNMOVED,
    Number,
    implicit,
    mix,
    sincos,
    slope,
    sqrt,
    square,
    still,
    value,
)
from splinewise.core.quantities import Array, finite
from splinewise.errors import QuantityError

__all__ = [
    "Circle",
    "Turned",
    "Vec",
    "apex",
    "circle_meets_sphere",
    "combine",
    "cross",
    "dot",
    "length",
    "squared",
    "three_spheres",
    "turn",
    "unit",
    "vec",
    "wave_root",
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
    def still(self) -> Vec:
        """The same values without their derivatives. [m]"""
        return Vec(still(self.x), still(self.y), still(self.z))

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


def vec(point: ArrayLike | Sequence[float] | Vec, name: str = "point") -> Vec:
    """Return a `Vec` from an array whose last axis is x, y, z.

    A `Vec` comes back as it is: its components may be jets, which is how a linkage
    is differentiated by its hard points.

    Parameters
    ----------
    point : array_like or Vec, shape (..., 3)
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
        If a component is not finite, or there are not three.
    """
    if isinstance(point, Vec):
        return point
    p = finite(name, np.asarray(point, dtype=np.float64), "m")
    if p.shape[-1:] != (3,):
        found = p.shape[-1] if p.ndim else 1
        raise QuantityError(name, found, "of them", "three coordinates")
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
    return mix((a.x, b.x), (a.y, b.y), (a.z, b.z))


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
        mix((a.y, b.z), less=[(a.z, b.y)]),
        mix((a.z, b.x), less=[(a.x, b.z)]),
        mix((a.x, b.y), less=[(a.y, b.x)]),
    )


def combine(*terms: tuple[Vec, Number], plus: Vec | None = None) -> Vec:
    """Sum of multiples of vectors, a p + b q + ….

    Parameters
    ----------
    terms : tuple of Vec and Jet or array_like, shape (...)
        Vectors, each with its factor. [m]
    plus : Vec or None, shape (...)
        What to add besides. [m]

    Returns
    -------
    Vec, shape (...)
        The sum. [m]
    """
    return Vec(
        mix(*[(a.x, f) for a, f in terms], plus=None if plus is None else plus.x),
        mix(*[(a.y, f) for a, f in terms], plus=None if plus is None else plus.y),
        mix(*[(a.z, f) for a, f in terms], plus=None if plus is None else plus.z),
    )


def squared(a: Vec) -> Number:
    """Square of a vector's length, a·a.

    Parameters
    ----------
    a : Vec, shape (...)
        Vector. [m]

    Returns
    -------
    Jet or ndarray, shape (...)
        Its length squared. [m²]
    """
    return square(a.x) + square(a.y) + square(a.z)


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
    return sqrt(squared(a))


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


def wave_root(
    cosine: Number, sine: Number, total: Number, branch: Array | float
) -> Turned:
    """Turn φ at which a cos φ + b sin φ = k.

    cos φ = (a k − b w)/(a² + b²), sin φ = (b k + a w)/(a² + b²) with
    w = ±√(a² + b² − k²) = a sin φ − b cos φ, and φ' w = a' cos φ + b' sin φ − k'
    (own derivation).  No trigonometric function is called.

    Parameters
    ----------
    cosine, sine, total : Jet or array_like, shape (...)
        a, b and k, in any one unit. [m²]
    branch : array_like, shape (...)
        +1 or −1: the sign of w, which of the two roots. [1]

    Returns
    -------
    Turned, shape (...)
        Sine and cosine of φ; NaN where there is none. [1]
    """
    a, b, k = still(cosine), still(sine), still(total)
    m = a * a + b * b
    w = np.sqrt(m - k * k) * branch
    n = 1.0 / m
    found = (b * k + a * w) * n, (a * k - b * w) * n
    return Turned(*implicit(found, _wave_rates, (cosine, sine, total)))


def _wave_rates(
    found: Sequence[Number], inputs: Sequence[Number], change: Sequence[Number]
) -> Sequence[Number]:
    (s, c), (a, b, _), (da, db, dk) = found, inputs, change
    rate = (mix((da, c), (db, s)) - dk) / mix((a, s), less=[(b, c)])
    return c * rate, -(s * rate)


def circle_meets_sphere(
    circle: Circle, centre: Vec, radius: Number, branch: Array | float
) -> Turned:
    """Turn at which a point on a circle is `radius` away from `centre`.

    |c + p cos φ + q sin φ − s|² = r² is a cos φ + b sin φ = k, with
    a = 2 p·(c − s), b = 2 q·(c − s), k = r² − p² − (c − s)²; `wave_root` does the
    rest (own derivation).

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
    k = square(radius) - squared(circle.start) - squared(g)
    return wave_root(a, b, k, branch)


def apex(
    first: Vec,
    second: Vec,
    distances: tuple[Number, Number, Number],
    branch: Array | float,
) -> Vec:
    """Point at given distances from the origin and from two other points.

    With u and v the two points and t the one that is sought, the distances give
    α = u·t and β = v·t; then t = x u + y v + h n, where n = u × v, x and y solve
    α = x u² + y u·v, β = x u·v + y v², and h² n² = r₀² − α x − β y.  Its rate obeys
    t·t' = r₀ r₀', u·t' = α' − t·u', v·t' = β' − t·v' (own derivation).

    Parameters
    ----------
    first, second : Vec, shape (...)
        u and v, not in one line with the origin. [m]
    distances : tuple of Jet or array_like, shape (...)
        Distance from the origin, from the first and from the second. [m]
    branch : array_like, shape (...)
        +1 for the point on the side of u × v, −1 for the other. [1]

    Returns
    -------
    Vec, shape (...)
        The point; NaN where the three spheres do not meet. [m]
    """
    u, v = first.still, second.still
    rr, to_first, to_second = (still(r) ** 2 for r in distances)
    uu, uv, vv, n = dot(u, u), dot(u, v), dot(v, v), cross(u, v)
    alpha = 0.5 * (rr - to_first + uu)
    beta = 0.5 * (rr - to_second + vv)
    # n² = u² v² − (u·v)², but this way it keeps its digits where u and v are close.
    inverse = 1.0 / dot(n, n)
    x = (alpha * vv - beta * uv) * inverse
    y = (beta * uu - alpha * uv) * inverse
    h = sqrt((rr - alpha * x - beta * y) * inverse) * branch
    t = combine((u, x), (v, y), (n, h))
    inputs = (first.x, first.y, first.z, second.x, second.y, second.z, *distances)
    return Vec(*implicit((still(t.x), still(t.y), still(t.z)), _apex_rates, inputs))


def _apex_rates(
    found: Sequence[Number], inputs: Sequence[Number], change: Sequence[Number]
) -> Sequence[Number]:
    t, u, v = Vec(*found), Vec(*inputs[:3]), Vec(*inputs[3:6])
    du, dv = Vec(*change[:3]), Vec(*change[3:6])
    grow, first, second = (r * dr for r, dr in zip(inputs[6:], change[6:], strict=True))
    along_u = dot(du, u - t) + (grow - first)
    along_v = dot(dv, v - t) + (grow - second)
    vt, tu = cross(v, t), cross(t, u)
    inverse = 1.0 / dot(u, vt)
    terms = [(vt, along_u * inverse), (tu, along_v * inverse)]
    if change[6] is not UNMOVED:
        terms.append((cross(u, v), grow * inverse))
    rate = combine(*terms)
    return rate.x, rate.y, rate.z


def three_spheres(
    a: Vec,
    b: Vec,
    c: Vec,
    distances: tuple[Number, Number, Number],
    branch: Array | float,
) -> Vec:
    """Point at given distances from three points (trilateration); see `apex`.

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
    return a + apex(b - a, c - a, distances, branch)
