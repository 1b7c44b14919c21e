"""Vehicles with what is worked out once before they are let down on their wheels."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from splinewise.core.quantities import Array
from splinewise.core.vehicle.balance import Balance, balance
from splinewise.core.vehicle.batch import pick
from splinewise.core.vehicle.corner_state import Drawn, drawn
from splinewise.core.vehicle.parts import Vehicle

__all__ = ["Prepared", "prepare"]


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """Vehicles of one block.

    Attributes
    ----------
    vehicle : Vehicle, shape (N,)
        The vehicles. [kg]
    zero : tuple of Drawn
        What each corner counts from the drawn position. [m]
    weight : ndarray, shape (N,)
        Weight, against which forces are small or not. [N]
    """

    vehicle: Vehicle
    zero: tuple[Drawn, ...]
    weight: Array

    @property
    def count(self) -> int:
        """How many there are. [1]"""
        return int(self.weight.size)

    def at(self, state: Array) -> Balance:
        """Return the forces out of balance at a state.

        Parameters
        ----------
        state : ndarray, shape (N, 3 + n)
            Heave, lean and arm angles. [unit]

        Returns
        -------
        Balance, shape (N,)
            Forces, their derivatives, and what each corner does. [N]
        """
        return balance(self.vehicle, state, zero=self.zero)

    def off(self, gradient: Array) -> Array:
        """Return how far out of balance, as a share of the weight; inf for NaN.

        Parameters
        ----------
        gradient : ndarray, shape (N, 3 + n)
            Forces out of balance. [N]

        Returns
        -------
        ndarray, shape (N,)
            The greatest, moments counted at a metre. [1]
        """
        off = np.max(np.abs(gradient), axis=-1) / self.weight
        return np.where(np.isfinite(off), off, np.inf)

    def some(self, which: NDArray[np.int64]) -> Prepared:
        """Return some of them only.

        Parameters
        ----------
        which : ndarray of int, shape (M,)
            Their places. [1]

        Returns
        -------
        Prepared, shape (M,)
            Those picked. [1]
        """
        return pick(self, which, self.count)


def prepare(vehicle: Vehicle, count: int) -> Prepared:
    """Return vehicles ready to be let down.

    Parameters
    ----------
    vehicle : Vehicle, shape (N,)
        The vehicles. [kg]
    count : int
        N, how many there are. [1]

    Returns
    -------
    Prepared, shape (N,)
        With what is worked out once. [N]
    """
    weight = np.abs(vehicle.mass) * vehicle.gravity
    return Prepared(
        vehicle,
        tuple(drawn(corner) for corner in vehicle.corners),
        np.broadcast_to(np.asarray(weight, dtype=np.float64), (count,)),
    )
