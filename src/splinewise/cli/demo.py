"""`splinewise demo`: the job from end to end on an invented car."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from splinewise.cli.options import again, write_new, wrote

if TYPE_CHECKING:
    from splinewise.car.model import Car
    from splinewise.cli.report import Report
    from splinewise.tasks.plan import Plan

__all__ = ["command"]


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
    chosen = name or names[0]
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
    from splinewise.cli.check import check_answer, check_picture
    from splinewise.cli.gauge import gauge_answer
    from splinewise.cli.plan import plan_answer
    from splinewise.tasks.check import check
    from splinewise.tasks.gauge import gauge
    from splinewise.tasks.plan import plan

    system = car.system
    report.title(f"{corner}: do the dimensions agree?")
    found = check(car, corner)
    for sentence in check_answer(found, system):
        report.answer(sentence)
    report.picture(check_picture(found))
    report.answer(f"All of it: {again('check', file, corner)}")

    planned = plan(car, corner)
    report.title(f"{corner}: what must the slack angle be?")
    for sentence in plan_answer(planned, system):
        report.answer(sentence)
    report.points("Watch", (*planned.breaks, *planned.warnings))
    report.answer(f"All of it: {again('plan', file, corner)}")
    report.title(f"{corner}: what do you drill?")
    report.answer(gauge_answer(gauge(car, planned), system))
    report.answer(f"All of it: {again('gauge', file, corner)}")
    _teeth(report, file, car, planned)

    height = car.corners[corner].ride_height
    if planned.fits or height is None or height.wanted is None:
        return
    words = ("--height", height.wanted.text)
    planned = plan(car, corner, ride_height=height.wanted)
    report.title(f"{corner}: and for the height that is wanted?")
    for sentence in plan_answer(planned, system):
        report.answer(sentence)
    report.answer(f"All of it: {again('plan', file, corner, *words)}")
    _teeth(report, file, car, planned, *words)


def _teeth(report: Report, file: str, car: Car, planned: Plan, *words: str) -> None:
    from splinewise.cli.teeth_words import teeth_answer
    from splinewise.tasks.teeth_of_car import teeth

    moves = teeth(car, planned)
    report.title(f"{planned.corner}: which teeth, to {planned.goal.words}?")
    for sentence in teeth_answer(moves, car.system):
        report.answer(sentence)
    if moves.seen_from and moves.moves[0].teeth:
        report.answer(f"All turns {moves.seen_from}, with the bar slack.")
    report.answer(f"All of it: {again('teeth', file, planned.corner, *words)}")
