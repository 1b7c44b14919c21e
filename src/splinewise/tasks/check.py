"""Do the published dimensions and the readings of a corner agree?

Each is turned into the slack angle, and all are laid side by side.  Published
dimensions are compared with one another, and readings with one another: the two
groups answer different questions ("is the book of one mind?", "is the car read
rightly?"), and the step between them is what the teeth have to make up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from splinewise.car.model import Car, Corner
from splinewise.core.corner import Spring, wheel_force
from splinewise.core.jet import slope
from splinewise.core.linkages import solve
from splinewise.errors import TaskError
from splinewise.tasks.cautions import cautions
from splinewise.tasks.slack import SlackEstimate, corner_of, slack_from
from splinewise.tasks.values import COVERAGE, Value

__all__ = ["Check", "Group", "Row", "check"]

Verdict = Literal["agrees", "disagrees", "cannot tell"]


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
        The same as ride height at the wheel, low positive. [m]
    verdict : str
        "agrees", "disagrees" or "cannot tell" (nothing to compare with). [1]
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
        Ride height lost per slack angle gained, at the drawn load. [m/rad]
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
    left_out: list[str] = []
    groups = []
    for observations in (here.published, here.readings):
        estimates = []
        for seen in observations:
            try:
                estimates.append(slack_from(here, seen))
            except TaskError as error:
                left_out.append(str(error))
        groups.append(estimates)
    if not any(groups):
        why = " ".join(left_out) or "The file gives none."
        msg = f"There is no dimension of {here.name} to check. {why}"
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
        index_step=Value(here.splines.index_step, "rad"),
        agrees="disagrees" not in (published.verdict, readings.verdict),
        left_out=tuple(left_out),
        notes=(
            (
                "Each ± is two standard doubts, first order: from the ± where one was "
                "typed, else from the last step that the figure shows. A "
                "book's own tolerance is not in it unless it was typed."
            ),
            "Dimensions agree when they differ by no more than two standard doubts.",
        ),
        cautions=cautions(["on stands"]),
    )


def _height_per_angle(corner: Corner, slack: float) -> float:
    """Return dz/dτ₀ = (k τ'/z')/K_w where the corner's travel is nearest to drawn."""
    theta = min(max(0.0, corner.low), corner.high)
    k = corner.bar.rate.value
    at = wheel_force(corner.linkage, Spring(k, slack, corner.bush), theta)
    pose = solve(corner.linkage, theta)
    return float(k * slope(pose.twist) / slope(pose.contact.z) / at.wheel_rate)


def _group(
    standing: str, estimates: Sequence[SlackEstimate], per_angle: float
) -> Group:
    rows = []
    for i, estimate in enumerate(estimates):
        others = [e for j, e in enumerate(estimates) if j != i]
        off, verdict = _against(estimate, others)
        rows.append(
            Row(
                estimate,
                off,
                Value(
                    off.value * per_angle,
                    "m",
                    None if off.doubt is None else off.doubt * abs(per_angle),
                ),
                verdict,
            )
        )
    verdict, words = _sentence(standing, rows)
    return Group(standing, tuple(rows), _mean(estimates), verdict, words)


def _mean(estimates: Sequence[SlackEstimate]) -> Value:
    """Return the weighted mean, weights 1/u²."""
    if not estimates:
        return Value(math.nan, "rad")
    weights = [(e.slack_angle.doubt or 1e-9) ** -2 for e in estimates]
    total = math.fsum(weights)
    mean = (
        math.fsum(
            w * e.slack_angle.value for w, e in zip(weights, estimates, strict=True)
        )
        / total
    )
    return Value(mean, "rad", total**-0.5)


def _against(
    estimate: SlackEstimate, others: Sequence[SlackEstimate]
) -> tuple[Value, Verdict]:
    if not others:
        return Value(math.nan, "rad"), "cannot tell"
    mean = _mean(others)
    off = estimate.slack_angle.value - mean.value
    doubt = math.hypot(estimate.slack_angle.doubt or 0.0, mean.doubt or 0.0)
    verdict: Verdict = "agrees" if abs(off) <= COVERAGE * doubt else "disagrees"
    return Value(off, "rad", doubt), verdict


def _sentence(standing: str, rows: Sequence[Row]) -> tuple[Verdict, str]:
    what = "published dimensions" if standing == "published" else "readings"
    if not rows:
        return "cannot tell", f"There are no {what}."
    if len(rows) == 1:
        return "cannot tell", f"There is one of the {what}: nothing to compare it with."
    wrong = [r for r in rows if r.verdict == "disagrees"]
    if not wrong:
        return "agrees", f"The {what} agree."
    if len(rows) == 2:
        a, b = (r.estimate.name for r in rows)
        return (
            "disagrees",
            (
                f"The {what} disagree: {a} and {b} cannot both be right, and two alone "
                "cannot say which is wrong."
            ),
        )
    rest = [r for r in rows if r.verdict == "agrees"]
    if len(wrong) == 1 and rest:
        return "disagrees", f"The {what} disagree: {wrong[0].estimate.name} stands out."
    names = ", ".join(r.estimate.name for r in wrong)
    return "disagrees", f"The {what} disagree; these are the suspects: {names}."
