"""Lengths that are not plain body: what each is worth as a length of the body.

A piece whose diameter D(x) is not the body's d twists as much as a length
∫ (d / D(x))⁴ dx of body would.  Solid round bars only; the stress raiser at the
change of section is left out.  How much of a spline still twists inside its socket
is not built in: no published figure was found, so it is asked for or left out.

References
----------
.. [1] Linear taper of radius c to 2c: φ = 7 T L / (12 π G c⁴), a show-that problem
   read at askfilo.com (3335353136303134); Beer and Johnston's result, from memory.
.. [2] DIN 2091 gives the length of the circular fillet in the form used here (from
   memory, not verified); the geometry and the integral are an own derivation.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, positive, refuse_where

__all__ = [
    "fillet_equivalent_length",
    "fillet_length",
    "plain_equivalent_length",
    "taper_equivalent_length",
]


def plain_equivalent_length(
    length: ArrayLike, diameter: ArrayLike, other_diameter: ArrayLike
) -> Array:
    """Length of body that twists like `length` of another diameter, L (d / D)⁴.

    For the part of a splined head that twists inside its socket: `length` is the part
    the user reckons with, D its root diameter.

    Parameters
    ----------
    length : array_like, shape (...)
        Length of the other piece, L. [m]
    diameter, other_diameter : array_like, shape (...)
        Diameter of the body, d, and of the other piece, D. [m]

    Returns
    -------
    ndarray, shape (...)
        Equivalent length of body. [m]

    Raises
    ------
    QuantityError
        If an argument is not positive.
    """
    L, d, D = _positive(length, diameter, other_diameter)
    return L * (d / D) ** 4


def taper_equivalent_length(
    length: ArrayLike, diameter: ArrayLike, other_diameter: ArrayLike
) -> Array:
    """Equivalent length of a linear taper, L (q + q² + q³) / 3, q = d / D [1]_.

    Parameters
    ----------
    length : array_like, shape (...)
        Length of the taper, L. [m]
    diameter, other_diameter : array_like, shape (...)
        Diameter of the body, d, and at the taper's far end, D. [m]

    Returns
    -------
    ndarray, shape (...)
        Equivalent length of body. [m]

    Raises
    ------
    QuantityError
        If an argument is not positive.
    """
    L, d, D = _positive(length, diameter, other_diameter)
    q = d / D
    return L * (q + q * q + q**3) / 3.0


def fillet_length(
    diameter: ArrayLike, head_diameter: ArrayLike, radius: ArrayLike
) -> Array:
    """Length of a circular fillet, h √(2r/h − 1) with h = (D − d)/2 [2]_.

    The arc leaves the body without a corner and ends where it reaches the head.

    Parameters
    ----------
    diameter, head_diameter : array_like, shape (...)
        Diameter of the body, d, and of the head, D, not below it. [m]
    radius : array_like, shape (...)
        Radius of the arc, r, at least the height of the step, h. [m]

    Returns
    -------
    ndarray, shape (...)
        Length along the bar. [m]

    Raises
    ------
    QuantityError
        If a length is not positive, D is below d, or r below h.
    """
    _, h, r = _fillet(diameter, head_diameter, radius)
    return np.sqrt(h * (2.0 * r - h))


def fillet_equivalent_length(
    diameter: ArrayLike, head_diameter: ArrayLike, radius: ArrayLike
) -> Array:
    """Equivalent length of a circular fillet, ∫ (d / D(x))⁴ dx by quadrature [2]_.

    With x = r sin α the diameter is d + 2 r (1 − cos α); Gauss-Legendre over α, whose
    error is below 1e-12 of the length for heads up to three times the body.

    Parameters
    ----------
    diameter, head_diameter, radius : array_like, shape (...)
        As in `fillet_length`. [m]

    Returns
    -------
    ndarray, shape (...)
        Equivalent length of body. [m]

    Raises
    ------
    QuantityError
        As in `fillet_length`.
    """
    d, h, r = _fillet(diameter, head_diameter, radius)
    end = 2.0 * np.arcsin(np.sqrt(h / (2.0 * r)))  # arccos(1 − h/r), digits kept
    total = np.zeros(np.shape(end))
    for node, weight in _gauss():
        alpha = end * node
        rise = 2.0 * np.sin(alpha / 2.0) ** 2  # 1 − cos α
        total = total + weight * np.cos(alpha) / (1.0 + 2.0 * r / d * rise) ** 4
    return r * end * total


@cache
def _gauss() -> tuple[tuple[float, float], ...]:
    """Nodes and weights on 0..1."""
    x, w = np.polynomial.legendre.leggauss(32)
    return tuple(zip(((x + 1.0) / 2.0).tolist(), (w / 2.0).tolist(), strict=True))


def _positive(
    length: ArrayLike, diameter: ArrayLike, other: ArrayLike
) -> tuple[Array, Array, Array]:
    return (
        positive("length", length, "m"),
        positive("diameter", diameter, "m"),
        positive("other_diameter", other, "m"),
    )


def _fillet(
    diameter: ArrayLike, head_diameter: ArrayLike, radius: ArrayLike
) -> tuple[Array, Array, Array]:
    """Body diameter, height of the step, radius; all broadcast, all possible."""
    d, D, r = np.broadcast_arrays(
        positive("diameter", diameter, "m"),
        positive("head_diameter", head_diameter, "m"),
        positive("radius", radius, "m"),
    )
    refuse_where(d > D, "head_diameter", D, "m", "no smaller than the body's diameter")
    h = (D - d) / 2.0
    # A quarter circle, r = h, must not fail on the rounding of D − d.
    refuse_where(
        r < h * (1.0 - 1e-9), "radius", r, "m", "at least the height of the step"
    )
    return d, h, r
