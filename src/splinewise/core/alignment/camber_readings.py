"""Camber from a plumb line and a rule, or from an angle gauge."""

from __future__ import annotations

import numpy as np

from splinewise.core.alignment.known import Known, Reading, propagated, read
from splinewise.core.jet import Number, arcsin, value
from splinewise.core.quantities import positive, refuse_where

__all__ = ["camber_from_gauge", "camber_from_plumb_line", "camber_to_floor"]


def camber_from_plumb_line(top: Reading, bottom: Reading, apart: Reading) -> Known:
    """Camber from the distances of a plumb line to the rim, asin((bottom − top)/h).

    The line hangs outboard of the wheel; with the top out, the top is nearer to it
    (own derivation).

    Parameters
    ----------
    top, bottom : Known or array_like, shape (...)
        Level distance from the line in to the rim's upper and lower lip. [m]
    apart : Known or array_like, shape (...)
        From the upper to the lower lip, along the wheel, h. [m]

    Returns
    -------
    Known, shape (...)
        Camber to the vertical, positive top out. [rad]

    Raises
    ------
    QuantityError
        If the distances differ by more than the lips are apart.
    """
    low, high, h = (
        read("bottom", bottom, "m"),
        read("top", top, "m"),
        read("apart", apart, "m"),
    )
    size = positive("apart", h.value, "m")
    lean = value(low.value) - value(high.value)
    refuse_where(
        np.abs(lean) >= size, "bottom less top", lean, "m", "less than the lips apart"
    )

    def formula(b: Number, t: Number, h: Number) -> list[Number]:
        return [arcsin((b - t) / h)]

    return propagated(formula, low, high, h)[0]


def camber_from_gauge(
    lean: Reading, *, reversed_lean: Reading | None = None, zero: Reading = 0.0
) -> Known:
    """Camber from an angle gauge held upright across the rim.

    The gauge read once as it is and once turned end for end, (a + b)/2, is free of
    its own zero; read once, it is less by the `zero` that it shows on a plumb face.

    Parameters
    ----------
    lean : Known or array_like, shape (...)
        Lean that the gauge shows, positive top out. [rad]
    reversed_lean : Known or array_like or None, shape (...), default None
        The same with the gauge turned end for end. [rad]
    zero : Known or array_like, shape (...), default 0
        What it shows on a plumb face; of no account with both readings. [rad]

    Returns
    -------
    Known, shape (...)
        Camber to the vertical, positive top out. [rad]
    """
    first = read("lean", lean, "rad")
    if reversed_lean is not None:
        second = read("reversed_lean", reversed_lean, "rad")
        return propagated(lambda a, b: [(a + b) * 0.5], first, second)[0]
    return propagated(lambda a, z: [a - z], first, read("zero", zero, "rad"))[0]


def camber_to_floor(camber: Reading, slope: Reading, *, outboard: float) -> Known:
    """Camber to the floor of a car that stands on a floor not level.

    A floor that rises to the left by φ leans the car to the right: both spindles turn
    by φ about the vehicle's length, which takes φ off the left camber and adds it to
    the right one (exact for a wheel without toe).

    Parameters
    ----------
    camber : Known or array_like, shape (...)
        Camber to the vertical, positive top out. [rad]
    slope : Known or array_like, shape (...)
        Rise of the floor from the right wheel to the left one over their distance, as
        an angle. [rad]
    outboard : float, shape ()
        +1 on the left of the vehicle, −1 on the right. [1]

    Returns
    -------
    Known, shape (...)
        Camber to the floor, positive top out. [rad]
    """
    return propagated(
        lambda c, s: [c + s * outboard],
        read("camber", camber, "rad"),
        read("slope", slope, "rad"),
    )[0]
