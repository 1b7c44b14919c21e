"""The rows of a fit: readings and priors with their weights, and exact constraints."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from splinewise.core.derivatives import Function, JacobianFunction
from splinewise.core.quantities import Array, finite, positive
from splinewise.errors import TaskError

__all__ = [
    "Constraints",
    "Free",
    "Prior",
    "Rows",
    "covariance_of",
    "independent_prior",
]

SINGULAR = 1e-6
"""Smallest singular value of the scaled Jacobian, relative to the largest, from which
the unknowns count as fixed; the tests lose their digits as its square."""

DEPENDENT = 1e-10


@dataclass(frozen=True, slots=True, eq=False)
class Prior:
    """What is known of some unknowns before any reading.

    Attributes
    ----------
    index : ndarray of int, shape (q,)
        Which unknowns. [1]
    mean : ndarray, shape (q,)
        Their values. [unit]
    covariance : ndarray, shape (q, q)
        Covariance of those values. [unit]
    """

    index: NDArray[np.intp]
    mean: Array
    covariance: Array


@dataclass(frozen=True, slots=True, eq=False)
class Constraints:
    """Linear conditions that the unknowns meet exactly, C x = d.

    Attributes
    ----------
    matrix : ndarray, shape (k, n)
        C. [unit]
    value : ndarray, shape (k,)
        d. [unit]
    """

    matrix: Array
    value: Array


def independent_prior(mean: ArrayLike, standard: ArrayLike) -> Prior:
    """Prior of independent unknowns; an infinite doubt means that nothing is known.

    Parameters
    ----------
    mean : array_like, shape (n,)
        Value of each unknown; not read where its doubt is infinite. [unit]
    standard : array_like, shape (n,)
        Standard uncertainty of each, infinite where nothing is known. [unit]

    Returns
    -------
    Prior, shape (q,)
        One entry for each finite doubt. [unit]
    """
    u = np.asarray(standard, dtype=np.float64)
    index = np.flatnonzero(~np.isinf(u))
    known = positive("standard", u[index], "[unit]")
    values = np.broadcast_to(np.asarray(mean, dtype=np.float64), u.shape)
    return Prior(index, finite("mean", values[index], "[unit]"), np.diag(known**2))


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Readings and prior rows together, and the square root of their weights.

    Attributes
    ----------
    readings, unknowns : int
        How many there are. [1]
    standard : ndarray, shape (m + q,)
        Standard uncertainty of each row. [unit]
    index : ndarray of int, shape (q,)
        Unknowns that have a prior. [1]
    mean : ndarray, shape (q,)
        Their prior means. [unit]
    root : ndarray, shape (q, q)
        Inverse Cholesky factor of the prior covariance. [unit]
    """

    readings: int
    unknowns: int
    standard: Array
    index: NDArray[np.intp]
    mean: Array
    root: Array

    @classmethod
    def of(cls, m: int, n: int, u: Array, prior: Prior | None) -> Rows:
        """Rows of m readings with doubts `u` of n unknowns. [unit]"""
        if prior is None or prior.index.size == 0:
            none = np.zeros(0)
            return cls(m, n, u, np.zeros(0, dtype=np.intp), none, np.zeros((0, 0)))
        try:
            lower = np.linalg.cholesky(prior.covariance)
        except np.linalg.LinAlgError:
            msg = (
                "What is known beforehand cannot be used: "
                "its covariance is not positive definite."
            )
            raise TaskError(msg) from None
        both = np.concatenate([u, np.sqrt(np.diag(prior.covariance))])
        root = np.linalg.inv(lower)
        return cls(m, n, both, prior.index, prior.mean, root)

    @property
    def precision(self) -> Array:
        """Inverse covariance of the rows. [unit]"""
        m, q = self.readings, self.index.size
        P = np.zeros((m + q, m + q))
        P[:m, :m] = np.diag(self.standard[:m] ** -2)
        P[m:, m:] = self.root.T @ self.root
        return P

    def stack(self, readings: Array) -> Array:
        """Put the prior means behind the readings, shape (..., m + q). [unit]"""
        prior = np.broadcast_to(self.mean, (*readings.shape[:-1], self.index.size))
        return np.concatenate([readings, prior], axis=-1)

    def values(self, model: Function, x: Array) -> Array:
        """Value of every row at `x`, shape (..., m + q). [unit]"""
        # What the model cannot take comes back as not finite, and is judged as such.
        with np.errstate(all="ignore"):
            h = np.asarray(model(x), dtype=np.float64)
        return np.concatenate([h, x[..., self.index]], axis=-1)

    def derivative(self, by: JacobianFunction, x: Array) -> Array:
        """Differentiate every row at `x`, shape (..., m + q, n). [unit]"""
        with np.errstate(all="ignore"):
            J = np.asarray(by(x), dtype=np.float64)
        picks = np.eye(self.unknowns)[self.index]
        spread = np.broadcast_to(picks, (*J.shape[:-2], *picks.shape))
        return np.concatenate([J, spread], axis=-2)

    def whiten(self, v: Array) -> Array:
        """Divide rows by the root of their covariance, shape (..., m + q). [1]"""
        m = self.readings
        prior = v[..., m:] @ self.root.T
        return np.concatenate([v[..., :m] / self.standard[:m], prior], axis=-1)

    def whiten_matrix(self, A: Array) -> Array:
        """Divide derivatives by the same root, shape (..., m + q, n). [unit]"""
        m = self.readings
        top = A[..., :m, :] / self.standard[:m, None]
        return np.concatenate([top, self.root @ A[..., m:, :]], axis=-2)


@dataclass(frozen=True, slots=True, eq=False)
class Free:
    """The directions that the constraints leave open.

    Attributes
    ----------
    basis : ndarray, shape (n, n - k)
        Orthonormal directions, one a column. [1]
    fixed : ndarray, shape (n, n)
        Projection on what the constraints replace. [1]
    part : ndarray, shape (n,)
        The shortest point that meets the constraints. [unit]
    """

    basis: Array
    fixed: Array
    part: Array

    @classmethod
    def of(cls, n: int, constraints: Constraints | None) -> Free:
        """Split n unknowns into what the constraints fix and what they leave. [unit]"""
        if constraints is None or constraints.matrix.size == 0:
            return cls(np.eye(n), np.zeros((n, n)), np.zeros(n))
        C = finite("constraints", constraints.matrix, "[unit]")
        d = finite("constraints", constraints.value, "[unit]")
        u, s, vt = np.linalg.svd(C)
        rank = int(np.sum(s > DEPENDENT * s[0]))
        part = vt[:rank].T @ ((u[:, :rank].T @ d) / s[:rank])
        if np.linalg.norm(C @ part - d) > 1e-9 * (1.0 + np.linalg.norm(d)):
            msg = "The conditions that must hold exactly contradict one another."
            raise TaskError(msg)
        return cls(vt[rank:].T, vt[:rank].T @ vt[:rank], part)

    def full(self, y: Array, start: Array) -> Array:
        """All unknowns from the free ones, counted from `start`. [unit]"""
        return self.part + start - start @ self.fixed + y @ self.basis.T


def covariance_of(white: Array, basis: Array, names: Sequence[str] = ()) -> Array:
    """Covariance of the free unknowns; refuses those that the rows do not fix.

    Parameters
    ----------
    white : ndarray, shape (..., m, k)
        Derivatives of the rows, divided by the root of their covariance. [unit]
    basis : ndarray, shape (n, k)
        Directions of the free unknowns among all unknowns. [1]
    names : sequence of str, shape (n,), optional
        What the unknowns are called in messages. [1]

    Returns
    -------
    ndarray, shape (..., k, k)
        Inverse of whiteᵀ white. [unit]

    Raises
    ------
    TaskError
        If the columns depend on one another; the message names the unknowns.
    """
    short = max(white.shape[-1] - white.shape[-2], 0)
    rows = np.zeros((*white.shape[:-2], short, white.shape[-1]))
    D = np.linalg.norm(white, axis=-2)
    D = np.where(D > 0.0, D, 1.0)
    scaled = np.concatenate([white / D[..., None, :], rows], axis=-2)
    _, s, vt = np.linalg.svd(np.linalg.qr(scaled, mode="r"))
    # Scaled columns have length 1, so the largest singular value is at least 1.
    weak = s <= SINGULAR * np.maximum(s[..., :1], 1.0)
    if np.any(weak):
        first = np.unravel_index(np.argmax(weak.any(axis=-1)), weak.shape[:-1])
        # Each unknown's part, counted by what it would change in the readings, since
        # the unknowns have different units.
        size = np.linalg.norm(white[first] @ basis.T, axis=-2)
        size = np.where(size > 0.0, size, 1.0)
        along = np.abs((vt[first][weak[first]] / D[first]) @ basis.T) * size
        share = (along / along.max(axis=-1, keepdims=True)).max(axis=0)
        worst = [int(i) for i in np.argsort(-share, kind="stable") if share[i] > 0.05]
        who = ", ".join(_name(i, names) for i in sorted(worst[:4]))
        more = f" and {len(worst) - 4} more" if len(worst) > 4 else ""
        msg = f"The readings do not fix {who}{more}: add a reading that depends on it."
        raise TaskError(msg)
    half = np.swapaxes(vt, -1, -2) / s[..., None, :] / D[..., :, None]
    return np.asarray(half @ np.swapaxes(half, -1, -2))


def _name(index: int, names: Sequence[str]) -> str:
    return names[index] if index < len(names) else f"unknown {index + 1}"
