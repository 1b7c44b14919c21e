"""How likely each whole number of index steps explains where a bar is found.

Whoever set the bar came to a whole place of the splines; the figure that was aimed at
lies anywhere between two.  A bar that has settled has given way toward bump, by an
amount of which only the width is known.

References
----------
.. [1] D. J. C. MacKay, *Information theory, inference, and learning algorithms*,
   2003, chapter 28: comparing hypotheses by their evidence (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite, positive, refuse_where
from splinewise.core.tails import normal_below, normal_quantile

__all__ = ["brier_score", "place_likelihood", "posterior"]

_PIECES = 400


def place_likelihood(
    apart: ArrayLike,
    standard: ArrayLike,
    places: ArrayLike,
    *,
    step: float,
    half_width: float = 0.0,
    settled: float = 0.0,
) -> Array:
    """Return how well each place explains a turn that was found.

    p(d | n) is the density of n s + r + c + e, with r even within ± `half_width`, c
    the size of a normal number of width `settled`, and e the doubt of the reading
    (own derivation).

    Parameters
    ----------
    apart : array_like, shape (...)
        Turn as found less that of the figure aimed at, positive to bump, d. [rad]
    standard : array_like, shape (...)
        Its standard uncertainty. [rad]
    places : array_like, shape (k,)
        Whole numbers of index steps, n. [1]
    step : float, shape ()
        Index step, s. [rad]
    half_width : float, shape (), default 0
        How far from a whole place the figure may lie; 0 where an adjuster takes that
        up. [rad]
    settled : float, shape (), default 0
        Width of what the bar may have settled by; 0 for not at all. [rad]

    Returns
    -------
    ndarray, shape (..., k)
        Density. [1/rad]

    Raises
    ------
    QuantityError
        If a doubt or the step is not above 0, or a width is below 0.

    Examples
    --------
    >>> place_likelihood(0.0, 0.1, [0], step=1.0, half_width=0.5).round(2).tolist()
    [1.0]
    """
    d = finite("apart", apart, "rad")[..., None]
    u = positive("standard", standard, "rad")[..., None]
    s = float(positive("step", step, "rad"))
    h = finite("half_width", half_width, "rad")
    w = finite("settled", settled, "rad")
    refuse_where(h < 0.0, "half_width", h, "rad", "0 or more")
    refuse_where(w < 0.0, "settled", w, "rad", "0 or more")
    off = d - finite("places", places, "") * s
    if w == 0.0:
        return _even(off, u, float(h))
    # The settling in slices that are equally likely.
    middle = (np.arange(_PIECES) + 0.5) / _PIECES
    by = w * normal_quantile(0.5 + 0.5 * middle)
    return np.asarray(np.mean(_even(off[..., None] - by, u[..., None], float(h)), -1))


def _even(off: Array, u: Array, half: float) -> Array:
    """Return the density of an even spread of ± `half` with a normal doubt."""
    if half <= 1e-6 * float(np.min(u)):
        return np.asarray(np.exp(-0.5 * (off / u) ** 2) / (u * np.sqrt(2.0 * np.pi)))
    # From the nearer tail, which keeps its digits.
    far = np.abs(off)
    inside = normal_below((half - far) / u) - normal_below((-half - far) / u)
    return np.asarray(inside / (2.0 * half))


def posterior(likelihood: ArrayLike, beforehand: ArrayLike) -> Array:
    """Return the probability of each explanation, Bayes' rule ([1]_).

    Parameters
    ----------
    likelihood : array_like, shape (..., k)
        How well each explains what was found. [unit]
    beforehand : array_like, shape (k,)
        Probability of each beforehand; scaled so that they add up to 1. [1]

    Returns
    -------
    ndarray, shape (..., k)
        Probabilities; all 0 where none explains it. [1]
    """
    p = finite("beforehand", beforehand, "")
    weight = finite("likelihood", likelihood, "[unit]") * (p / p.sum())
    total = weight.sum(axis=-1, keepdims=True)
    return np.asarray(
        np.where(total > 0.0, weight / np.where(total > 0.0, total, 1), 0)
    )


def brier_score(probability: ArrayLike, truth: ArrayLike) -> float:
    """Return the mean square error of probabilities; 0 is best, 2 is worst.

    Parameters
    ----------
    probability : array_like, shape (m, k)
        Probability given to each of k explanations, m times. [1]
    truth : array_like, shape (m,)
        Which was true. [1]

    Returns
    -------
    float, shape ()
        The score. [1]
    """
    p = finite("probability", probability, "")
    true = np.zeros_like(p)
    true[np.arange(len(p)), np.asarray(truth, dtype=np.intp)] = 1.0
    return float(np.mean(np.sum((p - true) ** 2, axis=-1)))
