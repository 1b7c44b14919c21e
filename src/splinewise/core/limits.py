"""What a bar may be asked to bear: figures with their sources, and plain tests.

No figure here is a maker's figure for a given bar; where one exists, it stands.  The
sources are few and do not agree with one another, which is why each row carries how far
it was seen, and why a limit is the user's to choose.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from splinewise.core.quantities import Array, finite, positive
from splinewise.core.standing import Standing

__all__ = [
    "STRESS_LIMITS",
    "TWIST_LIMITS",
    "StressLimit",
    "TwistLimit",
    "is_unloaded_or_reversed",
    "stress_from_twist_per_length",
    "stress_share",
    "twist_per_length",
]


@dataclass(frozen=True, slots=True)
class StressLimit:
    """A largest shear stress that somebody allows.

    Attributes
    ----------
    name : str
        Plain words.
    stress : float
        Largest shear stress, nominal, at the surface of the body. [Pa]
    preset : bool or None
        Whether it is for bars that were preset; None where the source does not say.
    source : str
        Who says so.
    standing : Standing
        How far that was seen.
    """

    name: str
    stress: float
    preset: bool | None
    source: str
    standing: Standing


@dataclass(frozen=True, slots=True)
class TwistLimit:
    """A largest twist per length that somebody allows or names as usual.

    Attributes
    ----------
    name : str
        Plain words.
    twist_per_length : float
        Largest twist per length. [rad/m]
    source : str
        Who says so, and what speaks against it.
    standing : Standing
        How far that was seen.
    """

    name: str
    twist_per_length: float
    source: str
    standing: Standing


_NOTES = "Ukrainian lecture notes on torsion bars, studopedia.com.ua/1_208737"

STRESS_LIMITS: Mapping[str, StressLimit] = MappingProxyType(
    {
        row.name: row
        for row in (
            StressLimit(
                "not preset",
                700e6,
                preset=False,
                source="DIN 2091, steel of the 50CrV4 class, quasi-static load",
                standing=Standing.MEMORY,
            ),
            StressLimit(
                "preset",
                1020e6,
                preset=True,
                source="DIN 2091, steel of the 50CrV4 class, quasi-static load",
                standing=Standing.MEMORY,
            ),
            StressLimit(
                "lecture notes",
                900e6,
                preset=None,
                source=_NOTES,
                standing=Standing.READ,
            ),
        )
    }
)
"""Largest nominal shear stress, by name."""

TWIST_LIMITS: Mapping[str, TwistLimit] = MappingProxyType(
    {
        row.name: row
        for row in (
            TwistLimit(
                "lecture notes",
                float(np.deg2rad(15.0)),
                source=f"{_NOTES}; does not fit the 900 MPa of the same notes",
                standing=Standing.READ,
            ),
            TwistLimit(
                "heavy vehicles",
                float(np.deg2rad(30.0)),
                source="tank and tractor torsion shafts, mash-xxl.info (page 1990732401)",
                standing=Standing.READ,
            ),
        )
    }
)
"""Largest twist per length, by name."""


def stress_share(stress: ArrayLike, limit: ArrayLike) -> Array:
    """Part of a limit that a stress uses up, |τ| / limit; above 1 it is exceeded.

    Parameters
    ----------
    stress : array_like, shape (...)
        Shear stress, τ, of either sign. [Pa]
    limit : array_like, shape (...)
        Largest shear stress allowed. [Pa]

    Returns
    -------
    ndarray, shape (...)
        Share of the limit. [1]

    Raises
    ------
    QuantityError
        If `limit` is not positive or `stress` not finite.
    """
    return np.abs(finite("stress", stress, "Pa")) / positive("limit", limit, "Pa")


def is_unloaded_or_reversed(
    twist_at_droop: ArrayLike, twist_at_ride: ArrayLike
) -> NDArray[np.bool_]:
    """Whether the bar goes slack, or past slack, between ride height and full droop.

    A preset bar yields earlier when it is wound backwards (`splinewise.core.yielding`),
    and a slack one is free to shift in its splines (common practice, no source).  A bar
    without twist at ride height is unloaded there already.

    Parameters
    ----------
    twist_at_droop, twist_at_ride : array_like, shape (...)
        Twist from slack at the rebound stop and at ride height. [rad]

    Returns
    -------
    ndarray, shape (...)
        True where the bar carries nothing at full droop, or is wound backwards. [1]

    Raises
    ------
    QuantityError
        If a twist is not finite.
    """
    droop = finite("twist_at_droop", twist_at_droop, "rad")
    ride = finite("twist_at_ride", twist_at_ride, "rad")
    return np.asarray(np.sign(droop) * np.sign(ride) <= 0.0)


def twist_per_length(twist: ArrayLike, length: ArrayLike) -> Array:
    """Twist per length of bar, θ' = θ / L, the measure that rules of thumb use.

    Parameters
    ----------
    twist : array_like, shape (...)
        Twist from slack, θ. [rad]
    length : array_like, shape (...)
        Active length, L. [m]

    Returns
    -------
    ndarray, shape (...)
        Twist per length, of the sign of `twist`. [rad/m]

    Raises
    ------
    QuantityError
        If `length` is not positive or `twist` not finite.
    """
    return finite("twist", twist, "rad") / positive("length", length, "m")


def stress_from_twist_per_length(
    twist_per_length: ArrayLike, diameter: ArrayLike, shear_modulus: ArrayLike
) -> Array:
    """Surface stress of a round bar from its twist per length, τ = G θ' d / 2.

    So a twist per length alone limits nothing: the stress grows with the diameter.

    Parameters
    ----------
    twist_per_length : array_like, shape (...)
        Twist per length, θ'. [rad/m]
    diameter : array_like, shape (...)
        Outside diameter, d. [m]
    shear_modulus : array_like, shape (...)
        Modulus of rigidity of the steel, G. [Pa]

    Returns
    -------
    ndarray, shape (...)
        Shear stress, of the sign of the twist. [Pa]

    Raises
    ------
    QuantityError
        If the diameter or the modulus is not positive.
    """
    rate = finite("twist_per_length", twist_per_length, "rad/m")
    d = positive("diameter", diameter, "m")
    return positive("shear_modulus", shear_modulus, "Pa") * rate * d / 2.0
