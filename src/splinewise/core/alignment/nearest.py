"""Least squares under limits: the nearest to a target that knobs can reach.

Gauss and Newton's step with the exact Jacobian, each step the exact least-squares
answer under the linear limits (an active-set method ([1]_, chapter 16)).  Where the
target can be reached it converges as Newton's method does; where knobs are more than
targets, the least movement is taken.

References
----------
.. [1] J. Nocedal and S. J. Wright, *Numerical Optimization*, 2nd ed., Springer 2006,
   algorithm 16.3.  From memory.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from splinewise.core.jet import Jet, Number, slope, value
from splinewise.core.quantities import Array
from splinewise.errors import QuantityError, ReachError

__all__ = ["Nearest", "linear_step", "nearest"]

# Of a singular value against the greatest, below which knobs do the same thing.
_SAME = 1e-9
_SETTLED = 1e-12
_ROUNDING = 1e-9
_SMALL = 1e-6
# Gain of the score, over the score, that is not worth another step.
_GAIN = 1e-10
# Score that a movement of the spare knobs may cost on the way.
_BEND = 1e-6
_ROUNDS = 100


@dataclass(frozen=True, slots=True, eq=False)
class Nearest:
    """Where the search ended.

    Attributes
    ----------
    settings : ndarray, shape (n,)
        The knobs. [unit]
    misses : ndarray, shape (m,)
        What is left of each residual. [1]
    binding : tuple of int
        Limits that keep the target away, by their row. [1]
    rounds : int
        Steps taken. [1]
    """

    settings: Array
    misses: Array
    binding: tuple[int, ...]
    rounds: int


def nearest(
    misses: Callable[[Sequence[Number]], Sequence[Number]],
    start: Array,
    *,
    factors: Array,
    most: Array,
    worth: Array,
) -> Nearest:
    """Return the settings inside the limits whose misses have the least squares.

    Parameters
    ----------
    misses : callable
        Takes the settings as jets and returns what is to become nought. [1]
    start : ndarray, shape (n,)
        Settings inside the limits, from which movement is counted. [unit]
    factors, most : ndarray, shape (k, n) and (k,)
        Limits, factors · settings ≤ most. [unit]
    worth : ndarray, shape (n,)
        Change of each setting that counts as one unit of movement. [unit]

    Returns
    -------
    Nearest
        Settings, what is left, and which limits are in the way. [unit]

    Raises
    ------
    ReachError
        If the parts do not fit together where it starts, or the search does not
        settle.
    """
    along = np.eye(len(start)) * worth

    def look(x: Array) -> tuple[Array, Array]:
        jets = [Jet(np.asarray(v), d) for v, d in zip(x, along, strict=True)]
        with np.errstate(invalid="ignore", divide="ignore"):
            found = misses(jets)
        r = np.array([float(value(f)) for f in found])
        J = np.array([np.broadcast_to(slope(f), (len(x),)) for f in found])
        # On the very edge there is a pose, but no slope.
        return (r if np.all(np.isfinite(J)) else np.full(len(r), np.nan)), J

    rows, x, last = factors * worth, start, np.inf
    r, J = look(x)
    if not np.all(np.isfinite(r)):
        msg = "The parts do not fit together as they are set now at this arm angle."
        raise ReachError(msg)
    if not len(x):
        return Nearest(x, r, (), 0)
    for count in range(1, _ROUNDS + 1):
        room = np.maximum(most - factors @ x, 0.0)
        step, working = linear_step(J, r, (start - x) / worth, rows, room)
        size, score = float(np.max(np.abs(step))), float(r @ r)
        gain = score - float(np.sum((J @ step + r) ** 2))
        # At rounding a step grows no smaller, or nothing is left to gain.
        if size < _SETTLED or 0.5 * last < size < _ROUNDING or gain < _GAIN * score:
            x = x + step * worth * (size < _SMALL)
            return Nearest(x, look(x)[0], working, count)
        share, last = 1.0, size
        for _ in range(14):
            new = x + share * step * worth
            try:
                new_r, new_J = look(new)
            except QuantityError:  # parts that do not fit cannot be built
                new_r, new_J = np.full(len(r), np.nan), J
            enough = score - 1e-4 * share * gain + _BEND
            if np.all(np.isfinite(new_r)) and float(new_r @ new_r) <= enough:
                break
            share *= 0.5
        else:
            break
        x, r, J = new, new_r, new_J
    msg = "The search for settings does not settle; the linkage is near its lock."
    raise ReachError(msg)


def linear_step(
    jacobian: Array, misses: Array, home: Array, factors: Array, room: Array
) -> tuple[Array, tuple[int, ...]]:
    """Return the step that makes |J p + r| least where factors · p ≤ room.

    Among steps that do as well, it goes for the one nearest to `home`.

    Parameters
    ----------
    jacobian : ndarray, shape (m, n)
        J. [1]
    misses : ndarray, shape (m,)
        r. [1]
    home : ndarray, shape (n,)
        Where no movement would be. [1]
    factors, room : ndarray, shape (k, n) and (k,)
        Limits; room is nowhere below 0. [1]

    Returns
    -------
    step : ndarray, shape (n,)
        p. [1]
    binding : tuple of int
        Rows of the limits that keep it from a smaller |J p + r|. [1]
    """
    n = jacobian.shape[1]
    p = np.zeros(n)
    working: list[int] = []
    for _ in range(10 * (n + len(room)) + 10):
        way = _free_step(jacobian, misses, home, factors[working], p)
        if np.max(np.abs(way), initial=0.0) > 1e-14:
            rate = factors @ way
            rate[working] = 0.0
            with np.errstate(divide="ignore", invalid="ignore"):
                share = np.where(rate > 1e-14, (room - factors @ p) / rate, np.inf)
            first = int(np.argmin(share)) if len(share) else -1
            if first < 0 or share[first] >= 1.0:
                p = p + way
            else:
                p = p + max(float(share[first]), 0.0) * way
                working.append(first)
                continue
        pull = -(jacobian.T @ (jacobian @ p + misses))
        if not working:
            return p, ()
        push = np.linalg.lstsq(factors[working].T, pull, rcond=None)[0]
        size = max(float(np.max(np.abs(jacobian))), 1e-300)
        if np.min(push) >= -1e-12 * size:
            binding = [w for w, q in zip(working, push, strict=True) if q > 1e-9 * size]
            return p, tuple(sorted(binding))
        working.pop(int(np.argmin(push)))
    return p, tuple(sorted(working))


def _free_step(J: Array, r: Array, home: Array, held: Array, p: Array) -> Array:
    """Return the step from p to the least |J p + r|, keeping held · p as it is."""
    n = J.shape[1]
    Z = np.eye(n)
    if len(held):
        _, s, V = np.linalg.svd(held, full_matrices=True)
        Z = V[np.count_nonzero(s > _SAME * s[0]) :].T
        if Z.shape[1] == 0:
            return np.zeros(n)
    U, s, V = np.linalg.svd(J @ Z, full_matrices=True)
    rank = int(np.count_nonzero(s > _SAME * max(float(np.max(np.abs(J))), 1e-300)))
    z = -V[:rank].T @ ((U[:, :rank].T @ (J @ p + r)) / s[:rank])
    spare = V[rank:].T
    z = z + spare @ (spare.T @ (Z.T @ (home - p)))
    return np.asarray(Z @ z)
