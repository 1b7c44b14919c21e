"""Weighted nonlinear least squares: readings to values, doubts and tests.

The model is a vectorised function of the unknowns, shape (..., n) -> (..., m).
What is known beforehand enters as pseudo-readings; what must hold exactly, as linear
constraints.  The normal equations are never formed: the solution and the covariance
come from a QR factorisation of the weighted Jacobian with scaled columns.

References
----------
.. [1] E. M. Mikhail and F. Ackermann, *Observations and least squares*, 1976: the
   model, the covariance and the constraints (general reference, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from splinewise.core.derivatives import (
    Function,
    JacobianFunction,
    central_difference,
    difference_scale,
)
from splinewise.core.fit_result import Fit
from splinewise.core.fit_rows import (
    Constraints,
    Free,
    Prior,
    Rows,
    covariance_of,
    independent_prior,
)
from splinewise.core.gauss_newton import minimise
from splinewise.core.quantities import Array, finite, positive
from splinewise.errors import TaskError

__all__ = ["Constraints", "Fit", "Prior", "fit", "fit_linear", "independent_prior"]

EPS = float(np.finfo(np.float64).eps)


def fit(
    model: Function,
    start: ArrayLike,
    observed: ArrayLike,
    standard: ArrayLike,
    *,
    jacobian: JacobianFunction | None = None,
    prior: Prior | None = None,
    constraints: Constraints | None = None,
    scale: ArrayLike | None = None,
    names: Sequence[str] = (),
    limit: int = 100,
    partial: bool = False,
) -> Fit:
    """Fit the unknowns of `model` to readings.

    Minimises vᵀ P v with v = h(x) − l for the readings and x − x₀ for the priors.

    Parameters
    ----------
    model : callable, shape (..., n) -> (..., m)
        What the readings would be, h; values that are not finite mark unknowns that
        the mechanism cannot take. [unit]
    start : array_like, shape (..., n)
        First guess; leading axes are a batch of fits. [unit]
    observed : array_like, shape (..., m)
        The readings, l. [unit]
    standard : array_like, shape (m,)
        Their standard uncertainties. [unit]
    jacobian : callable, shape (..., n) -> (..., m, n), optional
        Derivatives of the model; by default central differences. [unit]
    prior : Prior, shape (q,), optional
        What is known beforehand. [unit]
    constraints : Constraints, shape (k,), optional
        What must hold exactly. [unit]
    scale : array_like, shape (n,), optional
        Over what change of each unknown the model bends noticeably, for the
        differences; by default the size of `start`. [unit]
    names : sequence of str, shape (n,), optional
        What the unknowns are called in messages. [1]
    limit : int, shape (), default 100
        Most steps to try. [1]
    partial : bool, shape (), default False
        Whether to return a batch of which some did not settle: `converged` says
        which, and their figures mean nothing. [1]

    Returns
    -------
    Fit, shape (...)
        Values, covariance, residuals and tests. [unit]

    Raises
    ------
    QuantityError
        If a number is not finite, or a standard uncertainty not positive.
    TaskError
        If the readings do not fix all unknowns, the model has no value at `start`,
        or the search does not settle.

    Examples
    --------
    >>> tape = np.array([0.6401, 0.6397, 0.6402])
    >>> same = fit(lambda x: x + np.zeros(3), [0.64], tape, [3e-4, 3e-4, 3e-4])
    >>> print(f"{same.parameters[0]:.4f} ± {same.doubts[0]:.4f} m")
    0.6400 ± 0.0002 m
    """
    x0 = finite("start", start, "[unit]")
    readings = finite("observed", observed, "[unit]")
    batch = np.broadcast_shapes(x0.shape[:-1], readings.shape[:-1])
    n, m = x0.shape[-1], readings.shape[-1]
    u = np.broadcast_to(positive("standard", standard, "[unit]"), (m,))
    count = int(np.prod(batch, dtype=np.intp))
    x = np.broadcast_to(x0, (*batch, n)).reshape(count, n)
    rows = Rows.of(m, n, u, prior)
    l = rows.stack(np.broadcast_to(readings, (*batch, m)).reshape(count, m))
    reach = difference_scale(x0).reshape(-1, n).max(axis=0)
    reach = reach if scale is None else np.broadcast_to(scale, (n,))
    by = jacobian or (lambda p: central_difference(model, p, scale=reach).jacobian)
    free = Free.of(n, constraints)

    def residual(y: Array, which: NDArray[np.intp]) -> Array:
        return rows.whiten(rows.values(model, free.full(y, x[which])) - l[which])

    def slope(y: Array, which: NDArray[np.intp]) -> Array:
        A = rows.derivative(by, free.full(y, x[which]))
        return rows.whiten_matrix(A) @ free.basis

    begin = np.zeros((count, free.basis.shape[1]))
    if not np.all(np.isfinite(rows.values(model, free.full(begin, x)))):
        msg = "The model has no value at the starting point of the fit."
        raise TaskError(msg)
    found = minimise(
        residual,
        slope,
        begin,
        scale=np.sqrt(reach**2 @ free.basis**2),
        noise=16.0 * EPS * np.linalg.norm(rows.whiten(l), axis=-1),
        limit=limit,
    )
    best = free.full(found.point, x)
    A = rows.derivative(by, best)
    inner = covariance_of(rows.whiten_matrix(A) @ free.basis, free.basis, names)
    if not partial and not np.all(found.converged):
        msg = (
            f"The fit did not settle in {limit} steps; "
            "start nearer, or leave out what the readings hardly say."
        )
        raise TaskError(msg)
    total = l.shape[-1]
    covariance = free.basis @ inner @ free.basis.T
    return Fit(
        parameters=best.reshape(*batch, n),
        covariance=covariance.reshape(*batch, n, n),
        observed=l.reshape(*batch, total),
        residuals=(rows.values(model, best) - l).reshape(*batch, total),
        standard=rows.standard,
        precision=rows.precision,
        jacobian=A.reshape(*batch, total, n),
        dof=total - free.basis.shape[1],
        readings=m,
        steps=found.steps.reshape(batch),
        converged=found.converged.reshape(batch),
    )


def fit_linear(
    design: ArrayLike,
    observed: ArrayLike,
    standard: ArrayLike,
    *,
    offset: ArrayLike = 0.0,
    prior: Prior | None = None,
    constraints: Constraints | None = None,
    names: Sequence[str] = (),
) -> Fit:
    """Fit a model that is linear in its unknowns, h(x) = A x + b.

    Parameters
    ----------
    design : array_like, shape (m, n)
        Derivative of each reading by each unknown, A. [unit]
    observed, standard : array_like, shape (..., m), (m,)
        Readings and their standard uncertainties. [unit]
    offset : array_like, shape (m,), default 0
        What the readings would be with all unknowns at zero, b. [unit]
    prior, constraints, names : optional, shape ()
        As in `fit`. [unit]

    Returns
    -------
    Fit, shape (...)
        As from `fit`. [unit]

    Raises
    ------
    QuantityError, TaskError
        As `fit` does.
    """
    A = finite("design", design, "[unit]")
    b = finite("offset", offset, "[unit]")
    return fit(
        lambda x: x @ A.T + b,
        np.zeros(A.shape[1]),
        observed,
        standard,
        jacobian=lambda x: np.broadcast_to(A, (*x.shape[:-1], *A.shape)),
        scale=np.full(A.shape[1], 1e100),
        prior=prior,
        constraints=constraints,
        names=names,
    )
