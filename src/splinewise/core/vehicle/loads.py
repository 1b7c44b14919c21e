"""From loads on scales to masses and centres of gravity, and what loads say.

References
----------
.. [1] Body-builder guidelines of a van maker, chapter on determining the height of the
   centre of gravity (equations 1 to 9), and a lecture note on the same lift,
   openbooks.link; both read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite, positive, refuse_where
from splinewise.errors import QuantityError, TaskError

__all__ = [
    "Centre",
    "Shares",
    "centre_of_loads",
    "height_by_raised_axle",
    "least_loads",
    "shares",
    "without",
]


@dataclass(frozen=True, slots=True, eq=False)
class Centre:
    """A weight and where it acts.

    Attributes
    ----------
    weight : ndarray, shape (...)
        The weight. [N]
    x, y : ndarray, shape (...)
        Forward and to the left. [m]
    z : ndarray or None, shape (...)
        Upward; None where it is not known. [m]
    """

    weight: Array
    x: Array
    y: Array
    z: Array | None = None


def centre_of_loads(loads: ArrayLike, x: ArrayLike, y: ArrayLike = 0.0) -> Centre:
    """Return the weight and the centre of gravity that loads on a level floor tell.

    Sum of the loads, and of their moments over it; x alone for the loads of whole
    axles.

    Parameters
    ----------
    loads : array_like, shape (..., n)
        Loads on the wheels, or on the axles. [N]
    x, y : array_like, shape (..., n)
        Where each stands on the floor. [m]

    Returns
    -------
    Centre, shape (...)
        Weight, x and y. [N]

    Raises
    ------
    QuantityError
        If a load is below 0, all are 0, or a number is not finite.
    """
    F = finite("loads", loads, "N")
    refuse_where(F < 0.0, "loads", F, "N", "not below 0")
    weight = positive("sum of the loads", F.sum(axis=-1), "N")
    where = [
        (F * finite(name, place, "m")).sum(axis=-1) / weight
        for name, place in (("x", x), ("y", y))
    ]
    return Centre(weight, *where)


def without(whole: Centre, parts: Sequence[Centre]) -> Centre:
    """Return what is left of a weight when known ones are taken off: what is sprung.

    Parameters
    ----------
    whole : Centre, shape (...)
        The whole. [N]
    parts : sequence of Centre, shape (...)
        What to take off: unsprung masses at their wheel centres, people, fuel. [N]

    Returns
    -------
    Centre, shape (...)
        What is left; z only where all of them have it. [N]

    Raises
    ------
    QuantityError
        If nothing is left.
    """
    signed = [(1.0, whole), *((-1.0, part) for part in parts)]
    weight = np.asarray(sum(sign * c.weight for sign, c in signed))
    refuse_where(
        ~(weight > 0.0), "weight", weight, "N", "more than what is taken off it"
    )
    x, y = (
        np.asarray(sum(sign * c.weight * getattr(c, axis) for sign, c in signed))
        / weight
        for axis in ("x", "y")
    )
    heights = [c.z for _, c in signed if c.z is not None]
    if len(heights) < len(signed):
        return Centre(weight, x, y)
    moments = [s * c.weight * z for (s, c), z in zip(signed, heights, strict=True)]
    return Centre(weight, x, y, np.asarray(sum(moments)) / weight)


def height_by_raised_axle(
    *,
    raised_load: ArrayLike,
    weight: ArrayLike,
    wheelbase: ArrayLike,
    behind: ArrayLike,
    rise: ArrayLike,
    raised_radius: ArrayLike,
    other_radius: ArrayLike,
) -> Array:
    """Return the height of the centre of gravity from a weighing with one axle raised.

    With l the wheelbase, r₁ the radius at the raised axle and r₂ at the other, the
    hubs lie L = √(l² + (r₁ − r₂)²) apart, at β₀ = asin((r₁ − r₂)/L) level and
    β₁ = asin((r₁ − r₂ + H)/L) raised by H.  The vehicle turns by Δ = β₁ − β₀ about
    the other hub, of which the centre of gravity is b ahead and h − r₂ above:

        F₁ L cos β₁ = W (b cos Δ − (h − r₂) sin Δ).

    For equal radii it is h = r + (b − l F₁/W) cot β of [1]_.  Springs must be blocked
    and the wheels free to roll; tyres are taken as equally pressed in both weighings.

    Parameters
    ----------
    raised_load : array_like, shape (...)
        Load on the raised axle while it is raised, F₁. [N]
    weight : array_like, shape (...)
        Weight of the vehicle, W. [N]
    wheelbase : array_like, shape (...)
        Level distance of the axles, l. [m]
    behind : array_like, shape (...)
        Level distance of the centre of gravity from the axle that stays, b. [m]
    rise : array_like, shape (...)
        By how much the floor under the raised axle is higher, H. [m]
    raised_radius, other_radius : array_like, shape (...)
        Loaded radii of the wheels, r₁ and r₂. [m]

    Returns
    -------
    ndarray, shape (...)
        Height above the floor when level, h. [m]

    Raises
    ------
    QuantityError
        If a number is not positive, or the axle is raised by more than its distance
        from the other.
    """
    W, l = positive("weight", weight, "N"), positive("wheelbase", wheelbase, "m")
    H, b = positive("rise", rise, "m"), finite("behind", behind, "m")
    r1 = positive("raised_radius", raised_radius, "m")
    r2 = positive("other_radius", other_radius, "m")
    F1 = positive("raised_load", raised_load, "N")
    L = np.hypot(l, r1 - r2)
    refuse_where(r1 - r2 + H >= L, "rise", H, "m", "less than the hubs lie apart")
    level, raised = np.arcsin((r1 - r2) / L), np.arcsin((r1 - r2 + H) / L)
    turn = raised - level
    above = (b * np.cos(turn) - F1 / W * L * np.cos(raised)) / np.sin(turn)
    return np.asarray(r2 + above)


@dataclass(frozen=True, slots=True, eq=False)
class Shares:
    """Shares of the whole load.

    Attributes
    ----------
    left, front : ndarray, shape (...)
        On the left, and in front. [1]
    cross : ndarray, shape (...)
        On the diagonal of the right front and the left rear wheel. [1]
    """

    left: Array
    front: Array
    cross: Array


def shares(loads: ArrayLike, *, left: Sequence[int], front: Sequence[int]) -> Shares:
    """Return the shares of left, front and cross weight.

    Parameters
    ----------
    loads : array_like, shape (..., n)
        Corner loads. [N]
    left, front : sequence of int
        Places of the corners on the left and of those in front. [1]

    Returns
    -------
    Shares, shape (...)
        Each between 0 and 1. [1]

    Raises
    ------
    QuantityError
        If a load is below 0 or all are 0.
    TaskError
        If a corner named is not there.
    """
    F = finite("loads", loads, "N")
    refuse_where(F < 0.0, "loads", F, "N", "not below 0")
    total = positive("sum of the loads", F.sum(axis=-1), "N")
    count = F.shape[-1]
    if not set(left) | set(front) <= set(range(count)):
        msg = f"There are {count} loads, counted from 0; got {[*left, *front]}."
        raise TaskError(msg)
    cross = [i for i in range(count) if (i in left) != (i in front)]
    left_share, front_share, cross_share = (
        np.asarray(F[..., list(some)].sum(axis=-1) / total)
        for some in (left, front, cross)
    )
    return Shares(left_share, front_share, cross_share)


def least_loads(centre: Centre, x: ArrayLike, y: ArrayLike) -> Array:
    """Return the loads that carry a weight with the least sum of their squares.

    Three equations do not tell four loads apart; which of the many answers is true is
    up to the springs.  This one has no more cross weight than it must.

    Parameters
    ----------
    centre : Centre, shape (...)
        Weight, x and y. [N]
    x, y : array_like, shape (..., n)
        Where each wheel stands on the floor. [m]

    Returns
    -------
    ndarray, shape (..., n)
        Loads; below 0 where a wheel would have to be pulled down. [N]

    Raises
    ------
    QuantityError
        If the wheels stand in one line and the weight beside it.
    """
    px, py = np.broadcast_arrays(finite("x", x, "m"), finite("y", y, "m"))
    rows = np.stack([np.ones_like(px), px, py], axis=-2)
    wanted = np.stack(
        np.broadcast_arrays(
            centre.weight, centre.weight * centre.x, centre.weight * centre.y
        ),
        axis=-1,
    )
    loads = (np.linalg.pinv(rows) @ wanted[..., None])[..., 0]
    left = (rows @ loads[..., None])[..., 0] - wanted
    if np.any(np.abs(left) > 1e-6 * np.max(np.abs(wanted), axis=-1, keepdims=True)):
        name, rule = "y", "such that the weight lies over what the wheels span"
        raise QuantityError(name, float(np.asarray(centre.y).flat[0]), "m", rule)
    return np.asarray(loads)
