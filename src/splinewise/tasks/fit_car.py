"""What do all readings of a corner say together, and which of them is wrong?

Weighted least squares of slack angle, bar rate, sprung load and ride height as drawn,
with what the car file knows of them as readings of their own.  Published dimensions
take no part: they say how the car should be set, not how it is.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from splinewise.car.model import Car, System
from splinewise.core.noticeable import POWER, SIGNIFICANCE, smallest_noticeable
from splinewise.core.snooping import Finding, Verdict, judge
from splinewise.core.tails import normal_below
from splinewise.tasks.cautions import cautions
from splinewise.tasks.fit_joint import Solved, joint_of, solve_joint
from splinewise.tasks.fit_model import SLACK, LoadTest
from splinewise.tasks.misread_words import misreads_of
from splinewise.tasks.readings_result import (
    BookRow,
    FittedValue,
    Readings,
    ReadRow,
)
from splinewise.tasks.said import said_away
from splinewise.tasks.slack import estimates, slack_from
from splinewise.tasks.values import COVERAGE, Value

__all__ = ["readings", "readings_from"]

_NOTES = (
    (
        "Each ± is two standard doubts. The figures of the file (bar rate, load, height "
        "at the drawn position) are weighed as readings of their own, with the doubt "
        "that the file gives them. Errors of the car's own points are not in it."
    ),
    (
        "A reading counts as wrong where a good one would lie so far out less than once "
        "in a thousand times; the smallest error noticed is the one that this test "
        f"finds {POWER * 100:.0f} times in a hundred."
    ),
    (
        "One reading in fifty is taken to be misread, four in five of those by a slip "
        "that has a name (own choice, no source)."
    ),
)


def readings(
    car: Car,
    corners: Sequence[str],
    *,
    same_bars: bool = False,
    load_tests: Mapping[str, LoadTest] | None = None,
) -> Readings:
    """Fit one corner, or some together, to all that was read of them.

    Parameters
    ----------
    car : Car
        The car.
    corners : sequence of str
        One corner, or those that share a bar's rate.
    same_bars : bool
        Whether their bars are known to be of one rate.
    load_tests : mapping of str to LoadTest, optional
        Load tests by corner.

    Returns
    -------
    Readings
        Values and doubts, whether the readings agree, and likely misreads.

    Raises
    ------
    TaskError
        If nothing was read that says how a corner is set.
    """
    joint = joint_of(car, corners, same_bars=same_bars, load_tests=load_tests)
    return readings_from(car, solve_joint(joint))


def readings_from(car: Car, solved: Solved) -> Readings:
    """Say what a fit means.

    Parameters
    ----------
    car : Car
        The car.
    solved : Solved
        Its fit.

    Returns
    -------
    Readings
        The same in words and figures.
    """
    joint, fit = solved.joint, solved.fit
    verdict = judge(fit, significance=SIGNIFICANCE)
    rows = _rows(solved, verdict)
    alone = fit.dof == 0
    wrong = verdict.finding is not Finding.AGREES
    finding: Literal[
        "agrees", "something is wrong", "this reading is wrong", "nothing to compare"
    ]
    finding = "nothing to compare" if alone else verdict.finding.value
    return Readings(
        car=car.name,
        corner=" and ".join(m.corner.name for m in joint.models),
        corners=tuple(m.corner.name for m in joint.models),
        values=_values(solved),
        rows=rows,
        published=_published(solved, car.system),
        finding=finding,
        words=_words(solved, verdict, rows, car.system),
        agrees=not wrong,
        chance=math.nan if alone else float(fit.chance_above),
        spare=fit.dof,
        misreads=misreads_of(solved) if wrong else (),
        left_out=joint.left_out,
        notes=_NOTES,
        cautions=cautions(["on stands"]),
    )


def _values(solved: Solved) -> tuple[FittedValue, ...]:
    fit, joint = solved.fit, solved.joint
    found = []
    for i, (one, owners) in enumerate(zip(joint.unknowns, joint.owners, strict=True)):
        known = math.isfinite(one.standard)
        before = Value(one.start, one.unit, one.standard) if known else None
        found.append(
            FittedValue(
                " and ".join(owners),
                one.name,
                before or Value(math.nan, one.unit),
                Value(float(fit.parameters[i]), one.unit, float(fit.doubts[i])),
            )
        )
    for i, model in enumerate(joint.models):
        if model.corner.ride_height is None:
            continue
        height, slopes = solved.height(i)
        if not math.isfinite(height):
            continue
        after = Value(height, "m", solved.doubt_of(slopes))
        found.append(
            FittedValue(
                model.corner.name,
                "ride height standing",
                Value(math.nan, "m"),
                after,
            )
        )
    return tuple(found)


def _rows(solved: Solved, verdict: Verdict) -> tuple[ReadRow, ...]:
    fit, joint = solved.fit, solved.joint
    least = smallest_noticeable(fit)
    redundancy = np.clip(fit.redundancy, 1e-300, None)
    sure = verdict.finding is Finding.READING_WRONG
    heads = [
        (corner.name, row.name, row.as_typed, row.state, row.unit, "measured")
        for corner, row in joint.rows
    ]
    slacks = [
        slack_from(corner, row.spot).slack_angle if row.spot else None
        for corner, row in joint.rows
    ]
    heads += [
        (
            " and ".join(owners),
            f"{one.name}, from the file",
            "",
            "",
            one.unit,
            "assumed",
        )
        for one, owners in zip(joint.unknowns, joint.owners, strict=True)
        if math.isfinite(one.standard)
    ]
    found = []
    for i, (corner, name, text, state, unit, standing) in enumerate(heads):
        checked = bool(fit.checkable[i])
        # What the others say is the row less its residual blown up by r.
        off = -float(fit.residuals[i] / redundancy[i]) if checked else math.nan
        doubt = float(fit.standard[i] / math.sqrt(redundancy[i])) if checked else None
        said: Literal["agrees", "wrong", "suspect", "cannot tell"]
        if not checked:
            said = "cannot tell"
        elif i in verdict.suspects:
            said = "wrong" if sure else "suspect"
        else:
            said = "agrees"
        observed = float(fit.observed[i])
        own = Value(observed, unit, float(fit.standard[i]))
        own = replace(own, standing="measured" if standing == "measured" else "assumed")
        fitted_doubt = solved.doubt_of(fit.jacobian[i])
        found.append(
            ReadRow(
                corner=corner,
                name=name,
                as_typed=text,
                state=state,
                observed=own,
                fitted=Value(float(fit.adjusted[i]), unit, fitted_doubt or None),
                off=Value(off, unit, doubt),
                times=float(fit.standardized[i]),
                noticeable=Value(float(least[i]) if checked else math.nan, unit),
                slack_angle=(slacks[i] if i < len(slacks) else None)
                or Value(math.nan, "rad"),
                verdict=said,
            )
        )
    return tuple(found)


def _words(
    solved: Solved, verdict: Verdict, rows: Sequence[ReadRow], system: System
) -> str:
    fit = solved.fit
    if fit.dof == 0:
        return "There is nothing to compare the reading with: any misread would stand."
    count = fit.readings
    if verdict.finding is Finding.AGREES:
        chance = float(fit.chance_above)
        all_of = (
            "The one reading agrees" if count == 1 else f"All {count} readings agree"
        )
        each = "with what the file knows"
        if count > 1:
            each = f"with one another and {each}"
        if not any(math.isfinite(r.times) for r in rows):
            return "No reading says anything of another: any misread would stand."
        more = " (only just)" if verdict.whole.borderline else ""
        return (
            f"{all_of} {each}{more}: good ones would lie farther apart "
            f"{100.0 * chance:.0f} times in a hundred."
        )
    if verdict.finding is Finding.READING_WRONG:
        row = rows[verdict.suspects[0]]
        what = said_away(row.off, system, above="above", below="below")
        return (
            f"{row.name} ({row.corner}) is wrong: it lies {what} what the others say. "
            "The others agree."
        )
    names = [f"{rows[i].name} ({rows[i].corner})" for i in verdict.suspects]
    if verdict.more_than_one or not names:
        return (
            "Something is wrong, and one wrong reading alone does not explain it. "
            "Read again, beginning with "
            + " and ".join(names[:3] or [r.name for r in rows[:2]])
            + "."
        )
    return (
        "Something is wrong, and the readings do not show which. It may be "
        + " or ".join(names)
        + "."
    )


def _published(solved: Solved, system: System) -> tuple[BookRow, ...]:
    found = []
    for i, model in enumerate(solved.joint.models):
        here = model.corner
        read, doubt = solved.figure(i, SLACK)
        for one in estimates(here, here.published)[0]:
            both = math.hypot(doubt, one.slack_angle.doubt or 0.0)
            apart = Value(one.slack_angle.value - read, "rad", both or None)
            far = abs(apart.value) / both if both else math.inf
            chance = 2.0 * float(normal_below(-min(far, 1e3)))
            holds = {
                True: "It is for this car.",
                False: "It is for another car.",
                None: "Whether it is for this car is not known.",
            }[one.for_this_car]
            if far <= COVERAGE:
                off = said_away(
                    apart, system, above="apart", below="apart", level="apart"
                )
                told = f"is where the arm was read: the two are {off}. {holds}"
            else:
                where = said_away(apart, system, above="higher", below="lower")
                told = f"would have the slack arm {where} than it was read. {holds}"
            told = f"The published {one.name} ({here.name}) {told}"
            found.append(
                BookRow(
                    here.name,
                    one.name,
                    one.source,
                    one.slack_angle,
                    apart,
                    chance,
                    one.for_this_car,
                    told,
                )
            )
    return tuple(found)
