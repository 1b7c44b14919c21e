"""`splinewise plan`: the slack angle, and what it gives."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from splinewise.cli.options import (
    CAR,
    JSON,
    QuantityOption,
    again,
    book_options,
    corners_wanted,
    emit,
    figure,
    open_car,
)

if TYPE_CHECKING:
    from splinewise.show import System
    from splinewise.tasks.plan import Plan
    from splinewise.tasks.values import Value

__all__ = [
    "command",
    "goal_options",
    "goal_words",
    "plan_answer",
    "planned",
    "print_plan",
]


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


def goal_words(published: str | None, height: Any, match: str | None) -> list[str]:
    """Return the options of a goal as they were typed, for a next command."""
    given = (
        ("--published", published),
        ("--height", None if height is None else height.text),
        ("--match", match),
    )
    return [word for name, text in given if text is not None for word in (name, text)]


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
@book_options
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
    words = goal_words(published, height, match)
    emit(
        plans,
        one=corner is not None,
        as_json=as_json,
        car=here,
        show=lambda p: print_plan(
            p, here.system, then=again("gauge", car, p.corner, *words)
        ),
    )
    return 0 if all(p.fits for p in plans) else 1


def print_plan(plan: Plan, system: System, *, then: str) -> None:
    """Print a plan in words; `then` is the command that comes next."""
    from splinewise.cli.pictures import travel_line
    from splinewise.cli.report import Report
    from splinewise.tasks.said import said, said_change, said_size
    from splinewise.tasks.values import COVERAGE

    def both(value: Value) -> str:
        return said(value, system, both=True, marked=True)

    report = Report()
    report.title(f"{plan.car}, {plan.corner}: what must the slack angle be?")
    for sentence in plan_answer(plan, system):
        report.answer(sentence)
    report.points("Watch", (*plan.breaks, *plan.warnings))
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
    source = f", from {plan.goal.source}" if plan.goal.source else ""
    report.table(
        [
            ("goal", plan.goal.words),
            ("", f"{said(plan.goal.wanted, system, marked=True)}{source}"),
            ("bar", plan.bar),
            ("bar rate", both(plan.bar_rate)),
            ("stress limit", both(plan.limit)),
            ("sprung load", both(plan.load)),
        ],
        title="What goes in",
    )
    report.points("Taken for want of knowledge", plan.assumed)
    ride, bump, rebound = plan.stresses
    known_rebound, known_bump = plan.stops_known
    report.table(
        [
            ("arm angle standing", said(plan.arm_angle, system)),
            ("twist of the bar", said(plan.twist, system)),
            ("torque in the bar", both(ride.torque)),
            ("energy in the bar", both(ride.energy)),
            ("rate at the wheel", both(plan.wheel_rate)),
            ("ride frequency", said(plan.frequency, system)),
            *(
                (
                    f"travel left in {way}{'' if known else ', until it locks'}",
                    said_size(left.value, system, doubt=left.doubt),
                )
                for way, left, known in (
                    ("bump", plan.bump_left, known_bump),
                    ("droop", plan.rebound_left, known_rebound),
                )
            ),
            ("stress at the bump stop", both(bump.stress)),
            ("stress at the rebound stop", both(rebound.stress)),
        ],
        title="What comes of it",
    )
    report.table(
        [
            (d.name, f"{state}: {said(length, system)}")
            for d in plan.lengths
            for state, length in (("slack", d.slack), ("standing", d.standing))
        ],
        title="Dimensions",
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
        [
            (s.cause, f"± {said_size(COVERAGE * s.height.value, system)}")
            for s in plan.height_doubts
        ],
        head=("cause", "ride height"),
        title="Where the doubt comes from (each ± is two standard doubts)",
    )
    report.points("Caution", plan.cautions)
    report.next("make the gauge:", then)
    report.print()


def plan_answer(plan: Plan, system: System) -> list[str]:
    """Return the answer of a plan in sentences."""
    from splinewise.tasks.said import said, said_away

    lengths = "; ".join(
        f"{d.name} {said(replace(d.slack, doubt=None), system)}" for d in plan.lengths
    )
    stands = (
        f"It will stand at {said(plan.ride_height, system)} ({plan.ride_height_where})"
        if plan.ride_height.known
        else f"The wheel will stand {said_away(plan.rise, system)} the drawn position"
    )
    ride = plan.stresses[0]
    limit = (
        "the limit assumed for it" if plan.limit.standing == "assumed" else "its limit"
    )
    setting = (
        f"With the bar slack, set the arm {said_away(plan.slack_angle, system)} the "
        "drawn position"
    )
    standing = (
        f"{stands}, the bar at {said(ride.stress, system, both=True)}, "
        f"{said(ride.share, system)} of {limit}."
    )
    return [f"{setting}: {lengths}." if lengths else f"{setting}.", standing]
