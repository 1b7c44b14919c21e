"""From the drawn position to rest, for one block of cars.

Newton's method first; the few cars that it does not bring to a stable rest come
down from the drawn position the slow way, which always ends (see `descent`).
"""

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

__all__ = ["settle"]


def settle(ready: Prepared, found: Stand, near: Array | None) -> None:
    """Let one block of cars come to rest.

    Parameters
    ----------
    ready : Prepared, shape (N,)
        The vehicles. [kg]
    found : Stand, shape (N,)
        Where to write what comes of it. [m]
    near : ndarray or None, shape (N, 3 + n)
        States to start from; None for the drawn position. [unit]
    """
    start = _start(ready)
    q = found.state
    q[:] = start if near is None else near
    good = np.zeros(ready.count, dtype=np.bool_)

    def take(at: Balance, rows: NDArray[np.int64], cars: NDArray[np.int64]) -> None:
        _write(found, at, rows, cars)
        good[cars] = _sound(at, rows) & (np.abs(q[cars, 3:]) < FARTHEST).all(axis=-1)

    newton(ready, q, found.steps, take)
    rest = np.flatnonzero(~good)
    if rest.size:
        _settle_slowly(ready.some(rest), found, rest, start[rest])
    for i, corner in enumerate(ready.vehicle.corners):
        flattened = np.asarray(corner.tyre_rate) * np.asarray(corner.tyre_radius)
        found.flat[:, i] = found.loads[:, i] >= flattened
        for stop in corner.stops:
            found.on_stop[stop.met(found.rises[:, i]), i] = int(stop.side)
    found.stands[:] = found.balanced & found.stands & ~found.flat.any(axis=-1)


def _start(ready: Prepared) -> Array:
    """Return the drawn position, as low as the tyres together carry the weight."""
    corners = ready.vehicle.corners
    q = np.zeros((ready.count, 3 + len(corners)))
    at = ready.at(q)
    stiff = sum(np.asarray(c.tyre_rate) for c in corners)
    pressed = sum(
        np.asarray(c.tyre_rate) * s.sunk
        for c, s in zip(corners, at.corners, strict=True)
    )
    q[:, 0] = (pressed - ready.weight) / stiff
    return q


def _settle_slowly(
    some: Prepared, found: Stand, cars: NDArray[np.int64], start: Array
) -> None:
    low, high = usable(some.vehicle, some.count)
    posed = np.isfinite(low + high + start[:, 3:]).all(axis=-1)
    down = np.flatnonzero(posed)
    q = start.copy()
    if down.size:
        came = descend(some.some(down), start[down], low[down], high[down])
        q[down] = came.state
        found.steps[cars[down]] += came.steps
        found.locked[cars[down]] = came.held
        found.tipped[cars[down]] = came.tipped
    at = some.at(q)
    found.state[cars] = q
    _write(found, at, np.arange(some.count), cars)
    off = some.off(at.gradient)
    # What cannot get closer than rounding lets it is at rest as well.
    found.balanced[cars] = off < 1e3 * AT_REST
    found.stands[cars] = _sound(at, np.arange(some.count))


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
    found.balanced[cars] = True
    found.stands[cars] = True
