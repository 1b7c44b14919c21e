"""A value that carries its slope and curvature along one path."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np

from splinewise.core.quantities import Array

__all__ = ["Jet", "Number", "curvature", "seed", "slope", "still", "value"]


# Not frozen: that would treble the time to make one, and a pose makes a hundred.
@dataclass(slots=True, eq=False)
class Jet:
    """A value with its first and second derivative by one parameter.

    Its parts are never changed once it is made.

    Attributes
    ----------
    v : ndarray, shape (...)
        Value. [unit]
    d : ndarray, shape (...)
        First derivative. [unit/parameter]
    dd : ndarray, shape (...) or None
        Second derivative; None if the jet carries only the first. [unit/parameter²]
    """

    v: Array
    d: Array
    dd: Array | None = None

    # NumPy must hand `array * jet` to the jet rather than loop over it.
    __array_ufunc__ = None

    def __add__(self, other: Number) -> Jet:
        if isinstance(other, Jet):
            dd = None
            if self.dd is not None and other.dd is not None:
                dd = self.dd + other.dd
            return Jet(self.v + other.v, self.d + other.d, dd)
        return Jet(self.v + other, self.d, self.dd)

    __radd__ = __add__

    def __neg__(self) -> Jet:
        return Jet(-self.v, -self.d, None if self.dd is None else -self.dd)

    def __sub__(self, other: Number) -> Jet:
        if isinstance(other, Jet):
            dd = None
            if self.dd is not None and other.dd is not None:
                dd = self.dd - other.dd
            return Jet(self.v - other.v, self.d - other.d, dd)
        return Jet(self.v - other, self.d, self.dd)

    def __rsub__(self, other: Array | float) -> Jet:
        return Jet(other - self.v, -self.d, None if self.dd is None else -self.dd)

    def __mul__(self, other: Number) -> Jet:
        if isinstance(other, Jet):
            dd = None
            if self.dd is not None and other.dd is not None:
                dd = self.v * other.dd + 2.0 * (self.d * other.d) + self.dd * other.v
            return Jet(self.v * other.v, self.v * other.d + self.d * other.v, dd)
        dd = None if self.dd is None else self.dd * other
        return Jet(self.v * other, self.d * other, dd)

    __rmul__ = __mul__

    def __truediv__(self, other: Number) -> Jet:
        if isinstance(other, Jet):
            return self * _reciprocal(other)
        return self * (1.0 / other)

    def __rtruediv__(self, other: Array | float) -> Jet:
        return _reciprocal(self) * other


Number = Jet | Array | float


def _reciprocal(x: Jet) -> Jet:
    r = 1.0 / x.v
    df = -r * r
    dd = None if x.dd is None else df * x.dd - 2.0 * df * r * (x.d * x.d)
    return Jet(r, df * x.d, dd)


def seed(parameter: Array | float, *, order: int = 2) -> Jet:
    """Return the parameter itself as a jet: slope 1, curvature 0.

    Parameters
    ----------
    parameter : array_like, shape (...)
        The number by which everything will be differentiated. [unit]
    order : int, shape ()
        Highest derivative to carry, 1 or 2. [1]

    Returns
    -------
    Jet, shape (...)
        The parameter. [unit]

    Raises
    ------
    ValueError
        If the order is neither.
    """
    if order not in (1, 2):
        msg = f"order must be 1 or 2; got {order}"
        raise ValueError(msg)
    v = np.asarray(parameter, dtype=np.float64)
    return Jet(v, np.ones_like(v), np.zeros_like(v) if order == 2 else None)


def value(x: Number) -> Array:
    """Return the value of a jet, or the number itself.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Any number. [unit]

    Returns
    -------
    ndarray, shape (...)
        Its value. [unit]
    """
    return np.asarray(x.v if isinstance(x, Jet) else x, dtype=np.float64)


def still(x: Number) -> Array:
    """Return the value of a jet, or the number itself just as it is.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Any number, of any floating type. [unit]

    Returns
    -------
    ndarray, shape (...)
        Its value. [unit]
    """
    # A float does its sums as an array would.
    return x.v if isinstance(x, Jet) else cast(Array, x)


def slope(x: Number) -> Array:
    """Return the first derivative; zero for a number that carries none.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Any number. [unit]

    Returns
    -------
    ndarray, shape (...)
        Its first derivative. [unit/parameter]
    """
    return np.asarray(x.d, dtype=np.float64) if isinstance(x, Jet) else np.zeros(())


def curvature(x: Number) -> Array:
    """Return the second derivative; zero for a number that carries none.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Any number. [unit]

    Returns
    -------
    ndarray, shape (...)
        Its second derivative. [unit/parameter²]

    Raises
    ------
    ValueError
        If the jet was seeded to carry the first derivative only.
    """
    if not isinstance(x, Jet):
        return np.zeros(())
    if x.dd is None:
        msg = "this jet carries a slope only; seed it with order=2"
        raise ValueError(msg)
    return np.asarray(x.dd, dtype=np.float64)
