"""The steering axis as a sweep sees it, and what a sweep may read.

Everything is told in axes whose y points outboard, so that left and right are one:
spindle s = (cos c sin t, cos c cos t, −sin c) for camber c and toe t; steering axis
k = (−tan τ, −tan σ, 1)/n for caster τ and inclination σ.  Steering out by θ makes the
toe t − θ.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from splinewise.core.alignment.known import Known, Reading, read
from splinewise.core.geometry import Vec, cross
from splinewise.core.jet import Number, arctan2, cos, sin, sqrt, square, value
from splinewise.core.quantities import refuse_where

__all__ = [
    "SteeringAxis",
    "leans_of",
    "level_line_of",
    "spindle_of",
    "steered",
    "tilts",
]

_QUARTER = 0.5 * np.pi


@dataclass(frozen=True, slots=True, eq=False)
class SteeringAxis:
    """The lean of a steering axis.

    Attributes
    ----------
    caster : Known, shape (...)
        Side-view lean, positive top rearward. [rad]
    inclination : Known, shape (...)
        Front-view lean, positive top inboard. [rad]
    """

    caster: Known
    inclination: Known


def spindle_of(camber: Number, toe: Number) -> Vec:
    """Return the spindle of a wheel, y outboard.

    Parameters
    ----------
    camber, toe : Jet or array_like, shape (...)
        Of the wheel. [rad]

    Returns
    -------
    Vec, shape (...)
        Unit vector along its axis. [1]
    """
    return Vec(cos(camber) * sin(toe), cos(camber) * cos(toe), -sin(camber))


def level_line_of(camber: Number, toe: Number, tip: Number) -> Vec:
    """Return the line of a braked wheel that lay level before the wheel was steered.

    Parameters
    ----------
    camber, toe : Jet or array_like, shape (...)
        Of the wheel as it is steered. [rad]
    tip : Jet or array_like, shape (...)
        How far the line now rises to the front. [rad]

    Returns
    -------
    Vec, shape (...)
        Unit vector along it, forward. [1]
    """
    level = Vec(cos(toe), -sin(toe), 0.0 * cos(toe))
    rise = sin(tip) / cos(camber)  # share of it along the wheel's upward radius
    up = cross(level, spindle_of(camber, toe))
    return level * sqrt(1.0 - square(rise)) + up * rise


def leans_of(axis: Vec) -> list[Number]:
    """Return caster and inclination of an axis, whichever way along it.

    Parameters
    ----------
    axis : Vec, shape (...)
        A vector along it, of any length, y outboard. [1]

    Returns
    -------
    list of Jet or ndarray, shape (...)
        Caster and inclination. [rad]
    """
    sign = np.where(value(axis.z) < 0.0, -1.0, 1.0)
    up = axis.z * sign
    return [arctan2(-(axis.x * sign), up), arctan2(-(axis.y * sign), up)]


def tilts(**readings: Reading) -> list[Known]:
    """Return readings that must be less than upright to level.

    Parameters
    ----------
    **readings : Known or array_like, shape (...)
        The readings by name. [rad]

    Returns
    -------
    list of Known, shape (...)
        The same. [rad]

    Raises
    ------
    QuantityError
        If one is a quarter turn or more.
    """
    found = []
    for name, reading in readings.items():
        known = read(name, reading, "rad")
        over = np.abs(value(known.value)) >= _QUARTER
        rule = "less than a quarter turn either way"
        refuse_where(over, name, value(known.value), "rad", rule)
        found.append(known)
    return found


def steered(*turns: Reading) -> list[Known]:
    """Return angles of steer, which must turn the wheel.

    Parameters
    ----------
    *turns : Known or array_like, shape (...)
        Angles, out and in, each counted positive. [rad]

    Returns
    -------
    list of Known, shape (...)
        The same. [rad]

    Raises
    ------
    QuantityError
        If one is not between nought and a quarter turn.
    """
    found = []
    for turn in turns:
        known = read("turn", turn, "rad")
        angle = value(known.value)
        bad = (angle <= 0.0) | (angle >= _QUARTER)
        refuse_where(bad, "turn", angle, "rad", "above nought and below a quarter turn")
        found.append(known)
    return found
