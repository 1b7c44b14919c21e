"""Where a vehicle may stand when its joints, leaves and bushes rub.

Dry friction at a wheel holds it anywhere within a band: the vehicle rests in any
state in which each wheel is pushed by no more than its friction, up or down.  What is
given here are the ends of the band of each height: each wheel pushed as hard as its
friction can, the way that raises or lowers that height, and the vehicle let stand so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from splinewise.core.geometry import Vec
from splinewise.core.other_springs import LinearSpring
from splinewise.core.quantities import Array
from splinewise.core.vehicle.parts import SpringAt, Vehicle
from splinewise.core.vehicle.rest import Stand
from splinewise.core.vehicle.sensitivity import by_push
from splinewise.core.vehicle.stand import stand

__all__ = ["Band", "friction_band"]


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """Heights that a vehicle with friction may stand at.

    Attributes
    ----------
    low, middle, high : ndarray, shape (..., m)
        Least height of each point, the one without friction, and the greatest; NaN
        where the vehicle does not stand. [m]
    """

    low: Array
    middle: Array
    high: Array


def friction_band(vehicle: Vehicle, found: Stand, points: Sequence[Vec]) -> Band:
    """Return the band of heights that friction leaves open.

    Parameters
    ----------
    vehicle : Vehicle, shape (...)
        The vehicles, each corner with its `friction`. [kg]
    found : Stand, shape (...)
        Where they stand without it. [m]
    points : sequence of Vec, shape (m,)
        Points of the body whose heights are asked for. [m]

    Returns
    -------
    Band, shape (...)
        Ends and middle of each band. [m]
    """
    effect = by_push(vehicle, found, points)
    middle = np.stack([found.attitude.height(p) for p in points], axis=-1)
    known = np.asarray(found.stands)[..., None]
    ends = []
    for side in (-1.0, 1.0):
        heights = []
        for row, point in enumerate(points):
            pushed = _pushed(vehicle, side * np.sign(effect.heights[..., row, :]))
            near = stand(pushed, start=np.asarray(found.state))
            height = near.attitude.height(point)
            heights.append(np.where(near.stands, height, np.nan))
        ends.append(np.stack(heights, axis=-1))
    low, high = (np.where(known, end, np.nan) for end in ends)
    return Band(low, np.where(known, middle, np.nan), high)


def _pushed(vehicle: Vehicle, ways: Array) -> Vehicle:
    """Return the vehicle with each wheel pushed as hard as its friction can."""
    corners = []
    for i, corner in enumerate(vehicle.corners):
        force = np.asarray(corner.friction * np.nan_to_num(ways[..., i]))
        more = SpringAt(LinearSpring(0.0, force))
        corners.append(replace(corner, others=(*corner.others, more)))
    return replace(vehicle, corners=tuple(corners))
