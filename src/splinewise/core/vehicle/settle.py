"""From the drawn position to rest, for one block of cars: the short and the long way."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from splinewise.core.jet import slope, value
from splinewise.core.quantities import Array
from splinewise.core.vehicle.balance import Balance
from splinewise.core.vehicle.descent import descend
from splinewise.core.vehicle.newton import AT_REST, definite, newton
from splinewise.core.vehicle.prepared import Prepared
from splinewise.core.vehicle.rest import Stand
from splinewise.core.vehicle.usable import FARTHEST, usable

__all__ = ["settle", "settle_slowly", "start_of"]

_FARTHEST_START = 0.2  # rad


def settle(ready: Prepared, found: Stand, near: Array | None) -> NDArray[np.bool_]:
    """Let one block of cars come to rest by Newton's method.

    Parameters
    ----------
    ready : Prepared, shape (N,)
        The vehicles. [kg]
    found : Stand, shape (N,)
        Where to write what comes of it. [m]
    near : ndarray or None, shape (N, 3 + n)
        States to start from; None for the drawn position. [unit]

    Returns
    -------
    ndarray of bool, shape (N,)
        Which of them rest and stay; the others are to settle slowly. [1]
    """
    q = found.state
    q[:] = start_of(ready) if near is None else near
    good = np.zeros(ready.count, dtype=np.bool_)

    def take(at: Balance, rows: NDArray[np.int64], cars: NDArray[np.int64]) -> None:
        _write(found, at, rows, cars)
        good[cars] = _sound(at, rows) & (np.abs(q[cars, 3:]) < FARTHEST).all(axis=-1)

    newton(ready, q, found.steps, take)
    found.balanced[:] = found.stands[:] = good
    _mark(ready, found)
    return good


def settle_slowly(ready: Prepared, found: Stand) -> None:
    """Let cars come to rest downhill from where they are drawn.

    Parameters
    ----------
    ready : Prepared, shape (N,)
        The vehicles. [kg]
    found : Stand, shape (N,)
        Where to write what comes of it. [m]
    """
    q, everyone = found.state, np.arange(ready.count)
    q[:] = _drawn(ready)[0]
    low, high = usable(ready.vehicle, ready.count)
    down = np.flatnonzero(np.isfinite(low + high).all(axis=-1))
    if down.size:
        came = descend(ready.some(down), q[down], low[down], high[down])
        q[down] = came.state
        found.steps[down] = came.steps
        found.locked[down] = came.held
        found.tipped[down] = came.tipped
    at = ready.at(q)
    _write(found, at, everyone, everyone)
    # What cannot get closer than rounding lets it is at rest as well.
    found.balanced[:] = ready.off(at.gradient) < 1e3 * AT_REST
    found.stands[:] = found.balanced & _sound(at, everyone)
    _mark(ready, found)


def start_of(ready: Prepared) -> Array:
    """Return the drawn body with an even load on every tyre.

    Each arm is turned until the tyre is pressed by its share of the weight, as far as
    its slope at the drawn position tells.

    Parameters
    ----------
    ready : Prepared, shape (N,)
        The vehicles. [kg]

    Returns
    -------
    ndarray, shape (N, 3 + n)
        Heave, lean and arm angles. [unit]
    """
    corners = ready.vehicle.corners
    q, at = _drawn(ready)
    share = ready.weight / len(corners)
    for i, (corner, s) in enumerate(zip(corners, at.corners, strict=True)):
        too_deep = s.sunk - q[:, 0] - share / corner.tyre_rate
        with np.errstate(divide="ignore", invalid="ignore"):
            turn = np.nan_to_num(too_deep / s.tyre.t)
        q[:, 3 + i] = np.clip(turn, -_FARTHEST_START, _FARTHEST_START)
    return q


def _drawn(ready: Prepared) -> tuple[Array, Balance]:
    """Return the drawn position, as low as the tyres together carry the weight.

    With it the forces where the body is not lowered yet.
    """
    corners = ready.vehicle.corners
    q = np.zeros((ready.count, 3 + len(corners)))
    at = ready.at(q)
    stiff = sum(np.asarray(c.tyre_rate) for c in corners)
    pressed = sum(
        np.asarray(c.tyre_rate) * s.sunk
        for c, s in zip(corners, at.corners, strict=True)
    )
    q[:, 0] = (pressed - ready.weight) / stiff
    return q, at


def _mark(ready: Prepared, found: Stand) -> None:
    """Mark the stops that are met and the tyres that are flattened."""
    for i, corner in enumerate(ready.vehicle.corners):
        flattened = np.asarray(corner.tyre_rate) * np.asarray(corner.tyre_radius)
        found.flat[:, i] = found.loads[:, i] >= flattened
        for stop in corner.stops:
            found.on_stop[stop.met(found.rises[:, i]), i] = int(stop.side)
    found.stands[:] = found.stands & ~found.flat.any(axis=-1)


def _sound(at: Balance, rows: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Return whether a rest is stable, with each arm lifting its wheel in bump."""
    lifts = [
        np.broadcast_to(slope(s.rise) > 0.0, at.gradient.shape[:-1])[rows]
        for s in at.corners
    ]
    return np.asarray(definite(at.hessian[rows]) & np.all(lifts, axis=0))


def _write(
    found: Stand, at: Balance, rows: NDArray[np.int64], cars: NDArray[np.int64]
) -> None:
    """Write what the corners do at `rows` of a balance for `cars` of the block."""
    shape = at.gradient.shape[:-1]
    for i, s in enumerate(at.corners):
        rise = np.broadcast_to(value(s.rise), shape)[rows]
        found.rises[cars, i] = rise
        found.loads[cars, i] = np.broadcast_to(s.tyre_force, shape)[rows]
        found.lifted[cars, i] = np.broadcast_to(s.sunk <= 0.0, shape)[rows]
        found.twists[cars, i] = np.broadcast_to(s.twist, shape)[rows]
        found.torques[cars, i] = np.broadcast_to(s.torque, shape)[rows]
