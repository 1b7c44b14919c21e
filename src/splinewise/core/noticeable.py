"""What could go unnoticed: smallest noticeable errors, and readings that look alike.

None of these needs a reading to be taken; the doubts and the geometry are enough.

References
----------
.. [1] W. Baarda, *A testing procedure for use in geodetic networks*, Netherlands
   Geodetic Commission, Publications on Geodesy 2(5), 1968.
.. [2] P. J. G. Teunissen, *Network quality control*, TU Delft OPEN, 2024: smallest
   noticeable error and its closed forms (read as quoted in public code).
"""

from __future__ import annotations

import numpy as np

from splinewise.core.fit_result import Fit
from splinewise.core.quantities import Array
from splinewise.core.tails import normal_below, noticed_shift

__all__ = [
    "EVIDENCE",
    "POWER",
    "SIGNIFICANCE",
    "likeness",
    "moving_together",
    "naming_chance",
    "smallest_noticeable",
    "unnoticed_effect",
]

SIGNIFICANCE = 0.001
POWER = 0.8

EVIDENCE = 10.0
"""How many times likelier the named reading must be than any other (own choice)."""

TOGETHER = 1.0 - 1e-6


def smallest_noticeable(
    fit: Fit, *, significance: float = SIGNIFICANCE, power: float = POWER
) -> Array:
    """Smallest error of each row that its own test notices ([1]_, [2]_).

    ∇ᵢ = δ₀ / √(P Q_vv P)ᵢᵢ, which for independent readings is δ₀ σᵢ / √rᵢ.

    Parameters
    ----------
    fit : Fit
        The fit; its readings need not be taken yet, only their doubts matter.
    significance : float, default 0.001
        Chance of a false alarm of one test. [1]
    power : float, default 0.8
        Chance that the error is noticed. [1]

    Returns
    -------
    ndarray, shape (..., m)
        Size of the error; infinite where the row is uncheckable. [unit]
    """
    own = np.diagonal(fit.residual_precision, axis1=-2, axis2=-1)
    shift = noticed_shift(significance, power)
    safe = np.where(fit.checkable, own, 1.0)
    return np.where(fit.checkable, shift / np.sqrt(safe), np.inf)


def unnoticed_effect(
    fit: Fit, *, significance: float = SIGNIFICANCE, power: float = POWER
) -> Array:
    """How far each unknown is led astray by an error just too small to notice.

    Parameters
    ----------
    fit : Fit
        The fit.
    significance, power : float
        As in `smallest_noticeable`. [1]

    Returns
    -------
    ndarray, shape (..., n, m)
        Size of the effect on each unknown of each row's error; infinite where an
        uncheckable row bears on the unknown. [unit]
    """
    A = np.swapaxes(fit.jacobian, -1, -2)
    gain = np.abs(fit.covariance @ A @ fit.precision)
    noticed = smallest_noticeable(fit, significance=significance, power=power)
    endless = np.isinf(noticed)[..., None, :]
    finite = gain * np.where(endless, 0.0, noticed[..., None, :])
    return np.where(endless & (gain > 1e-9 * gain.max()), np.inf, finite)


def likeness(fit: Fit) -> Array:
    """How alike the single tests are, the correlation ρᵢⱼ of wᵢ and wⱼ.

    Two rows with ρ = ±1 cannot be told apart whatever is read.

    Parameters
    ----------
    fit : Fit
        The fit.

    Returns
    -------
    ndarray, shape (..., m, m)
        Correlations; 0 beside a row that is uncheckable, 1 on the diagonal. [1]
    """
    S = fit.residual_precision
    own = np.sqrt(np.where(fit.checkable, np.diagonal(S, axis1=-2, axis2=-1), np.inf))
    rho = S / own[..., :, None] / own[..., None, :]
    m = S.shape[-1]
    rho[..., np.arange(m), np.arange(m)] = 1.0
    return np.asarray(np.clip(rho, -1.0, 1.0))


def naming_chance(
    fit: Fit,
    *,
    significance: float = SIGNIFICANCE,
    power: float = POWER,
    evidence: float = EVIDENCE,
) -> Array:
    """Chance that a row with the smallest noticeable error is told from another.

    With the error in row i, wᵢ ~ N(δ₀, 1), wⱼ ~ N(ρδ₀, 1) and their correlation is ρ;
    L = (wᵢ² − wⱼ²) / 2 has mean δ₀²(1 − ρ²) / 2 and variance (1 − ρ²)(1 + δ₀²).  It is
    taken as normal (own derivation; within a few per cent of drawn numbers).

    Parameters
    ----------
    fit : Fit
        The fit.
    significance, power, evidence : float
        As in `judge`. [1]

    Returns
    -------
    ndarray, shape (..., m, m)
        Chance for an error in the row (first) of beating the other (second) by
        `evidence`; 1 on the diagonal, 0 for rows that move together. [1]
    """
    apart = 1.0 - likeness(fit) ** 2
    shift = float(noticed_shift(significance, power))
    spread = np.sqrt(np.maximum(apart, 1e-12) * (1.0 + shift**2))
    chance = normal_below((0.5 * shift**2 * apart - np.log(evidence)) / spread)
    same = np.eye(apart.shape[-1], dtype=bool)
    return np.where(same, 1.0, np.where(apart < 1e-6, 0.0, chance))


def moving_together(
    fit: Fit, *, limit: float = TOGETHER
) -> tuple[tuple[int, ...], ...]:
    """Find groups of rows whose tests always move together.

    An error in one of a group looks exactly like an error in another.

    Parameters
    ----------
    fit : Fit
        One fit, not a batch.
    limit : float, default 1 - 1e-6
        Size of the correlation from which two tests count as one. [1]

    Returns
    -------
    tuple of tuple of int
        Groups of two rows or more. [1]
    """
    alike = np.abs(likeness(fit)) >= limit
    left = set(np.flatnonzero(fit.checkable).tolist())
    groups = []
    while left:
        first = min(left)
        group = tuple(i for i in sorted(left) if alike[first, i])
        left -= set(group)
        if len(group) > 1:
            groups.append(group)
    return tuple(groups)
