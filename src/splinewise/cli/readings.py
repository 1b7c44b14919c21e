"""`splinewise readings`: what do all readings together say, and which is wrong?"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import click

from splinewise.cli.options import (
    CAR,
    JSON,
    QuantityOption,
    again,
    book_options,
    corners_wanted,
    emit,
    figure,
    open_car,
)

if TYPE_CHECKING:
    from splinewise.show import System
    from splinewise.tasks.fit_model import LoadTest
    from splinewise.tasks.readings_result import Readings, ReadRow

__all__ = ["command", "print_readings"]

_SIGN = {"agrees": "agrees", "wrong": "WRONG", "suspect": "suspect"}


@click.command("readings")
@CAR
@click.argument("corner", required=False)
@click.option(
    "--same-bars",
    is_flag=True,
    help="All bars asked about are known to be of one rate: fit them together.",
)
@click.option(
    "--added",
    type=QuantityOption("mass"),
    metavar="WEIGHT",
    help='For a load test: weight laid over the wheel, such as "50 kg ± 0.2".',
)
@click.option(
    "--drop",
    type=QuantityOption("length"),
    metavar="LENGTH",
    help='How far the ride height fell under it, such as "11 mm ± 0.5".',
)
@book_options
@JSON
def command(
    car: str,
    corner: str | None,
    same_bars: bool,
    added: Any,
    drop: Any,
    as_json: bool,
) -> int:
    """What do all readings together say, and which of them is wrong?

    CAR is a car file, or demo:NAME. Slack angle, bar rate, load and drawn height are
    fitted to all that was read; published dimensions stand beside it.

    A load test tells the bar's rate better than its diameter does: give the weight
    that comes onto this one wheel, and how far the car went down there.

    Exit code 1: something disagrees.
    """
    if (added is None) != (drop is None):
        msg = "A load test needs both --added and --drop."
        raise click.UsageError(msg)
    if added is not None and corner is None:
        msg = "Name the corner at which the load test was made."
        raise click.UsageError(msg)
    from splinewise.tasks.fit_car import readings

    here = open_car(car)
    names = corners_wanted(here, corner)
    if same_bars and len(names) < 2:
        msg = "--same-bars is about two corners or more; name none to ask about all."
        raise click.UsageError(msg)
    tests = {} if added is None else {names[0]: load_test(added, drop)}
    groups = [names] if same_bars else [[name] for name in names]
    results = [
        readings(here, group, same_bars=same_bars, load_tests=tests) for group in groups
    ]
    emit(
        results,
        one=len(results) == 1,
        as_json=as_json,
        car=here,
        show=lambda r: print_readings(
            r, here.system, then=again("next", car, r.corners[0])
        ),
    )
    return 0 if all(r.agrees for r in results) else 1


def load_test(added: Any, drop: Any) -> LoadTest:
    """Return a load test as typed, or say why it tells nothing.

    Parameters
    ----------
    added : Quantity
        The weight on the wheel. [kg]
    drop : Quantity
        How far the height fell. [m]

    Returns
    -------
    LoadTest
        The same. [N]
    """
    from splinewise.core.quantities import GRAVITY
    from splinewise.tasks.doubts import standard_doubt
    from splinewise.tasks.fit_model import LoadTest

    if added.value <= 0.0 or drop.value <= 0.0:
        msg = "A load test needs a weight above 0 and a fall above 0."
        raise click.UsageError(msg)
    read = figure(drop)
    # A fall is the difference of two readings, each with its own last step.
    own = standard_doubt(read) * (1.0 if drop.doubt is not None else math.sqrt(2.0))
    weight = standard_doubt(figure(added)) / added.value
    standard = math.hypot(own, drop.value * weight)
    return LoadTest(added.value * GRAVITY, read, standard)


def print_readings(found: Readings, system: System, *, then: str) -> None:
    """Print what the readings say; `then` is the command that comes next."""
    from splinewise.cli.report import Report
    from splinewise.tasks.said import said

    report = Report()
    corners = " and ".join(found.corners)
    report.title(f"{found.car}, {corners}: what do the readings say together?")
    report.answer(found.words)
    for misread in found.misreads:
        report.answer(
            f"{misread.words} Share of belief: {_share(misread.probability)}."
        )
    for book in found.published:
        report.answer(book.words)
    report.picture(_picture(found))
    report.table(
        [
            (
                _where(found, v.corner, v.name),
                said(v.before, system),
                said(v.after, system),
            )
            for v in found.values
        ],
        head=("figure", "before the readings", "after"),
        title="What is known now",
    )
    report.table(
        [_row(found, row, system) for row in found.rows],
        head=("reading", "as typed", "off the others", "in doubts", "noticed from", ""),
        title="Each reading against all the others",
    )
    report.points("Left out", found.left_out)
    report.points("How to read this", found.notes)
    report.points("Caution", found.cautions)
    report.next(
        "what would make this surer?"
        if found.agrees
        else "read again what is wrong or suspect, and correct the car file. Then:",
        then,
    )
    report.print()


def _share(probability: float) -> str:
    return f"{min(100.0 * probability, 99.0):.0f} %"


def _where(found: Readings, corner: str, name: str) -> str:
    return name if len(found.corners) == 1 else f"{corner}: {name}"


def _row(found: Readings, row: ReadRow, system: System) -> tuple[str, ...]:
    from dataclasses import replace

    from splinewise.tasks.said import said, said_change

    name = _where(found, row.corner, row.name)
    if row.verdict == "cannot tell":
        return (name, row.as_typed, "", "", "never", "cannot tell")
    off = said_change(replace(row.off, doubt=None), system, both=False)
    times = f"{row.times:+.1f}".replace("-", "−").replace("+", "")
    least = said(row.noticeable, system)
    return (name, row.as_typed, off, times, least, _SIGN[row.verdict])


def _picture(found: Readings) -> list[str]:
    """Return what each reading says of the slack angle, and all together."""
    from splinewise import show
    from splinewise.cli.pictures import doubt_bars
    from splinewise.tasks.values import COVERAGE

    bars = [
        (f"read: {_where(found, r.corner, r.name)}", r.slack_angle)
        for r in found.rows
        if r.slack_angle.known
    ]
    bars += [
        (f"all: {_where(found, v.corner, 'together')}", v.after)
        for v in found.values
        if v.name == "slack angle"
    ]
    bars += [
        (f"book: {_where(found, b.corner, b.name)}", b.slack_angle)
        for b in found.published
    ]
    return doubt_bars(
        [(name, v.value, COVERAGE * (v.doubt or 0.0)) for name, v in bars],
        ends=show.angle,
    )
