"""Inputs drawn at random for a Monte Carlo run.

References
----------
.. [1] JCGM 101:2008, *Propagation of distributions using a Monte Carlo method*, 6.4
   (the distributions), from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite
from splinewise.errors import TaskError

__all__ = ["Input", "Sampler", "Shape", "independent_sampler", "normal_sampler"]

Sampler = Callable[[np.random.Generator, int], Array]
"""Random numbers and how many draws, to draws of shape (count, n)."""


class Shape(Enum):
    """Distribution of one input."""

    NORMAL = "normal"
    RECTANGULAR = "rectangular"
    TRIANGULAR = "triangular"
    ARCSINE = "arcsine"
    STUDENT = "Student"


@dataclass(frozen=True, slots=True)
class Input:
    """One input that is known by itself.

    Attributes
    ----------
    shape : Shape
        Its distribution.
    centre : float
        Its middle. [unit]
    width : float
        Standard deviation of a normal; half-width of a rectangular, triangular or
        arcsine; scale of a Student. [unit]
    dof : float
        Degrees of freedom of a Student. [1]
    """

    shape: Shape
    centre: float
    width: float
    dof: float = np.inf


def _unit_draws(one: Input, rng: np.random.Generator, count: int) -> Array:
    if one.shape is Shape.RECTANGULAR:
        return rng.uniform(-1.0, 1.0, count)
    if one.shape is Shape.TRIANGULAR:
        return rng.triangular(-1.0, 0.0, 1.0, count)
    if one.shape is Shape.ARCSINE:
        return np.sin(rng.uniform(-np.pi, np.pi, count))
    if one.shape is Shape.STUDENT and np.isfinite(one.dof):
        return rng.standard_t(one.dof, count)
    return rng.standard_normal(count)


def independent_sampler(inputs: Sequence[Input]) -> Sampler:
    """Draw inputs that do not depend on one another.

    Parameters
    ----------
    inputs : sequence of Input, shape (n,)
        The inputs. [unit]

    Returns
    -------
    callable, shape (count, n)
        Sampler. [unit]

    Raises
    ------
    QuantityError
        If a centre or a width is not finite.
    """
    centre = finite("centre", [one.centre for one in inputs], "[unit]")
    width = finite("width", [one.width for one in inputs], "[unit]")

    def draw(rng: np.random.Generator, count: int) -> Array:
        columns = [_unit_draws(one, rng, count) for one in inputs]
        return np.asarray(centre + width * np.column_stack(columns))

    return draw


def normal_sampler(mean: ArrayLike, covariance: ArrayLike) -> Sampler:
    """Draw normal inputs with a covariance, which may be singular.

    Parameters
    ----------
    mean : array_like, shape (n,)
        Best estimates. [unit]
    covariance : array_like, shape (n, n)
        Their covariance. [unit]

    Returns
    -------
    callable, shape (count, n)
        Sampler. [unit]

    Raises
    ------
    TaskError
        If the covariance has a negative direction.
    """
    x = finite("mean", mean, "[unit]")
    C = finite("covariance", covariance, "[unit]")
    u = np.sqrt(np.maximum(np.diagonal(C), 0.0))
    scale = np.where(u > 0.0, u, 1.0)
    values, vectors = np.linalg.eigh(C / scale / scale[:, None])
    if np.any(values < -1e-9 * max(float(values.max(initial=0.0)), 1e-300)):
        msg = "The covariance of the inputs cannot be one: it has a negative direction."
        raise TaskError(msg)
    root = (vectors * np.sqrt(np.maximum(values, 0.0))).T * scale

    def draw(rng: np.random.Generator, count: int) -> Array:
        return np.asarray(x + rng.standard_normal((count, x.size)) @ root)

    return draw
