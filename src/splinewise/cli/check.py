"""`splinewise check`: do the dimensions agree?"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import click

from splinewise.cli.options import CAR, JSON, corners_wanted, emit, open_car

if TYPE_CHECKING:
    from splinewise.show import System
    from splinewise.tasks.check import Check, Group

__all__ = ["check_answer", "check_picture", "command", "print_check"]


@click.command("check")
@CAR
@click.argument("corner", required=False)
@JSON
def command(car: str, corner: str | None, as_json: bool) -> int:
    """Do the published dimensions and the readings agree?

    CAR is a car file, or demo:NAME. Each dimension is turned into the slack angle
    and all are laid side by side.

    Exit code 1: something disagrees.
    """
    from splinewise.tasks.check import check

    here = open_car(car)
    results = [check(here, name) for name in corners_wanted(here, corner)]
    emit(results, as_json=as_json, show=lambda c: print_check(c, here.system))
    return 0 if all(c.agrees for c in results) else 1


def print_check(check: Check, system: System) -> None:
    """Print the dimensions side by side."""
    from splinewise.cli.report import Report
    from splinewise.tasks.said import said, said_change

    report = Report()
    report.title(f"{check.car}, {check.corner}: do the dimensions agree?")
    for sentence in check_answer(check, system):
        report.answer(sentence)
    report.picture(check_picture(check))
    groups = (check.published, check.readings)
    report.table(
        [
            (
                f"{_origin(g)}: {row.estimate.name}",
                row.estimate.as_typed,
                said(row.estimate.slack_angle, system),
                said_change(row.off_height, system) if row.off.known else "",
                row.verdict,
            )
            for g in groups
            for row in g.rows
        ],
        head=("dimension", "as typed", "slack angle", "off, as height", "verdict"),
        title="Each dimension as a slack angle",
    )
    report.points("Left out", check.left_out)
    report.points("How to read this", check.notes)
    report.points("Caution", check.cautions)
    report.next(
        "which setting do you want: splinewise plan CAR CORNER"
        if check.agrees
        else "read the dimensions that disagree again before you move a tooth."
    )
    report.print()


def check_answer(check: Check, system: System) -> list[str]:
    """Return the answer of a check in sentences."""
    from splinewise.tasks.said import said_change
    from splinewise.tasks.values import Value

    found = [f"{check.published.words} {check.readings.words}"]
    read = check.readings.mean.value
    if not math.isfinite(read):
        return found
    agreed = check.published.verdict != "disagrees"
    book = (
        [("what is published", check.published.mean.value)]
        if agreed
        else [
            (f"the published {r.estimate.name}", r.estimate.slack_angle.value)
            for r in check.published.rows
        ]
    )
    for name, angle in book:
        apart = angle - read
        if not math.isfinite(apart):
            continue
        # Added to nought so that none is written as −0.0.
        steps = f"{round(apart / check.index_step.value, 1) + 0.0:+.1f}"
        steps = steps.replace("-", "−")
        # Two ends of one position each have no step to count in.
        many = f" ({steps} index steps)" if check.index_step.value < 1.0 else ""
        found.append(
            f"From what was read to {name}: "
            f"{said_change(Value(apart, 'rad'), system)} of slack angle{many}."
        )
    return found


def check_picture(check: Check) -> list[str]:
    """Return the dimensions as bars of doubt on one scale of slack angle."""
    from splinewise import show
    from splinewise.cli.pictures import doubt_bars
    from splinewise.tasks.values import COVERAGE

    return doubt_bars(
        [
            (
                f"{_origin(group)}: {row.estimate.name}",
                row.estimate.slack_angle.value,
                COVERAGE * (row.estimate.slack_angle.doubt or 0.0),
            )
            for group in (check.published, check.readings)
            for row in group.rows
        ],
        ends=show.angle,
    )


def _origin(group: Group) -> str:
    return "book" if group.standing == "published" else "read"
