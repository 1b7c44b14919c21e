"""Doubt carried through a function by drawing, and where the first order fails.

Draws come in blocks; after each block it is asked whether mean, doubt and the ends
of the interval have settled to the digits wanted.  The same seed gives the same
figures whatever the machine.

References
----------
.. [1] JCGM 101:2008, *Propagation of distributions using a Monte Carlo method*, 7.7
   (intervals), 7.9 (adaptive procedure), 8 (comparison with the first order).  Clauses
   from memory; figures checked in the tests.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from splinewise.core.derivatives import Function
from splinewise.core.doubt import at_least
from splinewise.core.draws import Sampler
from splinewise.core.propagate import FirstOrder
from splinewise.core.quantities import Array, finite, refuse_where
from splinewise.core.tails import chance, normal_quantile
from splinewise.errors import TaskError

__all__ = [
    "Comparison",
    "MonteCarlo",
    "compare",
    "digit_tolerance",
    "monte_carlo",
    "shortest_interval",
]

BLOCK = 10_000


@dataclass(frozen=True, slots=True, eq=False)
class MonteCarlo:
    """What the draws say of each value.

    Attributes
    ----------
    value, standard : ndarray, shape (m,)
        Mean and standard deviation of the draws. [unit]
    covariance : ndarray, shape (m, m)
        Covariance of the draws. [unit]
    low, high : ndarray, shape (m,)
        Ends of the shortest interval with the coverage wanted. [unit]
    symmetric_low, symmetric_high : ndarray, shape (m,)
        Ends of the interval with equal chances outside. [unit]
    coverage : float
        Coverage of the intervals. [1]
    draws : int
        Draws that gave values. [1]
    failed : int
        Draws that the function could not take; the figures leave them out. [1]
    settled : ndarray of bool, shape (m,)
        Whether every figure has settled to the digits wanted. [1]
    """

    value: Array
    standard: Array
    covariance: Array
    low: Array
    high: Array
    symmetric_low: Array
    symmetric_high: Array
    coverage: float
    draws: int
    failed: int
    settled: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Comparison:
    """First order beside draws.

    Attributes
    ----------
    low_gap, high_gap : ndarray, shape (m,)
        How far the ends of the two intervals lie apart. [unit]
    tolerance : ndarray, shape (m,)
        Half a unit in the last digit of the doubt that is given. [unit]
    first_order_holds : ndarray of bool, shape (m,)
        Whether both gaps are within the tolerance. [1]
    """

    low_gap: Array
    high_gap: Array
    tolerance: Array
    first_order_holds: NDArray[np.bool_]


def digit_tolerance(standard: ArrayLike, digits: int = 2) -> Array:
    """Half a unit in the last of the significant digits of a doubt ([1]_, 7.9.2).

    Parameters
    ----------
    standard : array_like, shape (...)
        Standard uncertainty. [unit]
    digits : int, default 2
        Significant digits given. [1]

    Returns
    -------
    ndarray, shape (...)
        Tolerance; 0 for no doubt. [unit]

    Examples
    --------
    >>> print(f"{digit_tolerance(0.35, 2):g} {digit_tolerance(35.0, 1):g}")
    0.005 5
    """
    at_least("digits", digits, 1)
    u = finite("standard", standard, "[unit]")
    some = u > 0.0
    first = np.floor(np.log10(np.where(some, u, 1.0)))
    return np.where(some, 0.5 * 10.0 ** (first - digits + 1), 0.0)


def shortest_interval(ordered: ArrayLike, coverage: float) -> tuple[Array, Array]:
    """Find the shortest interval that holds a share of sorted draws ([1]_, 7.7.4).

    Parameters
    ----------
    ordered : array_like, shape (k, ...)
        Draws, sorted along the first axis. [unit]
    coverage : float
        Share to hold. [1]

    Returns
    -------
    low : ndarray, shape (...)
        Lower end. [unit]
    high : ndarray, shape (...)
        Upper end. [unit]
    """
    y = finite("ordered", ordered, "[unit]")
    p = float(chance("coverage", coverage))
    at_least("draws", y.shape[0], 2)
    held = min(int(p * y.shape[0] + 0.5), y.shape[0] - 1)
    widths = y[held:] - y[: y.shape[0] - held]
    first = np.argmin(widths, axis=0)[None]
    low = np.take_along_axis(y, first, axis=0)[0]
    return low, np.take_along_axis(y, first + held, axis=0)[0]


def monte_carlo(
    function: Function,
    sampler: Sampler,
    *,
    coverage: float = 0.95,
    digits: int = 2,
    seed: int = 1,
    most: int = 1_000_000,
    least: int = 20_000,
    report: Callable[[int, int], None] | None = None,
) -> MonteCarlo:
    """Draw until the figures have settled, or until the most draws ([1]_, 7.9).

    All values drawn are kept: `most` times the number of values times 8 bytes.

    Parameters
    ----------
    function : callable, shape (..., n) -> (..., m)
        Vectorised function; called with blocks of 10,000 points. [unit]
    sampler : callable, shape (count, n)
        Draws of the inputs. [unit]
    coverage : float, default 0.95
        Coverage of the intervals. [1]
    digits : int, default 2
        Significant digits of the doubt that must have settled. [1]
    seed : int, default 1
        Of the random numbers. [1]
    most, least : int
        Most and fewest draws. [1]
    report : callable, optional
        Called after each block with the draws done and the most. [1]

    Returns
    -------
    MonteCarlo
        Means, doubts, intervals, and whether they settled. [unit]

    Raises
    ------
    TaskError
        If more than half of the draws have no value.
    """
    p = float(chance("coverage", coverage))
    block = max(BLOCK, int(np.ceil(100.0 / (1.0 - p))))
    rng = np.random.default_rng(seed)
    kept: list[Array] = []
    figures: list[Array] = []
    done = failed = 0
    settled = np.zeros(1, dtype=np.bool_)
    while done < most:
        count = min(block, most - done)
        with np.errstate(all="ignore"):
            y = np.asarray(function(sampler(rng, count)), dtype=np.float64)
        whole = np.isfinite(y).all(axis=-1)
        done += count
        failed += int(count - whole.sum())
        if 2 * failed > done:
            msg = (
                f"Of {done} draws {failed} have no value: the doubt reaches far "
                "beyond what the mechanism can take. Give narrower inputs."
            )
            raise TaskError(msg)
        kept.append(y[whole])
        figures.append(_figures(y[whole], p))
        if report is not None:
            report(done, most)
        if len(figures) > 1:
            settled = _settled(np.array(figures), digits)
            if done >= least and bool(settled.all()):
                break
    return _result(np.concatenate(kept), p, failed, settled)


def _figures(y: Array, p: float) -> Array:
    """Mean, doubt and both ends of one block, shape (4, m)."""
    low, high = shortest_interval(np.sort(y, axis=0), p)
    return np.array([y.mean(axis=0), y.std(axis=0, ddof=1), low, high])


def _settled(figures: Array, digits: int) -> NDArray[np.bool_]:
    count = figures.shape[0]
    spread = figures.std(axis=0, ddof=1) / np.sqrt(count)
    allowed = digit_tolerance(figures[:, 1].mean(axis=0), digits)
    return np.asarray(np.all(2.0 * spread <= allowed, axis=0))


def _result(y: Array, p: float, failed: int, settled: NDArray[np.bool_]) -> MonteCarlo:
    m = y.shape[1]
    covariance = np.atleast_2d(np.cov(y, rowvar=False)).reshape(m, m)
    value = y.mean(axis=0)
    y.sort(axis=0)
    low, high = shortest_interval(y, p)
    tails = np.quantile(y, [(1.0 - p) / 2.0, (1.0 + p) / 2.0], axis=0)
    return MonteCarlo(
        value=value,
        standard=np.sqrt(np.diagonal(covariance)),
        covariance=covariance,
        low=low,
        high=high,
        symmetric_low=tails[0],
        symmetric_high=tails[1],
        coverage=p,
        draws=y.shape[0],
        failed=failed,
        settled=np.broadcast_to(settled, (m,)),
    )


def compare(first: FirstOrder, drawn: MonteCarlo, *, digits: int = 2) -> Comparison:
    """Say for each value whether the first order is good enough ([1]_, clause 8).

    The first-order interval y ± k u, k of the normal law for the draws' coverage, is
    held against the shortest interval of the draws; or against the one with equal
    tails where that is nearer, since for a symmetric law the two are the same and the
    shortest wanders more.

    Parameters
    ----------
    first : FirstOrder
        One set of values, not a batch.
    drawn : MonteCarlo
        The same values by drawing.
    digits : int, default 2
        Significant digits of the doubt that matter. [1]

    Returns
    -------
    Comparison
        Gaps, tolerance and verdict. [unit]

    Raises
    ------
    QuantityError
        If the two do not hold the same number of values.
    """
    wanted = first.value.size
    count = np.asarray(drawn.value.size, dtype=np.float64)
    refuse_where(count != wanted, "values", count, "", f"{wanted}, as by first order")
    k = float(normal_quantile(0.5 + drawn.coverage / 2.0))
    low = first.value - k * first.standard
    high = first.value + k * first.standard
    short = np.array([np.abs(low - drawn.low), np.abs(high - drawn.high)])
    equal = np.array(
        [np.abs(low - drawn.symmetric_low), np.abs(high - drawn.symmetric_high)]
    )
    nearer = equal.max(axis=0) < short.max(axis=0)
    gaps = np.where(nearer, equal, short)
    tolerance = digit_tolerance(drawn.standard, digits)
    return Comparison(gaps[0], gaps[1], tolerance, np.all(gaps <= tolerance, axis=0))
