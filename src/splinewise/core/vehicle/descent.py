"""Downhill to rest: slower than Newton's method, and it always ends.

Every force has a potential, so a vehicle let go comes down until nothing can fall any
further: it stands, or a linkage locks, or it tips over.  Each step is downhill on a
convex likeness of the potential (Newton's with the signs of its curvatures turned
up), no longer than a radius in which the likeness has been found good; the fall along
a step is the mean of the slopes at its two ends times its length.  Arms are kept
between the angles at which their linkages lock.  Where the forces balance but the
least push would tip the car, it is given that push.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from splinewise.core.quantities import Array
from splinewise.core.vehicle.balance import Balance
from splinewise.core.vehicle.newton import AT_REST, longest_step
from splinewise.core.vehicle.prepared import Prepared

__all__ = ["Descent", "descend"]

_MOST_STEPS = 300
_LEVEL = 0.5  # least rise of the body's upward direction: beyond 60° it lies
_STIFF = 1e-9  # of the greatest curvature: below it there is none
_NUDGE = 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class Descent:
    """Where cars came to, and what stopped them.

    Attributes
    ----------
    state : ndarray, shape (N, 3 + n)
        Heave, lean and arm angles. [unit]
    held : ndarray of int, shape (N, n)
        +1 where a linkage locks in bump, −1 in droop, 0 else. [1]
    ended : ndarray of bool, shape (N,)
        Whether no force is left but those that the locked linkages take. [1]
    tipped : ndarray of bool, shape (N,)
        Whether it tips over. [1]
    steps : ndarray of int, shape (N,)
        Steps taken. [1]
    """

    state: Array
    held: NDArray[np.int8]
    ended: NDArray[np.bool_]
    tipped: NDArray[np.bool_]
    steps: NDArray[np.int64]


def descend(ready: Prepared, start: Array, low: Array, high: Array) -> Descent:
    """Let cars come down from a start until nothing can fall any further.

    Parameters
    ----------
    ready : Prepared, shape (N,)
        The vehicles. [kg]
    start : ndarray, shape (N, 3 + n)
        Heave, lean and arm angles, with finite forces. [unit]
    low, high : ndarray, shape (N, n)
        Arm angles between which each linkage can be used. [rad]

    Returns
    -------
    Descent, shape (N,)
        Where each came to. [m]
    """
    N, n = low.shape
    q = start.copy()
    q[:, 3:] = np.clip(q[:, 3:], low, high)
    out = Descent(
        q,
        np.zeros((N, n), dtype=np.int8),
        np.zeros(N, dtype=np.bool_),
        np.zeros(N, dtype=np.bool_),
        np.zeros(N, dtype=np.int64),
    )
    going = np.arange(N)
    some, at = ready, ready.at(q)
    g, H = at.gradient, at.hessian
    radius = np.ones(N)
    for _ in range(_MOST_STEPS):
        held = _held(q[going], g, low[going], high[going])
        step, ended = _downhill(some, g, H, held, radius)
        tipped = _tilt(q[going]) < _LEVEL
        stopped = ended | tipped | ~np.isfinite(g).all(axis=-1)
        out.held[going] = held
        out.ended[going], out.tipped[going] = ended, tipped
        if stopped.any():
            keep = np.flatnonzero(~stopped)
            some, going, step = some.some(keep), going[keep], step[keep]
            g, H, radius = g[keep], H[keep], radius[keep]
        if not going.size:
            break
        tried = q[going] + step
        tried[:, 3:] = np.clip(tried[:, 3:], low[going], high[going])
        at = some.at(tried)
        fell = _fell(g, at, tried - q[going])
        q[going[fell]] = tried[fell]
        g = np.where(fell[:, None], at.gradient, g)
        H = np.where(fell[:, None, None], at.hessian, H)
        radius = np.where(fell, np.minimum(2.0 * radius, 1.0), 0.25 * radius)
        out.steps[going] += 1
    return out


def _held(q: Array, g: Array, low: Array, high: Array) -> NDArray[np.int8]:
    """Return which arms lie at a lock and are pressed against it."""
    theta, push = q[:, 3:], -g[:, 3:]
    held = np.zeros(theta.shape, dtype=np.int8)
    held[(theta <= low) & (push < 0.0)] = -1
    held[(theta >= high) & (push > 0.0)] = 1
    return held


def _downhill(
    some: Prepared, g: Array, H: Array, held: NDArray[np.int8], radius: Array
) -> tuple[Array, NDArray[np.bool_]]:
    """Return steps downhill, and which cars need none."""
    size = g.shape[-1]
    free = np.concatenate([np.ones((len(g), 3), dtype=np.bool_), held == 0], axis=-1)
    force = np.where(free, np.nan_to_num(g), 0.0)
    both = free[:, :, None] & free[:, None, :] & np.isfinite(H)
    # An arm that is held shows the greatest stiffness there is and moves nowhere.
    stiffest = np.max(np.abs(np.where(both, H, 0.0)), axis=(-2, -1))
    kept = np.where(both, H, 0.0) + stiffest[:, None, None] * (
        np.eye(size) * ~free[:, :, None]
    )
    curved, ways = np.linalg.eigh(kept)
    least = _STIFF * stiffest[:, None]
    along = np.einsum("nij,ni->nj", ways, force)
    step = -np.einsum("nij,nj->ni", ways, along / np.maximum(np.abs(curved), least))
    balanced = some.off(force) < AT_REST
    tippy = curved[:, 0] < least[:, 0]
    # Which way an even balance goes is anybody's guess: the way that lowers the nose
    # or else the right side, so that the answer is always the same.
    push = (
        ways[:, :, 0]
        * np.where(ways[:, 1, 0] + 1e-3 * ways[:, 2, 0] < 0, 1.0, -1.0)[:, None]
    )
    step = np.where((balanced & tippy)[:, None], _NUDGE * push, step)
    longest = np.max(np.abs(step) / longest_step(size), axis=-1) / radius
    return step / np.maximum(longest, 1.0)[:, None], balanced & ~tippy


def _tilt(q: Array) -> Array:
    """Return the rise of the body's upward direction, 0 for one that lies."""
    return np.sqrt(np.maximum(1.0 - q[:, 1] ** 2 - q[:, 2] ** 2, 0.0))


def _fell(g: Array, at: Balance, way: Array) -> NDArray[np.bool_]:
    """Return whether a step led downhill."""
    with np.errstate(invalid="ignore"):
        slope = np.einsum("ni,ni->n", g + at.gradient, way)
    return np.asarray(np.isfinite(at.gradient).all(axis=-1) & (slope < 0.0))
