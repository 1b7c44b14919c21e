"""Out-of-balance forces of a vehicle and their exact derivatives.

The unknowns are q = (z, u, v, θ₁ … θₙ): the body's heave and lean (see `attitude`)
and one arm angle for each corner.  Every force here has a potential, so the forces
out of balance are its gradient g and their derivatives its symmetric Hessian H; at
rest g = 0.  All of it follows from virtual work (own derivation).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from splinewise.core.jet import curvature, seed, slope, value
from splinewise.core.quantities import Array
from splinewise.core.vehicle.attitude import Attitude
from splinewise.core.vehicle.corner_state import (
    CornerState,
    Drawn,
    corner_state,
    drawn,
)
from splinewise.core.vehicle.parts import Vehicle
from splinewise.core.vehicle.potential import Part, of_height

__all__ = ["Balance", "CornerState", "balance"]


@dataclass(frozen=True, slots=True, eq=False)
class Balance:
    """Forces out of balance at a state.

    Attributes
    ----------
    gradient : ndarray, shape (..., 3 + n)
        g, by z, u, v and the arm angles. [N]
    hessian : ndarray, shape (..., 3 + n, 3 + n)
        H, symmetric. [N/m]
    corners : tuple of CornerState
        What each corner does. [N]
    """

    gradient: Array
    hessian: Array
    corners: tuple[CornerState, ...]


def balance(
    vehicle: Vehicle, state: Array, *, zero: Sequence[Drawn] | None = None
) -> Balance:
    """Return the forces out of balance and their derivatives.

    Parameters
    ----------
    vehicle : Vehicle, shape (...)
        The vehicles. [kg]
    state : ndarray, shape (..., 3 + n)
        q: heave, lean and arm angles. [unit]
    zero : sequence of Drawn or None, shape (n,)
        What `drawn` gives for each corner; worked out here if None. [m]

    Returns
    -------
    Balance, shape (...)
        Gradient and Hessian; NaN where a linkage cannot be posed. [N]
    """
    zero = [drawn(corner) for corner in vehicle.corners] if zero is None else zero
    at = Attitude(state[..., 0], state[..., 1], state[..., 2])
    states = []
    with np.errstate(invalid="ignore", divide="ignore"):
        for i, (corner, start) in enumerate(zip(vehicle.corners, zero, strict=True)):
            theta = seed(state[..., 3 + i])
            pose = corner.linkage.pose(theta)
            states.append(corner_state(corner, pose, theta, at, vehicle.gravity, start))
        g, H = _assembled(vehicle, at, states, state.shape)
    # The cars lie along the last axis in here, each row of numbers in one piece.
    return Balance(
        np.moveaxis(g, 0, -1), np.moveaxis(H, (0, 1), (-2, -1)), tuple(states)
    )


def _assembled(
    vehicle: Vehicle, at: Attitude, states: list[CornerState], shape: tuple[int, ...]
) -> tuple[Array, Array]:
    size = shape[-1]
    g = np.zeros((size, *shape[:-1]))
    H = np.zeros((size, size, *shape[:-1]))
    weights = [(vehicle.body.mass, vehicle.body.centre)]
    weights += [(load.mass, load.at) for load in vehicle.loads]
    for mass, point in weights:
        h = at.along(point)
        _add_body(g, H, of_height(h, np.asarray(mass * vehicle.gravity)))
    for i, state in enumerate(states):
        part, t = state.part, 3 + i
        _add_body(g, H, part)
        g[t] += part.t
        H[t, t] += part.tt
        H[0, t] += part.zt
        H[1, t] += part.ut
        H[2, t] += part.vt
    _join(vehicle, states, g, H)
    for row in range(1, size):
        for column in range(min(row, 3)):
            H[row, column] = H[column, row]
    return g, H


def _add_body(g: Array, H: Array, part: Part) -> None:
    g[0] += part.z
    g[1] += part.u
    g[2] += part.v
    H[0, 0] += part.zz
    H[0, 1] += part.zu
    H[0, 2] += part.zv
    H[1, 1] += part.uu
    H[1, 2] += part.uv
    H[2, 2] += part.vv


def _join(vehicle: Vehicle, states: list[CornerState], g: Array, H: Array) -> None:
    for joined in vehicle.joined:
        i, j = joined.left, joined.right
        left, right = states[i].rise, states[j].rise
        # Poses that are not there are NaN, which the bar would refuse as a number.
        known = np.isfinite(value(left)) & np.isfinite(value(right))
        push = joined.bar.push(
            np.where(known, value(left), 0.0), np.where(known, value(right), 0.0)
        )
        for t, own, force in ((3 + i, left, push.left), (3 + j, right, push.right)):
            g[t] += force * slope(own)
            H[t, t] += push.rate * slope(own) ** 2 + force * curvature(own)
        cross = -push.rate * slope(left) * slope(right)
        H[3 + i, 3 + j] += cross
        H[3 + j, 3 + i] += cross
