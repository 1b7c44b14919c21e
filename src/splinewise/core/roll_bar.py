"""Anti-roll bar: what it does to the two wheels that it joins."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite, positive, refuse_where

__all__ = ["AntiRollBar", "RollPush"]


@dataclass(frozen=True, slots=True, eq=False)
class RollPush:
    """What an anti-roll bar does to its two wheels.

    Attributes
    ----------
    left, right : ndarray, shape (...)
        Force on each, positive where it presses the wheel down; one is the other's
        opposite. [N]
    rate : ndarray, shape (...)
        Growth of the left force per rise of the left wheel, and of the right per rise
        of the right; across the vehicle it is the opposite. [N/m]
    """

    left: Array
    right: Array
    rate: Array


@dataclass(frozen=True, slots=True, eq=False)
class AntiRollBar:
    """A bar that joins two wheels and resists a difference of their rises.

    With z the rises, r the motion ratio, k the bar's rate at its ends in series with
    the give c of links and bushes, and w the wind-up built in,

        F_left = −F_right = r k' (r (z_left − z_right) + w),  1/k' = 1/k + c

    (own derivation: virtual work on one spring between the two ends).

    Attributes
    ----------
    rate : ndarray, shape (...)
        Force at the ends per difference of their travel, the bar alone, k. [N/m]
    ratio : ndarray, shape (...), default 1
        Travel of the bar's end per rise of the wheel, r. [1]
    give : ndarray, shape (...), default 0
        Difference of travel that links and bushes take up per force, c. [m/N]
    wind_up : ndarray, shape (...), default 0
        Difference of the ends' travel by which the bar is wound at the drawn
        position, where its links differ in length; positive presses the left wheel
        down. [m]
    """

    rate: Array | float
    ratio: Array | float = 1.0
    give: Array | float = 0.0
    wind_up: Array | float = 0.0

    @property
    def rate_in_series(self) -> Array:
        """Rate at the ends with links and bushes giving way, k'. [N/m]"""
        give = finite("give", self.give, "m/N")
        refuse_where(give < 0.0, "give", give, "m/N", "not below 0")
        return np.asarray(1.0 / (1.0 / positive("rate", self.rate, "N/m") + give))

    def push(self, left_rise: ArrayLike, right_rise: ArrayLike) -> RollPush:
        """Return what the bar does at these rises of the wheels.

        Parameters
        ----------
        left_rise, right_rise : array_like, shape (...)
            Rise of each wheel since the drawn position. [m]

        Returns
        -------
        RollPush, shape (...)
            Forces on the wheels and their rate. [N]
        """
        k = self.rate_in_series
        # A rise may be NaN, where a pose of a batch cannot be reached.
        apart = np.subtract(left_rise, right_rise, dtype=np.float64)
        force = np.asarray(self.ratio * k * (self.ratio * apart + self.wind_up))
        rate = np.broadcast_to(self.ratio * k * self.ratio, force.shape)
        return RollPush(force, -force, rate)
