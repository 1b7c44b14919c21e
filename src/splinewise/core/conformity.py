"""Is a value inside its tolerance, and how sure is that?

The value is taken as normal about the best estimate, cut off by nothing.

References
----------
.. [1] JCGM 106:2012, *The role of measurement uncertainty in conformity assessment*,
   7.3 and 7.4 (probability of conformity) and 8.3 (guard bands), from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite, refuse_where
from splinewise.core.tails import chance, normal_below, normal_quantile

__all__ = [
    "Conformity",
    "Outcome",
    "assess",
    "guard_band",
    "inside_probability",
    "largest_shown",
]


class Outcome(Enum):
    """What can be said of a value and its tolerance."""

    PASS = "pass"
    FAIL = "fail"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class Conformity:
    """Verdict on one value.

    Attributes
    ----------
    outcome : Outcome
        Pass, fail or cannot tell.
    inside : float
        Probability that the true value is inside the tolerance. [1]
    acceptance : tuple of float
        Lower and upper limit between which a value passes; the lower above the upper
        where nothing could pass. [unit]
    rejection : tuple of float
        Lower and upper limit outside which a value fails. [unit]
    """

    outcome: Outcome
    inside: float
    acceptance: tuple[float, float]
    rejection: tuple[float, float]


def _doubt(standard: ArrayLike) -> Array:
    u = finite("standard", standard, "[unit]")
    refuse_where(u < 0.0, "standard", u, "[unit]", "0 or more")
    return u


def _limits(lower: ArrayLike, upper: ArrayLike) -> tuple[Array, Array]:
    low, high = np.broadcast_arrays(
        np.asarray(lower, dtype=np.float64), np.asarray(upper, dtype=np.float64)
    )
    refuse_where(np.isnan(low), "lower", low, "[unit]", "a number, or −infinite")
    wrong = ~(high > low)
    refuse_where(wrong, "upper", high, "[unit]", "above the lower limit")
    return low, high


def inside_probability(
    value: ArrayLike, standard: ArrayLike, lower: ArrayLike, upper: ArrayLike
) -> Array:
    """Probability that the true value lies between two limits ([1]_, 7.3 and 7.4).

    p = Φ[(T_U − y) / u] − Φ[(T_L − y) / u].

    Parameters
    ----------
    value, standard : array_like, shape (...)
        Best estimate y and its standard uncertainty u; with no doubt at all p is 0
        or 1. [unit]
    lower, upper : array_like, shape (...)
        Tolerance limits; infinite for a limit that is not there. [unit]

    Returns
    -------
    ndarray, shape (...)
        Probability. [1]

    Raises
    ------
    QuantityError
        If the upper limit is not above the lower.

    Examples
    --------
    >>> print(f"{inside_probability(13.6, 1.8, 12.5, 16.3):.2f}")
    0.66
    """
    y, u = finite("value", value, "[unit]"), _doubt(standard)
    low, high = _limits(lower, upper)
    sharp = u == 0.0
    safe = np.where(sharp, 1.0, u)
    # From the nearer tail, so that a value far inside keeps its small risk's digits.
    far = y > 0.5 * (low + high)
    a, b = (low - y) / safe, (high - y) / safe
    p = np.where(far, normal_below(-a) - normal_below(-b), 0.0)
    p = np.where(far, p, normal_below(b) - normal_below(a))
    return np.where(sharp, ((y >= low) & (y <= high)).astype(np.float64), p)


def guard_band(standard: ArrayLike, risk: ArrayLike) -> Array:
    """Width to step inside a limit so that a passed value is wrong at most so often.

    g = u Φ⁻¹(1 − risk); the acceptance limit is T − g ([1]_, 8.3).

    Parameters
    ----------
    standard : array_like, shape (...)
        Standard uncertainty of the value, u. [unit]
    risk : array_like, shape (...)
        Largest chance that a value at the acceptance limit is outside. [1]

    Returns
    -------
    ndarray, shape (...)
        Guard band, g; negative for a risk above one half. [unit]
    """
    return _doubt(standard) * normal_quantile(1.0 - chance("risk", risk))


def largest_shown(limit: ArrayLike, relative: ArrayLike, sureness: ArrayLike) -> Array:
    """Find the reading that shows a limit passed, when doubt grows with the reading.

    A reading y with u = q y shows that the true value is above the limit with the
    sureness p when y = T / (1 − q z), z = Φ⁻¹(p), as in the speed check of [1]_.

    Parameters
    ----------
    limit : array_like, shape (...)
        Limit, T. [unit]
    relative : array_like, shape (...)
        Standard uncertainty as a share of the reading, q. [1]
    sureness : array_like, shape (...)
        Probability that the limit is really passed, p. [1]

    Returns
    -------
    ndarray, shape (...)
        Reading. [unit]

    Raises
    ------
    QuantityError
        If no reading is sure enough.
    """
    T, q = finite("limit", limit, "[unit]"), finite("relative", relative, "")
    left = 1.0 - q * normal_quantile(chance("sureness", sureness))
    refuse_where(left <= 0.0, "relative", q, "", "smaller: no reading is sure enough")
    return T / left


def assess(
    value: float, standard: float, lower: float, upper: float, *, risk: float = 0.05
) -> Conformity:
    """Pass a value that is surely inside, fail one that is surely outside.

    Pass if the probability of being outside is at most `risk`, fail if that of being
    inside is, and cannot tell between.

    Parameters
    ----------
    value, standard : float
        Best estimate and standard uncertainty. [unit]
    lower, upper : float
        Tolerance limits; infinite for a limit that is not there. [unit]
    risk : float, default 0.05
        Chance of a wrong verdict that is put up with; below one half. [1]

    Returns
    -------
    Conformity
        Outcome, probability, and the limits in terms of the value. [unit]

    Raises
    ------
    QuantityError
        If the risk is not below one half, or the limits are crossed.
    """
    r = chance("risk", risk)
    refuse_where(r >= 0.5, "risk", r, "", "below one half")
    p = float(inside_probability(value, standard, lower, upper))
    accept = _where(lower, upper, standard, 1.0 - float(r))
    reject = _where(lower, upper, standard, float(r))
    if p >= 1.0 - float(r):
        outcome = Outcome.PASS
    elif p <= float(r):
        outcome = Outcome.FAIL
    else:
        outcome = Outcome.CANNOT_TELL
    return Conformity(outcome, p, accept, reject)


def _where(
    lower: float, upper: float, standard: float, wanted: float
) -> tuple[float, float]:
    """Values between which the probability of being inside is at least `wanted`."""
    u = float(standard)
    if u == 0.0:
        return float(lower), float(upper)
    z = u * float(normal_quantile(wanted))
    if np.isinf(lower) or np.isinf(upper):
        return float(lower) + z, float(upper) - z

    def inside(y: float) -> float:
        root = math.sqrt(2.0) * u
        return 0.5 * (math.erf((upper - y) / root) - math.erf((lower - y) / root))

    middle = 0.5 * (lower + upper)
    if inside(middle) < wanted:
        return float("inf"), float("-inf")
    # The probability falls steadily from the middle outwards: bisect.
    near, far = middle, upper + 10.0 * u
    for _ in range(80):
        half = 0.5 * (near + far)
        near, far = (half, far) if inside(half) >= wanted else (near, half)
    return lower + upper - near, near
