"""What is wanted of a standing vehicle, and how far off it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from splinewise.core.geometry import Vec
from splinewise.core.quantities import Array, finite, positive
from splinewise.core.vehicle.parts import Vehicle
from splinewise.core.vehicle.rest import Stand
from splinewise.core.vehicle.sensitivity import by_slack
from splinewise.errors import TaskError

__all__ = ["HeightWanted", "LoadsWanted", "Want", "misses"]


@dataclass(frozen=True, slots=True, eq=False)
class HeightWanted:
    """A height at a point of the body.

    Attributes
    ----------
    point : Vec, shape (...)
        The point, in the body's axes. [m]
    height : ndarray, shape (...)
        Its height above the level from which the floor is counted. [m]
    tolerance : float, shape ()
        How far off is as bad as another want that is off by its own. [m]
    """

    point: Vec
    height: Array | float
    tolerance: float = 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class LoadsWanted:
    """Loads of which one is to be more than another by so much: nothing for equal ones.

    Attributes
    ----------
    more, less : tuple of int
        Places of the corners whose loads are added up on either side. [1]
    difference : ndarray, shape (...), default 0
        Sum of the first less the sum of the second. [N]
    tolerance : float, shape (), default 20
        How far off is as bad as another want that is off by its own. [N]
    """

    more: tuple[int, ...]
    less: tuple[int, ...] = ()
    difference: Array | float = 0.0
    tolerance: float = 20.0


Want = HeightWanted | LoadsWanted


@dataclass(frozen=True, slots=True, eq=False)
class Misses:
    """How far vehicles are from what is wanted, in tolerances.

    Attributes
    ----------
    off : ndarray, shape (..., w)
        What is wanted less what is. [1]
    slopes : ndarray, shape (..., w, n)
        Change of what is by the slack angles. [1]
    """

    off: Array
    slopes: Array


def misses(vehicle: Vehicle, found: Stand, wants: Sequence[Want]) -> Misses:
    """Return how far vehicles are from what is wanted of them.

    Parameters
    ----------
    vehicle : Vehicle, shape (...)
        The vehicles. [kg]
    found : Stand, shape (...)
        Where they stand. [m]
    wants : sequence of HeightWanted and LoadsWanted, shape (w,)
        What is wanted. [m]

    Returns
    -------
    Misses, shape (...)
        Off by how much, and how the slack angles change that. [1]

    Raises
    ------
    QuantityError
        If a height is not finite or a tolerance not positive.
    TaskError
        If nothing is wanted, or of corners that are not there.
    """
    if not wants:
        msg = "Say what is wanted: heights, or loads that shall be alike."
        raise TaskError(msg)
    heights = [want for want in wants if isinstance(want, HeightWanted)]
    effect = by_slack(vehicle, found, [want.point for want in heights])
    off, slopes, row = [], [], 0
    for want in wants:
        if isinstance(want, HeightWanted):
            tolerance = positive("tolerance", want.tolerance, "m")
            goal = finite("height", want.height, "m")
            now, slope = found.attitude.height(want.point), effect.heights[..., row, :]
            row += 1
        else:
            _there(want, len(vehicle.corners))
            tolerance = positive("tolerance", want.tolerance, "N")
            goal = finite("difference", want.difference, "N")
            more, less = list(want.more), list(want.less)
            now = _sum(found.loads, more) - _sum(found.loads, less)
            loads = np.swapaxes(effect.loads, -1, -2)
            slope = _sum(loads, more) - _sum(loads, less)
        off.append((goal - now) / tolerance)
        slopes.append(slope / tolerance)
    return Misses(
        np.stack(np.broadcast_arrays(*off), axis=-1), np.stack(slopes, axis=-2)
    )


def _sum(rows: Array, some: list[int]) -> Array:
    return np.asarray(rows[..., some].sum(axis=-1))


def _there(want: LoadsWanted, count: int) -> None:
    ends = [*want.more, *want.less]
    if not ends or len(set(ends)) < len(ends) or not set(ends) <= set(range(count)):
        msg = (
            f"Loads are wanted of different corners of the {count} there are, counted "
            f"from 0; got {ends}."
        )
        raise TaskError(msg)
