"""`splinewise plan`: the slack angle, and what it gives."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from splinewise.cli.options import (
    CAR,
    JSON,
    QuantityOption,
    corners_wanted,
    emit,
    figure,
    open_car,
)

if TYPE_CHECKING:
    from splinewise.show import System
    from splinewise.tasks.plan import Plan

__all__ = ["command", "goal_options", "plan_answer", "planned", "print_plan"]


def goal_options(function: Any) -> Any:
    """Add the options that say what is wanted."""
    for option in (
        click.option(
            "--match",
            metavar="CORNER",
            help="Match another corner as it is set now.",
        ),
        click.option(
            "--height",
            type=QuantityOption("length"),
            metavar="LENGTH",
            help='Stand at this ride height, such as "13 1/2 in".',
        ),
        click.option(
            "--published",
            metavar="NAME",
            help="Set to this published dimension of the car file.",
        ),
    ):
        function = option(function)
    return function


def planned(
    car: Any, corner: str, published: str | None, height: Any, match: str | None
) -> Plan:
    """Return the plan for a corner from the options as typed."""
    from splinewise.tasks.plan import plan

    return plan(
        car,
        corner,
        published=published,
        ride_height=None if height is None else figure(height, standing="wanted"),
        match=match,
    )


@click.command("plan")
@CAR
@click.argument("corner", required=False)
@goal_options
@JSON
def command(
    car: str,
    corner: str | None,
    published: str | None,
    height: Any,
    match: str | None,
    as_json: bool,
) -> int:
    """What must the slack angle be, and what does it give?

    CAR is a car file, or demo:NAME. CORNER is a corner's name or side; all corners
    if left out. Without a goal, the first published dimension on the bare arm is
    taken, else the wanted ride height.

    Exit code 1: the setting breaks a limit.
    """
    here = open_car(car)
    plans = [
        planned(here, name, published, height, match)
        for name in corners_wanted(here, corner)
    ]
    emit(plans, as_json=as_json, show=lambda p: print_plan(p, here.system))
    return 0 if all(p.fits for p in plans) else 1


def print_plan(plan: Plan, system: System) -> None:
    """Print a plan in words."""
    from splinewise.cli.pictures import travel_line
    from splinewise.cli.report import Report
    from splinewise.tasks.said import said, said_change, said_size

    report = Report()
    report.title(f"{plan.car}, {plan.corner}: what must the slack angle be?")
    for sentence in plan_answer(plan, system):
        report.answer(sentence)
    ride, bump, rebound = plan.stresses
    report.picture(
        travel_line(
            [
                (plan.rise.value - plan.rebound_left.value, "rebound stop"),
                (0.0, "as drawn"),
                (plan.rise.value, "ride"),
                (plan.rise.value + plan.bump_left.value, "bump stop"),
            ]
        )
    )
    known_rebound, known_bump = plan.stops_known
    report.table(
        [
            ("goal", plan.goal.words, said(plan.goal.wanted, system)),
            ("bar", plan.bar, said(plan.bar_rate, system, both=True, marked=True)),
            ("sprung load", "", said(plan.load, system, both=True, marked=True)),
            ("arm angle standing", "", said(plan.arm_angle, system)),
            ("twist of the bar", "", said(plan.twist, system)),
            ("torque in the bar", "", said(ride.torque, system, both=True)),
            ("energy in the bar", "", said(ride.energy, system, both=True)),
            ("rate at the wheel", "", said(plan.wheel_rate, system, both=True)),
            ("ride frequency", "", said(plan.frequency, system)),
            (
                "travel left in bump",
                "" if known_bump else "until it locks",
                said_size(plan.bump_left.value, system, doubt=plan.bump_left.doubt),
            ),
            (
                "travel left in droop",
                "" if known_rebound else "until it locks",
                said_size(
                    plan.rebound_left.value, system, doubt=plan.rebound_left.doubt
                ),
            ),
            ("stress at the bump stop", "", said(bump.stress, system, both=True)),
            ("stress at the rebound stop", "", said(rebound.stress, system, both=True)),
            ("stress limit", "", said(plan.limit, system, both=True, marked=True)),
        ],
        title="Figures",
    )
    report.table(
        [
            (d.name, said(d.slack, system), f"standing {said(d.standing, system)}")
            for d in plan.lengths
        ],
        title="Dimensions, bar slack",
    )
    report.table(
        [
            (
                s.cause,
                said_change(s.height, system) if s.height.known else "onto a stop",
            )
            for s in plan.sensitivities
        ],
        head=("what you change", "ride height"),
        title="What small changes do",
    )
    report.table(
        [(s.cause, said_size(s.height.value, system)) for s in plan.height_doubts],
        head=("cause", "one standard doubt of the ride height"),
        title="Where the doubt comes from",
    )
    report.points("Taken for want of knowledge", plan.assumed)
    report.points("Watch", plan.warnings)
    report.points("Caution", plan.cautions)
    report.next("make the gauge: splinewise gauge CAR CORNER")
    report.print()


def plan_answer(plan: Plan, system: System) -> list[str]:
    """Return the answer of a plan in sentences."""
    from splinewise.tasks.said import said, said_change

    lengths = "; ".join(
        f"{d.name} {said(replace(d.slack, doubt=None), system)}" for d in plan.lengths
    )
    stands = (
        f"It will stand at {said(plan.ride_height, system)} ({plan.ride_height_where})"
        if plan.ride_height.known
        else f"The wheel will stand {said_change(plan.rise, system)} from as drawn"
    )
    ride = plan.stresses[0]
    below = plan.slack_angle.value < 0.0
    turned = replace(plan.slack_angle, value=abs(plan.slack_angle.value))
    setting = (
        f"With the bar slack, set the arm {said(turned, system)} "
        f"{'below' if below else 'above'} the drawn position"
    )
    standing = (
        f"{stands}, the bar at {said(ride.stress, system, both=True)}, "
        f"{said(ride.share, system)} of its limit."
    )
    return [f"{setting}: {lengths}." if lengths else f"{setting}.", standing]
