"""Tails and quantiles of the normal, chi-square and Student distributions.

The special functions are imported on the first call, so that a program that never
tests anything does not pay for them.

References
----------
.. [1] W. Baarda, *A testing procedure for use in geodetic networks*, Netherlands
   Geodetic Commission, Publications on Geodesy 2(5), 1968.
.. [2] A. J. Pope, *The statistics of residuals and the detection of outliers*, NOAA
   Technical Report NOS 65 NGS 1, 1976.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite, refuse_where

__all__ = [
    "chance",
    "chi_square_above",
    "chi_square_quantile",
    "matching_significance",
    "normal_below",
    "normal_quantile",
    "noticed_shift",
    "student_quantile",
    "tau_quantile",
]


@cache
def _special() -> Any:
    return import_module("scipy.special")


def _array(value: Any) -> Array:
    return np.asarray(value, dtype=np.float64)


def chance(name: str, value: ArrayLike) -> Array:
    """Return `value` as a float array; raise unless all lies between 0 and 1.

    Parameters
    ----------
    name : str, shape ()
        The argument, as the caller spells it. [1]
    value : array_like, shape (...)
        Probabilities, neither 0 nor 1. [1]

    Returns
    -------
    ndarray, shape (...)
        The same numbers. [1]

    Raises
    ------
    QuantityError
        If any is not above 0 and below 1.
    """
    p = finite(name, value, "")
    refuse_where((p <= 0.0) | (p >= 1.0), name, p, "", "above 0 and below 1")
    return p


def normal_below(z: ArrayLike) -> Array:
    """Probability that a standard normal number is below z, Φ(z).

    Parameters
    ----------
    z : array_like, shape (...)
        Where to cut; infinite is allowed. [1]

    Returns
    -------
    ndarray, shape (...)
        Probability, Φ. [1]
    """
    return _array(_special().ndtr(_array(z)))


def normal_quantile(probability: ArrayLike) -> Array:
    """Find the number that a standard normal one stays below, Φ⁻¹(p).

    Parameters
    ----------
    probability : array_like, shape (...)
        Probability of staying below, p. [1]

    Returns
    -------
    ndarray, shape (...)
        Quantile. [1]
    """
    return _array(_special().ndtri(chance("probability", probability)))


def chi_square_above(value: ArrayLike, dof: ArrayLike) -> Array:
    """Probability that a chi-square number is above `value`.

    Parameters
    ----------
    value : array_like, shape (...)
        Where to cut, not below 0. [1]
    dof : array_like, shape (...)
        Degrees of freedom; 0 gives 1, since nothing is there to test. [1]

    Returns
    -------
    ndarray, shape (...)
        Probability. [1]
    """
    q, n = np.broadcast_arrays(_array(value), _array(dof))
    return np.where(n > 0, _array(_special().chdtrc(np.maximum(n, 1.0), q)), 1.0)


def chi_square_quantile(probability: ArrayLike, dof: ArrayLike) -> Array:
    """Find the number that a chi-square one stays below with `probability`.

    Parameters
    ----------
    probability : array_like, shape (...)
        Probability of staying below. [1]
    dof : array_like, shape (...)
        Degrees of freedom, at least 1. [1]

    Returns
    -------
    ndarray, shape (...)
        Quantile. [1]
    """
    p, n = chance("probability", probability), finite("dof", dof, "")
    refuse_where(n <= 0.0, "dof", n, "", "positive")
    return _array(2.0 * _special().gammaincinv(n / 2.0, p))


def student_quantile(probability: ArrayLike, dof: ArrayLike) -> Array:
    """Find the number that Student's t stays below with `probability`.

    Parameters
    ----------
    probability : array_like, shape (...)
        Probability of staying below. [1]
    dof : array_like, shape (...)
        Degrees of freedom; infinite gives the normal quantile. [1]

    Returns
    -------
    ndarray, shape (...)
        Quantile. [1]
    """
    p, n = np.broadcast_arrays(chance("probability", probability), _array(dof))
    refuse_where(~(n > 0.0), "dof", n, "", "positive")
    endless = np.isinf(n)
    t = _special().stdtrit(np.where(endless, 1.0, n), p)
    return np.where(endless, normal_quantile(p), _array(t))


def tau_quantile(significance: ArrayLike, dof: ArrayLike) -> Array:
    """Two-sided critical value of a residual scaled by the fit's own s0 ([2]_).

    τ = t √(ν / (ν − 1 + t²)) with t of Student's distribution at ν − 1 degrees of
    freedom.  With one degree of freedom every |τ| is 1 and nothing can be tested:
    infinite is returned.

    Parameters
    ----------
    significance : array_like, shape (...)
        Chance of a false alarm, both tails together. [1]
    dof : array_like, shape (...)
        Degrees of freedom of the fit, ν. [1]

    Returns
    -------
    ndarray, shape (...)
        Critical value of |τ|. [1]
    """
    a, n = np.broadcast_arrays(chance("significance", significance), _array(dof))
    testable = n > 1.0
    below = np.where(testable, n - 1.0, 1.0)
    t = student_quantile(1.0 - a / 2.0, below)
    return np.where(testable, t * np.sqrt(n / (below + t * t)), np.inf)


def noticed_shift(significance: ArrayLike, power: ArrayLike) -> Array:
    """Shift of a standard normal test that is noticed with a given power, δ₀ ([1]_).

    δ₀ = Φ⁻¹(1 − α/2) + Φ⁻¹(power); the chance of alarm on the wrong side is left
    out, which changes nothing that could be seen for shifts above 3.

    Parameters
    ----------
    significance : array_like, shape (...)
        Chance of a false alarm of one two-sided test, α. [1]
    power : array_like, shape (...)
        Chance of an alarm when the shift is there. [1]

    Returns
    -------
    ndarray, shape (...)
        Shift, δ₀. [1]

    Examples
    --------
    >>> print(f"{noticed_shift(0.001, 0.8):.2f}")
    4.13
    """
    a, b = chance("significance", significance), chance("power", power)
    return normal_quantile(1.0 - a / 2.0) + normal_quantile(b)


def matching_significance(
    dof: ArrayLike, *, significance: ArrayLike = 0.001, power: ArrayLike = 0.8
) -> Array:
    """Significance at which the test on the whole notices what the single tests do.

    Baarda's B-method ([1]_): the chi-square test with ν degrees of freedom gets the
    significance at which a shift δ₀ of one reading trips it with the same power.
    With one degree of freedom it is `significance` itself.

    Parameters
    ----------
    dof : array_like, shape (...)
        Degrees of freedom of the fit, ν, at least 1. [1]
    significance, power : array_like, shape (...)
        Of the test on a single reading, as in `noticed_shift`. [1]

    Returns
    -------
    ndarray, shape (...)
        Significance of the test on the whole. [1]
    """
    n = finite("dof", dof, "")
    refuse_where(n <= 0.0, "dof", n, "", "positive")
    b = chance("power", power)
    noncentrality = noticed_shift(significance, b) ** 2
    cut = _special().chndtrix(1.0 - b, n, noncentrality)
    return chi_square_above(cut, n)
