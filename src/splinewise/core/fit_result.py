"""What a least-squares fit of readings says, and what it is derived from.

References
----------
.. [1] W. Baarda, *A testing procedure for use in geodetic networks*, Netherlands
   Geodetic Commission, Publications on Geodesy 2(5), 1968: w and redundancy numbers.
.. [2] A. J. Pope, *The statistics of residuals and the detection of outliers*, NOAA
   Technical Report NOS 65 NGS 1, 1976: τ.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from splinewise.core.quantities import Array
from splinewise.core.tails import chi_square_above, chi_square_quantile

__all__ = ["UNCHECKABLE", "Fit"]

UNCHECKABLE = 1e-6
"""Redundancy number below which no other reading says anything about this one."""


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """Best values of the unknowns, their doubt, and how each reading agrees.

    The rows are the readings, in the caller's order, then one row for each unknown
    with a prior: what is known beforehand is a reading too, and is tested as one.
    Leading axes hold a batch of fits.

    Attributes
    ----------
    parameters : ndarray, shape (..., n)
        Best values of the unknowns. [unit]
    covariance : ndarray, shape (..., n, n)
        Their covariance from the standard uncertainties as stated. [unit]
    observed : ndarray, shape (..., m)
        The readings, and the prior means. [unit]
    residuals : ndarray, shape (..., m)
        v, adjusted minus observed. [unit]
    standard : ndarray, shape (m,)
        Standard uncertainty of each row. [unit]
    precision : ndarray, shape (m, m)
        Inverse covariance of the rows, P. [unit]
    jacobian : ndarray, shape (..., m, n)
        Derivative of each row by each unknown, A. [unit]
    dof : int
        Degrees of freedom: rows, less unknowns, plus constraints. [1]
    readings : int
        How many of the rows are readings; the rest are priors. [1]
    steps : ndarray, shape (...)
        Steps that the solver tried. [1]
    converged : ndarray of bool, shape (...)
        Whether it settled. [1]
    redundancy : ndarray, shape (..., m)
        r, the share of an error in a row that its own residual shows, from 0 to 1
        (priors that are correlated may lie outside); r sums to the degrees of
        freedom.  Derived. [1]
    standardized : ndarray, shape (..., m)
        w, the residual over its own standard uncertainty ([1]_); NaN where the row is
        uncheckable.  Derived. [1]
    """

    parameters: Array
    covariance: Array
    observed: Array
    residuals: Array
    standard: Array
    precision: Array
    jacobian: Array
    dof: int
    readings: int
    steps: NDArray[np.intp]
    converged: NDArray[np.bool_]
    redundancy: Array = field(init=False)
    standardized: Array = field(init=False)

    def __post_init__(self) -> None:
        middle = self.residual_precision
        spread = np.diagonal(middle, axis1=-2, axis2=-1)
        # Equal to the diagonal of Q_vv P, without forming Q_vv.
        hat = np.einsum("...ij,...ji->...i", self.jacobian, self._gain)
        r = 1.0 - hat
        object.__setattr__(self, "redundancy", np.where(np.abs(r) < 1e-12, 0.0, r))
        own = np.diagonal(self.precision)
        seen = spread > UNCHECKABLE * own
        w = self.weighted / np.sqrt(np.where(seen, spread, 1.0))
        object.__setattr__(self, "standardized", np.where(seen, w, np.nan))

    def one(self, index: int) -> Fit:
        """Take one fit out of a batch.

        Parameters
        ----------
        index : int
            Which, along the first axis. [1]

        Returns
        -------
        Fit
            That fit alone. [unit]
        """
        return Fit(
            self.parameters[index],
            self.covariance[index],
            self.observed[index],
            self.residuals[index],
            self.standard,
            self.precision,
            self.jacobian[index],
            self.dof,
            self.readings,
            self.steps[index],
            self.converged[index],
        )

    @property
    def _gain(self) -> Array:
        """How the unknowns follow the rows, Q Aᵀ P, shape (..., n, m)."""
        across = np.swapaxes(self.jacobian, -1, -2) @ self.precision
        return self.covariance @ across

    @property
    def adjusted(self) -> Array:
        """Values of the rows at the best unknowns, observed + v. [unit]"""
        return self.observed + self.residuals

    @property
    def weighted(self) -> Array:
        """P v, shape (..., m). [unit]"""
        return self.residuals @ self.precision

    @property
    def hat(self) -> Array:
        """A Q Aᵀ P, which turns readings into adjusted ones, shape (..., m, m). [unit]"""
        return self.jacobian @ self._gain

    @property
    def residual_covariance(self) -> Array:
        """Q_vv, covariance of the residuals, shape (..., m, m). [unit]"""
        A = self.jacobian
        spread = A @ self.covariance @ np.swapaxes(A, -1, -2)
        return np.linalg.inv(self.precision) - spread

    @property
    def residual_precision(self) -> Array:
        """P Q_vv P = P − P A Q Aᵀ P, shape (..., m, m). [unit]"""
        across = self.precision @ self.jacobian
        return self.precision - across @ self.covariance @ np.swapaxes(across, -1, -2)

    @property
    def checkable(self) -> NDArray[np.bool_]:
        """Whether the other rows say anything about this one, shape (..., m). [1]"""
        return np.isfinite(self.standardized)

    @property
    def square_sum(self) -> Array:
        """vᵀ P v, shape (...). [1]"""
        return np.asarray(np.einsum("...i,...i->...", self.residuals, self.weighted))

    @property
    def s0(self) -> Array:
        """√(vᵀ P v / dof), 1 when doubts are as stated; NaN without redundancy. [1]"""
        if self.dof == 0:
            return np.full_like(self.square_sum, np.nan)
        return np.sqrt(self.square_sum / self.dof)

    @property
    def covariance_scaled(self) -> Array:
        """Covariance times s0², for weights that are only relative. [unit]"""
        return self.covariance * self.s0[..., None, None] ** 2

    @property
    def doubts(self) -> Array:
        """Standard uncertainty of each unknown from the stated ones. [unit]"""
        return np.sqrt(np.diagonal(self.covariance, axis1=-2, axis2=-1))

    @property
    def doubts_scaled(self) -> Array:
        """Standard uncertainty of each unknown, scaled by s0. [unit]"""
        return self.doubts * self.s0[..., None]

    @property
    def tau(self) -> Array:
        """Residual over its standard uncertainty as scaled by s0, w / s0 ([2]_). [1]"""
        return self.standardized / self.s0[..., None]

    @property
    def chance_above(self) -> Array:
        """Chance of a vᵀ P v as large as this or larger, shape (...). [1]"""
        return chi_square_above(self.square_sum, self.dof)

    @property
    def chance_two_sided(self) -> Array:
        """Chance of a vᵀ P v as far out, too large or too small, shape (...). [1]"""
        above = self.chance_above
        if self.dof == 0:
            return above
        return 2.0 * np.minimum(above, 1.0 - above)

    def bounds(self, level: float = 0.95) -> Array:
        """Bounds that s0 keeps with chance `level`, equal tails, shape (2,). [1]"""
        if self.dof == 0:
            return np.array([0.0, np.inf])
        tail = (1.0 - level) / 2.0
        cut = chi_square_quantile(np.array([tail, 1.0 - tail]), self.dof)
        return np.sqrt(cut / self.dof)
