"""`splinewise history`: what was done to this car before you had it?"""

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
    from splinewise.tasks.history import History

__all__ = ["command", "print_history"]


@click.command("history")
@CAR
@click.argument("corner", required=False)
@click.option(
    "--right",
    type=QuantityOption("number"),
    default="50 %",
    show_default=True,
    metavar="CHANCE",
    help="Chance beforehand that whoever set it came to the right place.",
)
@click.option(
    "--set",
    "settled",
    type=QuantityOption("angle"),
    metavar="ANGLE",
    help='Allow that the bar has settled, by about so much: "1 deg". None if left out.',
)
@book_options
@JSON
def command(
    car: str, corner: str | None, right: Any, settled: Any, as_json: bool
) -> int:
    """What was done to this car before you had it?

    CAR is a car file, or demo:NAME. The position as found is compared with every
    published dimension, in whole index steps of the two splined ends, and each
    explanation gets its probability. Index steps are told toward bump or droop.

    Exit code 1: no explanation is likelier than all others together.
    """
    from splinewise.tasks.history import history

    here = open_car(car)
    width = None if settled is None else settled.value
    results = [
        history(here, name, right=right.value, settled=width)
        for name in corners_wanted(here, corner)
    ]
    emit(
        results,
        one=corner is not None,
        as_json=as_json,
        car=here,
        show=lambda h: print_history(
            h, here.system, then=again("teeth", car, h.corner)
        ),
    )
    return 0 if all(h.told and h.told[0].probability > 0.5 for h in results) else 1


def print_history(found: History, system: System, *, then: str) -> None:
    """Print the explanations; `then` is the command that comes next."""
    from splinewise.cli.report import Report
    from splinewise.tasks.said import said, said_away

    report = Report()
    report.title(f"{found.car}, {found.corner}: what was done to it?")
    report.answer(found.words)
    report.answer(
        f"As found the slack angle is {said(found.slack_angle, system)}; an index step "
        f"turns the bar by {said(found.index_step, system)}."
    )
    report.table(
        [
            (
                f"{100.0 * one.probability:.1f}",
                "─" * round(10 * one.probability) or "·",
                one.words,
                said_away(one.left_over, system, above="to bump", below="to droop"),
            )
            for one in found.told
        ],
        head=("in 100", "", "it was", "left over"),
        title="Explanations, the likeliest first",
    )
    if found.told:
        report.answer(f"All others together: {100.0 * found.rest:.1f} in 100.")
    report.points("Taken for granted", found.beforehand)
    report.points("Left out", found.left_out)
    report.points("Caution", found.cautions)
    report.next("which teeth bring it to where you want it?", then)
    report.print()
