"""What most readings agree on, and a fit taken about that point.

A gross misread bends a least-squares fit of a nonlinear model so far that tests on
its residuals point the wrong way.  A fit that gives far-out residuals little weight
is hardly bent; about the point it finds, the model is taken as linear, and there the
tests mean what they say.

References
----------
.. [1] P. J. Huber, *Robust statistics*, 1981; the Cauchy weight and its constant
   2.385, 95 % as good as least squares on normal errors, from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from splinewise.core.derivatives import (
    Function,
    JacobianFunction,
    central_difference,
    difference_scale,
)
from splinewise.core.fit_result import Fit
from splinewise.core.fit_rows import Constraints, Free, Prior, Rows
from splinewise.core.gauss_newton import minimise
from splinewise.core.leastsquares import fit_linear
from splinewise.core.quantities import Array, finite, positive

__all__ = ["bounded", "fit_about", "most_agreed"]

CAUCHY = 2.385


def bounded(residual: Array, jacobian: Array | None = None) -> tuple[Array, Array]:
    """Shrink far-out residuals, ρ = c √ln(1 + v²/c²), with their derivatives ([1]_).

    Parameters
    ----------
    residual : ndarray, shape (..., m)
        Residuals over their doubts, v. [1]
    jacobian : ndarray, shape (..., m, n), optional
        Their derivatives. [unit]

    Returns
    -------
    shrunk : ndarray, shape (..., m)
        ρ with the sign of v. [1]
    slope : ndarray, shape (..., m, n)
        Derivatives of ρ; without `jacobian`, shape (..., m, 1), those by v. [unit]
    """
    v = residual
    far = 1.0 + (v / CAUCHY) ** 2
    shrunk = np.sign(v) * CAUCHY * np.sqrt(np.log(far))
    near = np.abs(v) < 1e-4
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = np.where(near, 1.0, v / (shrunk * far))
    shrunk = np.where(near, v, shrunk)
    by = slope[..., None]
    return shrunk, by if jacobian is None else by * jacobian


def most_agreed(
    model: Function,
    start: ArrayLike,
    observed: ArrayLike,
    standard: ArrayLike,
    *,
    jacobian: JacobianFunction | None = None,
    prior: Prior | None = None,
    constraints: Constraints | None = None,
    scale: ArrayLike | None = None,
    limit: int = 200,
) -> Array:
    """Find the unknowns that most readings agree on.

    Parameters
    ----------
    model : callable, shape (..., n) -> (..., m)
        What the readings would be. [unit]
    start : array_like, shape (n,)
        First guess, such as the least-squares fit. [unit]
    observed, standard : array_like, shape (m,)
        Readings and their standard uncertainties. [unit]
    jacobian : callable, shape (..., n) -> (..., m, n), optional
        Derivatives of the model; by default central differences. [unit]
    prior : Prior, optional
        What is known beforehand; it is doubted like a reading.
    constraints : Constraints, optional
        What must hold exactly.
    scale : array_like, shape (n,), optional
        As in `fit`. [unit]
    limit : int, default 200
        Most steps to try; the best point so far is returned after them. [1]

    Returns
    -------
    ndarray, shape (n,)
        The unknowns; they have no doubt of their own: pass them to `fit_about`. [unit]
    """
    x = finite("start", start, "[unit]")
    read = finite("observed", observed, "[unit]")
    n, m = x.size, read.size
    u = np.broadcast_to(positive("standard", standard, "[unit]"), (m,))
    rows = Rows.of(m, n, u, prior)
    free = Free.of(n, constraints)
    l = rows.stack(read)
    reach = difference_scale(x) if scale is None else np.broadcast_to(scale, (n,))
    by = jacobian or (lambda p: central_difference(model, p, scale=reach).jacobian)

    def plain(y: Array) -> Array:
        return rows.whiten(rows.values(model, free.full(y, x)) - l)

    def residual(y: Array, _which: NDArray[np.intp]) -> Array:
        return bounded(plain(y))[0]

    def slope(y: Array, _which: NDArray[np.intp]) -> Array:
        A = rows.derivative(by, free.full(y, x))
        return bounded(plain(y), rows.whiten_matrix(A) @ free.basis)[1]

    noise = np.array([1e-9 * np.linalg.norm(rows.whiten(l))])
    found = minimise(
        residual,
        slope,
        np.zeros((1, free.basis.shape[1])),
        scale=np.sqrt(reach**2 @ free.basis**2),
        noise=np.minimum(noise, 1e-6),
        limit=limit,
    )
    return free.full(found.point[0], x)


def fit_about(
    model: Function,
    point: ArrayLike,
    observed: ArrayLike,
    standard: ArrayLike,
    *,
    jacobian: JacobianFunction | None = None,
    prior: Prior | None = None,
    constraints: Constraints | None = None,
    scale: ArrayLike | None = None,
    names: Sequence[str] = (),
) -> Fit:
    """Fit with the model taken as linear about a point.

    Parameters
    ----------
    model : callable, shape (..., n) -> (..., m)
        What the readings would be. [unit]
    point : array_like, shape (n,)
        Where its derivatives are taken. [unit]
    observed, standard : array_like, shape (m,)
        Readings and their standard uncertainties. [unit]
    jacobian : callable, shape (..., n) -> (..., m, n), optional
        Derivatives of the model; by default central differences. [unit]
    prior : Prior, optional
        What is known beforehand.
    constraints : Constraints, optional
        What must hold exactly.
    scale : array_like, shape (n,), optional
        As in `fit`. [unit]
    names : sequence of str, shape (n,), optional
        What the unknowns are called in messages.

    Returns
    -------
    Fit
        Its residuals are those of the linear model. [unit]
    """
    x = finite("point", point, "[unit]")
    by: Callable[[Array], Array] = jacobian or (
        lambda p: central_difference(model, p, scale=scale).jacobian
    )
    A = np.asarray(by(x), dtype=np.float64)
    return fit_linear(
        A,
        observed,
        standard,
        offset=np.asarray(model(x), dtype=np.float64) - A @ x,
        prior=prior,
        constraints=constraints,
        names=names,
    )
