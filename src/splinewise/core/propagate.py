"""Doubt carried through a function, to first order, and how much it bends.

The function is vectorised: points on the last axis to values on the last axis.

References
----------
.. [1] JCGM 100:2008, *Guide to the expression of uncertainty in measurement*, 5.1.2
   and 5.2.2 (the law of propagation), the note to 5.1.2 (second order), G.4.1
   (effective degrees of freedom).  Clauses from memory; see the tests.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.derivatives import (
    Function,
    JacobianFunction,
    central_difference,
)
from splinewise.core.quantities import Array, finite, refuse_where
from splinewise.errors import TaskError

__all__ = ["Bend", "FirstOrder", "bend", "effective_dof", "first_order", "propagate"]


@dataclass(frozen=True, slots=True, eq=False)
class FirstOrder:
    """Values of a function and their doubt, the function taken as linear.

    Attributes
    ----------
    value : ndarray, shape (..., m)
        The function at the best estimates. [unit]
    covariance : ndarray, shape (..., m, m)
        J C Jᵀ. [unit]
    jacobian : ndarray, shape (..., m, n)
        Derivative of each value by each input, J. [unit]
    derivative_error : ndarray, shape (..., m)
        What the error of the derivatives could add to each standard uncertainty; 0
        for derivatives that were given. [unit]
    standard_in : ndarray, shape (n,)
        Standard uncertainty of each input. [unit]
    """

    value: Array
    covariance: Array
    jacobian: Array
    derivative_error: Array
    standard_in: Array

    @property
    def standard(self) -> Array:
        """Standard uncertainty of each value, shape (..., m). [unit]"""
        variance = np.diagonal(self.covariance, axis1=-2, axis2=-1)
        return np.asarray(np.sqrt(np.maximum(variance, 0.0)))

    @property
    def contributions(self) -> Array:
        """What each input alone would make of each value, |J| u, (..., m, n). [unit]"""
        return np.asarray(np.abs(self.jacobian) * self.standard_in)

    @property
    def correlation(self) -> Array:
        """Correlation between the values, shape (..., m, m). [1]"""
        u = self.standard
        safe = np.where(u > 0.0, u, 1.0)
        return np.asarray(self.covariance / safe[..., :, None] / safe[..., None, :])


@dataclass(frozen=True, slots=True, eq=False)
class Bend:
    """What second derivatives add to a first-order result.

    Attributes
    ----------
    shift : ndarray, shape (m,)
        ½ Σ fᵢⱼ Cᵢⱼ: how far the mean lies from the value at the best estimates. [unit]
    standard : ndarray, shape (m,)
        Standard uncertainty with the second derivatives counted. [unit]
    share : ndarray, shape (m,)
        Size of both beside the first-order standard uncertainty; infinite where that
        is zero and the function bends. [1]
    """

    shift: Array
    standard: Array
    share: Array


def _covariance(covariance: ArrayLike, n: int) -> Array:
    C = finite("covariance", covariance, "[unit]")
    if C.shape != (n, n):
        msg = f"The covariance of {n} inputs must be {n} by {n}; got {C.shape}."
        raise TaskError(msg)
    own = np.diagonal(C)
    refuse_where(own < 0.0, "covariance", own, "[unit]", "0 or more on its diagonal")
    return C


def propagate(jacobian: ArrayLike, covariance: ArrayLike) -> Array:
    """Carry a covariance through derivatives, J C Jᵀ ([1]_, 5.2.2).

    Parameters
    ----------
    jacobian : array_like, shape (..., m, n)
        Derivative of each value by each input, J. [unit]
    covariance : array_like, shape (n, n)
        Covariance of the inputs, C. [unit]

    Returns
    -------
    ndarray, shape (..., m, m)
        Covariance of the values. [unit]
    """
    J = finite("jacobian", jacobian, "[unit]")
    C = _covariance(covariance, J.shape[-1])
    return np.asarray(J @ C @ np.swapaxes(J, -1, -2))


def first_order(
    function: Function,
    point: ArrayLike,
    covariance: ArrayLike,
    *,
    jacobian: JacobianFunction | None = None,
) -> FirstOrder:
    """Value of a function and its doubt to first order ([1]_, 5.1.2 and 5.2.2).

    Parameters
    ----------
    function : callable, shape (..., n) -> (..., m)
        Vectorised function. [unit]
    point : array_like, shape (..., n)
        Best estimates of the inputs. [unit]
    covariance : array_like, shape (n, n)
        Their covariance. [unit]
    jacobian : callable, shape (..., n) -> (..., m, n), optional
        Derivatives, by jets or `complex_step`; by default central differences over a
        range of about the inputs' doubt. [unit]

    Returns
    -------
    FirstOrder
        Values, covariance, and the parts of each input. [unit]

    Raises
    ------
    TaskError
        If the function has no value at the point.

    Examples
    --------
    >>> def area(x):
    ...     return x[..., 0:1] * x[..., 1:2]
    >>> found = first_order(area, [2.0, 3.0], [[0.01, 0.0], [0.0, 0.04]])
    >>> print(f"{found.value[0]:.1f} ± {found.standard[0]:.1f} m²")
    6.0 ± 0.5 m²
    """
    x = finite("point", point, "[unit]")
    C = _covariance(covariance, x.shape[-1])
    u = np.sqrt(np.diagonal(C))
    with np.errstate(all="ignore"):
        value = np.asarray(function(x), dtype=np.float64)
    if not np.all(np.isfinite(value)):
        msg = "The function has no value at the best estimates, so none has a doubt."
        raise TaskError(msg)
    if jacobian is None:
        size = np.abs(x)
        base = np.where(size > 1e-6, size, 1.0)
        # Ten times the doubt is a range that matters; no doubt falls back on the size.
        scale = np.where(u > 0.0, np.clip(10.0 * u, 1e-4 * base, base), base)
        with np.errstate(all="ignore"):
            found = central_difference(function, x, scale=scale)
        J, error = found.jacobian, found.error
    else:
        J = np.asarray(jacobian(x), dtype=np.float64)
        error = np.zeros_like(J)
    if not np.all(np.isfinite(J)):
        msg = "The function has no value close to the best estimates: no first order."
        raise TaskError(msg)
    return FirstOrder(
        value=value,
        covariance=np.asarray(J @ C @ np.swapaxes(J, -1, -2)),
        jacobian=J,
        derivative_error=np.asarray(np.sqrt(np.sum((error * u) ** 2, axis=-1))),
        standard_in=u,
    )


def bend(function: Function, point: ArrayLike, covariance: ArrayLike) -> Bend:
    """Second-order parts of mean and variance, for normal inputs ([1]_, 5.1.2 note).

    Mean: ½ tr(H C).  Variance: ½ tr(H C H C) more than first order, the terms with
    third derivatives being left out.  Second derivatives are taken by differences
    over one standard uncertainty along the axes of C, since it is the bending over
    that range which matters.

    Parameters
    ----------
    function : callable, shape (..., n) -> (..., m)
        Vectorised function. [unit]
    point : array_like, shape (n,)
        Best estimates. [unit]
    covariance : array_like, shape (n, n)
        Their covariance, C. [unit]

    Returns
    -------
    Bend
        Shift, widened doubt, and their size beside the first order. [unit]

    Raises
    ------
    TaskError
        If the function has no value within one standard uncertainty.
    """
    x = finite("point", point, "[unit]")
    n = x.size
    C = _covariance(covariance, n)
    u = np.sqrt(np.diagonal(C))
    scale = np.where(u > 0.0, u, 1.0)
    # Independent directions of one standard uncertainty; scaled, for mixed units.
    values, vectors = np.linalg.eigh(C / scale / scale[:, None])
    axes = (vectors * np.sqrt(np.maximum(values, 0.0))).T * scale
    with np.errstate(all="ignore"):
        f0 = np.asarray(function(x), dtype=np.float64)
        ends = np.asarray(function(x + np.stack([axes, -axes])), dtype=np.float64)
        pairs = axes[:, None] + axes[None, :]
        cross = axes[:, None] - axes[None, :]
        both = np.asarray(
            function(x + np.stack([pairs, -pairs, cross, -cross])), dtype=np.float64
        )
    if not all(np.all(np.isfinite(f)) for f in (f0, ends, both)):
        msg = "The function has no value within one standard uncertainty."
        raise TaskError(msg)
    slope = (ends[0] - ends[1]) / 2.0
    H = (both[0] + both[1] - both[2] - both[3]) / 4.0
    straight = ends[0] + ends[1] - 2.0 * f0
    H[np.arange(n), np.arange(n)] = straight
    first = np.sum(slope**2, axis=0)
    more = 0.5 * np.sum(H**2, axis=(0, 1))
    shift = 0.5 * np.sum(straight, axis=0)
    extra = np.sqrt(more) + np.abs(shift)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(extra > 0.0, extra / np.sqrt(first), 0.0)
    return Bend(shift, np.asarray(np.sqrt(first + more)), share)


def effective_dof(contributions: ArrayLike, dof: ArrayLike) -> Array:
    """Degrees of freedom behind a combined doubt, by Welch and Satterthwaite.

    ν = u⁴ / Σ (uᵢ⁴ / νᵢ) ([1]_, G.4.1).

    Parameters
    ----------
    contributions : array_like, shape (..., n)
        Parts of the standard uncertainty, uᵢ. [unit]
    dof : array_like, shape (n,)
        Degrees of freedom of each; infinite for a part that is known. [1]

    Returns
    -------
    ndarray, shape (...)
        Degrees of freedom, ν; infinite where all parts are known. [1]
    """
    u = finite("contributions", contributions, "[unit]")
    n = np.asarray(dof, dtype=np.float64)
    refuse_where(~(n > 0.0), "dof", n, "", "positive")
    total = np.sum(u**2, axis=-1) ** 2
    below = np.sum(u**4 / n, axis=-1)
    with np.errstate(divide="ignore"):
        return np.where(below > 0.0, total / np.where(below > 0.0, below, 1.0), np.inf)
