"""Largest permitted errors of tapes, rules, callipers, angle gauges and scales.

References
----------
.. [1] Directive 2014/32/EU, Annex X (MI-008), as in UK SI 2016/1153, Schedule 1I,
   chapter 1, paragraph 2.  Read.
.. [2] JIS B 7516, class 1; read in a maker's guide.
.. [3] DIN 862; read in a one-page extract.
.. [4] OIML R 76-1, Table 6; read.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite, positive, refuse_where

__all__ = [
    "box_limit",
    "calliper_limit",
    "constant_limit",
    "person_scale_limit",
    "rule_limit",
    "scale_limit",
    "tape_limit",
]

DEGREE = np.pi / 180.0
# Class: a [m], b [1], c [m] of the error limit a + b L, and c more from an end surface.
TAPE_CLASSES = {
    1: (0.1e-3, 0.1e-3, 0.1e-3),
    2: (0.3e-3, 0.2e-3, 0.2e-3),
    3: (0.6e-3, 0.4e-3, 0.3e-3),
}
# DIN 862, outside: up to this length [m], this limit [m].
VERNIER_STEPS = (
    (0.3, 50e-6),
    (0.4, 60e-6),
    (0.5, 70e-6),
    (0.6, 80e-6),
    (0.7, 90e-6),
    (0.8, 100e-6),
    (0.9, 110e-6),
    (1.0, 120e-6),
)
FINE_STEPS = ((0.1, 20e-6), (0.7, 30e-6), (1.0, 40e-6))


def _length(value: ArrayLike) -> Array:
    L = finite("length", value, "m")
    refuse_where(L < 0.0, "length", L, "m", "0 or more")
    return L


def _rounded_up(value: Array, step: float) -> Array:
    # A length of 3 m that arrives as 3.0000000000000004 must not count as 4 m.
    return np.ceil(value / step - 1e-9)


def _stairs(value: Array, steps: tuple[tuple[float, float], ...]) -> Array:
    ends = np.array([end for end, _ in steps])
    limits = np.array([limit for _, limit in steps])
    beyond = value > ends[-1] * (1.0 + 1e-9)
    refuse_where(beyond, "length", value, "m", f"at most {ends[-1]:g} m")
    return limits[np.searchsorted(ends * (1.0 + 1e-9), value)]


def tape_limit(length: ArrayLike, *, grade: int, end_surface: bool = False) -> Array:
    """Permitted error of a tape between two marks, a + b L, L in whole metres ([1]_).

    Parameters
    ----------
    length : array_like, shape (...)
        Length read, L, rounded up here to the next whole metre. [m]
    grade : int, shape ()
        EU accuracy class as a number: 1, 2 or 3. [1]
    end_surface : bool, shape (), default False
        Whether one end is a surface, such as the hook: c more. [1]

    Returns
    -------
    ndarray, shape (...)
        Limit either way. [m]

    Raises
    ------
    QuantityError
        If the class is not one of the three.

    Examples
    --------
    >>> print(f"{1e3 * tape_limit(0.640, grade=2):.1f} mm")
    0.5 mm
    """
    number = np.asarray(grade, dtype=np.float64)
    refuse_where(~np.isin(number, list(TAPE_CLASSES)), "grade", number, "", "1, 2 or 3")
    a, b, c = TAPE_CLASSES[grade]
    limit = a + b * _rounded_up(_length(length), 1.0)
    return limit + c if end_surface else limit


def rule_limit(length: ArrayLike) -> Array:
    """Permitted error of a class 1 steel rule, 0.10 mm + 0.05 mm each half metre ([2]_).

    Parameters
    ----------
    length : array_like, shape (...)
        Length read, rounded up here to the next half metre. [m]

    Returns
    -------
    ndarray, shape (...)
        Limit either way. [m]
    """
    return 0.10e-3 + 0.05e-3 * _rounded_up(_length(length), 0.5)


def calliper_limit(length: ArrayLike, *, step: float, inside: bool = False) -> Array:
    """Permitted error of a calliper by its length and step ([3]_).

    Parameters
    ----------
    length : array_like, shape (...)
        Length read, up to 1 m. [m]
    step : float, shape ()
        Vernier or digital step: from 50 µm up the coarse table holds, below it the
        fine one. [m]
    inside : bool, shape (), default False
        Whether it is read with the inside jaws or the depth rod: 20 µm more. [1]

    Returns
    -------
    ndarray, shape (...)
        Limit either way. [m]
    """
    coarse = float(positive("step", step, "m")) > 49e-6
    limit = _stairs(_length(length), VERNIER_STEPS if coarse else FINE_STEPS)
    return limit + 20e-6 if inside else limit


def scale_limit(load: ArrayLike, *, interval: float) -> Array:
    """Permitted error of a class III scale when first verified ([4]_).

    Half an interval up to 500 intervals, one up to 2000, one and a half beyond.

    Parameters
    ----------
    load : array_like, shape (...)
        Mass read, up to 10 000 intervals. [kg]
    interval : float, shape ()
        Verification interval, e. [kg]

    Returns
    -------
    ndarray, shape (...)
        Limit either way; in service it is twice this. [kg]
    """
    m, e = finite("load", load, "kg"), positive("interval", interval, "kg")
    count = np.abs(m) / e
    refuse_where(count > 10000.0, "load", m, "kg", "at most 10 000 intervals")
    return e * np.where(count <= 500.0, 0.5, np.where(count <= 2000.0, 1.0, 1.5))


def person_scale_limit(load: ArrayLike) -> Array:
    """Likely error of bathroom scales, 1 kg or 1 %, the larger (from memory).

    Parameters
    ----------
    load : array_like, shape (...)
        Mass read. [kg]

    Returns
    -------
    ndarray, shape (...)
        Limit either way. [kg]
    """
    return np.maximum(1.0, 0.01 * np.abs(finite("load", load, "kg")))


def box_limit(angle: ArrayLike) -> Array:
    """Usual claim for a digital angle gauge: 0.1° within 1° of level or plumb, else 0.2°.

    The figures are from memory, and so is that they hold near 0° and 90°; what
    counts as near is our own choice.

    Parameters
    ----------
    angle : array_like, shape (...)
        Angle read, from level. [rad]

    Returns
    -------
    ndarray, shape (...)
        Limit either way. [rad]
    """
    quarter = np.pi / 2.0
    away = np.abs(np.remainder(finite("angle", angle, "rad") + quarter / 2, quarter))
    near = np.abs(away - quarter / 2) <= DEGREE
    return DEGREE * np.where(near, 0.1, 0.2)


def constant_limit(limit: float) -> Callable[[Array], Array]:
    """Make a limit that is the same for every reading.

    Parameters
    ----------
    limit : float, shape ()
        Limit either way. [unit]

    Returns
    -------
    callable, shape (...) -> (...)
        Function of the reading. [unit]
    """
    return lambda reading: np.full_like(reading, limit)
