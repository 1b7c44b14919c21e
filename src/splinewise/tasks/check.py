"""Do the published dimensions and the readings of a corner agree?

Each is turned into the slack angle, and all are laid side by side.  Published
dimensions are compared with one another, and readings with one another: the two
groups answer different questions ("is the book of one mind?", "is the car read
rightly?"), and the step between them is what the teeth have to make up.

Within a group the tests of `splinewise.core.snooping` decide: a dimension is named as
the wrong one only where it explains what is seen far better than any other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from splinewise.car.model import Car, Corner
from splinewise.core.corner import wheel_force
from splinewise.core.jet import slope
from splinewise.core.leastsquares import fit_linear
from splinewise.core.linkages import solve
from splinewise.core.snooping import Finding, judge
from splinewise.errors import TaskError
from splinewise.tasks.cautions import cautions
from splinewise.tasks.slack import SlackEstimate, corner_of, estimates
from splinewise.tasks.turns import spring_of, turn_per_angle
from splinewise.tasks.values import Value

__all__ = ["Check", "Group", "Row", "Verdict", "check"]

Verdict = Literal["agrees", "disagrees", "cannot tell"]

SIGNIFICANCE = 0.01
"""Chance with which good dimensions may be said to disagree (own choice). [1]"""

_SURE = 1e-9
"""Standard doubt in place of none at all, so that weights stay finite. [rad]"""


@dataclass(frozen=True, slots=True)
class Row:
    """One dimension turned into the slack angle.

    Attributes
    ----------
    estimate : SlackEstimate
        The dimension and the slack angle it implies. [rad]
    off : Value
        Its slack angle less the mean of the others in its group; NaN if it is
        alone. [rad]
    off_height : Value
        What that makes of the ride height; up is positive. [m]
    verdict : str
        "agrees"; "disagrees": it is the wrong one, or one of two that cannot both be
        right; "cannot tell": nothing to compare it with, or one of several that may
        be wrong. [1]
    """

    estimate: SlackEstimate
    off: Value
    off_height: Value
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class Group:
    """The published dimensions, or the readings.

    Attributes
    ----------
    standing : str
        "published" or "measured". [1]
    rows : tuple of Row
        Each dimension. [rad]
    mean : Value
        Weighted mean slack angle; NaN if there is none. [rad]
    verdict : str
        "agrees", "disagrees" or "cannot tell". [1]
    words : str
        The verdict as a sentence. [1]
    """

    standing: str
    rows: tuple[Row, ...]
    mean: Value
    verdict: Verdict
    words: str


@dataclass(frozen=True, slots=True)
class Check:
    """All that is known of one corner's slack angle, side by side.

    Attributes
    ----------
    car, corner, side : str
        Which corner. [1]
    published, readings : Group
        The two groups. [rad]
    height_per_angle : Value
        Ride height gained per slack angle gained, near the drawn position; negative,
        since an arm that hangs lower with the bar slack lifts the car. [m/rad]
    index_step : Value
        Smallest step of the two ends, to judge by. [rad]
    agrees : bool
        False if either group disagrees within itself. [1]
    left_out : tuple of str
        Observations that could not be used, and why. [1]
    notes, cautions : tuple of str
        Where the doubt comes from; safety sentences. [1]
    """

    car: str
    corner: str
    side: str
    published: Group
    readings: Group
    height_per_angle: Value
    index_step: Value
    agrees: bool
    left_out: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


_NOTES = (
    (
        "Each ± is two standard doubts, first order. What a book allows for itself is "
        "in it only where it was typed, and errors of the car's own points are not."
    ),
    (
        "Dimensions are said to disagree where good ones would lie so far apart less "
        "than once in a hundred times."
    ),
)


def check(car: Car, corner: str) -> Check:
    """Lay all dimensions of a corner side by side as slack angles.

    Parameters
    ----------
    car : Car
        The car.
    corner : str
        Its corner, by name or side.

    Returns
    -------
    Check
        The dimensions and whether they agree.

    Raises
    ------
    TaskError
        If the file gives no dimension at all for the corner.
    """
    here = corner_of(car, corner)
    groups: list[tuple[SlackEstimate, ...]] = []
    left_out: list[str] = []
    for observations in (here.published, here.readings):
        found, why = estimates(here, observations)
        groups.append(found)
        left_out += why
    if not any(groups):
        reasons = " ".join(left_out) or "The file gives none."
        msg = f"There is no dimension of {here.name} to check. {reasons}"
        raise TaskError(msg)
    best = min(
        (e for g in groups for e in g), key=lambda e: e.slack_angle.doubt or math.inf
    )
    per_angle = _height_per_angle(here, best.slack_angle.value)
    published = _group("published", groups[0], per_angle)
    readings = _group("measured", groups[1], per_angle)
    return Check(
        car=car.name,
        corner=here.name,
        side=here.side,
        published=published,
        readings=readings,
        height_per_angle=Value(per_angle, "m/rad"),
        # Slack angles of the arm are compared with it.
        index_step=Value(
            here.splines.index_step / turn_per_angle(here, best.slack_angle.value),
            "rad",
        ),
        agrees="disagrees" not in (published.verdict, readings.verdict),
        left_out=tuple(left_out),
        notes=_NOTES,
        cautions=cautions(["on stands"]),
    )


def _height_per_angle(corner: Corner, slack: float) -> float:
    """Return the height's change with slack angle, where it is nearest to drawn. [m/rad]

    −dz/dτ₀ = −(k τ'/z')/K_w, times the bar's turn per slack angle of the arm.
    """
    theta = min(max(0.0, corner.low), corner.high)
    k = corner.bar.rate.value
    at = wheel_force(corner.linkage, spring_of(corner, slack), theta)
    pose = solve(corner.linkage, theta)
    per_turn = k * slope(pose.twist) / slope(pose.contact.z) / at.wheel_rate
    return -float(per_turn) * turn_per_angle(corner, slack)


def _group(standing: str, found: Sequence[SlackEstimate], per_angle: float) -> Group:
    verdicts, verdict, words = _judged(standing, found)
    rows = []
    for i, estimate in enumerate(found):
        off = _off(estimate, [e for j, e in enumerate(found) if j != i])
        height_doubt = None if off.doubt is None else off.doubt * abs(per_angle)
        height = Value(off.value * per_angle, "m", height_doubt)
        rows.append(Row(estimate, off, height, verdicts[i]))
    return Group(standing, tuple(rows), _mean(found), verdict, words)


def _mean(found: Sequence[SlackEstimate]) -> Value:
    """Return the weighted mean, weights 1/u²."""
    if not found:
        return Value(math.nan, "rad")
    weights = [(e.slack_angle.doubt or _SURE) ** -2 for e in found]
    total = math.fsum(weights)
    parts = (w * e.slack_angle.value for w, e in zip(weights, found, strict=True))
    return Value(math.fsum(parts) / total, "rad", total**-0.5)


def _off(estimate: SlackEstimate, others: Sequence[SlackEstimate]) -> Value:
    """Return how far a slack angle is from the mean of the others."""
    mean = _mean(others)
    if not mean.known:
        return mean
    doubt = math.hypot(estimate.slack_angle.doubt or 0.0, mean.doubt or 0.0)
    return Value(estimate.slack_angle.value - mean.value, "rad", doubt)


def _judged(
    standing: str, found: Sequence[SlackEstimate]
) -> tuple[list[Verdict], Verdict, str]:
    """Return the verdict on each, on all, and that one as a sentence."""
    one, many = {
        "published": ("published dimension", "published dimensions"),
        "measured": ("reading", "readings"),
    }[standing]
    if not found:
        return [], "cannot tell", f"There are no {many}."
    if len(found) == 1:
        words = f"There is only one {one}, with nothing to compare it to."
        return ["cannot tell"], "cannot tell", words
    names = [e.name for e in found]
    said = judge(
        fit_linear(
            [[1.0]] * len(found),
            [e.slack_angle.value for e in found],
            [e.slack_angle.doubt or _SURE for e in found],
        ),
        significance=SIGNIFICANCE,
    )
    if said.finding is Finding.AGREES:
        return ["agrees"] * len(found), "agrees", f"The {many} agree."
    if len(found) == 2:
        words = (
            f"The {many} disagree: {names[0]} and {names[1]} cannot both be right, and "
            "two alone cannot say which is wrong."
        )
        return ["disagrees"] * 2, "disagrees", words
    if said.finding is Finding.READING_WRONG:
        (wrong,) = said.suspects
        each: list[Verdict] = ["agrees"] * len(found)
        each[wrong] = "disagrees"
        words = f"The {many} disagree: {names[wrong]} stands out; the others agree."
        return each, "disagrees", words
    suspects = range(len(found)) if said.more_than_one else said.suspects
    each = ["cannot tell" if i in suspects else "agrees" for i in range(len(found))]
    words = f"The {many} disagree, and they do not show which is wrong. It may be " + (
        f"more than one of {', '.join(names)}."
        if said.more_than_one
        else f"{' or '.join(names[i] for i in said.suspects)}."
    )
    return each, "disagrees", words
