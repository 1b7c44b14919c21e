"""Newton's method on the forces out of balance: the short way to rest."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from splinewise.core.quantities import Array
from splinewise.core.vehicle.balance import Balance
from splinewise.core.vehicle.prepared import Prepared

__all__ = ["AT_REST", "definite", "longest_step", "newton"]

AT_REST = 1e-11
"""Force out of balance that counts as none, as a share of the weight. [1]"""

_MOST_STEPS = 25
Take = Callable[[Balance, NDArray[np.int64], NDArray[np.int64]], None]


def newton(ready: Prepared, q: Array, steps: NDArray[np.int64], take: Take) -> None:
    """Let cars come to rest by Newton's method, dropping those that have.

    A step that does not lessen the forces is taken back and tried shorter; a car
    that is not at rest after a score of steps is left to slower ways.

    Parameters
    ----------
    ready : Prepared, shape (N,)
        The vehicles. [kg]
    q : ndarray, shape (N, 3 + n)
        Where to start; where each came to is written into it. [unit]
    steps : ndarray of int, shape (N,)
        To which the steps that each took are added. [1]
    take : callable
        Called with a balance, the places in it of cars at rest, and their places
        among all.
    """
    going = np.arange(ready.count)
    some, at = ready, ready.at(q)
    gradient, hessian, off = at.gradient, at.hessian, ready.off(at.gradient)
    damping = np.zeros(ready.count)
    for turn in range(_MOST_STEPS + 1):
        resting = np.flatnonzero(off < AT_REST)
        if resting.size:
            take(at, resting, going[resting])
            keep = np.flatnonzero(off >= AT_REST)
            some = some.some(keep)
            gradient, hessian, off = gradient[keep], hessian[keep], off[keep]
            going, damping = going[keep], damping[keep]
        if not going.size or turn == _MOST_STEPS:
            break
        tried = q[going] + _step(gradient, hessian, damping)
        at = some.at(tried)
        new_off = some.off(at.gradient)
        better = new_off < off
        q[going[better]] = tried[better]
        gradient = np.where(better[:, None], at.gradient, gradient)
        hessian = np.where(better[:, None, None], at.hessian, hessian)
        off = np.where(better, new_off, off)
        eased = np.where(damping <= 1e-4, 0.0, 0.1 * damping)
        damping = np.where(better, eased, np.maximum(10.0 * damping, 1e-4))
        steps[going] += 1


def _step(gradient: Array, hessian: Array, damping: Array) -> Array:
    """Return damped Newton steps, none longer than the linkages' geometry bears."""
    size = gradient.shape[-1]
    diagonal = np.abs(np.einsum("...ii->...i", hessian))
    diagonal = np.maximum(diagonal, 1e-9 * diagonal.max(axis=-1, keepdims=True) + 1e-12)
    # The least damping keeps a car whose tyres are all off the floor solvable.
    more = (damping[:, None] + 1e-14) * diagonal
    damped = hessian + more[..., None] * np.eye(size)
    known = np.isfinite(damped).all(axis=(-2, -1), keepdims=True)
    damped = np.where(known, damped, np.eye(size))
    right = np.nan_to_num(gradient)[..., None]
    try:
        step = -np.linalg.solve(damped, right)[..., 0]
    except np.linalg.LinAlgError:
        # One of them is singular to the last digit; the little more takes it off that.
        firmer = damped + (1e-9 * diagonal)[..., None] * np.eye(size)
        step = -np.linalg.solve(firmer, right)[..., 0]
    longest = np.max(np.abs(step) / longest_step(size), axis=-1)
    return np.asarray(step / np.maximum(longest, 1.0)[:, None])


def longest_step(size: int) -> Array:
    """Return the longest step of each unknown.

    Parameters
    ----------
    size : int
        How many unknowns, 3 + n. [1]

    Returns
    -------
    ndarray, shape (3 + n,)
        Of heave, lean and arm angles. [unit]
    """
    return np.concatenate([[0.1, 0.1, 0.1], np.full(size - 3, 0.2)])


def definite(hessian: Array) -> NDArray[np.bool_]:
    """Return whether symmetric matrices are positive definite, by their pivots.

    Parameters
    ----------
    hessian : ndarray, shape (..., k, k)
        The matrices. [N/m]

    Returns
    -------
    ndarray of bool, shape (...)
        Whether all pivots are above rounding. [1]
    """
    A = np.moveaxis(hessian, (-2, -1), (0, 1)).copy()
    size = A.shape[0]
    good = np.ones(A.shape[2:], dtype=np.bool_)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        first = A[np.arange(size), np.arange(size)].copy()
        for i in reversed(range(size)):
            good &= A[i, i] > 1e-10 * np.abs(first[i])
            factor = A[i, :i] / A[i, i]
            A[:i, :i] -= factor[:, None] * A[i, :i][None]
    return good
