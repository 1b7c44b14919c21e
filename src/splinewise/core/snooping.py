"""Do the readings agree, and if not, which of them is to blame?

Two tests are joined.  The test on the whole compares vᵀPv with its chi-square law; the
test on a single reading compares w, its residual over the residual's own doubt, with
the normal law.  A reading is named only where it explains what is seen much better
than any other; else the answer is that something is wrong, with the suspects.

References
----------
.. [1] W. Baarda, *A testing procedure for use in geodetic networks*, Netherlands
   Geodetic Commission, Publications on Geodesy 2(5), 1968.
.. [2] A. J. Pope, *The statistics of residuals and the detection of outliers*, NOAA
   Technical Report NOS 65 NGS 1, 1976: τ.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from splinewise.core.fit_result import Fit
from splinewise.core.noticeable import EVIDENCE, POWER, SIGNIFICANCE
from splinewise.core.quantities import Array
from splinewise.core.tails import (
    chi_square_above,
    matching_significance,
    normal_quantile,
    tau_quantile,
)
from splinewise.errors import TaskError

__all__ = [
    "Finding",
    "Verdict",
    "WholeTest",
    "judge",
    "whole_test",
]

LOOSEST = 0.01
"""The test on the whole never raises more than one false alarm in a hundred."""


class Finding(Enum):
    """What the tests say."""

    AGREES = "agrees"
    SOMETHING_WRONG = "something is wrong"
    READING_WRONG = "this reading is wrong"


@dataclass(frozen=True, slots=True, eq=False)
class WholeTest:
    """The test on all readings together.

    Attributes
    ----------
    square_sum : float
        vᵀ P v. [1]
    dof : int
        Degrees of freedom. [1]
    s0 : float
        √(vᵀPv / dof); NaN without redundancy. [1]
    bounds : ndarray, shape (2,)
        Between what s0 stays 95 times in 100. [1]
    chance : float
        Chance of a vᵀPv as large by readings that are as good as stated. [1]
    significance : float
        The chance below which the test fails. [1]
    fails : bool
        Whether it does.
    borderline : bool
        Whether it passes with a chance below 5 %.
    """

    square_sum: float
    dof: int
    s0: float
    bounds: Array
    chance: float
    significance: float
    fails: bool
    borderline: bool


@dataclass(frozen=True, slots=True, eq=False)
class Verdict:
    """Whether the readings agree, and who is suspected.

    Attributes
    ----------
    finding : Finding
        Agrees, something is wrong, or this reading is wrong.
    suspects : tuple of int
        Rows that could explain what is seen, the likeliest first; just one where a
        reading is named, none where all agrees. [1]
    evidence : ndarray, shape (m,)
        How likely each row is as the only wrong one, relative to the likeliest. [1]
    critical : float
        Size of w (of τ for relative weights) that raises the alarm. [1]
    uncheckable : tuple of int
        Rows about which no other says anything. [1]
    more_than_one : bool
        Whether the rest still disagrees without the likeliest row: two readings are
        wrong, or the model is.
    whole : WholeTest
        The test on all readings together.
    """

    finding: Finding
    suspects: tuple[int, ...]
    evidence: Array
    critical: float
    uncheckable: tuple[int, ...]
    more_than_one: bool
    whole: WholeTest


def whole_test(
    fit: Fit, *, significance: float = SIGNIFICANCE, power: float = POWER
) -> WholeTest:
    """Test all readings together.

    The significance is that at which the test notices an error of one reading with
    the power of the single tests (Baarda's B-method, [1]_), but at most 1 %.

    Parameters
    ----------
    fit : Fit
        One fit, not a batch.
    significance, power : float
        Of the single tests. [1]

    Returns
    -------
    WholeTest
        What was computed and whether it fails. [1]
    """
    _single(fit)
    limit = _whole_significance(fit.dof, significance, power)
    chance = float(fit.chance_above)
    return WholeTest(
        square_sum=float(fit.square_sum),
        dof=fit.dof,
        s0=float(fit.s0),
        bounds=fit.bounds(),
        chance=chance,
        significance=limit,
        fails=chance < limit,
        borderline=limit <= chance < 0.05,
    )


def judge(
    fit: Fit,
    *,
    significance: float = SIGNIFICANCE,
    power: float = POWER,
    evidence: float = EVIDENCE,
    relative: bool = False,
) -> Verdict:
    """Say whether the readings agree, and name the wrong one only where that is sure.

    An error in row i alone explains wᵢ² of vᵀPv, so rows i and j as the only wrong
    one compare as exp[(wᵢ² − wⱼ²) / 2].  A row is named if it beats every other by
    `evidence`, and if the rest agrees without it.

    Parameters
    ----------
    fit : Fit
        One fit, not a batch.
    significance, power : float
        Of the single tests. [1]
    evidence : float, default 10
        How many times likelier the named row must be than any other. [1]
    relative : bool, default False
        Whether the doubts are only relative: then τ is tested in place of w, and
        there is no test on the whole.

    Returns
    -------
    Verdict
        Finding, suspects and the figures behind them. [1]

    Raises
    ------
    TaskError
        If given a batch.

    Examples
    --------
    >>> from splinewise.core.leastsquares import fit_linear
    >>> twice = fit_linear([[1.0], [1.0]], [0.640, 0.665], [1e-3, 1e-3])
    >>> verdict = judge(twice)
    >>> verdict.finding.value, verdict.suspects
    ('something is wrong', (0, 1))
    """
    whole = whole_test(fit, significance=significance, power=power)
    w2 = np.where(fit.checkable, np.nan_to_num(fit.standardized) ** 2, 0.0)
    top = float(w2.max(initial=0.0))
    if relative:
        critical = float(tau_quantile(significance, max(fit.dof, 1)))
        single = top > (critical * float(fit.s0)) ** 2
        alarm, leftover = single, False
        # The same comparison with the scale unknown: vᵀPv to the power −dof / 2.
        left = np.maximum(1.0 - w2 / max(whole.square_sum, 1e-300), 1e-12)
        log_ratio = -0.5 * fit.dof * np.log(left / left.min())
    else:
        critical = float(normal_quantile(1.0 - significance / 2.0))
        single = top > critical**2
        alarm = single or whole.fails
        without = fit.dof - 1
        limit = _whole_significance(without, significance, power)
        rest = chi_square_above(max(whole.square_sum - top, 0.0), max(without, 0))
        leftover = bool(rest < limit)
        log_ratio = 0.5 * (w2 - top)
    ratio = np.where(fit.checkable, np.exp(log_ratio), 0.0)
    order = np.argsort(-ratio, kind="stable")
    suspects = tuple(int(i) for i in order if alarm and ratio[i] * evidence >= 1.0)
    finding = Finding.AGREES
    if alarm:
        sure = single and len(suspects) == 1 and not leftover
        finding = Finding.READING_WRONG if sure else Finding.SOMETHING_WRONG
    return Verdict(
        finding=finding,
        suspects=suspects,
        evidence=ratio,
        critical=critical,
        uncheckable=tuple(np.flatnonzero(~fit.checkable).tolist()),
        more_than_one=alarm and leftover,
        whole=whole,
    )


def _whole_significance(dof: int, significance: float, power: float) -> float:
    if dof < 1:
        return LOOSEST
    matched = matching_significance(dof, significance=significance, power=power)
    return min(float(matched), LOOSEST)


def _single(fit: Fit) -> None:
    if fit.parameters.ndim != 1:
        msg = "The tests take one fit at a time; take one out of the batch first."
        raise TaskError(msg)
