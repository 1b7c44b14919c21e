"""`splinewise travel`: what the wheel does over its travel."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import click

from splinewise.cli.options import CAR, JSON, corners_wanted, emit, open_car
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
    "stress in the bar": ("stress", ("MPa", 0), ("psi", 0)),
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
    type=click.IntRange(3, 2001),
    default=11,
    show_default=True,
    help="Rows of the table.",
)
@click.option(
    "--csv", "as_csv", is_flag=True, help="Write all outputs as CSV, in SI units."
)
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

    here = open_car(car)
    tables = [
        travel_table(here, planned(here, name, published, height, match), rows=rows)
        for name in corners_wanted(here, corner)
    ]
    if as_csv:
        click.echo(_csv(tables), nl=False)
        return 0
    emit(tables, as_json=as_json, show=lambda t: print_travel(t, here.system))
    return 0


def _csv(tables: list[TravelTable]) -> str:
    import csv
    import io

    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    for i, table in enumerate(tables):
        if i == 0 or [c.name for c in table.columns] != [
            c.name for c in tables[i - 1].columns
        ]:
            writer.writerow(
                ["corner", *(f"{c.name} [{c.unit}]" for c in table.columns)]
            )
        for row in zip(*(c.values for c in table.columns), strict=True):
            writer.writerow([table.corner, *(f"{v:.9g}" for v in row)])
    return out.getvalue()


def print_travel(table: TravelTable, system: System) -> None:
    """Print a corner's travel as a table."""
    from splinewise.cli.report import Report
    from splinewise.tasks.said import said_change
    from splinewise.units import scale

    report = Report()
    report.title(f"{table.car}, {table.corner}: what happens over the travel?")
    report.answer(
        f"With the bar set ({table.goal}), the wheel stands {said_change(table.ride, system)} from "
        f"as drawn, between {said_change(table.low, system)} and "
        f"{said_change(table.high, system)}."
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
    text = f"{value:.{places}f}"
    return text.replace("-", "−") if float(text) else text.lstrip("-")
