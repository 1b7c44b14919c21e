"""What comes of letting vehicles stand: one row a car."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from splinewise.core.quantities import Array
from splinewise.core.vehicle.attitude import Attitude

__all__ = ["Stand", "empty", "put", "views"]


@dataclass(frozen=True, slots=True, eq=False)
class Stand:
    """Where vehicles come to rest; what does not stand is told by `why`.

    Attributes
    ----------
    state : ndarray, shape (..., 3 + n)
        Heave, lean and arm angles (see `splinewise.core.vehicle.balance`). [unit]
    loads : ndarray, shape (..., n)
        Forces between tyres and floor. [N]
    rises : ndarray, shape (..., n)
        Rises of the wheels in the body's axes. [m]
    twists : ndarray, shape (..., n)
        Twists of the bars from slack; 0 without a bar. [rad]
    torques : ndarray, shape (..., n)
        Their torques; 0 without a bar. [N·m]
    stands : ndarray of bool, shape (...)
        Whether it stands: at rest, stable, on tyres that are not flattened. [1]
    lifted : ndarray of bool, shape (..., n)
        Which tyres are off the floor. [1]
    on_stop : ndarray of int, shape (..., n)
        +1 where a corner sits on a bump stop, −1 on a rebound stop, 0 else. [1]
    locked : ndarray of int, shape (..., n)
        +1 where a linkage locks in bump before the corner is at rest, −1 where it
        does in droop, 0 else. [1]
    flat : ndarray of bool, shape (..., n)
        Which tyres the load would flatten. [1]
    tipped : ndarray of bool, shape (...)
        Whether it tips over. [1]
    balanced : ndarray of bool, shape (...)
        Whether all forces balance, though it may not be stable. [1]
    steps : ndarray of int, shape (...)
        Steps that the search took. [1]
    """

    state: Array
    loads: Array
    rises: Array
    twists: Array
    torques: Array
    stands: NDArray[np.bool_]
    lifted: NDArray[np.bool_]
    on_stop: NDArray[np.int8]
    locked: NDArray[np.int8]
    flat: NDArray[np.bool_]
    tipped: NDArray[np.bool_]
    balanced: NDArray[np.bool_]
    steps: NDArray[np.int64]

    @property
    def attitude(self) -> Attitude:
        """Heave, pitch and roll of the body. [m]"""
        q = self.state
        return Attitude(q[..., 0], q[..., 1], q[..., 2])

    @property
    def arm_angles(self) -> Array:
        """Arm angles, shape (..., n). [rad]"""
        return self.state[..., 3:]


def empty(count: int, corners: int) -> Stand:
    """Return room for cars that are yet to come to rest.

    Parameters
    ----------
    count, corners : int
        How many cars, and how many corners each has. [1]

    Returns
    -------
    Stand, shape (N,)
        All nought. [m]
    """

    def each(kind: type) -> NDArray[Any]:
        return np.zeros((count, corners), dtype=kind)

    def one(kind: type) -> NDArray[Any]:
        return np.zeros(count, dtype=kind)

    return Stand(
        state=np.zeros((count, 3 + corners)),
        loads=each(np.float64),
        rises=each(np.float64),
        twists=each(np.float64),
        torques=each(np.float64),
        stands=one(np.bool_),
        lifted=each(np.bool_),
        on_stop=each(np.int8),
        locked=each(np.int8),
        flat=each(np.bool_),
        tipped=one(np.bool_),
        balanced=one(np.bool_),
        steps=one(np.int64),
    )


def views(whole: Stand, part: slice | int) -> Stand:
    """Return a stand whose arrays are parts of those of another.

    Parameters
    ----------
    whole : Stand, shape (N,)
        The other. [m]
    part : slice or int
        Which cars. [1]

    Returns
    -------
    Stand, shape (M,) or ()
        Writing into its arrays writes into the other's. [m]
    """
    return Stand(**{f.name: getattr(whole, f.name)[part] for f in fields(Stand)})


def put(whole: Stand, cars: NDArray[np.int64], few: Stand) -> None:
    """Write the stands of some cars among those of all.

    Parameters
    ----------
    whole : Stand, shape (N,)
        Where to. [m]
    cars : ndarray of int, shape (M,)
        Their places. [1]
    few : Stand, shape (M,)
        What to write. [m]
    """
    for f in fields(Stand):
        getattr(whole, f.name)[cars] = getattr(few, f.name)
