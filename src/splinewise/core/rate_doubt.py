"""How the rate of a round bar leans on its dimensions and steel, and how sure it is.

From k = π G (d⁴ − b⁴) / 32 L (own derivation).  A rate that was measured is surer than
one worked out: a per cent of diameter is four of rate.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite
from splinewise.core.section import polar_moment

__all__ = ["RateExponents", "rate_exponents"]


@dataclass(frozen=True, slots=True)
class RateExponents:
    """By how many per cent the rate moves when an input moves by one per cent.

    Attributes
    ----------
    diameter : ndarray, shape (...)
        d ln k / d ln d with the bore held; 4 for a solid bar. [1]
    bore : ndarray, shape (...)
        d ln k / d ln b; 0 for a solid bar, else negative. [1]
    length : float
        d ln k / d ln L, always -1. [1]
    shear_modulus : float
        d ln k / d ln G, always 1. [1]
    """

    diameter: Array
    bore: Array
    length: float = -1.0
    shear_modulus: float = 1.0

    def relative_doubt(
        self,
        *,
        diameter: ArrayLike,
        length: ArrayLike,
        shear_modulus: ArrayLike,
        bore: ArrayLike = 0.0,
    ) -> Array:
        """Relative standard doubt of the rate, √Σ(exponent · relative doubt)².

        To first order, the inputs' errors independent of one another.

        Parameters
        ----------
        diameter, length, shear_modulus, bore : array_like, shape (...)
            Relative standard doubt of each. [1]

        Returns
        -------
        ndarray, shape (...)
            Relative standard doubt of the rate. [1]
        """
        parts = (
            self.diameter * finite("diameter", diameter, "1"),
            self.length * finite("length", length, "1"),
            self.shear_modulus * finite("shear_modulus", shear_modulus, "1"),
            self.bore * finite("bore", bore, "1"),
        )
        return np.sqrt(reduce(np.add, [p * p for p in parts]))


def rate_exponents(diameter: ArrayLike, *, bore: ArrayLike = 0.0) -> RateExponents:
    """Sensitivity of a round bar's rate to its dimensions and steel.

    4 d⁴/(d⁴ − b⁴) for the diameter, −4 b⁴/(d⁴ − b⁴) for the bore, −1 and 1.

    Parameters
    ----------
    diameter, bore : array_like, shape (...)
        As in `polar_moment`. [m]

    Returns
    -------
    RateExponents
        The four exponents.

    Raises
    ------
    QuantityError
        As in `polar_moment`.
    """
    J = polar_moment(diameter, bore=bore)
    by_bore = -np.pi / 8.0 * finite("bore", bore, "m") ** 4 / J
    return RateExponents(np.asarray(4.0 - by_bore), np.asarray(by_bore))
