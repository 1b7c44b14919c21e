"""What is written down in the garage: visits, readings, moves, notes."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import click

from splinewise.book.kinds import KINDS, OCCASIONS, STATES
from splinewise.cli.book_options import (
    BOOK,
    BY,
    JSON,
    UID,
    VISIT,
    kept,
    opened,
    typed,
    visit_of,
)

__all__ = ["move", "note", "reading", "visit"]


def _help(kind: str, field: str) -> str:
    return KINDS[kind][field].words


@click.command("visit")
@click.argument("car")
@click.argument("occasion", type=click.Choice(OCCASIONS))
@click.option("--date", metavar="DATE", help="When, as 2024-05-18; today if left out.")
@click.option("--odometer", metavar="DISTANCE", help=_help("visit", "odometer"))
@click.option("--floor", metavar="TEXT", help=_help("visit", "floor"))
@click.option(
    "--floor-height",
    "floor_heights",
    multiple=True,
    metavar="CORNER=LENGTH",
    help=_help("visit", "floor_heights"),
)
@click.option("--fuel", metavar="TEXT", help=_help("visit", "fuel"))
@click.option("--people", multiple=True, metavar="TEXT", help=_help("visit", "people"))
@click.option("--tyres", metavar="TEXT", help=_help("visit", "tyres"))
@click.option(
    "--pressure",
    "pressures",
    multiple=True,
    metavar="CORNER=PRESSURE",
    help=_help("visit", "pressures"),
)
@click.option(
    "--temperature", metavar="TEMPERATURE", help=_help("visit", "temperature")
)
@click.option("--words", metavar="TEXT", help=_help("visit", "words"))
@BY
@UID
@BOOK
@JSON
def visit(
    car: str,
    occasion: str,
    date: str | None,
    odometer: str | None,
    floor: str | None,
    floor_heights: tuple[str, ...],
    fuel: str | None,
    people: tuple[str, ...],
    tyres: str | None,
    pressures: tuple[str, ...],
    temperature: str | None,
    words: str | None,
    by: str,
    uid: str | None,
    place: Path | None,
    as_json: bool,
) -> int:
    """Begin a visit: what the car was like before anything was read.

    Readings, moves, photos and results go to the latest visit unless you name another.
    """
    from splinewise.book.entries import now
    from splinewise.book.new import entered
    from splinewise.book.queries import the_car

    given = typed(
        occasion=occasion,
        date=date or now()[:10],
        odometer=odometer,
        floor=floor,
        floor_heights=floor_heights,
        fuel=fuel,
        people=people,
        tyres=tyres,
        pressures=pressures,
        temperature=temperature,
        words=words,
    )
    with opened(place) as book:
        uid_of_car = the_car(book, car).uid
        entry = book.add(entered("visit", uid_of_car, given, by=by, uid=uid))
    kept(entry, as_json=as_json)
    return 0


@click.command("reading")
@click.argument("car")
@click.argument("of", metavar="WHAT")
@click.argument("values", nargs=-1, required=True, metavar="VALUE...")
@click.option("--corner", metavar="CORNER", help=_help("reading", "corner"))
@click.option("--state", type=click.Choice(STATES), help=_help("reading", "state"))
@click.option("--instrument", metavar="NAME", help=_help("reading", "instrument"))
@click.option("--taken", metavar="DATE", help=_help("reading", "taken"))
@click.option("--of-gap", metavar="DIMENSION", help=_help("reading", "of_gap"))
@click.option("--gauge", metavar="LENGTH", help=_help("reading", "gauge"))
@click.option(
    "--opens", type=click.Choice(["low", "high"]), help=_help("reading", "opens")
)
@click.option("--words", metavar="TEXT", help=_help("reading", "words"))
@VISIT
@BY
@UID
@BOOK
@JSON
def reading(
    car: str,
    of: str,
    values: tuple[str, ...],
    corner: str | None,
    state: str | None,
    instrument: str | None,
    taken: str | None,
    of_gap: str | None,
    gauge: str | None,
    opens: str | None,
    words: str | None,
    visit_number: str | None,
    by: str,
    uid: str | None,
    place: Path | None,
    as_json: bool,
) -> int:
    r"""Keep what you read, as you read it.

    WHAT is a dimension of the car file, "ride height", "arm slope", "gap", or any
    other thing; VALUE is with its unit. Give every repeat, not their mean:

    \b
      splinewise book reading tourer "setting length" "15 5/8 in" "15 21/32 in"
          --corner front-left --state "bare arm" --instrument tape-2
    """
    from splinewise.book.new import entered
    from splinewise.book.queries import the_car

    given = typed(
        of=of,
        values=values,
        corner=corner,
        state=state,
        instrument=instrument,
        taken=taken,
        of_gap=of_gap,
        gauge=gauge,
        opens=opens,
        words=words,
    )
    with opened(place) as book:
        own = the_car(book, car).uid
        at = visit_of(book, own, visit_number, needed=True)
        entry = book.add(entered("reading", own, given, visit=at, by=by, uid=uid))
        remarks = _remarks(entry.content)
    kept(entry, as_json=as_json, remarks=remarks)
    return 0


def _remarks(content: Mapping[str, object]) -> list[str]:
    """Say what keeps a reading out of the tasks."""
    lacks = [f"--{name}" for name in ("corner", "state") if not content[name]]
    if not lacks:
        return []
    return [f"Without {' and '.join(lacks)} no task can use this reading."]


@click.command("move")
@click.argument("car")
@click.argument("corner")
@click.option("--arm-teeth", metavar="N", help=_help("move", "arm_teeth"))
@click.option("--anchor-teeth", metavar="N", help=_help("move", "anchor_teeth"))
@click.option("--adjuster", metavar="AMOUNT", help=_help("move", "adjuster"))
@click.option(
    "--shim",
    "shims",
    multiple=True,
    metavar="PLACE=LENGTH",
    help=_help("move", "shims"),
)
@click.option(
    "--rod", "rods", multiple=True, metavar="PLACE=TURNS", help=_help("move", "rods")
)
@click.option("--words", metavar="TEXT", help=_help("move", "words"))
@VISIT
@BY
@UID
@BOOK
@JSON
def move(
    car: str,
    corner: str,
    arm_teeth: str | None,
    anchor_teeth: str | None,
    adjuster: str | None,
    shims: tuple[str, ...],
    rods: tuple[str, ...],
    words: str | None,
    visit_number: str | None,
    by: str,
    uid: str | None,
    place: Path | None,
    as_json: bool,
) -> int:
    r"""Keep what you moved at one corner.

    Teeth count as `splinewise teeth` counts them, + toward bump with the bar slack:

    \b
      splinewise book move tourer front-left --arm-teeth 12 --anchor-teeth -12

    What was read at that corner before it says no more how the car is now, and the
    tasks leave it out.
    """
    from splinewise.book.new import entered
    from splinewise.book.queries import the_car

    given = typed(
        corner=corner,
        arm_teeth=arm_teeth,
        anchor_teeth=anchor_teeth,
        adjuster=adjuster,
        shims=shims,
        rods=rods,
        words=words,
    )
    with opened(place) as book:
        own = the_car(book, car).uid
        at = visit_of(book, own, visit_number, needed=True)
        entry = book.add(entered("move", own, given, visit=at, by=by, uid=uid))
    kept(entry, as_json=as_json)
    return 0


@click.command("note")
@click.argument("car")
@click.argument("words")
@VISIT
@BY
@UID
@BOOK
@JSON
def note(
    car: str,
    words: str,
    visit_number: str | None,
    by: str,
    uid: str | None,
    place: Path | None,
    as_json: bool,
) -> int:
    """Keep a note: what was seen, tried, wondered at."""
    from splinewise.book.new import entered
    from splinewise.book.queries import the_car

    with opened(place) as book:
        own = the_car(book, car).uid
        at = visit_of(book, own, visit_number, needed=False)
        given = typed(words=words)
        entry = book.add(entered("note", own, given, visit=at, by=by, uid=uid))
    kept(entry, as_json=as_json)
    return 0
