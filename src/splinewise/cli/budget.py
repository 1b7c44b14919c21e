"""`splinewise budget`: what makes the gauge doubtful, and is it good enough?"""

from __future__ import annotations

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
    open_car,
)

if TYPE_CHECKING:
    from splinewise.car.model import Car
    from splinewise.show import System
    from splinewise.tasks.budget import Budget
    from splinewise.tasks.values import Value

__all__ = ["command", "print_budget"]

_LENGTH = QuantityOption("length")


@click.command("budget")
@CAR
@click.argument("corner", required=False)
@click.option("--dimension", metavar="NAME", help="The dimension that the gauge holds.")
@click.option(
    "--hole", "holes", type=_LENGTH, multiple=True, help="Diameter of a hole; twice."
)
@click.option(
    "--bolt",
    "bolts",
    type=_LENGTH,
    multiple=True,
    help="Diameter of its bolt; twice. The car file's if left out.",
)
@click.option(
    "--centres",
    type=_LENGTH,
    metavar="LENGTH",
    help="How far off the hole centres may be, either way, as drilled.",
)
@click.option(
    "--calliper",
    default="",
    metavar="INSTRUMENT",
    help="What their distance was measured with, such as calliper-inside.",
)
@click.option(
    "--warmth",
    type=float,
    default=0.0,
    metavar="KELVIN",
    help="How far gauge and car may differ in temperature, either way.",
)
@click.option(
    "--lean",
    type=_LENGTH,
    metavar="LENGTH",
    help="How far the bolts may lean along the bar, either way.",
)
@click.option(
    "--tolerance",
    type=_LENGTH,
    metavar="LENGTH",
    help="Tolerance of the ride height; the car file's if left out.",
)
@click.option(
    "--risk",
    type=QuantityOption("number"),
    default="5 %",
    show_default=True,
    metavar="CHANCE",
    help="Chance of a wrong verdict that you put up with.",
)
@book_options
@JSON
def command(car: str, corner: str | None, as_json: bool, **typed: Any) -> int:
    """What makes the gauge doubtful, and is it good enough?

    CAR is a car file, or demo:NAME. Drilling, play, calliper, warmth and bolts that
    lean are turned into doubt of the slack angle and of the ride height.

    Exit code 1: the gauge is not surely good enough.
    """
    here = open_car(car)
    results = [_budget(here, name, typed) for name in corners_wanted(here, corner)]
    emit(
        results,
        one=corner is not None,
        as_json=as_json,
        car=here,
        show=lambda b: print_budget(b, here.system, then=again("gauge", car, b.corner)),
    )
    return 0 if all(b.verdict == "accept" for b in results) else 1


def _budget(car: Car, corner: str, typed: dict[str, Any]) -> Budget:
    from splinewise.tasks.budget import Bar, budget
    from splinewise.tasks.plan import plan
    from splinewise.tasks.slack import dimension_of

    here = car.corners[corner]
    name = typed["dimension"] or next(iter(here.dimensions), "")
    own = [figure.value for figure in dimension_of(here, name).bolts]
    bolts = [b.value for b in typed["bolts"]] or own
    holes = [h.value for h in typed["holes"]]
    if len(holes) != 2:
        msg = "Give --hole twice: the hole at the fixed bolt, then that at the arm."
        raise click.UsageError(msg)
    if len(bolts) != 2:
        msg = "Give --bolt twice; the car file does not have both bolts."
        raise click.UsageError(msg)

    def size(key: str) -> float:
        return 0.0 if typed[key] is None else float(typed[key].value)

    bar = Bar(
        (holes[0], holes[1]),
        (bolts[0], bolts[1]),
        size("centres"),
        typed["calliper"],
        typed["warmth"],
        size("lean"),
    )
    return budget(
        car,
        plan(car, corner),
        bar,
        dimension=name,
        tolerance=None if typed["tolerance"] is None else typed["tolerance"].value,
        risk=typed["risk"].value,
    )


def print_budget(found: Budget, system: System, *, then: str) -> None:
    """Print the causes; `then` is the command that comes next."""
    from splinewise.cli.report import Report
    from splinewise.tasks.prove import chance_words
    from splinewise.tasks.said import said, said_size

    report = Report()
    report.title(f"{found.car}, {found.corner}: is the gauge good enough?")
    report.answer(found.words)
    allowed = said_size(found.tolerance.value, system)
    report.answer(
        f"The gauge holds the {found.dimension}, {said(found.length, system)}. The "
        f"height may be off by {allowed}; by the gauge alone it is inside with a "
        f"probability of {chance_words(found.inside)}."
    )
    report.table(
        [
            (
                part.cause,
                _half(part.length, system),
                _half(part.slack_angle, system),
                _half(part.height, system),
                f"{100.0 * part.share:.0f} %",
            )
            for part in (*found.parts, found.total)
        ],
        head=("cause", "gauge", "slack angle", "ride height", "share"),
        title="What each cause adds, as ± of two standard doubts",
        right=(4,),
    )
    report.points(
        "Where the figures come from",
        (f"{part.cause}: {part.source}" for part in found.parts),
    )
    report.points("How to read this", found.notes)
    report.points("Caution", found.cautions)
    report.next("is it drilled where it should be?", then)
    report.print()


def _half(standard: Value, system: System) -> str:
    from dataclasses import replace

    from splinewise.tasks.said import said_change
    from splinewise.tasks.values import COVERAGE

    half = replace(standard, value=COVERAGE * standard.value)
    return said_change(half, system, both=False).replace("+", "±")
