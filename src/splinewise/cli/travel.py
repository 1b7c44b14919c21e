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

# Column of the table → heading, unit shown, what SI is multiplied by, places.
_SHOWN: dict[str, tuple[str, str, float, int]] = {
    "rise of the wheel": ("rise", "mm", 1e3, 1),
    "arm angle": ("arm", "°", 180.0 / math.pi, 1),
    "wheel rate": ("rate", "N/mm", 1e-3, 1),
    "stress in the bar": ("stress", "MPa", 1e-6, 0),
    "camber": ("camber", "°", 180.0 / math.pi, 2),
    "caster": ("caster", "°", 180.0 / math.pi, 2),
    "toe": ("toe", "°", 180.0 / math.pi, 2),
    "track change": ("track", "mm", 1e3, 1),
    "roll-centre height": ("roll centre", "mm", 1e3, 0),
    "damper length": ("damper", "mm", 1e3, 1),
}


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

    report = Report()
    report.title(f"{table.car}, {table.corner}: what happens over the travel?")
    report.answer(
        f"Set to {table.goal}, the wheel stands {said_change(table.ride, system)} from "
        f"as drawn, between {said_change(table.low, system)} and "
        f"{said_change(table.high, system)}."
    )
    shown = [c for c in table.columns if c.name in _SHOWN]
    report.table(
        [
            [_number(v, _SHOWN[c.name]) for v, c in zip(row, shown, strict=True)]
            for row in zip(*(c.values for c in shown), strict=True)
        ],
        head=[f"{_SHOWN[c.name][0]} {_SHOWN[c.name][1]}" for c in shown],
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


def _number(value: float, shown: tuple[str, str, float, int]) -> str:
    _, _, factor, places = shown
    if not math.isfinite(value):
        return "–"
    text = f"{value * factor:.{places}f}"
    return text.replace("-", "−") if float(text) else text.lstrip("-")
