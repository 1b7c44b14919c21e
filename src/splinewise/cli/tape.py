"""`splinewise tape`: where are the points that you taped?"""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from splinewise.cli.options import JSON, emit

if TYPE_CHECKING:
    from splinewise.show import System
    from splinewise.tasks.tape import Tape

__all__ = ["command", "print_tape"]


@click.command("tape")
@click.argument("file", metavar="FILE")
@click.option(
    "--units",
    type=click.Choice(["metric", "inch"]),
    default="metric",
    show_default=True,
    help="Units to show results in.",
)
@JSON
def command(file: str, units: System, as_json: bool) -> int:
    """Where are the points that you taped, and which reading is wrong?

    FILE is TOML. [tape] has a name and an instrument. Each [[distance]] (straight),
    [[plan]] (between plumb marks) or [[level]] (how far above) has from, to and value;
    each [[height]] has of and value. [held] places are exact, [near] ones rough: three
    lengths each, "?" where not known.

    Exit code 1: the readings disagree.
    """
    from splinewise.car.tape_file import load_taping
    from splinewise.tasks.tape import tape

    found = tape(load_taping(file))
    emit([found], one=True, as_json=as_json, show=lambda t: print_tape(t, units))
    return 0 if found.agrees else 1


def print_tape(found: Tape, system: System) -> None:
    """Print the points, the readings, and the points for a car file."""
    from splinewise.cli.report import Report
    from splinewise.tasks.said import said, said_change

    report = Report()
    report.title(f"{found.name or 'Taping'}: where are the points?")
    report.answer(found.words)
    for misread in found.misreads:
        share = min(100.0 * misread.probability, 99.0)
        report.answer(f"{misread.words} Share of belief: {share:.0f} %.")
    report.table(
        [(p.point, *(said(v, system) for v in (p.x, p.y, p.z))) for p in found.places],
        head=("point", "x", "y", "z, up"),
        title="Places",
    )
    rows: list[tuple[str, ...]] = []
    for row in found.rows:
        if row.verdict == "cannot tell":
            rows.append((row.name, row.as_typed, "", "never", row.verdict))
            continue
        off = said_change(row.off, system, both=False)
        least = said(row.noticeable, system)
        rows.append((row.name, row.as_typed, off, least, row.verdict))
    report.table(
        rows,
        head=("reading", "as typed", "off the others", "noticed from", ""),
        title="Each reading against all the others",
    )
    report.picture(["For the car file:", *(f"  {x}" for x in found.toml.split("\n"))])
    report.points("How to read this", found.notes)
    report.next(
        "put the points into the car file."
        if found.agrees
        else "read again what is wrong or suspect."
    )
    report.print()
