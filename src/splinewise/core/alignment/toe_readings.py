"""Toe from distances at the rims, for one wheel and for an axle.

The two points of a rim are read at the height of the hub, the one ahead of it and the
one behind, D apart.  Mark one point of the rim, read it ahead, roll the car until it
stands behind, read it again: the rim's own wobble then drops out.  Toe in inches or
millimetres belongs to the diameter where it is read.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.alignment.known import Known, Reading, propagated, read
from splinewise.core.jet import Number, arcsin, arctan2, value
from splinewise.core.quantities import Array, finite, positive, refuse_where

__all__ = ["string_angle", "toe_angle", "toe_length", "total_toe", "wheel_toe"]


def toe_angle(length: ArrayLike, diameter: ArrayLike) -> Array:
    """Angle of a toe that is told as a length, asin(t/D).

    Parameters
    ----------
    length : array_like, shape (...)
        Toe as a length, positive toe-in. [m]
    diameter : array_like, shape (...)
        Diameter at which it is told. [m]

    Returns
    -------
    ndarray, shape (...)
        Toe. [rad]

    Raises
    ------
    QuantityError
        If the length is greater than the diameter.
    """
    D = positive("diameter", diameter, "m")
    t = finite("length", length, "m")
    _inside("length", t, D)
    return np.arcsin(t / D)


def toe_length(angle: ArrayLike, diameter: ArrayLike) -> Array:
    """Toe as a length at a diameter, D sin t.

    Parameters
    ----------
    angle : array_like, shape (...)
        Toe, positive toe-in. [rad]
    diameter : array_like, shape (...)
        Diameter at which to tell it. [m]

    Returns
    -------
    ndarray, shape (...)
        Toe as a length. [m]
    """
    return positive("diameter", diameter, "m") * np.sin(finite("angle", angle, "rad"))


def total_toe(front: Reading, rear: Reading, diameter: Reading) -> Known:
    """Toe of both wheels of an axle together, asin((rear − front)/D).

    The distances differ by D (sin tₗ + sin tᵣ): the arc sine is exact where one wheel
    has all the toe, and too great by T³/8 where the two have equal shares (own
    derivation; 0.0003° at 2°).

    Parameters
    ----------
    front, rear : Known or array_like, shape (...)
        Distance from rim to rim ahead of the hubs and behind them. [m]
    diameter : Known or array_like, shape (...)
        From the point ahead to the point behind. [m]

    Returns
    -------
    Known, shape (...)
        Total toe, positive toe-in. [rad]

    Raises
    ------
    QuantityError
        If the distances differ by more than the diameter.
    """
    return _toe(read("rear", rear, "m"), read("front", front, "m"), diameter)


def wheel_toe(
    front: Reading, rear: Reading, diameter: Reading, *, string: Reading = 0.0
) -> Known:
    """Toe of one wheel from a string beside the car, asin((front − rear)/D) − ψ.

    Parameters
    ----------
    front, rear : Known or array_like, shape (...)
        Distance from the string, square to it, in to the rim ahead of the hub and
        behind it. [m]
    diameter : Known or array_like, shape (...)
        From the point ahead to the point behind. [m]
    string : Known or array_like, shape (...), default 0
        Angle ψ by which the string itself opens outward ahead; see `string_angle`.
        [rad]

    Returns
    -------
    Known, shape (...)
        Toe of the wheel to the vehicle's length, positive toe-in. [rad]

    Raises
    ------
    QuantityError
        If the distances differ by more than the diameter.
    """
    return _toe(read("front", front, "m"), read("rear", rear, "m"), diameter, string)


def string_angle(
    front: Reading,
    rear: Reading,
    *,
    front_track: Reading,
    rear_track: Reading,
    wheelbase: Reading,
) -> Known:
    """Angle by which a string opens outward ahead, from its distances to two hubs.

    ψ = atan(((a + w₁/2) − (b + w₂/2))/L): the string's distance from the middle of
    the vehicle at either axle is its distance from the hub and half the track (own
    derivation; both axles in the middle of the vehicle).

    Parameters
    ----------
    front, rear : Known or array_like, shape (...)
        Distance from the string in to the same face of the front and rear hub, a and
        b. [m]
    front_track, rear_track : Known or array_like, shape (...)
        Distance from that face of the left hub to that of the right one, w₁ and w₂.
        [m]
    wheelbase : Known or array_like, shape (...)
        Distance between the axles, L. [m]

    Returns
    -------
    Known, shape (...)
        Angle of the string. [rad]
    """
    base = read("wheelbase", wheelbase, "m")
    positive("wheelbase", base.value, "m")

    def formula(
        a: Number, b: Number, w1: Number, w2: Number, L: Number
    ) -> list[Number]:
        return [arctan2((a + 0.5 * w1) - (b + 0.5 * w2), L)]

    names = ("front", "rear", "front_track", "rear_track")
    four = zip(names, (front, rear, front_track, rear_track), strict=True)
    return propagated(formula, *(read(name, x, "m") for name, x in four), base)[0]


def _toe(
    longer: Known, shorter: Known, diameter: Reading, string: Reading = 0.0
) -> Known:
    D = read("diameter", diameter, "m")
    positive("diameter", D.value, "m")
    apart = value(longer.value) - value(shorter.value)
    _inside("front less rear", apart, value(D.value))

    def formula(a: Number, b: Number, D: Number, skew: Number) -> list[Number]:
        return [arcsin((a - b) / D) - skew]

    return propagated(formula, longer, shorter, D, read("string", string, "rad"))[0]


def _inside(name: str, length: Array, diameter: Array) -> None:
    over = np.abs(length) >= diameter
    refuse_where(over, name, length, "m", "less than the diameter")
