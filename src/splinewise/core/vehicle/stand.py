"""A vehicle standing on its wheels, or many at once.

Newton's method first; the few cars that it does not bring to a stable rest come
down from the drawn position the slow way, which always ends (see `descent`).
"""

from __future__ import annotations

import numpy as np

from splinewise.core.quantities import Array
from splinewise.core.vehicle.batch import batch_size, pick
from splinewise.core.vehicle.check import check
from splinewise.core.vehicle.parts import Vehicle
from splinewise.core.vehicle.prepared import prepare
from splinewise.core.vehicle.rest import Stand, empty, put, views
from splinewise.core.vehicle.settle import settle, settle_slowly

__all__ = ["BLOCK", "Stand", "stand"]

BLOCK = 8192
"""Cars solved together: enough to make NumPy's overhead small, few enough for the
cache. [1]"""

_SLOW_BLOCK = 1024  # of those whose linkages are looked at all over their travel


def stand(vehicle: Vehicle, *, start: Array | None = None) -> Stand:
    """Let vehicles come to rest on their wheels.

    Parameters
    ----------
    vehicle : Vehicle, shape () or (N,)
        One vehicle, or many that have the same corners. [kg]
    start : ndarray or None, shape (..., 3 + n)
        A state near the rest, such as that of a car much like it; None for the
        drawn position. [unit]

    Returns
    -------
    Stand, shape () or (N,)
        Where each comes to rest; `stands` says whether it does. [m]

    Raises
    ------
    QuantityError
        If a mass, rate or radius is not positive, or a number is not finite.
    TaskError
        If it has no corner, or what its springs act on is not known.
    """
    check(vehicle)
    size = batch_size(vehicle)
    count = 1 if size is None else size
    whole = empty(count, len(vehicle.corners))
    good = np.zeros(count, dtype=np.bool_)
    for a in range(0, count, BLOCK):
        part = slice(a, min(a + BLOCK, count))
        block = pick(vehicle, np.arange(part.start, part.stop), count)
        near = None
        if start is not None:
            near = np.array(np.broadcast_to(start, whole.state.shape)[part])
        good[part] = settle(prepare(block, part.stop - a), views(whole, part), near)
    rest = np.flatnonzero(~good)
    for a in range(0, rest.size, _SLOW_BLOCK):
        cars = rest[a : a + _SLOW_BLOCK]
        few = empty(cars.size, len(vehicle.corners))
        settle_slowly(prepare(pick(vehicle, cars, count), cars.size), few)
        few.steps[:] += whole.steps[cars]
        put(whole, cars, few)
    return whole if size is not None else views(whole, 0)
