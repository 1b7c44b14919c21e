"""Two arms whose ends a rod keeps apart: the turn of one gives that of the other.

The arms may turn about any two axes in space.  With d(θ) the end of the driving arm
and f(φ) that of the other, |f − d|² = r² reads a cos φ + b sin φ = k, where a, b and
k each swing with the driving arm as c₀ + c₁ cos θ + c₂ sin θ (own derivation).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from splinewise.core.geometry import Circle, Turned, dot, squared, wave_root
from splinewise.core.jet import Number, mix, value
from splinewise.core.quantities import Array, refuse_where

__all__ = ["FourBar", "Swing"]

# Sine of the angle from dead centre; nearer, rounding would choose the fold.
_DEAD_CENTRE = 1e-6
_SINE = "as the sine of the angle from it"
_RULE = "off dead centre where it is drawn"


@dataclass(frozen=True, slots=True, eq=False)
class Swing:
    """A number that swings as an arm turns: c₀ + c₁ cos θ + c₂ sin θ.

    Attributes
    ----------
    constant, cosine, sine : Jet or ndarray, shape (...)
        c₀, c₁ and c₂. [unit]
    """

    constant: Number
    cosine: Number
    sine: Number

    def at(self, turned: Turned) -> Number:
        """Return the number at a turn of the arm. [unit]"""
        c, s = turned.cosine, turned.sine
        return mix((self.cosine, c), (self.sine, s), plus=self.constant)


@dataclass(frozen=True, slots=True, eq=False)
class FourBar:
    """A driving arm, a rod and a following arm, in space.

    Attributes
    ----------
    cosine, sine, total : Swing, shape (...)
        a, b and k. [m²]
    branch : ndarray, shape (...)
        Which way the following arm is folded, +1 or −1. [1]
    """

    cosine: Swing
    sine: Swing
    total: Swing
    branch: Array

    @classmethod
    def drawn(cls, driver: Circle, follower: Circle, name: str = "rod") -> FourBar:
        """Return the four-bar whose ends are those at no turn of either arm.

        Parameters
        ----------
        driver, follower : Circle, shape (...)
            Paths of the rod's two ends. [m]
        name : str
            What the error calls the rod. [1]

        Returns
        -------
        FourBar, shape (...)
            The linkage, folded as it is drawn. [m]

        Raises
        ------
        QuantityError
            If the rod points at the following arm's axis: nothing then tells which
            way that arm will go.
        """
        p, q = driver.start * 2.0, driver.ahead * 2.0
        g = follower.centre - driver.centre
        gap = follower.centre + follower.start - driver.centre - driver.start
        fixed = squared(gap) - squared(follower.start) - squared(driver.start)
        total = Swing(fixed - squared(g), dot(g, p), dot(g, q))
        cosine, sine = (
            Swing(2.0 * dot(f, g), -dot(f, p), -dot(f, q))
            for f in (follower.start, follower.ahead)
        )
        # At φ = 0 the root's sine, b k + a w, is nought: w has the sign of −b there.
        b = value(sine.constant) + value(sine.cosine)
        askew = b / np.hypot(value(cosine.constant) + value(cosine.cosine), b)
        refuse_where(~(np.abs(askew) > _DEAD_CENTRE), name, askew, _SINE, _RULE)
        return cls(cosine, sine, total, np.where(b > 0.0, -1.0, 1.0))

    def follow(self, driver: Turned) -> Turned:
        """Return the following arm's turn; NaN where the linkage locks. [1]"""
        return wave_root(
            self.cosine.at(driver),
            self.sine.at(driver),
            self.total.at(driver),
            self.branch,
        )
