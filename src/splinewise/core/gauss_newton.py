"""Gauss-Newton with damping, for many small problems at once.

The step solves min |J s + f|² + λ |D s|² by QR, D being the largest column norms
seen so far, so that the units of the unknowns do not matter.  λ is zero until a
step fails to lower |f|²; steps are held to a reach that grows while they succeed.
Each problem of a batch has its own λ and reach, and stops alone.

References
----------
.. [1] D. W. Marquardt, *An algorithm for least-squares estimation of nonlinear
   parameters*, J. SIAM 11(2), 1963, 431-441 (from memory).
.. [2] J. J. Moré, *The Levenberg-Marquardt algorithm: implementation and theory*,
   Lecture Notes in Mathematics 630, 1978, 105-116: the column scaling (from memory).
.. [3] H. B. Nielsen, *Damping parameter in Marquardt's method*, report IMM-REP-1999-05,
   Technical University of Denmark: how λ follows the gain (from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from splinewise.core.quantities import Array

__all__ = ["Minimum", "minimise"]

Rows = NDArray[np.intp]
EPS = float(np.finfo(np.float64).eps)
FIRST_DAMPING = 1e-3
LARGEST_DAMPING = 1e14
TOLERANCE = 1e-10
ENOUGH = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Minimum:
    """Where the sum of squares is least, for each problem of the batch.

    Attributes
    ----------
    point : ndarray, shape (b, n)
        The unknowns. [unit]
    cost : ndarray, shape (b,)
        Sum of squares. [1]
    steps : ndarray, shape (b,)
        Steps tried. [1]
    converged : ndarray of bool, shape (b,)
        Whether the last step was negligible beside the doubt of the unknowns. [1]
    """

    point: Array
    cost: Array
    steps: NDArray[np.intp]
    converged: NDArray[np.bool_]


def minimise(
    residual: Callable[[Array, Rows], Array],
    jacobian: Callable[[Array, Rows], Array],
    start: Array,
    *,
    scale: Array,
    noise: Array,
    floor: float = 0.0,
    limit: int = 100,
) -> Minimum:
    """Find the least sum of squares of `residual` from `start`.

    A problem is done when the undamped step moves the residuals by less than 1e-10
    of their root mean square (held between 0.001 and 1), or by less than rounding.
    A residual that is not finite counts as a step that failed, so a mechanism that
    cannot be closed turns the search back.  A search that ends by running out of
    steps still counts if the step that is left is below 1e-6 by the same measure.

    Parameters
    ----------
    residual : callable, shape (b, n), (b,) -> (b, m)
        Residuals divided by their standard uncertainty; the second argument says
        which problems of the batch are asked for. [1]
    jacobian : callable, shape (b, n), (b,) -> (b, m, n)
        Their derivatives. [unit]
    start : ndarray, shape (b, n)
        First guess, where all residuals are finite. [unit]
    scale : ndarray, shape (n,)
        Over what change of each unknown the residuals bend; the first steps are held
        to it. [unit]
    noise : ndarray, shape (b,)
        Length of the residual vector that rounding alone could make. [1]
    floor : float, shape (), default 0
        Least λ; above 0 where the problem is known to be singular. [1]
    limit : int, shape (), default 100
        Most steps to try. [1]

    Returns
    -------
    Minimum, shape (b,)
        The best point found. [unit]
    """
    x = start.copy()
    count, n = x.shape
    everything = np.arange(count)
    f = residual(x, everything)
    J = jacobian(x, everything)
    cost = _squares(f)
    damping = np.full(count, floor)
    growth = np.full(count, 2.0)
    reach = np.ones(count)
    last = np.full(count, np.inf)
    columns = np.zeros((count, n))
    tried = np.zeros(count, dtype=np.intp)
    done = np.zeros(count, dtype=np.bool_)
    active = everything[np.isfinite(cost)]
    for _ in range(limit):
        if active.size == 0:
            break
        columns[active] = np.maximum(columns[active], _lengths(J[active]))
        lam = damping[active]
        step, moved, downhill = _step(J[active], f[active], columns[active], lam)
        # A step longer than the reach is shortened: far out a residual may be flat,
        # and its lower cost there would be a trap.
        long = np.sqrt(np.sum((step / scale) ** 2, axis=1)) / reach[active]
        short = 1.0 / np.maximum(long, 1.0)
        trial = x[active] + step * short[:, None]
        f_new = residual(trial, active)
        cost_new = _squares(f_new)
        predicted = short * (2.0 * downhill - short * moved**2)
        small = _small(cost[active], f.shape[1]) + noise[active]
        negligible = (moved <= small) & (short == 1.0)
        # So near the bottom the cost is all rounding and cannot judge the step; what
        # can is whether the steps still shrink.
        slack = 10.0 * (np.sqrt(cost[active]) * noise[active] + 1e-14 * cost[active])
        blind = predicted <= slack
        better = cost_new <= cost[active] + np.where(blind, slack, 0.0)
        with np.errstate(divide="ignore", invalid="ignore"):
            quality = (cost[active] - cost_new) / predicted
        ratio = moved / last[active]
        steady = np.where(ratio < 0.1, 1.0, np.where(ratio < 1.0, 0.5, 0.1))
        quality = np.where(blind, steady, quality)
        tried[active] += 1

        gained = active[better]
        x[gained] = trial[better]
        f[gained] = f_new[better]
        cost[gained] = cost_new[better]
        last[gained] = moved[better]
        growth[gained] = 2.0
        damping[gained] = _eased(lam[better], quality[better])
        reach[active[better & (quality > 0.25) & (long > 0.5)]] *= 3.0
        failed = active[~better]
        damping[failed] = np.maximum(damping[failed] * growth[failed], FIRST_DAMPING)
        growth[failed] = np.minimum(2.0 * growth[failed], 1e3)
        reach[failed] *= np.clip(0.3 * long[~better], 0.1, 0.3)
        damping[active] = np.maximum(damping[active], floor)

        done[active[negligible & (lam <= max(floor, 1e-6))]] = True
        stuck = damping[active] > LARGEST_DAMPING
        active = active[~negligible & ~stuck]
        fresh = np.intersect1d(gained, active, assume_unique=True)
        if fresh.size:
            J[fresh] = jacobian(x[fresh], fresh)
            lost = ~np.isfinite(J[fresh]).all(axis=(1, 2))
            active = np.setdiff1d(active, fresh[lost], assume_unique=True)
    rest = np.flatnonzero(~done & np.isfinite(cost) & np.isfinite(J).all(axis=(1, 2)))
    if rest.size:
        flat = np.full(rest.size, floor)
        _, moved, _ = _step(J[rest], f[rest], _lengths(J[rest]), flat)
        done[rest] = moved <= ENOUGH / TOLERANCE * _small(cost[rest], f.shape[1])
    return Minimum(x, cost, tried, done)


def _lengths(J: Array) -> Array:
    return np.asarray(np.sqrt(np.einsum("bmn,bmn->bn", J, J)))


def _small(cost: Array, rows: int) -> Array:
    """Residual movement that is negligible beside the residuals themselves."""
    return np.asarray(TOLERANCE * np.clip(np.sqrt(cost / rows), 1e-3, 1.0))


def _eased(damping: Array, quality: Array) -> Array:
    """Damping after a step that was taken: less after a good one ([3]_)."""
    factor = np.clip(1.0 - (2.0 * quality - 1.0) ** 3, 0.1, 2.0)
    eased = damping * factor
    eased = np.where((eased < 1e-8) & (quality > 0.5), 0.0, eased)
    return np.where((eased == 0.0) & (quality < 0.25), FIRST_DAMPING, eased)


def _squares(f: Array) -> Array:
    with np.errstate(over="ignore", invalid="ignore"):
        total = np.einsum("bm,bm->b", f, f)
    return np.where(np.isfinite(total), total, np.inf)


def _step(
    J: Array, f: Array, columns: Array, damping: Array
) -> tuple[Array, Array, Array]:
    """Return the step, how far it moves the residuals, and how steeply they fall."""
    m = J.shape[1]
    D = np.where(columns > 0.0, columns, 1.0)
    scaled = J / D[:, None, :]
    lam = damping
    q, r = _damped_qr(scaled, lam)
    # Columns that the readings do not see would blow the step up: damp those alone.
    size = np.abs(np.diagonal(r, axis1=1, axis2=2))
    singular = size.min(axis=1) <= 1e-11 * size.max(axis=1)
    if np.any(singular):
        lam = np.where(singular, np.maximum(lam, 1e-10), lam)
        q, r = _damped_qr(scaled, lam)
    s = -np.linalg.solve(r, np.einsum("bmn,bm->bn", q[:, :m], f)[..., None])[..., 0]
    change = np.einsum("bmn,bn->bm", scaled, s)
    moved = np.sqrt(np.einsum("bm,bm->b", change, change))
    return s / D, moved, -np.einsum("bm,bm->b", f, change)


def _damped_qr(scaled: Array, damping: Array) -> tuple[Array, Array]:
    rows = np.sqrt(damping)[:, None, None] * np.eye(scaled.shape[2])
    stacked = np.concatenate([scaled, rows], axis=1)
    q, r = np.linalg.qr(stacked)
    return q, r
