"""`splinewise stand`: the whole car on its wheels."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from splinewise.cli.options import CAR, JSON, book_options, emit, open_car

if TYPE_CHECKING:
    from splinewise.show import System
    from splinewise.tasks.stand_result import StandResult

__all__ = ["command", "print_stand"]


@click.command("stand")
@CAR
@click.option("--as-planned", is_flag=True, help="Take the bars as planned.")
@click.option(
    "--as-wanted",
    is_flag=True,
    help="Find slack angles with which the car stands at its wanted heights.",
)
@book_options
@JSON
def command(car: str, as_planned: bool, as_wanted: bool, as_json: bool) -> int:
    """How does the whole car stand on its wheels?

    CAR is a car file with a [vehicle] table, or demo:NAME. The bars are taken as the
    readings find them.

    Exit code 1: it does not stand level, a wheel is off the floor or on a stop, or a
    limit is broken.
    """
    from splinewise.tasks import stand

    if as_planned and as_wanted:
        msg = "Ask for --as-planned or for --as-wanted, not for both."
        raise click.UsageError(msg)
    here = open_car(car)
    slacks = stand.as_planned(here) if as_planned else None
    setting = "as planned" if as_planned else "as found"
    if as_wanted:
        slacks, setting = stand.as_wanted(here), "for the wanted heights"
    if slacks is None:
        slacks = stand.as_found(here)
    found = stand.stand_car(here, slacks, setting=setting)
    emit(
        [found],
        one=True,
        as_json=as_json,
        car=here,
        show=lambda result: print_stand(result, here.system),
    )
    return 0 if found.fits else 1


def print_stand(result: StandResult, system: System) -> None:
    """Print how a car stands."""
    from splinewise.cli.report import Report
    from splinewise.tasks.said import said, said_away, said_change

    report = Report()
    report.title(f"{result.car}: how does the whole car stand on its wheels?")
    report.answer(
        f"Set {result.setting}, it stands "
        + ("level" if result.level else "not level")
        + ". "
        + "; ".join(
            f"{axle}, left side {said_away(value, system)} the right"
            for axle, value in result.uneven
        )
        + "."
    )
    report.points("Watch", result.broken)
    sides = {(w.name.rpartition("-")[0], w.side): w for w in result.wheels}
    axles = dict.fromkeys(axle for axle, _ in sides)
    report.picture(
        f"  {_side(sides.get((axle, 'left')), system):>30}  ●─{axle:─^14}─●  "
        f"{_side(sides.get((axle, 'right')), system)}"
        for axle in axles
    )
    report.table(
        [
            (
                wheel.name,
                said(wheel.ride_height, system, both=False),
                said(wheel.slack_angle, system),
                said(wheel.twist, system),
                said(wheel.stress, system),
                said(wheel.frequency, system),
            )
            for wheel in result.wheels
        ],
        head=("wheel", "ride height", "slack angle", "twist", "stress", "ride"),
        title="Wheels",
    )
    report.table(
        [
            (at.name, said(at.height, system), f"{said(at.drawn, system)} as drawn")
            for at in result.heights
        ],
        title="Heights above the floor",
    )
    report.table(
        [
            ("weight", said(result.weight, system)),
            ("on the front", said(result.front, system)),
            ("on the left", said(result.left, system)),
            ("cross weight, right front and left rear", said(result.cross, system)),
            ("lean, right side down", said(result.roll, system)),
            ("rake, nose down", said(result.pitch, system)),
            ("frequency in heave", said(result.heave_frequency, system)),
        ],
        title="The body",
    )
    report.table(
        [
            (
                effect.cause,
                *(said_change(v, system, both=False) for v in effect.loads),
            )
            for effect in result.effects
        ],
        head=("what you change", *(w.name for w in result.wheels)),
        title="What small changes do to the load on each wheel",
    )
    report.points("Taken for want of knowledge", result.assumed)
    report.points("Caution", result.cautions)
    report.next("--json has the change of every height too.")
    report.print()


def _side(wheel: object, system: System) -> str:
    """Return load and rise of a wheel for the picture."""
    from splinewise.tasks.said import said, said_away
    from splinewise.tasks.stand_result import StandsOn

    if not isinstance(wheel, StandsOn):
        return ""
    return f"{said(wheel.load, system)}, {said_away(wheel.rise, system, both=False)}"
