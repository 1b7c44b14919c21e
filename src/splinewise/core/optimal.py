"""Best sets of readings chosen together: D-optimal by exchange, and how good a set is.

References
----------
.. [1] V. V. Fedorov, *Theory of optimal experiments*, 1972: the exchange (from memory).
.. [2] NIST/SEMATECH, *e-Handbook of statistical methods*, 5.5.2.1: the efficiencies,
   as percentages of a design that may not exist.
.. [3] J. Kiefer and J. Wolfowitz, *The equivalence of two extremum problems*, Canadian
   Journal of Mathematics 12, 1960, 363-366 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from splinewise.core.doubt import at_least
from splinewise.core.quantities import Array, finite
from splinewise.errors import TaskError

__all__ = ["Efficiency", "efficiency", "exchange", "standardized_variance"]


@dataclass(frozen=True, slots=True)
class Efficiency:
    """How good a set of rows is.

    Attributes
    ----------
    d, a, g : float
        D-, A- and G-efficiency. [1]
    mean_prediction : float
        Root of the mean of fᵀ(FᵀF)⁻¹f over all candidate rows: the standard error of
        a prediction, in units of the error of a reading. [1]
    """

    d: float
    a: float
    g: float
    mean_prediction: float


def standardized_variance(rows: ArrayLike, information: ArrayLike) -> Array:
    """Variance of the prediction at each row, fᵀ M⁻¹ f.

    For the D-optimal design its largest value is the number of unknowns ([3]_).

    Parameters
    ----------
    rows : array_like, shape (k, n)
        Gradients over their doubts, f. [unit]
    information : array_like, shape (n, n)
        Information of the design for one reading, M. [unit]

    Returns
    -------
    ndarray, shape (k,)
        Standardized variance. [1]

    Raises
    ------
    TaskError
        If the design does not fix all unknowns.
    """
    F, M = finite("rows", rows, "[unit]"), finite("information", information, "[unit]")
    D = np.sqrt(np.diagonal(M))
    if np.any(D <= 0.0) or np.linalg.cond(M / D / D[:, None]) > 1e12:
        msg = "These readings do not fix all unknowns; take others or more."
        raise TaskError(msg)
    return np.asarray(np.einsum("ki,ki->k", F, np.linalg.solve(M, F.T).T))


def efficiency(rows: ArrayLike, chosen: ArrayLike) -> Efficiency:
    """Efficiencies of a set of rows ([2]_).

    D = |FᵀF|^(1/p) / n,  A = p / (n trace (FᵀF)⁻¹),  G = √(p / n) / √max fᵀ(FᵀF)⁻¹f
    over all candidate rows.

    Parameters
    ----------
    rows : array_like, shape (k, p)
        Candidate rows. [unit]
    chosen : array_like, shape (n,)
        Which were chosen, repeats allowed. [1]

    Returns
    -------
    Efficiency
        The figures. [1]
    """
    X = finite("rows", rows, "[unit]")
    F = X[np.asarray(chosen, dtype=np.intp)]
    n, p = F.shape
    M = F.T @ F
    everywhere = standardized_variance(X, M)
    return Efficiency(
        d=float(np.exp(np.linalg.slogdet(M)[1] / p) / n),
        a=float(p / (n * np.trace(np.linalg.inv(M)))),
        g=float(np.sqrt(p / n / everywhere.max())),
        mean_prediction=float(np.sqrt(everywhere.mean())),
    )


def exchange(
    rows: ArrayLike,
    count: int,
    *,
    repeats: bool = True,
    starts: int = 30,
    seed: int = 1,
) -> tuple[int, ...]:
    """Choose `count` rows with the largest |FᵀF|, exchanging pair by pair ([1]_).

    From each random start the exchange of one chosen row for another that raises the
    determinant most is made, until none does; the best of all starts is returned.

    Parameters
    ----------
    rows : array_like, shape (k, p)
        Candidate rows. [unit]
    count : int
        How many to choose, at least p. [1]
    repeats : bool, default True
        Whether a row may be chosen more than once.
    starts : int, default 30
        Random starts. [1]
    seed : int, default 1
        Of the random starts. [1]

    Returns
    -------
    tuple of int
        Chosen rows, in order. [1]

    Raises
    ------
    TaskError
        If no start fixes all unknowns.
    """
    X = finite("rows", rows, "[unit]")
    k, p = X.shape
    at_least("count", count, p)
    if not repeats:
        at_least("rows", k, count)
    rng = np.random.default_rng(seed)
    best: tuple[int, ...] = ()
    best_value = -np.inf
    for _ in range(starts):
        begin = rng.choice(k, count, replace=repeats).astype(np.intp)
        chosen, value = _improved(X, begin, repeats)
        if value > best_value + 1e-12:
            best, best_value = tuple(sorted(int(i) for i in chosen)), value
    if not best:
        msg = "No set of these readings fixes all unknowns; offer others."
        raise TaskError(msg)
    return best


def _improved(
    X: Array, chosen: NDArray[np.intp], repeats: bool
) -> tuple[NDArray[np.intp], float]:
    p = X.shape[1]
    size = np.sqrt(np.mean(X**2, axis=0))
    X = X / np.where(size > 0.0, size, 1.0)
    for _ in range(200):
        F = X[chosen]
        M = F.T @ F
        # A singular start is lifted a little, so that it can be left.
        lifted = M + 1e-9 * np.eye(p)
        inverse = np.linalg.inv(lifted)
        d = np.einsum("ki,ij,kj->k", X, inverse, X)
        cross = F @ inverse @ X.T
        own = d[chosen][:, None]
        # Factor by which |M| grows when chosen row i gives way to candidate j.
        growth = (1.0 + d[None, :]) * (1.0 - own) + cross**2
        if not repeats:
            growth[:, np.unique(chosen)] = 0.0
        i, j = np.unravel_index(int(np.argmax(growth)), growth.shape)
        if growth[i, j] <= 1.0 + 1e-9:
            break
        chosen = chosen.copy()
        chosen[i] = j
    F = X[chosen]
    sign, value = np.linalg.slogdet(F.T @ F)
    ok = sign > 0.0 and np.linalg.cond(F.T @ F) < 1e12
    return chosen, float(value) if ok else -np.inf
