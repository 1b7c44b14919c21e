"""`splinewise next`: which reading is worth taking next?"""

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
    from splinewise.show import System
    from splinewise.tasks.next_reading import NextReading, Offer

__all__ = ["command", "print_next"]


@click.command("next")
@CAR
@click.argument("corner", required=False)
@click.option(
    "--for",
    "wanted",
    type=click.Choice(["slack angle", "ride height"]),
    default="slack angle",
    show_default=True,
    help="What you want to be surer of.",
)
@click.option(
    "--with",
    "instruments",
    multiple=True,
    metavar="INSTRUMENT",
    help="What you can measure with, such as tape-2 or rule; once for each. Those of "
    "the car file's readings if left out.",
)
@click.option(
    "--doubt",
    metavar="HALF-WIDTH",
    help='The ± that would be enough, such as "0.2 deg" or "2 mm".',
)
@click.option(
    "--weight",
    type=QuantityOption("mass"),
    metavar="WEIGHT",
    help='A weight at hand for a load test, such as "50 kg".',
)
@book_options
@JSON
def command(
    car: str,
    corner: str | None,
    wanted: Any,
    instruments: tuple[str, ...],
    doubt: str | None,
    weight: Any,
    as_json: bool,
) -> int:
    """Which reading is worth taking next?

    CAR is a car file, or demo:NAME. Every reading that you could take is weighed by
    how far it would cut the doubt of what you want. The ± of a result is two standard
    doubts, and so is that of --doubt.

    Exit code 1: the doubt that you want is out of reach.
    """
    from splinewise.core.quantities import GRAVITY
    from splinewise.tasks.next_reading import next_reading
    from splinewise.tasks.values import COVERAGE
    from splinewise.units import read

    here = open_car(car)
    goal = None
    if doubt is not None:
        kind = "angle" if wanted == "slack angle" else "length"
        goal = read(doubt, kind).value / COVERAGE
    results = [
        next_reading(
            here,
            name,
            wanted=wanted,
            instruments=instruments,
            goal=goal,
            weight=None if weight is None else weight.value * GRAVITY,
        )
        for name in corners_wanted(here, corner)
    ]
    emit(
        results,
        one=corner is not None,
        as_json=as_json,
        car=here,
        show=lambda n: print_next(
            n, here.system, then=again("readings", car, n.corner)
        ),
    )
    return 0 if all(n.reached for n in results) else 1


def print_next(found: NextReading, system: System, *, then: str) -> None:
    """Print the readings worth taking; `then` is the command that comes next."""
    from splinewise.cli.report import Report
    from splinewise.tasks.said import said

    report = Report()
    report.title(f"{found.car}, {found.corner}: what to read next?")
    report.answer(found.words)
    report.answer(f"The {found.wanted} is now {said(found.now, system)}.")
    head = ("reading", "car", "with", "should read", f"± of the {found.wanted}")
    report.table(
        [_row(found, offer, system) for offer in found.offers],
        head=head,
        title=f"The best of {found.weighed} readings, each alone",
    )
    report.table(
        [_row(found, offer, system) for offer in found.set],
        head=(*head[:4], "± after it and those above"),
        title="Enough together, in this order",
    )
    report.points("How to read this", found.notes)
    report.points("Caution", found.cautions)
    report.next("take it, write it into the car file, and look again.", then)
    report.print()


def _row(found: NextReading, offer: Offer, system: System) -> tuple[str, ...]:
    from dataclasses import replace

    from splinewise.tasks.said import said, said_change
    from splinewise.tasks.values import COVERAGE

    after = replace(offer.after, value=COVERAGE * offer.after.value)
    state = "bar slack" if offer.state == "bare arm" else "on wheels"
    return (
        offer.of,
        state,
        offer.words,
        said(replace(offer.expected, doubt=None), system),
        said_change(after, system, both=False).replace("+", "±"),
    )
