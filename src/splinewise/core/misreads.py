"""Which likely misread would make everything agree?

Every hypothesis says that one slip was made and all else is as read.  They compete
with one another, with 'nothing was misread' and with 'one reading is wrong in some
way that has no name'.  A reading is blamed only if all that speaks for it beats all
that speaks for any other, and a slip is named only if it beats the other slips of
that reading and everything then agrees.

References
----------
.. [1] W. Baarda 1968: the change of vᵀPv when a reading is corrected.
.. [2] D. J. C. MacKay, *Information theory, inference, and learning algorithms*,
   2003, chapter 28: why a vague hypothesis pays for its vagueness (from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from splinewise.core.fit_result import Fit
from splinewise.core.misread_slips import Alternative
from splinewise.core.noticeable import EVIDENCE
from splinewise.core.quantities import Array
from splinewise.core.tails import chance, chi_square_above
from splinewise.errors import TaskError

__all__ = ["Explanation", "Weighed", "square_sum_after", "weigh"]

RATE = 0.02
"""How often a reading is misread: one in fifty (own choice, no source)."""

NAMEABLE = 0.8
"""Share of misreads that have a name (own choice, no source)."""

SPREAD = 50.0
"""Size of an error without a name, in standard uncertainties (own choice)."""

LOWEST_CHANCE = 0.01
REFITS = 20
REFIT_MARGIN = 12.0


@dataclass(frozen=True, slots=True)
class Weighed:
    """One hypothesis and how well everything then agrees.

    Attributes
    ----------
    alternatives : tuple of Alternative
        The slip; several where they come to the same reading.
    square_sum : float
        vᵀPv with the corrected reading. [1]
    chance_above : float
        Chance of a vᵀPv as large or larger. [1]
    likelihood_ratio : float
        How many times likelier the readings are than if nothing was misread. [1]
    probability : float
        Share of belief, against all other hypotheses that were weighed. [1]
    """

    alternatives: tuple[Alternative, ...]
    square_sum: float
    chance_above: float
    likelihood_ratio: float
    probability: float


@dataclass(frozen=True, slots=True, eq=False)
class Explanation:
    """What the misreads come to.

    Attributes
    ----------
    blamed : tuple of int
        The row, or the pair of rows, that is wrong beyond doubt; empty where several
        could be, or nothing need be. [1]
    named : Weighed or None
        The one misread of the blamed row that fits; None where several fit, or none.
    weighed : tuple of Weighed
        Misreads that are not far behind the best, the likeliest first.
    nothing : float
        Probability that nothing was misread. [1]
    unnamed : ndarray, shape (m,)
        Probability of each row being wrong in a way without a name. [1]
    """

    blamed: tuple[int, ...]
    named: Weighed | None
    weighed: tuple[Weighed, ...]
    nothing: float
    unnamed: Array


def square_sum_after(fit: Fit, alternative: Alternative) -> float:
    """Sum of squares after rows are corrected, to first order in the model ([1]_).

    With corrections d: vᵀPv − 2 dᵀPv + dᵀ(P Q_vv P) d; exact for a linear model.

    Parameters
    ----------
    fit : Fit
        One fit, not a batch.
    alternative : Alternative
        Rows and what they would have been.

    Returns
    -------
    float
        vᵀPv. [1]
    """
    return _sums_after(fit, [alternative])[0]


def _sums_after(fit: Fit, alternatives: Sequence[Alternative]) -> list[float]:
    S, Pv = fit.residual_precision, fit.weighted
    before = float(fit.square_sum)
    sums = []
    for one in alternatives:
        rows = np.array(one.rows)
        d = np.array(one.corrected) - fit.observed[rows]
        change = d @ S[rows[:, None], rows] @ d - 2.0 * d @ Pv[rows]
        sums.append(max(before + float(change), 0.0))
    return sums


def weigh(
    fit: Fit,
    alternatives: Sequence[Alternative],
    *,
    rate: float = RATE,
    spread: float = SPREAD,
    evidence: float = EVIDENCE,
    refit: Callable[[Alternative], float] | None = None,
) -> Explanation:
    """Weigh likely misreads against one another and against their rivals.

    A slip's weight is exp(Δ/2), Δ the drop of vᵀPv, times the chance of that slip:
    four fifths of `rate` shared evenly among the slips of a row.  The rest of `rate`
    goes to an error without a name, normal with a width of `spread` standard
    uncertainties, whose weight is exp[w²/2 · q] √(1 − q) with q = s²r/(1 + s²r) ([2]_).

    Parameters
    ----------
    fit : Fit
        One fit, not a batch.
    alternatives : sequence of Alternative
        What each reading may have been.
    rate : float, default 0.02
        How often a reading is misread. [1]
    spread : float, default 50
        Width of an error without a name, s, in standard uncertainties. [1]
    evidence : float, default 10
        How many times likelier a blamed row, or a named slip, must be than any
        rival. [1]
    refit : callable, optional
        vᵀPv of a full fit with an alternative's readings, to put exact figures in
        place of the first-order ones of the leading hypotheses. [1]

    Returns
    -------
    Explanation
        Which reading to blame, which slip to name, and what else might be. [1]

    Raises
    ------
    TaskError
        If given a batch.
    """
    if fit.parameters.ndim != 1:
        msg = "Misreads are weighed for one fit at a time; take one out of the batch."
        raise TaskError(msg)
    slips = float(chance("rate", rate)) * NAMEABLE
    counts = np.zeros(fit.residuals.size)
    for one in alternatives:
        counts[list(one.rows)] += 1.0
    before = float(fit.square_sum)
    after = np.array(_sums_after(fit, alternatives))
    shares = np.array([slips / max(counts[list(one.rows)]) for one in alternatives])
    log_slip = 0.5 * (before - after) + np.log(shares)
    if refit is not None and log_slip.size:
        leaders = np.argsort(-log_slip)[:REFITS]
        for k in leaders[log_slip[leaders] > log_slip.max() - REFIT_MARGIN]:
            after[k] = refit(alternatives[k])
        log_slip = 0.5 * (before - after) + np.log(shares)
    log_none = np.log1p(-rate)
    log_other = _without_name(fit, spread) + np.log(rate - slips)
    top = max(log_none, log_slip.max(initial=-np.inf), log_other.max(initial=-np.inf))
    total = np.exp(log_none - top) + np.exp(log_slip - top).sum()
    total += np.exp(log_other - top).sum()
    p_slip = np.exp(log_slip - top) / total
    p_none = float(np.exp(log_none - top) / total)
    p_other = np.exp(log_other - top) / total
    groups = _same_reading(fit, alternatives, p_slip)
    weighed = [
        Weighed(
            alternatives=tuple(alternatives[k] for k in group),
            square_sum=float(after[group[0]]),
            chance_above=float(chi_square_above(after[group[0]], fit.dof)),
            likelihood_ratio=float(
                np.exp(min(0.5 * (before - after[group[0]]), 700.0))
            ),
            probability=float(p_slip[list(group)].sum()),
        )
        for group in groups
    ]
    weighed.sort(key=lambda one: -one.probability)
    w2 = np.nan_to_num(fit.standardized) ** 2
    freed = chi_square_above(np.maximum(before - w2, 0.0), max(fit.dof - 1, 0))
    blamed = _blamed(weighed, p_none, p_other, freed, evidence)
    own = [one for one in weighed if one.alternatives[0].rows == blamed]
    named = None
    if own:
        rivals = [one.probability for one in own[1:2]]
        clear = all(own[0].probability >= evidence * rival for rival in rivals)
        # An error without a name fits anything: a slip must fit better than chance.
        vague = max(float(p_other[row]) for row in blamed)
        fits = own[0].chance_above >= LOWEST_CHANCE
        if clear and fits and own[0].probability >= vague:
            named = own[0]
    least = weighed[0].probability / 100.0 if weighed else 0.0
    kept = tuple(one for one in weighed if one.probability >= least)
    return Explanation(blamed, named, kept, p_none, p_other)


def _blamed(
    weighed: Sequence[Weighed],
    nothing: float,
    unnamed: Array,
    freed: Array,
    evidence: float,
) -> tuple[int, ...]:
    """Rows that are wrong whichever slip it was, if they beat all other rows.

    Either the rest agrees without the row (`freed`, the chance of it), or one of its
    slips makes everything agree.
    """
    agrees: dict[tuple[int, ...], float] = {
        (row,): float(p) for row, p in enumerate(freed)
    }
    belief: dict[tuple[int, ...], float] = {
        (row,): float(p) for row, p in enumerate(unnamed)
    }
    for one in weighed:
        rows = one.alternatives[0].rows
        belief[rows] = belief.get(rows, 0.0) + one.probability
        agrees[rows] = max(agrees.get(rows, 0.0), one.chance_above)
    order = sorted(belief, key=lambda rows: -belief[rows])
    rivals = [nothing, *(belief[rows] for rows in order[1:2])]
    if agrees[order[0]] < LOWEST_CHANCE or belief[order[0]] < evidence * max(rivals):
        return ()
    return order[0]


def _without_name(fit: Fit, spread: float) -> Array:
    """Log weight of an error of unknown size in each row."""
    own = np.diagonal(fit.residual_precision) * (spread * fit.standard) ** 2
    own = np.where(fit.checkable, own, 0.0)
    q = own / (1.0 + own)
    w2 = np.nan_to_num(fit.standardized) ** 2
    return np.asarray(0.5 * w2 * q + 0.5 * np.log1p(-q))


def _same_reading(
    fit: Fit, alternatives: Sequence[Alternative], belief: Array
) -> list[tuple[int, ...]]:
    """Group slips of the same rows that come to nearly the same reading."""
    groups: list[list[int]] = []
    for k in np.argsort(-belief, kind="stable"):
        one = alternatives[k]
        for group in groups:
            lead = alternatives[group[0]]
            if lead.rows == one.rows and all(
                abs(a - b) < 0.5 * fit.standard[row]
                for a, b, row in zip(
                    lead.corrected, one.corrected, one.rows, strict=True
                )
            ):
                group.append(int(k))
                break
        else:
            groups.append([int(k)])
    return [tuple(group) for group in groups]
