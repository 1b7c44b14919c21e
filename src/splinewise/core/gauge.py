"""The arithmetic of a gauge bar: two holes, what fits in them, how far apart.

A gauge bar fixes the distance between two bolt centres.  Its holes are larger than
the bolts, so the distance may be a little more or less than that of the holes; and
hole centres cannot be touched by a calliper, so they are found from edges.

All formulae are own derivation from plain geometry.  For what a limit makes a
standard uncertainty, see JCGM 100:2008, 4.3.7 (rectangular: half-width / √3; clause
from memory, its use read in worked examples).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite, positive, refuse_where

__all__ = [
    "STEEL_EXPANSION",
    "CentrePlay",
    "CentreReading",
    "centre_from_edges",
    "centre_from_land",
    "centre_from_span",
    "centre_play",
    "hole_play",
    "length_when_warmer",
    "seated_centre",
    "stock_length",
]

STEEL_EXPANSION = 11.5e-6
"""Thermal expansion of steel, the value of JCGM 100:2008 (GUM), example H.1. [1/K]

There it stands for a gauge block and is known within ±2e-6; read in a public
transcription of the example, the page was not seen.
"""


@dataclass(frozen=True, slots=True)
class CentrePlay:
    """How far two pins' centre distance may stray from that of their holes.

    Attributes
    ----------
    half_range : ndarray, shape (...)
        Greatest stray either way. [m]
    uncertainty : ndarray, shape (...)
        Standard uncertainty, each pin as likely at any place along the bar. [m]
    """

    half_range: Array
    uncertainty: Array


@dataclass(frozen=True, slots=True)
class CentreReading:
    """A centre distance read from the edges of two holes.

    Attributes
    ----------
    centre : ndarray, shape (...)
        Distance between the hole centres. [m]
    uncertainty : ndarray, shape (...)
        Its standard uncertainty. [m]
    hole_sum : ndarray, shape (...)
        Sum of the two hole diameters that the same two readings imply. [m]
    hole_sum_uncertainty : ndarray, shape (...)
        Its standard uncertainty: the holes, measured, should agree with it. [m]
    """

    centre: Array
    uncertainty: Array
    hole_sum: Array
    hole_sum_uncertainty: Array


def hole_play(hole: ArrayLike, pin: ArrayLike) -> Array:
    """Return how much larger a hole is than the pin in it, h − p.

    Parameters
    ----------
    hole, pin : array_like, shape (...)
        Diameters, h and p. [m]

    Returns
    -------
    ndarray, shape (...)
        Play, 0 or more; the pin's centre strays by half of it. [m]

    Raises
    ------
    QuantityError
        If a diameter is not positive, or the pin does not enter the hole.
    """
    h, p = positive("hole", hole, "m"), positive("pin", pin, "m")
    refuse_where(p > h, "pin", p, "m", "no larger than its hole")
    return h - p


def centre_play(
    hole_1: ArrayLike, pin_1: ArrayLike, hole_2: ArrayLike, pin_2: ArrayLike
) -> CentrePlay:
    """Return the stray of two pins' centre distance when nothing seats them.

    Each centre strays along the bar by aₙ = (hₙ − pₙ)/2 at most: a₁ + a₂ together.
    Each uniform, they are √((a₁² + a₂²)/3) in standard uncertainty.

    Parameters
    ----------
    hole_1, pin_1, hole_2, pin_2 : array_like, shape (...)
        Diameters at the two ends. [m]

    Returns
    -------
    CentrePlay, shape (...)
        Half-range and standard uncertainty. [m]

    Raises
    ------
    QuantityError
        As in `hole_play`.

    Examples
    --------
    >>> play = centre_play(0.0135, 0.012, 0.0135, 0.012)
    >>> print(f"±{play.half_range * 1e3:.2f} mm, u {play.uncertainty * 1e3:.3f} mm")
    ±1.50 mm, u 0.612 mm
    """
    a1, a2 = hole_play(hole_1, pin_1) / 2.0, hole_play(hole_2, pin_2) / 2.0
    return CentrePlay(a1 + a2, np.hypot(a1, a2) / np.sqrt(3.0))


def seated_centre(
    centre: ArrayLike,
    hole_1: ArrayLike,
    pin_1: ArrayLike,
    hole_2: ArrayLike,
    pin_2: ArrayLike,
    *,
    outward_1: ArrayLike,
    outward_2: ArrayLike,
) -> Array:
    """Return the pins' centre distance when load seats each pin on a known side.

    L + o₁ (h₁ − p₁)/2 + o₂ (h₂ − p₂)/2: under load the play is a bias, not a doubt.
    A gauge that is pulled has both pins outward; one that is pushed, both inward; one
    that lies across the load, neither.

    Parameters
    ----------
    centre : array_like, shape (...)
        Distance between the hole centres, L. [m]
    hole_1, pin_1, hole_2, pin_2 : array_like, shape (...)
        Diameters at the two ends. [m]
    outward_1, outward_2 : array_like, shape (...)
        Side that each pin sits on, o: 1 away from the other hole, −1 towards it, 0
        square to the line between them. [1]

    Returns
    -------
    ndarray, shape (...)
        Distance between the pins' centres. [m]

    Raises
    ------
    QuantityError
        As in `hole_play`, or if a side is not from −1 to 1.
    """
    L = positive("centre", centre, "m")
    o1, o2 = finite("outward_1", outward_1, ""), finite("outward_2", outward_2, "")
    refuse_where(np.abs(o1) > 1.0, "outward_1", o1, "", "from −1 to 1")
    refuse_where(np.abs(o2) > 1.0, "outward_2", o2, "", "from −1 to 1")
    a1, a2 = hole_play(hole_1, pin_1) / 2.0, hole_play(hole_2, pin_2) / 2.0
    return L + o1 * a1 + o2 * a2


def centre_from_span(span: ArrayLike, hole_1: ArrayLike, hole_2: ArrayLike) -> Array:
    """Return the centre distance from the span over the holes' far edges.

    L = S − (d₁ + d₂)/2.

    Parameters
    ----------
    span : array_like, shape (...)
        From far edge to far edge, S, read with the inside jaws. [m]
    hole_1, hole_2 : array_like, shape (...)
        Diameters of the holes. [m]

    Returns
    -------
    ndarray, shape (...)
        Distance between the hole centres, L. [m]

    Raises
    ------
    QuantityError
        If a size is not positive, or the holes would run into each other.
    """
    S = positive("span", span, "m")
    sum_ = positive("hole_1", hole_1, "m") + positive("hole_2", hole_2, "m")
    refuse_where(sum_ >= S, "span", S, "m", "longer than the two holes together")
    return S - sum_ / 2.0


def centre_from_land(land: ArrayLike, hole_1: ArrayLike, hole_2: ArrayLike) -> Array:
    """Return the centre distance from the land between the holes' near edges.

    L = N + (d₁ + d₂)/2.

    Parameters
    ----------
    land : array_like, shape (...)
        From near edge to near edge, N, read with the outside jaws. [m]
    hole_1, hole_2 : array_like, shape (...)
        Diameters of the holes. [m]

    Returns
    -------
    ndarray, shape (...)
        Distance between the hole centres, L. [m]

    Raises
    ------
    QuantityError
        If a size is not positive.
    """
    sum_ = positive("hole_1", hole_1, "m") + positive("hole_2", hole_2, "m")
    return positive("land", land, "m") + sum_ / 2.0


def centre_from_edges(
    span: ArrayLike,
    land: ArrayLike,
    *,
    span_uncertainty: ArrayLike,
    land_uncertainty: ArrayLike,
) -> CentreReading:
    """Return the centre distance from both edges, whatever size the holes are.

    L = (S + N)/2: the diameters cancel.  S − N is their sum, so that two holes that
    were measured as well are a check on both readings.

    Parameters
    ----------
    span, land : array_like, shape (...)
        From far edge to far edge, S, and from near edge to near edge, N. [m]
    span_uncertainty, land_uncertainty : array_like, shape (...)
        Standard uncertainties of the two, independent of each other. [m]

    Returns
    -------
    CentreReading, shape (...)
        Centre distance and implied sum of the diameters. [m]

    Raises
    ------
    QuantityError
        If the land is not positive and below the span, or an uncertainty negative.
    """
    S, N = positive("span", span, "m"), positive("land", land, "m")
    refuse_where(N >= S, "land", N, "m", "shorter than the span")
    u_S = finite("span_uncertainty", span_uncertainty, "m")
    u_N = finite("land_uncertainty", land_uncertainty, "m")
    refuse_where(u_S < 0.0, "span_uncertainty", u_S, "m", "0 or more")
    refuse_where(u_N < 0.0, "land_uncertainty", u_N, "m", "0 or more")
    u = np.hypot(u_S, u_N)
    return CentreReading((S + N) / 2.0, u / 2.0, S - N, u)


def stock_length(centre: ArrayLike, margin_1: ArrayLike, margin_2: ArrayLike) -> Array:
    """Return the length of stock for a gauge.

    Parameters
    ----------
    centre : array_like, shape (...)
        Distance between the hole centres. [m]
    margin_1, margin_2 : array_like, shape (...)
        From each hole's centre to the end of the stock beside it. [m]

    Returns
    -------
    ndarray, shape (...)
        Length of the stock. [m]

    Raises
    ------
    QuantityError
        If a length is not positive.
    """
    margins = positive("margin_1", margin_1, "m") + positive("margin_2", margin_2, "m")
    return positive("centre", centre, "m") + margins


def length_when_warmer(
    length: ArrayLike, warmer_by: ArrayLike, *, expansion: ArrayLike
) -> Array:
    """Return a length at another temperature, L (1 + α ΔT).

    A steel gauge and a steel car that are equally warm grow alike; what matters is a
    tape or a gauge that is warmer than the thing it is held to.

    Parameters
    ----------
    length : array_like, shape (...)
        Length at the temperature that it is known for, L. [m]
    warmer_by : array_like, shape (...)
        How much warmer it is now, ΔT; negative where it is colder. [K]
    expansion : array_like, shape (...)
        Coefficient of thermal expansion, α; `STEEL_EXPANSION` for steel. [1/K]

    Returns
    -------
    ndarray, shape (...)
        Length now. [m]

    Raises
    ------
    QuantityError
        If the length is not positive, or anything not finite.
    """
    L = positive("length", length, "m")
    warmer = finite("warmer_by", warmer_by, "K")
    return L * (1.0 + finite("expansion", expansion, "1/K") * warmer)
