"""Roots, powers and angles of jets; plain arrays go straight to NumPy."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from splinewise.core.jet.number import Jet, Number
from splinewise.core.quantities import Array

__all__ = [
    "arccos",
    "arcsin",
    "arctan2",
    "cos",
    "sin",
    "sincos",
    "sqrt",
    "square",
]


def _chain(x: Jet, f: Array, df: Array, ddf: Callable[[], Array]) -> Jet:
    """Carry x through a function of value f and derivatives df, ddf at x.v."""
    dd = None if x.dd is None else df * x.dd + ddf() * (x.d * x.d)
    return Jet(f, df * x.d, dd)


def square(x: Number) -> Number:
    """Square; cheaper than the product of a jet with itself.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Any number. [unit]

    Returns
    -------
    Jet or ndarray, shape (...)
        Its square. [unit²]
    """
    if not isinstance(x, Jet):
        return np.square(x)
    df = x.v + x.v
    dd = None if x.dd is None else df * x.dd + 2.0 * (x.d * x.d)
    return Jet(x.v * x.v, df * x.d, dd)


def sqrt(x: Number) -> Number:
    """Square root; NaN below zero, so that an unreachable pose shows itself.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Any number. [unit²]

    Returns
    -------
    Jet or ndarray, shape (...)
        Its square root. [unit]
    """
    if not isinstance(x, Jet):
        return np.sqrt(x)
    f = np.sqrt(x.v)
    df = 0.5 / f
    return _chain(x, f, df, lambda: -0.5 * df / x.v)


def sin(x: Number) -> Number:
    """Sine.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Angle. [rad]

    Returns
    -------
    Jet or ndarray, shape (...)
        Its sine. [1]
    """
    return sincos(x)[0] if isinstance(x, Jet) else np.sin(x)


def cos(x: Number) -> Number:
    """Cosine.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Angle. [rad]

    Returns
    -------
    Jet or ndarray, shape (...)
        Its cosine. [1]
    """
    return sincos(x)[1] if isinstance(x, Jet) else np.cos(x)


def sincos(x: Number) -> tuple[Number, Number]:
    """Sine and cosine, each of which is also the other's derivative.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Angle. [rad]

    Returns
    -------
    tuple of Jet or ndarray, shape (...)
        Its sine and its cosine. [1]
    """
    if not isinstance(x, Jet):
        return np.sin(x), np.cos(x)
    s, c = np.sin(x.v), np.cos(x.v)
    return _chain(x, s, c, lambda: -s), _chain(x, c, -s, lambda: -c)


def arcsin(x: Number) -> Number:
    """Angle whose sine is x; NaN outside −1..1.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Sine. [1]

    Returns
    -------
    Jet or ndarray, shape (...)
        Angle from −π/2 to π/2. [rad]
    """
    if not isinstance(x, Jet):
        return np.arcsin(x)
    df = 1.0 / np.sqrt(1.0 - x.v * x.v)
    return _chain(x, np.arcsin(x.v), df, lambda: x.v * df * df * df)


def arccos(x: Number) -> Number:
    """Angle whose cosine is x; NaN outside −1..1.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Cosine. [1]

    Returns
    -------
    Jet or ndarray, shape (...)
        Angle from 0 to π. [rad]
    """
    return 0.5 * np.pi - arcsin(x)


def arctan2(y: Number, x: Number) -> Number:
    """Angle of the direction (x, y).

    Parameters
    ----------
    y, x : Jet or array_like, shape (...)
        Components of the direction. [unit]

    Returns
    -------
    Jet or ndarray, shape (...)
        Angle from −π to π. [rad]
    """
    if not isinstance(y, Jet) and not isinstance(x, Jet):
        return np.arctan2(y, x)
    y_v, y_d, y_dd = _parts(y)
    x_v, x_d, x_dd = _parts(x)
    r = 1.0 / (x_v * x_v + y_v * y_v)
    d = (x_v * y_d - y_v * x_d) * r
    dd = None
    if y_dd is not None and x_dd is not None:
        # The growth of r² turns the rate of the cross product into an acceleration.
        dd = (x_v * y_dd - y_v * x_dd) * r - 2.0 * d * (x_v * x_d + y_v * y_d) * r
    return Jet(np.arctan2(y_v, x_v), d, dd)


def _parts(x: Number) -> tuple[Array, Array, Array | None]:
    if isinstance(x, Jet):
        return x.v, x.d, x.dd
    return np.asarray(x, dtype=np.float64), _ZERO, _ZERO


_ZERO = np.zeros(())
