"""What to measure next: how far each possible reading would cut the doubt.

A reading that could be taken is its gradient a, how it changes with each unknown, and
its standard uncertainty σ.  What is wanted is a combination cᵀx of the unknowns.

References
----------
.. [1] A. C. Atkinson, K. Chaloner, A. M. Herzberg and J. Juritz, *Optimum experimental
   designs for properties of a compartmental model*, Biometrics 49(2), 1993, 325-337.
.. [2] J. Sherman and W. J. Morrison, *Adjustment of an inverse matrix*, Annals of
   Mathematical Statistics 21, 1950, 124-127 (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.doubt import at_least
from splinewise.core.quantities import Array, finite, positive, refuse_where
from splinewise.errors import TaskError

__all__ = [
    "Candidates",
    "Plan",
    "cheapest_plan",
    "doubt_after",
    "information_gain",
    "updated",
    "variance_drop",
]


@dataclass(frozen=True, slots=True, eq=False)
class Candidates:
    """Readings that could be taken.

    Attributes
    ----------
    gradient : ndarray, shape (k, n)
        How each would change with each unknown, a. [unit]
    standard : ndarray, shape (k,)
        Standard uncertainty of each, σ. [unit]
    cost : ndarray, shape (k,)
        Trouble of taking each, in any one unit. [1]
    """

    gradient: Array
    standard: Array
    cost: Array

    @classmethod
    def of(
        cls, gradient: ArrayLike, standard: ArrayLike, cost: ArrayLike = 1.0
    ) -> Candidates:
        """Check and arrange candidate readings.

        Parameters
        ----------
        gradient : array_like, shape (k, n)
            How each would change with each unknown. [unit]
        standard : array_like, shape (k,)
            Standard uncertainty of each. [unit]
        cost : array_like, shape (k,), default 1
            Trouble of taking each. [1]

        Returns
        -------
        Candidates
            The same, as arrays. [unit]

        Raises
        ------
        QuantityError
            If a doubt or a cost is not positive.
        """
        a = np.atleast_2d(finite("gradient", gradient, "[unit]"))
        u = np.broadcast_to(positive("standard", standard, "[unit]"), a.shape[:1])
        return cls(a, u, np.broadcast_to(positive("cost", cost, ""), a.shape[:1]))

    def only(self, which: Sequence[int]) -> Candidates:
        """Keep some of them, in the order given.

        Parameters
        ----------
        which : sequence of int
            Which. [1]

        Returns
        -------
        Candidates
            Those. [unit]
        """
        i = np.array(which, dtype=np.intp)
        return Candidates(self.gradient[i], self.standard[i], self.cost[i])


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """A set of readings that brings a wanted doubt.

    Attributes
    ----------
    chosen : tuple of int
        Which candidates, in the order in which to take them. [1]
    doubts : ndarray, shape (s + 1,)
        Standard uncertainty of what is wanted, before and after each. [unit]
    cost : float
        Trouble of all. [1]
    reached : bool
        Whether the wanted doubt is met.
    """

    chosen: tuple[int, ...]
    doubts: Array
    cost: float
    reached: bool


def information_gain(covariance: ArrayLike, candidates: Candidates) -> Array:
    """Gain in log determinant of the information by each reading, ln(1 + aᵀQa/σ²).

    Parameters
    ----------
    covariance : array_like, shape (n, n)
        Covariance of the unknowns now, Q. [unit]
    candidates : Candidates
        The readings.

    Returns
    -------
    ndarray, shape (k,)
        Gain; twice the drop of the log of the volume of doubt. [1]
    """
    Q = finite("covariance", covariance, "[unit]")
    a = candidates.gradient
    inside = np.einsum("ki,ij,kj->k", a, Q, a)
    return np.asarray(np.log1p(np.maximum(inside, 0.0) / candidates.standard**2))


def variance_drop(
    covariance: ArrayLike, candidates: Candidates, wanted: ArrayLike
) -> Array:
    """Drop of the variance of cᵀx by each reading, (cᵀQa)² / (σ² + aᵀQa) ([2]_).

    Parameters
    ----------
    covariance : array_like, shape (n, n)
        Covariance of the unknowns now, Q. [unit]
    candidates : Candidates
        The readings.
    wanted : array_like, shape (..., n)
        What is wanted, c; several at once are allowed. [unit]

    Returns
    -------
    ndarray, shape (..., k)
        Drop of each variance. [unit²]
    """
    Q = finite("covariance", covariance, "[unit]")
    c = finite("wanted", wanted, "[unit]")
    a = candidates.gradient
    Qa = a @ Q
    inside = np.einsum("ki,ki->k", Qa, a)
    return np.asarray((c @ Qa.T) ** 2 / (candidates.standard**2 + inside))


def doubt_after(
    covariance: ArrayLike, candidates: Candidates, wanted: ArrayLike
) -> Array:
    """Doubt that is left of cᵀx after each reading alone.

    Parameters
    ----------
    covariance : array_like, shape (n, n)
        Covariance of the unknowns now. [unit]
    candidates : Candidates
        The readings.
    wanted : array_like, shape (..., n)
        What is wanted, c. [unit]

    Returns
    -------
    ndarray, shape (..., k)
        Standard uncertainty. [unit]
    """
    Q, c = (
        finite("covariance", covariance, "[unit]"),
        finite("wanted", wanted, "[unit]"),
    )
    before = np.einsum("...i,ij,...j->...", c, Q, c)
    drop = variance_drop(Q, candidates, c)
    return np.asarray(np.sqrt(np.maximum(before[..., None] - drop, 0.0)))


def updated(covariance: ArrayLike, candidates: Candidates) -> Array:
    """Covariance of the unknowns after all the readings, one after another.

    Each step is Q − (Qa)(Qa)ᵀ / (σ² + aᵀQa) ([2]_).

    Parameters
    ----------
    covariance : array_like, shape (n, n)
        Covariance of the unknowns now. [unit]
    candidates : Candidates
        The readings.

    Returns
    -------
    ndarray, shape (n, n)
        Covariance. [unit]
    """
    Q = finite("covariance", covariance, "[unit]").copy()
    for a, u in zip(candidates.gradient, candidates.standard, strict=True):
        Qa = Q @ a
        Q -= np.outer(Qa, Qa) / (u**2 + a @ Qa)
    return Q


def cheapest_plan(
    covariance: ArrayLike,
    candidates: Candidates,
    wanted: ArrayLike,
    target: float,
    *,
    repeats: int = 1,
    most: int = 12,
) -> Plan:
    """Find a cheap set of readings that brings the doubt of cᵀx down to a target.

    Greedy: the reading with the largest drop of variance for its cost is added until
    the target is met.  Then readings that turn out not to be needed are dropped, the
    dearest first, and single ones exchanged for cheaper.  The set is good, and not
    proved to be the cheapest.

    Parameters
    ----------
    covariance : array_like, shape (n, n)
        Covariance of the unknowns now. [unit]
    candidates : Candidates
        The readings.
    wanted : array_like, shape (n,)
        What is wanted, c. [unit]
    target : float
        Standard uncertainty to reach. [unit]
    repeats : int, default 1
        How often one reading may be taken. [1]
    most : int, default 12
        Most readings in the set. [1]

    Returns
    -------
    Plan
        Readings in the order of their worth, and the doubt after each. [unit]

    Raises
    ------
    TaskError
        If there is nothing to choose from.
    """
    if candidates.standard.size == 0:
        msg = "There is no reading to choose from: name points or instruments."
        raise TaskError(msg)
    at_least("repeats", repeats, 1)
    at_least("most", most, 1)
    Q = finite("covariance", covariance, "[unit]")
    c = finite("wanted", wanted, "[unit]")
    goal = float(positive("target", target, "[unit]"))
    chosen: list[int] = []
    now = Q
    while len(chosen) < most and _doubt(now, c) > goal:
        worth = variance_drop(now, candidates, c) / candidates.cost
        for i in set(chosen):
            if chosen.count(i) >= repeats:
                worth[i] = 0.0
        best = int(np.argmax(worth))
        if worth[best] <= 1e-12 * float(c @ now @ c):
            break
        chosen.append(best)
        now = updated(now, candidates.only([best]))
    if _doubt(now, c) <= goal:
        chosen = _thinned(Q, candidates, c, goal, chosen)
        chosen = _exchanged(Q, candidates, c, goal, chosen, repeats)
        # One that was exchanged in may do the work of another besides.
        chosen = _thinned(Q, candidates, c, goal, chosen)
    order, doubts = _ordered(Q, candidates, c, chosen)
    cost = float(candidates.cost[chosen].sum()) if chosen else 0.0
    return Plan(tuple(order), doubts, cost, bool(doubts[-1] <= goal * (1 + 1e-12)))


def _doubt(Q: Array, c: Array) -> float:
    return float(np.sqrt(max(float(c @ Q @ c), 0.0)))


def _thinned(
    Q: Array, candidates: Candidates, c: Array, goal: float, chosen: list[int]
) -> list[int]:
    for i in sorted(chosen, key=lambda k: -candidates.cost[k]):
        less = list(chosen)
        less.remove(i)
        if _doubt(updated(Q, candidates.only(less)), c) <= goal:
            chosen = less
    return chosen


def _exchanged(
    Q: Array,
    candidates: Candidates,
    c: Array,
    goal: float,
    chosen: list[int],
    repeats: int,
) -> list[int]:
    for place, i in enumerate(chosen):
        rest = chosen[:place] + chosen[place + 1 :]
        left = updated(Q, candidates.only(rest))
        after = doubt_after(left, candidates, c)
        cheap = (after <= goal) & (candidates.cost < candidates.cost[i])
        for k in np.flatnonzero(cheap)[np.argsort(candidates.cost[cheap])]:
            if rest.count(int(k)) < repeats:
                return _exchanged(Q, candidates, c, goal, [*rest, int(k)], repeats)
    return chosen


def _ordered(
    Q: Array, candidates: Candidates, c: Array, chosen: list[int]
) -> tuple[list[int], Array]:
    """Put the chosen in the order in which each next one helps most."""
    left, order, doubts = list(chosen), [], [_doubt(Q, c)]
    while left:
        drop = variance_drop(Q, candidates.only(left), c)
        best = left.pop(int(np.argmax(drop)))
        Q = updated(Q, candidates.only([best]))
        order.append(best)
        doubts.append(_doubt(Q, c))
    refuse_where(np.isnan(doubts), "doubt", np.array(doubts), "[unit]", "a number")
    return order, np.array(doubts)
