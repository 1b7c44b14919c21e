"""Doubt of one reading: named parts, each a standard uncertainty, and their sum.

References
----------
.. [1] JCGM 100:2008, *Guide to the expression of uncertainty in measurement*, 4.2,
   4.3.7, 4.3.9, F.2.2.1 (clauses from memory; values checked in the tests).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite, refuse_where

__all__ = [
    "Doubt",
    "Part",
    "Repeats",
    "arcsine",
    "at_least",
    "of_resolution",
    "pooled",
    "rectangular",
    "stated",
    "triangular",
    "with_repeats",
]


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One cause of doubt.

    Attributes
    ----------
    name : str
        What it is: resolution, permissible error, repeatability, hook, ...
    standard : ndarray, shape (...)
        Its standard uncertainty. [unit]
    source : str
        Where its figure comes from, or that it has no source.
    """

    name: str
    standard: Array
    source: str


@dataclass(frozen=True, slots=True, eq=False)
class Doubt:
    """All causes of doubt of a reading.

    Attributes
    ----------
    parts : tuple of Part
        The causes, taken as independent.
    unit : str
        SI unit of the reading: m, rad or kg.
    """

    parts: tuple[Part, ...]
    unit: str

    @property
    def standard(self) -> Array:
        """Standard uncertainty, the root of the sum of squares of the parts. [unit]"""
        total = sum((part.standard**2 for part in self.parts), np.zeros(()))
        return np.sqrt(np.asarray(total, dtype=np.float64))

    def part(self, name: str) -> Array:
        """Return the standard uncertainty of the parts called `name`. [unit]"""
        own = [part.standard**2 for part in self.parts if part.name == name]
        return np.sqrt(np.asarray(sum(own, np.zeros(())), dtype=np.float64))


@dataclass(frozen=True, slots=True)
class Repeats:
    """What repeated readings say about their own scatter.

    Attributes
    ----------
    standard_deviation : float
        Pooled standard deviation of one reading. [unit]
    dof : int
        Degrees of freedom behind it. [1]
    """

    standard_deviation: float
    dof: int


def at_least(name: str, count: int, least: int, why: str = "") -> None:
    """Raise `QuantityError` unless a whole number is `least` or more.

    Parameters
    ----------
    name : str, shape ()
        The argument, as the caller spells it. [1]
    count, least : int, shape ()
        The number and the smallest that will do. [1]
    why : str, shape (), optional
        What to add to the rule. [1]

    Returns
    -------
    None, shape ()
        Nothing. [1]

    Raises
    ------
    QuantityError
        If `count` is below `least`.
    """
    number = np.asarray(count, dtype=np.float64)
    refuse_where(number < least, name, number, "", f"at least {least}{why}")


def _half_width(value: ArrayLike) -> Array:
    a = finite("half_width", value, "[unit]")
    refuse_where(a < 0.0, "half_width", a, "[unit]", "0 or more")
    return a


def rectangular(half_width: ArrayLike) -> Array:
    """Turn a limit, all values inside equally likely, into a doubt: a / √3 ([1]_).

    Parameters
    ----------
    half_width : array_like, shape (...)
        Limit either way, a. [unit]

    Returns
    -------
    ndarray, shape (...)
        Standard uncertainty. [unit]
    """
    return _half_width(half_width) / math.sqrt(3.0)


def triangular(half_width: ArrayLike) -> Array:
    """Turn a limit, the middle likeliest and the ends never, into a / √6 ([1]_).

    Parameters
    ----------
    half_width : array_like, shape (...)
        Limit either way, a. [unit]

    Returns
    -------
    ndarray, shape (...)
        Standard uncertainty. [unit]
    """
    return _half_width(half_width) / math.sqrt(6.0)


def arcsine(half_width: ArrayLike) -> Array:
    """Turn a limit, the ends likeliest as in a swing, into a / √2 ([1]_).

    Parameters
    ----------
    half_width : array_like, shape (...)
        Limit either way, a. [unit]

    Returns
    -------
    ndarray, shape (...)
        Standard uncertainty. [unit]
    """
    return _half_width(half_width) / math.sqrt(2.0)


def of_resolution(step: ArrayLike) -> Array:
    """Turn the smallest step that is read into a doubt: d / √12 ([1]_).

    Parameters
    ----------
    step : array_like, shape (...)
        Step between readings that are told apart, d. [unit]

    Returns
    -------
    ndarray, shape (...)
        Standard uncertainty. [unit]

    Examples
    --------
    >>> print(f"{of_resolution(0.001):.6f} m")
    0.000289 m
    """
    return rectangular(np.asarray(step, dtype=np.float64) / 2.0)


def stated(standard: ArrayLike, *, unit: str) -> Doubt:
    """Take the doubt that the person states, in place of any table's.

    Parameters
    ----------
    standard : array_like, shape (...)
        Standard uncertainty; of a limit, pass it through `rectangular` first. [unit]
    unit : str, shape ()
        SI unit of the reading. [1]

    Returns
    -------
    Doubt, shape (...)
        One part, named "stated". [unit]

    Raises
    ------
    QuantityError
        If `standard` is not above 0: a reading without doubt cannot be weighed.
    """
    u = finite("standard", standard, unit)
    refuse_where(u <= 0.0, "standard", u, unit, "above 0")
    return Doubt((Part("stated", u, "stated by the person"),), unit)


def pooled(groups: Sequence[ArrayLike]) -> Repeats:
    """Scatter of one reading from groups of repeats, each about its own mean.

    s² = Σ (xᵢⱼ − x̄ᵢ)² / Σ (nᵢ − 1) ([1]_, 4.2.4 and H.3.6).

    Parameters
    ----------
    groups : sequence of array_like, shape (k,) of (nᵢ,)
        Repeats, one group for each thing measured; a group of one adds nothing. [unit]

    Returns
    -------
    Repeats, shape ()
        Pooled standard deviation and its degrees of freedom. [unit]

    Raises
    ------
    QuantityError
        If no group has two readings or more.
    """
    arrays = [finite("groups", group, "[unit]").ravel() for group in groups]
    dof = sum(array.size - 1 for array in arrays if array.size)
    at_least("dof", dof, 1, "; repeat one of the readings")
    squares = sum(float(np.sum((a - a.mean()) ** 2)) for a in arrays if a.size)
    return Repeats(float(np.sqrt(squares / dof)), dof)


def with_repeats(
    doubt: Doubt, repeats: Repeats, count: int, *, table_worth: int = 5
) -> Doubt:
    """Doubt of the mean of `count` readings of one thing.

    The repeatability part becomes s / √n; what all repeats share, such as the
    instrument's own error, stays whole.  Few repeats know their scatter badly, so
    the table's figure is pooled in as if it came from `table_worth` degrees of
    freedom (own choice, no source).  The resolution stays as a floor.

    Parameters
    ----------
    doubt : Doubt, shape (...)
        Of one reading, by its instrument. [unit]
    repeats : Repeats, shape ()
        Scatter seen with this instrument, by `pooled`. [unit]
    count : int, shape ()
        Readings in the mean, n. [1]
    table_worth : int, shape (), default 5
        Weight of the table's repeatability; 0 trusts the repeats alone. [1]

    Returns
    -------
    Doubt, shape (...)
        Of the mean. [unit]

    Raises
    ------
    QuantityError
        If `count` is below 1 or `table_worth` below 0.
    """
    at_least("count", count, 1)
    at_least("table_worth", table_worth, 0)
    table = doubt.part("repeatability")
    s2 = repeats.dof * repeats.standard_deviation**2 + table_worth * table**2
    mean = np.sqrt(s2 / (repeats.dof + table_worth) / count)
    kept = tuple(part for part in doubt.parts if part.name != "repeatability")
    source = f"{count} readings; scatter known from {repeats.dof} degrees of freedom"
    return Doubt((*kept, Part("repeatability", mean, source)), doubt.unit)
