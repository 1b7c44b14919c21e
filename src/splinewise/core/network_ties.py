"""Readings between points as a vectorised model of all coordinates.

The last axis of a point is up; the others lie in the level plane (three dimensions),
along one direction (two), or are absent (one, a pure levelling).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from splinewise.core.doubt import at_least
from splinewise.core.quantities import Array, finite, positive
from splinewise.errors import TaskError

__all__ = ["Kind", "Tie", "TieModel", "distance", "height", "level", "plan"]


class Kind(Enum):
    """What a reading between points is."""

    DISTANCE = "distance"
    PLAN = "plan"
    LEVEL = "level"
    HEIGHT = "height"


@dataclass(frozen=True, slots=True)
class Tie:
    """One reading between two points, or of the height of one.

    Attributes
    ----------
    kind : Kind
        Distance, distance in plan, level difference, or height.
    first, second : int
        The points, counted from 0; a height has both the same. [1]
    value, standard : float
        The reading and its standard uncertainty. [m]
    """

    kind: Kind
    first: int
    second: int
    value: float
    standard: float


def distance(first: int, second: int, value: float, standard: float) -> Tie:
    """Straight distance between two points, as a tape or calliper gives it.

    Parameters
    ----------
    first, second : int
        The points. [1]
    value, standard : float
        Reading and standard uncertainty. [m]

    Returns
    -------
    Tie
        The reading. [m]
    """
    return _tie(Kind.DISTANCE, first, second, positive("value", value, "m"), standard)


def plan(first: int, second: int, value: float, standard: float) -> Tie:
    """Level distance between two points, as between plumb marks on the floor.

    Parameters
    ----------
    first, second : int
        The points. [1]
    value, standard : float
        Reading and standard uncertainty. [m]

    Returns
    -------
    Tie
        The reading. [m]
    """
    return _tie(Kind.PLAN, first, second, positive("value", value, "m"), standard)


def level(first: int, second: int, value: float, standard: float) -> Tie:
    """How far the second point is above the first.

    Parameters
    ----------
    first, second : int
        The points. [1]
    value, standard : float
        Reading and standard uncertainty. [m]

    Returns
    -------
    Tie
        The reading. [m]
    """
    return _tie(Kind.LEVEL, first, second, finite("value", value, "m"), standard)


def height(point: int, value: float, standard: float) -> Tie:
    """How far a point is above zero, such as a level floor.

    Parameters
    ----------
    point : int
        The point. [1]
    value, standard : float
        Reading and standard uncertainty. [m]

    Returns
    -------
    Tie
        The reading. [m]
    """
    return _tie(Kind.HEIGHT, point, point, finite("value", value, "m"), standard)


def _tie(kind: Kind, first: int, second: int, value: Array, standard: float) -> Tie:
    at_least("first", first, 0)
    at_least("second", second, 0)
    if first == second and kind is not Kind.HEIGHT:
        msg = f"A {kind.value} needs two different points; both are point {first}."
        raise TaskError(msg)
    u = positive("standard", standard, "m")
    return Tie(kind, first, second, float(value), float(u))


@dataclass(frozen=True, slots=True, eq=False)
class TieModel:
    """The readings as a function of all coordinates.

    Attributes
    ----------
    dimensions : int
        Coordinates of a point. [1]
    first, second : ndarray of int, shape (m,)
        The points of each reading. [1]
    mask : ndarray, shape (m, d)
        Which axes enter a distance; zero for levels and heights. [1]
    up : ndarray, shape (m,)
        1 for levels and heights, 0 for distances. [1]
    single : ndarray, shape (m,)
        0 for heights, which have no first point, else 1. [1]
    """

    dimensions: int
    first: NDArray[np.intp]
    second: NDArray[np.intp]
    mask: Array
    up: Array
    single: Array

    @classmethod
    def of(cls, ties: Sequence[Tie], dimensions: int) -> TieModel:
        """Arrange the readings of points with `dimensions` coordinates. [1]"""
        masks = {
            Kind.DISTANCE: np.ones(dimensions),
            Kind.PLAN: np.arange(dimensions) < dimensions - 1,
            Kind.LEVEL: np.zeros(dimensions),
            Kind.HEIGHT: np.zeros(dimensions),
        }
        for tie in ties:
            if tie.kind is Kind.PLAN and dimensions < 3:
                msg = "A distance in plan needs points with three coordinates."
                raise TaskError(msg)
            if tie.kind is Kind.DISTANCE and dimensions < 2:
                msg = "A distance needs points with two coordinates or three."
                raise TaskError(msg)
        upright = (Kind.LEVEL, Kind.HEIGHT)
        return cls(
            dimensions,
            np.array([tie.first for tie in ties], dtype=np.intp),
            np.array([tie.second for tie in ties], dtype=np.intp),
            np.array([masks[tie.kind] for tie in ties], dtype=np.float64),
            np.array([float(tie.kind in upright) for tie in ties]),
            np.array([float(tie.kind is not Kind.HEIGHT) for tie in ties]),
        )

    def _between(self, x: Array) -> Array:
        points = x.reshape(*x.shape[:-1], -1, self.dimensions)
        return (
            points[..., self.second, :]
            - self.single[:, None] * (points[..., self.first, :])
        )

    def values(self, x: Array) -> Array:
        """Every reading at the coordinates.

        Parameters
        ----------
        x : ndarray, shape (..., p d)
            Coordinates, point by point. [m]

        Returns
        -------
        ndarray, shape (..., m)
            Distances, levels and heights. [m]
        """
        between = self._between(x)
        length = np.sqrt(np.sum(self.mask * between**2, axis=-1))
        return np.asarray(length + self.up * between[..., -1])

    def slopes(self, x: Array) -> Array:
        """Differentiate every reading by every coordinate.

        Parameters
        ----------
        x : ndarray, shape (..., p d)
            Coordinates, point by point. [m]

        Returns
        -------
        ndarray, shape (..., m, p d)
            Cosines of the directions. [1]
        """
        between = self._between(x)
        length = np.sqrt(np.sum(self.mask * between**2, axis=-1, keepdims=True))
        along = self.mask * between / np.maximum(length, 1e-12)
        along[..., -1] += self.up
        d, m = self.dimensions, self.first.size
        J = np.zeros((*x.shape[:-1], m, x.shape[-1] // d, d))
        rows = np.arange(m)
        J[..., rows, self.second, :] += along
        J[..., rows, self.first, :] -= along * self.single[:, None]
        return J.reshape(*x.shape[:-1], m, x.shape[-1])
