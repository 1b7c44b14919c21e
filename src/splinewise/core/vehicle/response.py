"""How a standing vehicle answers a small change: the implicit function theorem.

At rest the forces out of balance are nought, g(q, p) = 0, for whatever number p of
the vehicle.  So dq/dp = −H⁻¹ ∂g/∂p, with H the stiffness about the stand, and every
height and load follows by the chain rule.  Nothing is differenced.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from splinewise.core.geometry import Vec
from splinewise.core.quantities import Array
from splinewise.core.vehicle.attitude import Attitude
from splinewise.core.vehicle.balance import Balance, balance
from splinewise.core.vehicle.parts import Vehicle
from splinewise.core.vehicle.rest import Stand

__all__ = ["Answer", "Effect", "Push"]


@dataclass(frozen=True, slots=True, eq=False)
class Effect:
    """What a change of p numbers does to a standing vehicle, per unit of each.

    Attributes
    ----------
    state : ndarray, shape (..., 3 + n, p)
        To heave, lean and arm angles. [unit]
    heights : ndarray, shape (..., m, p)
        To the heights of the points that were asked for. [unit]
    loads : ndarray, shape (..., n, p)
        To the corner loads. [unit]
    """

    state: Array
    heights: Array
    loads: Array


@dataclass(frozen=True, slots=True, eq=False)
class Push:
    """What a change of p numbers does to the forces out of balance.

    Attributes
    ----------
    gradient : ndarray, shape (..., 3 + n, p)
        ∂g/∂p. [unit]
    loads : ndarray, shape (..., n, p)
        Change of the corner loads with the state held. [unit]
    """

    gradient: Array
    loads: Array

    @classmethod
    def none(cls, shape: tuple[int, ...], corners: int, count: int) -> Push:
        """Return a push of nothing, to be written into.

        Parameters
        ----------
        shape : tuple of int
            Leading axes. [1]
        corners, count : int
            How many corners, n, and numbers, p. [1]

        Returns
        -------
        Push, shape (...)
            All nought. [unit]
        """
        return cls(
            np.zeros((*shape, 3 + corners, count)), np.zeros((*shape, corners, count))
        )


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """A standing vehicle's stiffness and what is read off it; make it with `of`.

    Attributes
    ----------
    at : Balance, shape (...)
        Forces and stiffness about the stand. [N]
    attitude : Attitude, shape (...)
        Heave and lean. [m]
    heights : ndarray, shape (..., m, 3 + n)
        Slopes of the points' heights by the state. [m]
    loads : ndarray, shape (..., n, 3 + n)
        Slopes of the corner loads by the state. [N]
    grip : ndarray, shape (..., n)
        Rates of the tyres, 0 for those off the floor. [N/m]
    """

    at: Balance
    attitude: Attitude
    heights: Array
    loads: Array
    grip: Array

    @classmethod
    def of(cls, vehicle: Vehicle, found: Stand, points: Sequence[Vec]) -> Answer:
        """Return the answers of vehicles where they stand.

        Parameters
        ----------
        vehicle : Vehicle, shape (...)
            The vehicles. [kg]
        found : Stand, shape (...)
            Where they stand; the answers of those that do not are NaN. [m]
        points : sequence of Vec, shape (m,)
            Points of the body whose heights are asked for. [m]

        Returns
        -------
        Answer, shape (...)
            Ready to be asked. [unit]
        """
        # What does not stand has no stiffness to answer with.
        q = np.where(np.asarray(found.stands)[..., None], found.state, np.nan)
        at, n = balance(vehicle, q), len(vehicle.corners)
        attitude = Attitude(q[..., 0], q[..., 1], q[..., 2])
        heights = np.zeros((*q.shape[:-1], len(points), 3 + n))
        for row, point in enumerate(points):
            h = attitude.along(point)
            heights[..., row, 0] = 1.0
            heights[..., row, 1], heights[..., row, 2] = h.u, h.v
        loads = np.zeros((*q.shape[:-1], n, 3 + n))
        grip = np.zeros((*q.shape[:-1], n))
        for i, (corner, s) in enumerate(zip(vehicle.corners, at.corners, strict=True)):
            k = np.where(s.sunk > 0.0, corner.tyre_rate, 0.0)
            grip[..., i] = k
            loads[..., i, 0] = -k
            loads[..., i, 1], loads[..., i, 2] = -k * s.tyre.u, -k * s.tyre.v
            loads[..., i, 3 + i] = -k * s.tyre.t
        return cls(at, attitude, heights, loads, grip)

    def to(self, push: Push) -> Effect:
        """Return what a change does.

        Parameters
        ----------
        push : Push, shape (...)
            What it does to the forces out of balance. [unit]

        Returns
        -------
        Effect, shape (...)
            What it does to the vehicle. [unit]
        """
        H = self.at.hessian
        # A car that does not stand answers NaN, and must not stop the others.
        known = np.isfinite(H).all(axis=(-2, -1), keepdims=True)
        moved = -np.linalg.solve(
            np.where(known, H, np.eye(H.shape[-1])),
            np.where(known, push.gradient, np.nan),
        )
        return Effect(
            state=moved,
            heights=self.heights @ moved,
            loads=self.loads @ moved + push.loads,
        )
