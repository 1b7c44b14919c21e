"""From a wanted rise of the wheel to the arm angle that gives it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.jet import seed, slope, value
from splinewise.core.linkages.base import Linkage
from splinewise.core.quantities import Array, finite

__all__ = ["angle_at_rise"]


def angle_at_rise(
    linkage: Linkage, rise: ArrayLike, *, low: ArrayLike, high: ArrayLike
) -> Array:
    """Return the arm angle at which the wheel has risen by so much.

    Newton's method on z(θ) inside a bracket that shrinks at each step, so that it
    always ends.

    Parameters
    ----------
    linkage : Linkage
        The corner. [m]
    rise : array_like, shape (...)
        Rise of the contact point since the drawn position. [m]
    low, high : array_like, shape (...)
        Arm angles between which to look, where the linkage can be posed. [rad]

    Returns
    -------
    ndarray, shape (...)
        Arm angle; NaN where the wheel cannot rise or fall so far. [rad]
    """
    wanted = finite("rise", rise, "m")
    shape = np.broadcast_shapes(wanted.shape, np.shape(low), np.shape(high))
    lower = np.broadcast_to(finite("low", low, "rad"), shape).copy()
    upper = np.broadcast_to(finite("high", high, "rad"), shape).copy()
    with np.errstate(invalid="ignore", divide="ignore"):
        goal = wanted + value(linkage.pose(np.zeros(())).contact.z)
        bottom = value(linkage.pose(lower).contact.z)
        top = value(linkage.pose(upper).contact.z)
        inside = (bottom <= goal) & (goal <= top)
        theta = 0.5 * (lower + upper)
        for _ in range(80):
            z = linkage.pose(seed(theta, order=1)).contact.z
            over = value(z) - goal
            lower = np.where(over < 0.0, theta, lower)
            upper = np.where(over > 0.0, theta, upper)
            step = theta - over / slope(z)
            within = (step >= lower) & (step <= upper)
            new = np.where(within, step, 0.5 * (lower + upper))
            moved = np.max(np.abs(new - theta), where=inside, initial=0.0)
            theta = new
            if moved < 1e-14:
                break
    return np.where(inside, theta, np.nan)
