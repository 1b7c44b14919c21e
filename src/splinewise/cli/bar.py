"""`splinewise bar`: what would another bar be?"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from splinewise.cli.options import (
    CAR,
    JSON,
    QuantityOption,
    book_options,
    corners_wanted,
    emit,
    figure,
    open_car,
)

if TYPE_CHECKING:
    from splinewise.show import System
    from splinewise.tasks.new_bar import NewBar

__all__ = ["command", "print_new_bar"]

_LENGTH = QuantityOption("length")


@click.command("bar")
@CAR
@click.argument("corner", required=False)
@click.option(
    "--height", type=_LENGTH, metavar="LENGTH", help="Ride height to stand at."
)
@click.option(
    "--rate",
    type=QuantityOption("linear rate"),
    metavar="RATE",
    help='Rate at the wheel, such as "120 lbf/in".',
)
@click.option(
    "--frequency",
    type=QuantityOption("frequency"),
    metavar="FREQUENCY",
    help='Ride frequency, such as "1.2 Hz", instead of a rate.',
)
@click.option(
    "--load",
    type=QuantityOption("force"),
    metavar="FORCE",
    help='Sprung load, such as "620 lbf"; the car file\'s if left out.',
)
@click.option(
    "--limit",
    type=QuantityOption("pressure"),
    metavar="STRESS",
    help="Stress limit of the new bar; the old one's if left out.",
)
@click.option(
    "--bump", type=_LENGTH, metavar="LENGTH", help="Travel that must be left in bump."
)
@book_options
@JSON
def command(
    car: str,
    corner: str | None,
    height: Any,
    rate: Any,
    frequency: Any,
    load: Any,
    limit: Any,
    bump: Any,
    as_json: bool,
) -> int:
    """What would another bar be: its diameter, stress and setting?

    CAR is a car file, demo:NAME or book:NAME. The new bar is plain and round, of the
    old one's length and steel. It is shown in its exact size and in the stock sizes
    beside it, next to the bar that is fitted.

    Exit code 1: linkage, stops or stress limit allow none of them.
    """
    from splinewise.tasks.new_bar import new_bar

    here = open_car(car)
    results = [
        new_bar(
            here,
            name,
            height=None if height is None else figure(height, standing="wanted"),
            wheel_rate=None if rate is None else rate.value,
            frequency=None if frequency is None else frequency.value,
            load=None if load is None else figure(load, standing="wanted"),
            limit=None if limit is None else figure(limit, source="as you gave it"),
            bump_left=None if bump is None else bump.value,
        )
        for name in corners_wanted(here, corner)
    ]
    emit(
        results,
        one=corner is not None,
        as_json=as_json,
        car=here,
        show=lambda b: print_new_bar(b, here.system),
    )
    return 0 if all(b.allowed for b in results) else 1


def print_new_bar(found: NewBar, system: System) -> None:
    """Print the bars side by side."""
    from splinewise import show
    from splinewise.cli.report import Report
    from splinewise.tasks.said import said

    report = Report()
    report.title(f"{found.car}, {found.corner}: what would another bar be?")
    exact = found.choices[1]
    size = show.length(exact.diameter.value, system=system, fine=True)
    report.answer(
        f"For {said(found.wheel_rate, system)} at the wheel at a ride height of "
        f"{said(found.height, system)}, the bar would be {size} in diameter, over the "
        f"same {said(found.length, system)}."
    )
    planned = [c for c in found.choices if c.plan is not None]
    rows: list[tuple[str, ...]] = [
        (
            "diameter",
            *(
                show.length(c.diameter.value, system=system, fine=True).split(" (")[0]
                if c.diameter.known
                else c.plan.bar.split(",")[0]
                for c in planned
                if c.plan is not None
            ),
        )
    ]
    plans = [c.plan for c in planned if c.plan is not None]
    for name, values in (
        ("bar rate", [p.bar_rate for p in plans]),
        ("rate at the wheel", [p.wheel_rate for p in plans]),
        ("ride frequency", [p.frequency for p in plans]),
        ("slack angle", [p.slack_angle for p in plans]),
        ("stress standing", [p.stresses[0].stress for p in plans]),
        ("at the bump stop", [p.stresses[1].stress for p in plans]),
        ("at the rebound stop", [p.stresses[2].stress for p in plans]),
        ("stress limit", [p.limit for p in plans]),
    ):
        # Rounded by its doubt; four columns leave no room to write that beside it.
        plain = [said(v, system).split(" (")[0].split(" ±")[0] for v in values]
        rows.append((name, *plain))
    for i, length in enumerate(plans[0].lengths if plans else ()):
        rows.append(
            (
                length.name,
                *(
                    said(replace(p.lengths[i].slack, doubt=None), system).split(" (")[0]
                    for p in plans
                ),
            )
        )
    rows.append(("allowed", *("yes" if c.allowed else "no" for c in planned)))
    report.table(rows, head=("", *(c.name for c in planned)))
    report.points(
        "What stands against them",
        [f"{c.name}: {c.why}" for c in found.choices if c.why],
    )
    report.points(
        "How to read this",
        [
            found.stock,
            (
                "Each figure is rounded to what its doubt leaves of it; plan with the bar "
                "to see the doubt itself."
            ),
            (
                "Rates and stresses hang on the shear modulus of the steel, "
                f"{said(found.shear_modulus, system)} here, which is not known to "
                "better than a few per cent; have the bar that is made measured."
            ),
        ],
    )
    report.points("Caution", found.cautions)
    report.next("put the bar that you choose into the car file, and plan with it.")
    report.print()
