"""Derivatives of a vectorised function, by complex step or by differences.

Every function here maps points on the last axis to values on the last axis,
(..., n) -> (..., m), and is called once for all shifted points together.

References
----------
.. [1] W. Squire and G. Trapp, *Using complex variables to estimate derivatives of
   real functions*, SIAM Review 40(1), 1998, 110-112 (from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from splinewise.core.quantities import Array, finite, positive

__all__ = [
    "Derivative",
    "Function",
    "JacobianFunction",
    "central_difference",
    "complex_step",
    "difference_scale",
]

Function = Callable[[Array], Array]
"""Points, shape (..., n), to values, shape (..., m)."""

JacobianFunction = Callable[[Array], Array]
"""Points, shape (..., n), to derivatives, shape (..., m, n)."""

# A step of scale · ε^(1/5) balances the h⁴ that is left out against rounding ε / h.
STEP = float(np.finfo(np.float64).eps ** 0.2)
TINY = 1e-30


@dataclass(frozen=True, slots=True, eq=False)
class Derivative:
    """A Jacobian and how far it may be out.

    Attributes
    ----------
    jacobian : ndarray, shape (..., m, n)
        Derivative of each value by each coordinate. [unit]
    error : ndarray, shape (..., m, n)
        Estimate of its error: what halving the step changed, and rounding. [unit]
    """

    jacobian: Array
    error: Array


def difference_scale(point: ArrayLike) -> Array:
    """Scale of each coordinate where nothing better is known: its size, or 1 near 0.

    Below a millionth the size is taken for the rounding of a zero (own choice).

    Parameters
    ----------
    point : array_like, shape (..., n)
        Where the derivative is wanted. [unit]

    Returns
    -------
    ndarray, shape (..., n)
        Scale. [unit]
    """
    size = np.abs(finite("point", point, "[unit]"))
    return np.where(size > 1e-6, size, 1.0)


def complex_step(
    function: Callable[[NDArray[np.complex128]], NDArray[np.complex128]],
    point: ArrayLike,
) -> Array:
    """Jacobian without cancellation, Im f(x + i h) / h with h = 1e-30 ([1]_).

    Exact to rounding for functions made of analytic operations; wrong, without a
    warning, where the function takes an absolute value, a norm, a real part or a
    comparison of the varied numbers.

    Parameters
    ----------
    function : callable, shape (..., n) -> (..., m)
        Vectorised function that takes complex numbers. [unit]
    point : array_like, shape (..., n)
        Where. [unit]

    Returns
    -------
    ndarray, shape (..., m, n)
        Derivatives. [unit]
    """
    x = finite("point", point, "[unit]")
    shifted = x[..., None, :] + 1j * TINY * np.eye(x.shape[-1])
    values = np.imag(function(shifted)) / TINY
    return np.ascontiguousarray(np.swapaxes(values, -1, -2), dtype=np.float64)


def central_difference(
    function: Function, point: ArrayLike, *, scale: ArrayLike | None = None
) -> Derivative:
    """Jacobian by central differences at two steps, extrapolated to fourth order.

    With D(h) = [f(x + h) − f(x − h)] / 2h the derivative is [4 D(h) − D(2h)] / 3.
    What is left out goes as h⁴ f⁽⁵⁾; the stated error, |D(h) − D(2h)| / 3 reduced by
    the ratio (h / scale)² plus rounding ε |f| / h, is an estimate and not a bound.

    Parameters
    ----------
    function : callable, shape (..., n) -> (..., m)
        Vectorised function. [unit]
    point : array_like, shape (..., n)
        Where. [unit]
    scale : array_like, shape (..., n), optional
        Over what change of each coordinate the function bends noticeably; the step
        is 0.07 % of it.  By default `difference_scale`. [unit]

    Returns
    -------
    Derivative, shape (..., m, n)
        Derivatives and their errors. [unit]
    """
    x = finite("point", point, "[unit]")
    reach = difference_scale(x) if scale is None else positive("scale", scale, "[unit]")
    reach = np.broadcast_to(reach, x.shape)
    # The step that the machine really takes, so that x + h − x is exactly h.
    h = (x + STEP * reach) - x
    h = np.where(h > 0.0, h, STEP * reach)
    n = x.shape[-1]
    shifts = h[..., None, :] * np.eye(n)
    points = x[..., None, None, :] + np.stack(
        [shifts, -shifts, 2 * shifts, -2 * shifts], axis=-3
    )
    f = np.asarray(function(points), dtype=np.float64)
    over_h = h[..., :, None]
    near = (f[..., 0, :, :] - f[..., 1, :, :]) / (2 * over_h)
    far = (f[..., 2, :, :] - f[..., 3, :, :]) / (4 * over_h)
    rounding = np.finfo(np.float64).eps * np.abs(f).max(axis=-3) / over_h
    error = np.abs(near - far) / 3 * STEP**2 + rounding
    jacobian = (4 * near - far) / 3
    return Derivative(np.swapaxes(jacobian, -1, -2), np.swapaxes(error, -1, -2))
