"""A value with its standard doubt, and what becomes of it in a formula.

To first order the doubt of f(x₁, x₂ …) with independent readings is
u² = Σ (∂f/∂xᵢ uᵢ)² ([1]_, 5.1.2).  The derivatives are exact: the formula is worked
out once on jets that carry one direction for each reading.

References
----------
.. [1] JCGM 100:2008, *Guide to the expression of uncertainty in measurement*; the
   clause from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.jet import Jet, Number, slope, value
from splinewise.core.quantities import Array, finite, refuse_where

__all__ = ["Known", "Reading", "propagated", "read"]


@dataclass(frozen=True, slots=True, eq=False)
class Known:
    """A value with its standard doubt.

    Attributes
    ----------
    value : ndarray, shape (...)
        The value. [unit]
    doubt : ndarray, shape (...), default 0
        Its standard uncertainty. [unit]
    parts : ndarray or None, shape (..., n)
        What each reading behind it adds, ∂f/∂xᵢ uᵢ, with its sign: two values found
        from the same readings have the covariance Σ parts · parts. [unit]
    """

    value: Array | float
    doubt: Array | float = 0.0
    parts: Array | None = None


Reading = Known | ArrayLike
"""A number that was read; a plain one has no doubt."""


def read(name: str, reading: Reading, unit: str) -> Known:
    """Return a reading with both of its numbers made sure of.

    Parameters
    ----------
    name, unit : str
        What it is and its unit, for the error. [1]
    reading : Known or array_like, shape (...)
        The reading. [unit]

    Returns
    -------
    Known, shape (...)
        The reading. [unit]

    Raises
    ------
    QuantityError
        If the value is not finite, or the doubt below 0 or not finite.
    """
    if not isinstance(reading, Known):
        return Known(finite(name, reading, unit), np.zeros(()))
    doubt = finite(f"{name}, its doubt,", reading.doubt, unit)
    refuse_where(doubt < 0.0, f"{name}, its doubt,", doubt, unit, "0 or more")
    return Known(finite(name, reading.value, unit), doubt)


def propagated(
    formula: Callable[..., Sequence[Number]], *readings: Known
) -> list[Known]:
    """Work out a formula and the doubt of each of its results.

    Parameters
    ----------
    formula : callable
        Takes the readings as jets, in their order, and returns its results. [unit]
    *readings : Known, shape (...)
        What was read, each independent of the others. [unit]

    Returns
    -------
    list of Known, shape (...)
        The results; NaN where the formula has none. [unit]
    """
    n = len(readings)
    # The last axis is the reading by which a derivative is taken.
    jets = [
        Jet(np.asarray(value(r.value))[..., None], along)
        for r, along in zip(readings, np.eye(n), strict=True)
    ]
    doubts = np.stack(np.broadcast_arrays(*(value(r.doubt) for r in readings)), axis=-1)
    with np.errstate(invalid="ignore", divide="ignore"):
        results = formula(*jets)
    out = []
    for result in results:
        found = value(result)
        parts = slope(result) * doubts
        if not isinstance(result, Jet):
            found, parts = found[..., None], np.zeros(n)
        found = np.broadcast_to(found, np.broadcast_shapes(found.shape, parts.shape))
        parts = np.broadcast_to(parts, found.shape)
        out.append(Known(found[..., 0], np.sqrt(np.sum(parts * parts, axis=-1)), parts))
    return out
