"""Points and directions: sums, products, lengths."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.jet import Number, mix, slope, sqrt, square, still, value
from splinewise.core.quantities import Array, finite
from splinewise.errors import QuantityError

__all__ = [
    "Vec",
    "combine",
    "cross",
    "dot",
    "length",
    "squared",
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
