"""`splinewise gauge`: what to drill, and is it good enough?"""

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
    figure,
    open_car,
)
from splinewise.cli.plan import goal_options, goal_words, planned

if TYPE_CHECKING:
    from splinewise.show import System
    from splinewise.tasks.gauge import Gauge

__all__ = ["command", "gauge_answer", "print_gauge"]

_LENGTH = QuantityOption("length")


@click.command("gauge")
@CAR
@click.argument("corner", required=False)
@goal_options
@click.option("--dimension", metavar="NAME", help="The dimension the gauge holds.")
@click.option(
    "--fit",
    type=click.Choice(["close", "middle", "wide"]),
    default="close",
    show_default=True,
    help="How freely the bolts go through.",
)
@click.option(
    "--span", type=_LENGTH, metavar="LENGTH", help="As drilled: over the far edges."
)
@click.option(
    "--land", type=_LENGTH, metavar="LENGTH", help="As drilled: between near edges."
)
@click.option(
    "--hole",
    "holes",
    type=_LENGTH,
    multiple=True,
    metavar="LENGTH",
    help="As drilled: diameter of a hole; give it twice, fixed end first.",
)
@click.option(
    "--tolerance",
    type=_LENGTH,
    metavar="LENGTH",
    help="How far off the ride height may be.",
)
@book_options
@JSON
def command(
    car: str,
    corner: str | None,
    published: str | None,
    height: Any,
    match: str | None,
    dimension: str | None,
    fit: str,
    span: Any,
    land: Any,
    holes: tuple[Any, ...],
    tolerance: Any,
    as_json: bool,
) -> int:
    """What do you drill, and is what you drilled good enough?

    CAR is a car file, or demo:NAME. With --span and --land (or one of them and both
    holes), the gauge as drilled is judged.

    Exit code 1: the gauge as drilled is not surely good enough.
    """
    from splinewise.tasks.gauge import gauge, measured

    if len(holes) not in (0, 2):
        msg = "Give --hole twice, once for each hole, or not at all."
        raise click.UsageError(msg)
    here = open_car(car)
    made, how = None, ""
    if span is not None or land is not None or holes:
        made, how = measured(
            span=None if span is None else figure(span),
            land=None if land is None else figure(land),
            holes=(figure(holes[0]), figure(holes[1])) if holes else None,
        )
    results = [
        gauge(
            here,
            planned(here, name, published, height, match),
            dimension=dimension,
            fit=("close", "middle", "wide").index(fit),
            made=made,
            how=how,
            tolerance=None if tolerance is None else figure(tolerance),
        )
        for name in corners_wanted(here, corner)
    ]
    words = goal_words(published, height, match)
    emit(
        results,
        one=corner is not None,
        as_json=as_json,
        car=here,
        show=lambda g: print_gauge(
            g, here.system, then=again("teeth", car, g.corner, *words)
        ),
    )
    return 0 if all(g.drilled is None or g.drilled.good for g in results) else 1


def print_gauge(gauge: Gauge, system: System, *, then: str) -> None:
    """Print a gauge in words; `then` is the command that comes next."""
    from splinewise.cli.pictures import gauge_bar
    from splinewise.cli.report import Report
    from splinewise.tasks.said import said, said_change

    report = Report()
    report.title(f"{gauge.car}, {gauge.corner}: what do you drill?")
    report.answer(gauge_answer(gauge, system))
    if gauge.drilled is not None:
        _print_drilled(report, gauge, system)
    report.points("Watch", gauge.warnings)
    report.picture(gauge_bar(said(gauge.centres, system), gauge.fixed, gauge.moving))
    report.table(
        [
            (hole.at, said(hole.bolt, system), said(hole.drill, system))
            for hole in gauge.holes
        ],
        head=("hole for", "bolt", "drill"),
    )
    report.points(
        "Where the hole sizes come from",
        dict.fromkeys(hole.standard for hole in gauge.holes),
    )
    report.table(
        [
            ("stock, at least", said(gauge.stock, system)),
            ("play of both holes, either way", said(gauge.play, system)),
            ("the same as ride height", said(gauge.play_height, system)),
            (
                "a longer gauge holds the arm",
                "lower, so the car stands higher"
                if gauge.arm_drops
                else "higher, so the car stands lower",
            ),
        ],
        title="Figures",
    )
    report.table(
        [
            (
                e.words,
                said_change(e.angle, system),
                said_change(e.height, system) if e.height.known else "onto a stop",
            )
            for e in gauge.errors
        ],
        head=("gauge longer by", "slack angle", "ride height"),
        title="What an error of the gauge does",
    )
    report.points("Caution", gauge.cautions)
    if gauge.drilled is None:
        report.next(
            "measure what you drilled over the far and the near edges of the holes, "
            "and give it back with --span and --land. Then the teeth:",
            then,
        )
    else:
        report.next("which teeth to move:", then)
    report.print()


def gauge_answer(gauge: Gauge, system: System) -> str:
    """Return the answer of a gauge in a sentence."""
    from splinewise.tasks.said import said

    return (
        f"Drill two holes {said(gauge.centres, system)} apart, centre to centre: a "
        f"gauge for the {gauge.dimension}, from {gauge.fixed} to {gauge.moving}."
    )


def _print_drilled(report: Any, gauge: Gauge, system: System) -> None:
    from splinewise.tasks.said import said, said_away

    made = gauge.drilled
    if made is None:
        return
    report.answer(
        f"As drilled it is {said(made.centres, system)}, by {made.how}: "
        f"{said_away(made.error, system, above='too long', below='too short')}."
    )
    if not made.height_error.known:
        report.answer("With it the car would sit on a stop. Make it again.")
        return
    high = said_away(
        made.height_error, system, above="too high", below="too low", both=False
    )
    if not made.tolerance.known:
        report.answer(
            f"With it the car stands {high}. Give --tolerance, or a tolerance in the "
            "car file, to have that judged."
        )
        return
    verdict = {
        "good enough": "It is good enough.",
        "not good enough": "It is not good enough: make it again, or tell the car "
        "file the length that it is.",
        "cannot tell": "Whether it is good enough cannot be told: measure it better.",
    }[made.outcome]
    report.answer(
        f"{verdict} With it the car stands {high}, for your tolerance of "
        f"{said(made.tolerance, system)}; the chance that it is inside is "
        f"{said(made.inside, system)}."
    )
