"""A spring known by a table of forces or of rates."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from splinewise.core.other_springs import Push
from splinewise.core.quantities import Array, finite, refuse_where

__all__ = ["TableSpring"]


@dataclass(frozen=True, slots=True, eq=False)
class TableSpring:
    """A spring known by a table; make it with `from_forces` or `from_rates`.

    Between its rows a table is a piecewise cubic that never overshoots them (PCHIP,
    from SciPy), so that a force never falls where the rows do not and its slope is
    continuous.  Beyond its ends the force goes straight on; `covers` says where that
    is, and a result from there is a guess.

    Attributes
    ----------
    travel : ndarray, shape (N,)
        Shortenings of the rows. [m]
    parts : ndarray, shape (M, N-1)
        Coefficients of the force between them, highest power first. [N]
    """

    travel: Array
    parts: Array

    @classmethod
    def from_forces(cls, travel: ArrayLike, force: ArrayLike) -> TableSpring:
        """Return the spring whose force is tabled.

        Parameters
        ----------
        travel : array_like, shape (N,)
            Shortenings since the drawn position, each more than the one before. [m]
        force : array_like, shape (N,)
            Force at each, none less than the one before. [N]

        Returns
        -------
        TableSpring
            The spring. [N]

        Raises
        ------
        QuantityError
            If the rows are out of order or fewer than two.
        """
        x, f = _table(travel, force, "force", "N")
        refuse_where(
            np.append(False, np.diff(f) < 0.0),
            "force",
            f,
            "N",
            "no less than in the row before, which is shortened less",
        )
        return cls(x, np.asarray(_monotone(x, f).c))

    @classmethod
    def from_rates(
        cls, travel: ArrayLike, rate: ArrayLike, *, preload: float = 0.0
    ) -> TableSpring:
        """Return the spring whose rate is tabled.

        Parameters
        ----------
        travel : array_like, shape (N,)
            Shortenings since the drawn position, each more than the one before. [m]
        rate : array_like, shape (N,)
            Rate at each, none below 0. [N/m]
        preload : float, shape (), default 0
            Force at the drawn position. [N]

        Returns
        -------
        TableSpring
            The spring. [N]

        Raises
        ------
        QuantityError
            If the rows are out of order or fewer than two.
        """
        x, k = _table(travel, rate, "rate", "N/m")
        refuse_where(k < 0.0, "rate", k, "N/m", "not below 0")
        parts = np.asarray(_monotone(x, k).antiderivative().c).copy()
        # The constant of integration is what makes the force at the drawn position
        # the preload, wherever in the table that position lies.
        parts[-1] += (
            float(finite("preload", preload, "N")) - cls(x, parts).push(0).force
        )
        return cls(x, parts)

    def push(self, shortening: ArrayLike) -> Push:
        """Return force and rate at a shortening since the drawn position. [N]"""
        wanted = np.asarray(shortening, dtype=np.float64)
        x = np.clip(wanted, self.travel[0], self.travel[-1])
        row = np.searchsorted(self.travel, x, side="right") - 1
        row = np.clip(row, 0, self.travel.size - 2)
        h = x - self.travel[row]
        force, rate = np.zeros_like(h), np.zeros_like(h)
        for part in self.parts:
            rate = rate * h + force
            force = force * h + part[row]
        return Push(force + rate * (wanted - x), rate)

    def covers(self, shortening: ArrayLike) -> NDArray[np.bool_]:
        """Return whether a shortening lies within the table's rows. [1]"""
        x = np.asarray(shortening, dtype=np.float64)
        return np.asarray((x >= self.travel[0]) & (x <= self.travel[-1]))


def _table(
    travel: ArrayLike, column: ArrayLike, name: str, unit: str
) -> tuple[Array, Array]:
    x = np.atleast_1d(finite("travel", travel, "m"))
    y = np.atleast_1d(finite(name, column, unit))
    rows = np.asarray(float(x.size))
    refuse_where(
        np.asarray(x.size < 2 or x.ndim != 1),
        "travel",
        rows,
        "rows",
        "two or more rows",
    )
    refuse_where(
        np.asarray(y.shape != x.shape),
        name,
        np.asarray(float(y.size)),
        "rows",
        f"as long as travel, {x.size} rows",
    )
    refuse_where(
        np.append(False, np.diff(x) <= 0.0),
        "travel",
        x,
        "m",
        "more than in the row before",
    )
    return x, y


def _monotone(x: Array, y: Array) -> Any:
    # SciPy's interpolation takes a third of a second to import: only where it is used.
    # A rise of next to nothing overflows on its way to a slope of nothing.
    with np.errstate(over="ignore"):
        return import_module("scipy.interpolate").PchipInterpolator(x, y)
