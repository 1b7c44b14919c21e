"""`splinewise travel`: what the wheel does over its travel."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import click

from splinewise.cli.options import (
    CAR,
    JSON,
    WholeNumber,
    book_options,
    corners_wanted,
    emit,
    open_car,
)
from splinewise.cli.plan import goal_options, planned

if TYPE_CHECKING:
    from splinewise.show import System
    from splinewise.tasks.travel import TravelTable

__all__ = ["command", "print_travel"]

# Column of the table → heading, and for a metric and an inch car unit and places.
_SHOWN: dict[str, tuple[str, tuple[str, int], tuple[str, int]]] = {
    "rise of the wheel": ("rise", ("mm", 1), ("in", 2)),
    "arm angle": ("arm", ("deg", 1), ("deg", 1)),
    "wheel rate": ("rate", ("N/mm", 1), ("lbf/in", 0)),
    "stress in the bar": ("stress", ("MPa", 0), ("psi", -2)),
    "camber": ("camber", ("deg", 2), ("deg", 2)),
    "caster": ("caster", ("deg", 2), ("deg", 2)),
    "toe": ("toe", ("deg", 2), ("deg", 2)),
    "track change": ("track", ("mm", 1), ("in", 2)),
    "roll-centre height": ("roll c.", ("mm", 0), ("in", 1)),
    "damper length": ("damper", ("mm", 1), ("in", 2)),
}
_KINDS = {"m": "length", "rad": "angle", "N/m": "linear rate", "Pa": "pressure"}


@click.command("travel")
@CAR
@click.argument("corner", required=False)
@goal_options
@click.option(
    "--rows",
    type=WholeNumber(3, 2001),
    default=11,
    show_default=True,
    metavar="NUMBER",
    help="Rows of the table.",
)
@click.option(
    "--csv", "as_csv", is_flag=True, help="Write all outputs as CSV, in SI units."
)
@book_options
@JSON
def command(
    car: str,
    corner: str | None,
    published: str | None,
    height: Any,
    match: str | None,
    rows: int,
    as_csv: bool,
    as_json: bool,
) -> int:
    """What do the wheel and the bar do over the travel?

    CAR is a car file, or demo:NAME. The bar is taken as planned.
    """
    from splinewise.tasks.travel import travel_table

    if as_csv and as_json:
        msg = "Ask for --csv or for --json, not for both."
        raise click.UsageError(msg)
    here = open_car(car)
    tables = [
        travel_table(here, planned(here, name, published, height, match), rows=rows)
        for name in corners_wanted(here, corner)
    ]
    if as_csv:
        click.echo(_csv(tables), nl=False)
        return 0
    emit(
        tables,
        one=corner is not None,
        as_json=as_json,
        car=here,
        show=lambda t: print_travel(t, here.system),
    )
    return 0


def _csv(tables: list[TravelTable]) -> str:
    import csv
    import io

    names = dict.fromkeys((c.name, c.unit) for t in tables for c in t.columns)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["corner", *(f"{name} [{unit}]" for name, unit in names)])
    for table in tables:
        known = {c.name: c.values for c in table.columns}
        for i in range(len(table.columns[0].values)):
            row = (known[n][i] if n in known else math.nan for n, _ in names)
            # A figure that a layout does not know is left empty.
            writer.writerow(
                [table.corner, *("" if math.isnan(v) else f"{v:.9g}" for v in row)]
            )
    return out.getvalue()


def print_travel(table: TravelTable, system: System) -> None:
    """Print a corner's travel as a table."""
    from splinewise.cli.pictures import travel_line
    from splinewise.cli.report import Report
    from splinewise.tasks.said import said_away
    from splinewise.units import scale

    report = Report()
    report.title(f"{table.car}, {table.corner}: what happens over the travel?")
    report.answer(
        f"The bar is taken as planned: {table.goal}. The wheel then stands "
        f"{said_away(table.ride, system)} the drawn position. It goes from "
        f"{said_away(table.low, system)} it to {said_away(table.high, system)} it."
    )
    report.picture(
        travel_line(
            [
                (table.low.value, "rebound stop"),
                (0.0, "as drawn"),
                (table.ride.value, "ride"),
                (table.high.value, "bump stop"),
            ]
        )
    )
    shown = [c for c in table.columns if c.name in _SHOWN]
    units = [
        _SHOWN[c.name][1] if system == "metric" else _SHOWN[c.name][2] for c in shown
    ]
    columns = [
        [_number(v / scale(unit, _KINDS[c.unit]), places) for v in c.values]
        for c, (unit, places) in zip(shown, units, strict=True)
    ]
    report.table(
        [
            [unit.replace("deg", "°") for unit, _ in units],
            *(list(row) for row in zip(*columns, strict=True)),
        ],
        head=[_SHOWN[c.name][0] for c in shown],
        right=range(len(shown)),
    )
    names = ("rebound stop", "bump stop")
    report.points(
        "Watch",
        [
            f"The {name} is not in the car file: the table ends where the linkage does."
            for name, known in zip(names, table.stops_known, strict=True)
            if not known
        ],
    )
    report.points("Caution", table.cautions)
    report.next("--csv gives all outputs for a plot.")
    report.print()


def _number(value: float, places: int) -> str:
    if not math.isfinite(value):
        return "–"
    text = f"{round(value, places):.{max(places, 0)}f}"
    return text.replace("-", "−") if float(text) else text.lstrip("-")
