"""How far each corner's arm may turn before its linkage locks or goes over centre."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from splinewise.core.jet import seed, slope, value
from splinewise.core.linkages.base import Linkage
from splinewise.core.quantities import Array
from splinewise.core.vehicle.parts import Vehicle

__all__ = ["FARTHEST", "usable"]

FARTHEST = 0.5 * np.pi
"""Farthest that an arm is let turn from where it is drawn. [rad]"""

_FIRST = 48  # angles looked at in the first round
_HALVINGS = 40
# A lock is approached as a square root is: nearer to it the arm can bear anything.
_SHY = 1e-7


def usable(vehicle: Vehicle, count: int) -> tuple[Array, Array]:
    """Return the least and the greatest arm angle at which each corner can be used.

    Parameters
    ----------
    vehicle : Vehicle, shape (N,)
        The vehicles. [kg]
    count : int
        N, how many there are. [1]

    Returns
    -------
    low, high : ndarray, shape (N, n)
        Arm angles; NaN where the linkage is not usable even as drawn. [rad]
    """
    ends = [
        [_end(corner.linkage, side, count) for corner in vehicle.corners]
        for side in (-1.0, 1.0)
    ]
    return np.stack(ends[0], axis=-1), np.stack(ends[1], axis=-1)


def _end(linkage: Linkage, side: float, count: int) -> Array:
    steps = np.linspace(0.0, FARTHEST, _FIRST)[:, None] * np.ones(count)
    good = np.logical_and.accumulate(_closes(linkage, side * steps), axis=0)
    last = np.count_nonzero(good, axis=0) - 1
    low = np.maximum(last, 0) * (FARTHEST / (_FIRST - 1))
    high = np.minimum(low + FARTHEST / (_FIRST - 1), FARTHEST)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        closes = _closes(linkage, side * middle)
        low, high = np.where(closes, middle, low), np.where(closes, high, middle)
    free = last == _FIRST - 1
    end = side * np.where(free, FARTHEST, np.maximum(low - _SHY, 0.0))
    return np.where(last < 0, np.nan, end)


def _closes(linkage: Linkage, angle: Array) -> NDArray[np.bool_]:
    """Return whether the linkage can be posed and bump of the arm lifts the wheel."""
    with np.errstate(invalid="ignore", divide="ignore"):
        pose = linkage.pose(seed(angle, order=1))
        z = pose.contact.z
        lifts = np.isfinite(value(z)) & (slope(z) > 0.0)
        parts = [pose.twist, None if pose.wheel is None else pose.wheel.z, pose.damper]
        for part in parts:
            if part is not None:
                lifts = lifts & np.isfinite(value(part))
    return np.broadcast_to(lifts, angle.shape)
