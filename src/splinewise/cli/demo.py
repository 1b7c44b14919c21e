"""`splinewise demo`: the job from end to end on an invented car."""

from __future__ import annotations

from pathlib import Path

import click

from splinewise.cli.options import write_new

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
        click.echo(f"Wrote {write}. Try: splinewise check {write}")
        return 0
    _walk(chosen, load_demo(chosen))
    return 0


def _walk(name: str, car: object) -> None:
    from splinewise.car.model import Car
    from splinewise.cli.check import check_answer, check_picture
    from splinewise.cli.gauge import gauge_answer
    from splinewise.cli.plan import plan_answer
    from splinewise.cli.report import Report
    from splinewise.cli.teeth import teeth_answer
    from splinewise.errors import TaskError
    from splinewise.tasks.cautions import CAUTIONS
    from splinewise.tasks.check import check
    from splinewise.tasks.gauge import gauge
    from splinewise.tasks.plan import plan
    from splinewise.tasks.teeth_of_car import teeth

    if not isinstance(car, Car):
        raise TypeError(name)
    report = Report()
    report.title(car.name)
    for paragraph in car.story.strip().split("\n\n"):
        report.answer(" ".join(paragraph.split()))
    system = car.system
    for corner in car.corners:
        file = f"demo:{name} {corner}"
        report.title(f"{corner}: do the dimensions agree?")
        found = check(car, corner)
        for sentence in check_answer(found, system):
            report.answer(sentence)
        report.picture(check_picture(found))
        report.answer(f"All of it: splinewise check {file}")
        planned = plan(car, corner)
        report.title(f"{corner}: what must the slack angle be?")
        for sentence in plan_answer(planned, system):
            report.answer(sentence)
        report.points("Watch", planned.warnings)
        report.answer(f"All of it: splinewise plan {file}")
        report.title(f"{corner}: what do you drill?")
        try:
            report.answer(gauge_answer(gauge(car, planned), system))
        except TaskError as error:
            report.answer(str(error))
        report.answer(f"All of it: splinewise gauge {file}")
        plans = [planned]
        height = car.corners[corner].ride_height
        if not planned.fits and height is not None and height.wanted is not None:
            plans.append(plan(car, corner, ride_height=height.wanted))
            report.title(f"{corner}: and for the height that is wanted?")
            for sentence in plan_answer(plans[1], system):
                report.answer(sentence)
            typed = height.wanted.text
            report.answer(f'All of it: splinewise plan {file} --height "{typed}"')
        for each in plans:
            moves = teeth(car, each)
            report.title(f"{corner}: which teeth, to {each.goal.words}?")
            report.answer(teeth_answer(moves, system))
            if moves.seen_from and moves.moves[0].teeth:
                report.answer(f"All turns {moves.seen_from}, with the bar slack.")
        report.answer(f"All of it: splinewise teeth {file}")
    report.points("Caution", CAUTIONS.values())
    report.next(
        f"splinewise demo {name} --write my-car.toml gives you the file to try on."
    )
    report.print()
