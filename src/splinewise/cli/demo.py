"""`splinewise demo`: the job from end to end on an invented car."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from splinewise.cli.options import again, write_new, wrote
from splinewise.errors import TaskError

if TYPE_CHECKING:
    from splinewise.car.model import Car
    from splinewise.cli.report import Report
    from splinewise.tasks.plan import Plan

__all__ = ["command"]


_FIRST = "tourer"
"""The invented car that the tutorial tells of. [1]"""


@click.command("demo")
@click.argument("name", required=False)
@click.option(
    "--write",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="PATH",
    help="Write the car's file here instead, to try things on.",
)
@click.option("--list", "listed", is_flag=True, help="List the invented cars.")
def command(name: str | None, write: Path | None, listed: bool) -> int:
    """Walk through an invented car, from its file to the teeth."""
    from splinewise.car.demos import demo_names, demo_text, load_demo

    names = demo_names()
    if listed:
        click.echo("\n".join(names))
        return 0
    chosen = name or _FIRST
    if chosen not in names:
        msg = f"There is no invented car {chosen!r}. There are: {', '.join(names)}."
        raise click.UsageError(msg)
    if write is not None:
        write_new(write, demo_text(chosen))
        wrote(write, "look into it with an editor, and try:")
        return 0
    _walk(chosen, load_demo(chosen))
    return 0


def _walk(name: str, car: Car) -> None:
    from splinewise.cli.report import Report
    from splinewise.tasks.cautions import CAUTIONS

    report = Report()
    report.title(car.name)
    for paragraph in car.story.strip().split("\n\n"):
        report.answer(" ".join(paragraph.split()))
    for corner in car.corners:
        _corner(report, f"demo:{name}", car, corner)
    report.points("Caution", CAUTIONS.values())
    report.next(
        f"splinewise demo {name} --write my-car.toml gives you the file to try on."
    )
    report.print()


def _corner(report: Report, file: str, car: Car, corner: str) -> None:
    """Walk through one corner: check, plan, gauge, and teeth for each goal."""
    from splinewise.tasks.plan import plan

    report.title(f"{corner}: do the dimensions agree?")
    with _told(report):
        _check(report, file, car, corner)
    report.title(f"{corner}: what must the slack angle be?")
    with _told(report):
        planned = plan(car, corner)
        _plan(report, file, car, planned)
        _gauge(report, file, car, planned)
        _teeth(report, file, car, planned)
        height = car.corners[corner].ride_height
        if planned.fits or height is None or height.wanted is None:
            return
        words = ("--height", height.wanted.text)
        planned = plan(car, corner, ride_height=height.wanted)
        report.title(f"{corner}: and for the height that is wanted?")
        _plan(report, file, car, planned, *words)
        _teeth(report, file, car, planned, *words)


@contextmanager
def _told(report: Report) -> Iterator[None]:
    """Tell what cannot be done, and go on."""
    try:
        yield
    except TaskError as error:
        report.answer(str(error))


def _check(report: Report, file: str, car: Car, corner: str) -> None:
    from splinewise.cli.check import check_answer, check_picture
    from splinewise.tasks.check import check

    found = check(car, corner)
    for sentence in check_answer(found, car.system):
        report.answer(sentence)
    report.picture(check_picture(found))
    report.answer(f"All of it: {again('check', file, corner)}")


def _plan(report: Report, file: str, car: Car, planned: Plan, *words: str) -> None:
    from splinewise.cli.plan import plan_answer

    for sentence in plan_answer(planned, car.system):
        report.answer(sentence)
    report.points("Watch", (*planned.breaks, *planned.warnings))
    report.answer(f"All of it: {again('plan', file, planned.corner, *words)}")


def _gauge(report: Report, file: str, car: Car, planned: Plan) -> None:
    from splinewise.cli.gauge import gauge_answer
    from splinewise.tasks.gauge import gauge

    report.title(f"{planned.corner}: what do you drill?")
    with _told(report):
        report.answer(gauge_answer(gauge(car, planned), car.system))
        report.answer(f"All of it: {again('gauge', file, planned.corner)}")


def _teeth(report: Report, file: str, car: Car, planned: Plan, *words: str) -> None:
    from splinewise.cli.teeth_words import teeth_answer
    from splinewise.tasks.teeth_of_car import teeth

    report.title(f"{planned.corner}: which teeth, to {planned.goal.words}?")
    with _told(report):
        moves = teeth(car, planned)
        for sentence in teeth_answer(moves, car.system):
            report.answer(sentence)
        if moves.seen_from and moves.moves[0].teeth:
            report.answer(f"All turns {moves.seen_from}, with the bar slack.")
        report.answer(f"All of it: {again('teeth', file, planned.corner, *words)}")
