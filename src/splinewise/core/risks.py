"""Chances of accepting what is bad and rejecting what is good.

References
----------
.. [1] JCGM 106:2012, 9.5: global consumer's and producer's risk.  Inputs of its
   example were read, the rest is from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from splinewise.core.conformity import inside_probability
from splinewise.core.quantities import finite, positive, refuse_where
from splinewise.core.tails import normal_below

__all__ = ["Risks", "global_risks"]


@dataclass(frozen=True, slots=True)
class Risks:
    """Chances of a wrong verdict, before anything is measured.

    Attributes
    ----------
    consumer : float
        Chance that a thing is outside its tolerance and accepted. [1]
    producer : float
        Chance that a thing is inside its tolerance and rejected. [1]
    """

    consumer: float
    producer: float


def global_risks(
    centre: float,
    spread: float,
    standard: float,
    tolerance: tuple[float, float],
    acceptance: tuple[float, float],
) -> Risks:
    """Chances of accepting what is bad and rejecting what is good ([1]_, 9.5).

    True values are normal, N(y₀, u₀); a reading of a true value is N(η, u_m).  The
    integral over the true value is done by Gauss-Legendre in the probability scale.

    Parameters
    ----------
    centre, spread : float
        Mean and standard deviation of what is produced, y₀ and u₀. [unit]
    standard : float
        Standard uncertainty of the reading, u_m. [unit]
    tolerance, acceptance : tuple of float
        Lower and upper limits of the thing, and of the reading. [unit]

    Returns
    -------
    Risks
        Consumer's and producer's. [1]
    """
    u0 = float(positive("spread", spread, "[unit]"))
    um = float(finite("standard", standard, "[unit]"))
    low, high = tolerance
    crossed = np.asarray(not high > low)
    refuse_where(crossed, "upper", np.asarray(high), "[unit]", "above the lower limit")
    ends = [(float(t) - centre) / u0 for t in (low, high)]
    inside = _accepted(centre, u0, um, acceptance, ends[0], ends[1])
    below = _accepted(centre, u0, um, acceptance, -9.0, ends[0])
    above = _accepted(centre, u0, um, acceptance, ends[1], 9.0)
    good = float(normal_below(ends[1]) - normal_below(ends[0]))
    return Risks(consumer=below + above, producer=good - inside)


def _accepted(
    centre: float,
    u0: float,
    um: float,
    acceptance: tuple[float, float],
    low: float,
    high: float,
) -> float:
    """Probability of a true value between two, in units of u0, that is accepted."""
    a, b = max(low, -9.0), min(high, 9.0)
    if b <= a:
        return 0.0
    # Panels short beside both widths keep each one smooth.
    step = max(min(0.5, 0.5 * um / u0), 1e-3)
    edges = np.linspace(a, b, int(np.ceil((b - a) / step)) + 1)
    x, w = np.polynomial.legendre.leggauss(8)
    half = 0.5 * np.diff(edges)[:, None]
    z = 0.5 * (edges[1:] + edges[:-1])[:, None] + half * x
    true = centre + u0 * z
    taken = inside_probability(true, um, *acceptance)
    density = np.exp(-0.5 * z * z) / np.sqrt(2.0 * np.pi)
    return float(np.sum(half * w * density * taken))
