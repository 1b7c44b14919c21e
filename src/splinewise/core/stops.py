"""Rebound and bump stops, and friction: what limits the travel and blurs the height."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from splinewise.core.other_springs import Push
from splinewise.core.quantities import Array, finite, positive, refuse_where

__all__ = ["FrictionBand", "Stop"]


@dataclass(frozen=True, slots=True, eq=False)
class Stop:
    """A rubber that is met part of the way and stiffens; make it with `build`.

    With p the way pressed in, k the full rate and d the depth over which it builds up,

        F = k p²/(2 d) up to p = d,  F = k (p − d/2) beyond,

    so that the rate k p/d grows from nothing to k without a step (own choice: the
    simplest law with a continuous rate; a maker's curve goes into a `TableSpring`).

    Attributes
    ----------
    met_at : ndarray, shape (...)
        Shortening since the drawn position at which it is met. [m]
    rate : ndarray, shape (...)
        Full rate, k. [N/m]
    depth : ndarray, shape (...)
        Way over which the rate builds up, d. [m]
    side : float, shape ()
        +1 for a bump stop, met by shortening; −1 for a rebound stop, met by
        lengthening. [1]
    """

    met_at: Array
    rate: Array
    depth: Array
    side: float

    @classmethod
    def build(
        cls,
        met_at: ArrayLike,
        *,
        rate: ArrayLike,
        depth: ArrayLike,
        side: float,
    ) -> Stop:
        """Return the stop; see the attributes of the class.

        Parameters
        ----------
        met_at : array_like, shape (...)
            Shortening since the drawn position at which it is met. [m]
        rate : array_like, shape (...)
            Full rate. [N/m]
        depth : array_like, shape (...)
            Way over which the rate builds up. [m]
        side : float, shape ()
            +1 for a bump stop, −1 for a rebound stop. [1]

        Returns
        -------
        Stop
            The stop.

        Raises
        ------
        QuantityError
            If rate or depth is not positive, or side is neither +1 nor −1.
        """
        s = finite("side", side, "")
        refuse_where(np.abs(s) != 1.0, "side", s, "", "+1 (bump) or −1 (rebound)")
        return cls(
            finite("met_at", met_at, "m"),
            positive("rate", rate, "N/m"),
            positive("depth", depth, "m"),
            float(s),
        )

    def push(self, shortening: ArrayLike) -> Push:
        """Return force and rate at a shortening since the drawn position. [N]"""
        pressed = self.pressed(shortening)
        building = np.minimum(pressed, self.depth)
        force = self.rate * (
            building * building / (2.0 * self.depth) + pressed - building
        )
        return Push(self.side * force, self.rate * building / self.depth)

    def pressed(self, shortening: ArrayLike) -> Array:
        """Return the way that the stop is pressed in, 0 where it is not met. [m]"""
        x = np.asarray(shortening, dtype=np.float64)
        return np.maximum(self.side * (x - self.met_at), 0.0)

    def met(self, shortening: ArrayLike) -> NDArray[np.bool_]:
        """Return whether the stop is met. [1]"""
        return np.asarray(self.pressed(shortening) > 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class FrictionBand:
    """Dry friction at a wheel: it stands anywhere within a band.

    Attributes
    ----------
    half_width : ndarray, shape (...)
        Greatest friction force at the wheel, either way. [N]
    """

    half_width: Array | float

    def spread(self, wheel_rate: ArrayLike) -> Array:
        """Return how far the wheel may stand from rest without friction. [m]

        Parameters
        ----------
        wheel_rate : array_like, shape (...)
            Rate at the wheel. [N/m]

        Returns
        -------
        ndarray, shape (...)
            Half of the band of heights, half width over rate. [m]

        Raises
        ------
        QuantityError
            If the rate is not positive or the half width is below 0.
        """
        f = finite("half_width", self.half_width, "N")
        refuse_where(f < 0.0, "half_width", f, "N", "not below 0")
        return np.asarray(f / positive("wheel_rate", wheel_rate, "N/m"))
