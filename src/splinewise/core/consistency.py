"""Do several values of one quantity agree, and what is their mean?

References
----------
.. [1] R. T. Birge, *The calculation of errors by the method of least squares*,
   Physical Review 40, 1932, 207-227 (from memory).
.. [2] ISO/IEC 17043, En number (from memory).
.. [3] M. G. Cox, *The evaluation of key comparison data: determining the largest
   consistent subset*, Metrologia 44, 2007, 187-200 (as described in a public package).
.. [4] R. C. Paule and J. Mandel, *Consensus values and weighting factors*, Journal of
   Research of the NBS 87, 1982, 377-385 (as described in a public package).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from math import comb

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite, positive, refuse_where
from splinewise.core.tails import chance, chi_square_above

__all__ = [
    "Consensus",
    "Mean",
    "between_mean",
    "en_number",
    "largest_consistent_subset",
    "weighted_mean",
]

MOST_SUBSETS = 200_000


@dataclass(frozen=True, slots=True)
class Mean:
    """Weighted mean of values, and whether they agree with it.

    Attributes
    ----------
    value, standard : float
        Mean and its standard uncertainty from the stated ones. [unit]
    chi_square : float
        Sum of the squared deviations over their doubts. [1]
    dof : int
        Values less one. [1]
    chance : float
        Chance of a sum as large by values as good as stated. [1]
    birge : float
        √(chi-square / dof), 1 when doubts are as stated; NaN for one value. [1]
    """

    value: float
    standard: float
    chi_square: float
    dof: int
    chance: float
    birge: float

    @property
    def widened(self) -> float:
        """Standard uncertainty times the Birge ratio where that is above 1. [unit]"""
        return self.standard * max(1.0, self.birge if self.dof else 1.0)


@dataclass(frozen=True, slots=True)
class Consensus:
    """Mean of values that scatter more than their doubts say.

    Attributes
    ----------
    value, standard : float
        Mean and its standard uncertainty, the extra scatter included. [unit]
    between : float
        Standard deviation between the values beyond their doubts. [unit]
    """

    value: float
    standard: float
    between: float


def _values(value: ArrayLike, standard: ArrayLike) -> tuple[Array, Array]:
    x = np.atleast_1d(finite("value", value, "[unit]"))
    u = np.broadcast_to(positive("standard", standard, "[unit]"), x.shape)
    return x, u


def weighted_mean(value: ArrayLike, standard: ArrayLike) -> Mean:
    """Mean with weights 1/u², chi-square, and Birge ratio ([1]_).

    Parameters
    ----------
    value, standard : array_like, shape (n,)
        Values of one quantity and their standard uncertainties. [unit]

    Returns
    -------
    Mean
        Mean, doubt and tests. [unit]

    Examples
    --------
    >>> mean = weighted_mean([1.0, 2.0], [1.0, 1.0])
    >>> mean.value, mean.chi_square
    (1.5, 0.5)
    """
    x, u = _values(value, standard)
    w = 1.0 / u**2
    mean = float(np.sum(w * x) / np.sum(w))
    q = float(np.sum(w * (x - mean) ** 2))
    dof = x.size - 1
    birge = float(np.sqrt(q / dof)) if dof else float("nan")
    above = float(chi_square_above(q, dof))
    return Mean(mean, float(np.sum(w) ** -0.5), q, dof, above, birge)


def en_number(
    value: ArrayLike,
    expanded: ArrayLike,
    reference: ArrayLike,
    reference_expanded: ArrayLike,
) -> Array:
    """Difference over the expanded uncertainties of both, E_n ([2]_).

    Within ±1 they agree; both expanded uncertainties are for 95 %, usually 2 u.

    Parameters
    ----------
    value, expanded : array_like, shape (...)
        Value and its expanded uncertainty. [unit]
    reference, reference_expanded : array_like, shape (...)
        Reference value and its expanded uncertainty. [unit]

    Returns
    -------
    ndarray, shape (...)
        E_n. [1]
    """
    x, X = finite("value", value, "[unit]"), finite("reference", reference, "[unit]")
    U = finite("expanded", expanded, "[unit]")
    R = finite("reference_expanded", reference_expanded, "[unit]")
    together = np.hypot(U, R)
    refuse_where(together <= 0.0, "expanded", U, "[unit]", "above 0 for one of the two")
    return np.asarray((x - X) / together)


def largest_consistent_subset(
    value: ArrayLike, standard: ArrayLike, *, significance: float = 0.05
) -> tuple[int, ...]:
    """Find the most values that agree by the chi-square test ([3]_).

    Of subsets of one size the one with the least chi-square is taken.  It serves to
    spot outliers; the doubt of its mean is too small, since it was picked.

    Parameters
    ----------
    value, standard : array_like, shape (n,)
        Values and their standard uncertainties. [unit]
    significance : float, default 0.05
        Chance below which a subset is refused. [1]

    Returns
    -------
    tuple of int
        Which values agree. [1]

    Raises
    ------
    QuantityError
        If there are so many values that the search would not end.
    """
    x, u = _values(value, standard)
    limit = float(chance("significance", significance))
    n, tried = x.size, 0
    for size in range(n, 0, -1):
        tried += comb(n, size)
        count = np.asarray(float(tried))
        refuse_where(count > MOST_SUBSETS, "subsets", count, "", "fewer to search")
        sets = np.array(list(combinations(range(n), size)))
        w = 1.0 / u[sets] ** 2
        mean = np.sum(w * x[sets], axis=1) / np.sum(w, axis=1)
        q = np.sum(w * (x[sets] - mean[:, None]) ** 2, axis=1)
        best = int(np.argmin(q))
        if float(chi_square_above(q[best], size - 1)) >= limit:
            return tuple(int(i) for i in sets[best])
    return ()


def between_mean(value: ArrayLike, standard: ArrayLike) -> Consensus:
    """Mean of values with a variance between them that makes chi-square its dof.

    The Paule-Mandel estimate ([4]_): s² solves Σ (x − x̄)² / (u² + s²) = n − 1, and is
    0 where the values already agree that well.

    Parameters
    ----------
    value, standard : array_like, shape (n,)
        Values and their standard uncertainties. [unit]

    Returns
    -------
    Consensus
        Mean, doubt and the deviation between the values. [unit]
    """
    x, u = _values(value, standard)

    def mean(s2: float) -> tuple[float, float, float]:
        w = 1.0 / (u**2 + s2)
        m = float(np.sum(w * x) / np.sum(w))
        return m, float(np.sum(w) ** -0.5), float(np.sum(w * (x - m) ** 2))

    low, high = 0.0, float(np.ptp(x)) ** 2 * x.size + float(np.max(u)) ** 2
    if mean(0.0)[2] <= x.size - 1:
        high = 0.0
    for _ in range(200):
        half = 0.5 * (low + high)
        low, high = (half, high) if mean(half)[2] > x.size - 1 else (low, half)
    m, s, _ = mean(high)
    return Consensus(m, s, float(np.sqrt(high)))
