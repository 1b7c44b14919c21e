"""Springs that share a torque, and springs that share a twist.

A bar and its compliant mountings share a torque; a bar and the rubber bushes that twist
with its arm share a twist.  No bush stiffness is built in: none was found in print.

References
----------
.. [1] I. J. Levinson, *Mechanics of Materials*, Examples 10.7 and 10.8, read in a
   worked-solution notebook; the page was not seen.
"""

from __future__ import annotations

from functools import reduce

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, positive, refuse_where

__all__ = ["rate_in_parallel", "rate_in_series"]


def rate_in_series(*rates: ArrayLike) -> Array:
    """Rate of springs end to end, which share one torque, 1 / Σ(1 / k) [1]_.

    Parameters
    ----------
    *rates : array_like, shape (...)
        Rates of the springs, at least one. [N·m/rad]

    Returns
    -------
    ndarray, shape (...)
        Rate of the whole. [N·m/rad]

    Raises
    ------
    QuantityError
        If there is no spring, or a rate is not positive.
    """
    return 1.0 / reduce(np.add, [1.0 / k for k in _springs(rates)])


def rate_in_parallel(*rates: ArrayLike) -> Array:
    """Rate of springs side by side, which share one twist, Σ k [1]_.

    Parameters
    ----------
    *rates : array_like, shape (...)
        Rates of the springs, at least one. [N·m/rad]

    Returns
    -------
    ndarray, shape (...)
        Rate of the whole. [N·m/rad]

    Raises
    ------
    QuantityError
        If there is no spring, or a rate is not positive.
    """
    return reduce(np.add, _springs(rates))


def _springs(rates: tuple[ArrayLike, ...]) -> list[Array]:
    count = np.asarray(float(len(rates)))
    refuse_where(count < 1.0, "rates", count, "springs", "at least one")
    return [positive("rates", k, "N·m/rad") for k in rates]
