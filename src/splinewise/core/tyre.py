"""A tyre as the standing vehicle feels it: a radius and a vertical rate."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from splinewise.core.other_springs import Push
from splinewise.core.quantities import Array, finite, positive, refuse_where

__all__ = ["Tyre", "hop_frequency"]


@dataclass(frozen=True, slots=True, eq=False)
class Tyre:
    """A tyre that presses on the ground in proportion to its deflection.

    Attributes
    ----------
    unloaded_radius : ndarray, shape (...)
        Radius off the ground, at its pressure. [m]
    rate : ndarray, shape (...)
        Vertical rate. [N/m]
    """

    unloaded_radius: Array | float
    rate: Array | float

    def push(self, radius: ArrayLike) -> Push:
        """Return the load at a loaded radius, 0 where the tyre is off the ground.

        Parameters
        ----------
        radius : array_like, shape (...)
            Height of the wheel centre above the ground. [m]

        Returns
        -------
        Push, shape (...)
            Load, and its growth per shortening of the radius. [N]
        """
        r = np.asarray(radius, dtype=np.float64)
        pressed = self.unloaded_radius - r
        down = pressed > 0.0
        return Push(
            np.where(down, self.rate * pressed, 0.0), np.where(down, self.rate, 0.0)
        )

    def on_ground(self, radius: ArrayLike) -> NDArray[np.bool_]:
        """Return whether the tyre touches at this distance to the ground. [1]"""
        return np.asarray(np.asarray(radius) < self.unloaded_radius)

    def loaded_radius(self, load: ArrayLike) -> Array:
        """Return the radius under a load.

        Parameters
        ----------
        load : array_like, shape (...)
            Vertical load, not below 0. [N]

        Returns
        -------
        ndarray, shape (...)
            Radius less the deflection; NaN where the load flattens the tyre. [m]

        Raises
        ------
        QuantityError
            If the load is below 0, or radius or rate is not positive.
        """
        f = finite("load", load, "N")
        refuse_where(f < 0.0, "load", f, "N", "not below 0")
        r = positive("unloaded_radius", self.unloaded_radius, "m")
        left = r - f / positive("rate", self.rate, "N/m")
        return np.where(left > 0.0, left, np.nan)


def hop_frequency(
    wheel_rate: ArrayLike, tyre_rate: ArrayLike, unsprung_mass: ArrayLike
) -> Array:
    """Natural frequency of a wheel between spring and tyre, √((k_w + k_t)/m)/2π.

    The body is taken as standing still.

    Parameters
    ----------
    wheel_rate : array_like, shape (...)
        Rate at the wheel, k_w. [N/m]
    tyre_rate : array_like, shape (...)
        Vertical rate of the tyre, k_t. [N/m]
    unsprung_mass : array_like, shape (...)
        Mass that moves with the wheel, m. [kg]

    Returns
    -------
    ndarray, shape (...)
        Frequency. [Hz]

    Raises
    ------
    QuantityError
        If a rate or the mass is not positive.
    """
    k = positive("wheel_rate", wheel_rate, "N/m") + positive(
        "tyre_rate", tyre_rate, "N/m"
    )
    m = positive("unsprung_mass", unsprung_mass, "kg")
    return np.sqrt(k / m) / (2.0 * np.pi)
