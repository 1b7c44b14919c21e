"""`splinewise check`: do the dimensions agree?"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import click

from splinewise.cli.options import (
    CAR,
    JSON,
    again,
    book_options,
    corners_wanted,
    emit,
    open_car,
)

if TYPE_CHECKING:
    from splinewise.show import System
    from splinewise.tasks.check import Check, Group
    from splinewise.tasks.values import Value

__all__ = ["check_answer", "check_picture", "command", "print_check"]


@click.command("check")
@CAR
@click.argument("corner", required=False)
@book_options
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
    emit(
        results,
        one=corner is not None,
        as_json=as_json,
        car=here,
        show=lambda c: print_check(c, here.system, then=again("plan", car, c.corner)),
    )
    return 0 if all(c.agrees for c in results) else 1


def print_check(check: Check, system: System, *, then: str) -> None:
    """Print the dimensions side by side; `then` is the command that comes next."""
    from splinewise.cli.report import Report
    from splinewise.tasks.said import said, said_away

    report = Report()
    report.title(f"{check.car}, {check.corner}: do the dimensions agree?")
    for sentence in check_answer(check, system):
        report.answer(sentence)
    report.picture(check_picture(check))
    groups = (check.published, check.readings)
    rows = [(f"{_origin(g)}: {r.estimate.name}", r) for g in groups for r in g.rows]
    report.table(
        [
            (
                name,
                row.estimate.as_typed,
                said(row.estimate.slack_angle, system),
                said_away(
                    row.off_height, system, above="higher", below="lower", both=False
                )
                if row.off.known
                else "",
                row.verdict,
            )
            for name, row in rows
        ],
        head=("dimension", "as typed", "slack angle", "car by it", "verdict"),
        title="Each dimension as a slack angle, and the car by it against the others",
    )
    report.points("Left out", check.left_out)
    origins: dict[str, list[str]] = {}
    for _, row in rows:
        origins.setdefault(row.estimate.doubt_from, []).append(row.estimate.name)
    report.points(
        "Where the ± of each figure comes from",
        (f"{', '.join(names)}: {origin}" for origin, names in origins.items()),
    )
    report.points("How to read this", check.notes)
    report.points("Caution", check.cautions)
    report.next(
        "which setting do you want?"
        if check.agrees
        else "look again at the dimensions that disagree, before you move a tooth. Then:",
        then,
    )
    report.print()


def check_answer(check: Check, system: System) -> list[str]:
    """Return the answer of a check in sentences."""
    found = [f"{check.published.words} {check.readings.words}"]
    if not math.isfinite(check.readings.mean.value):
        return found
    rows = check.published.rows
    if check.published.verdict == "disagrees":
        book = [(r.estimate.name, r.estimate.slack_angle) for r in rows]
    elif rows:
        names = " and ".join(r.estimate.name for r in rows)
        book = [(names, check.published.mean)]
    else:
        book = []
    return [*found, *(_against(check, name, angle, system) for name, angle in book)]


def _against(check: Check, name: str, published: Value, system: System) -> str:
    """Return how the car as read stands to a published dimension."""
    from splinewise.tasks.said import said_away
    from splinewise.tasks.values import COVERAGE, Value

    read = check.readings.mean
    doubt = math.hypot(published.doubt or 0.0, read.doubt or 0.0)
    apart = Value(published.value - read.value, "rad", doubt or None)
    if abs(apart.value) <= COVERAGE * doubt:
        off = said_away(apart, system, above="apart", below="apart", level="apart")
        return (
            f"By the readings the arm is where the published {name} puts it: the two "
            f"are {off}, no more than the doubt."
        )
    steps = abs(apart.value) / check.index_step.value
    # Two ends of one position each have no step to count in.
    many = f", {steps:.1f} index steps" if check.index_step.value < 1.0 else ""
    turn = said_away(apart, system, above="higher", below="lower")
    lift = check.height_per_angle.value
    height = said_away(
        Value(lift * apart.value, "m", abs(lift) * doubt or None),
        system,
        above="higher",
        below="lower",
    )
    return (
        f"The published {name} would have the slack arm {turn} than it was read{many}, "
        f"and the car {height}."
    )


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
