"""`splinewise teeth`: how many teeth, at which end, which way?"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import click

from splinewise.cli.options import JSON, QuantityOption, emit
from splinewise.cli.plan import goal_options

if TYPE_CHECKING:
    from splinewise.show import System
    from splinewise.tasks.teeth import RankedMove, Teeth

__all__ = ["command", "print_teeth", "teeth_answer"]


@click.command("teeth")
@click.argument("first", metavar="CAR | ARM_TEETH")
@click.argument("second", metavar="[CORNER] | ANCHOR_TEETH", required=False)
@goal_options
@click.option(
    "--turn",
    type=QuantityOption("angle"),
    metavar="ANGLE",
    help="With counts: turn wanted, positive toward bump.",
)
@click.option(
    "--gap",
    type=QuantityOption("length"),
    metavar="LENGTH",
    help="With counts: from hole centre to bolt centre, with --radius and --arm.",
)
@click.option(
    "--radius",
    type=QuantityOption("length"),
    metavar="LENGTH",
    help="With --gap: from the bar's axis to the bolt's centre.",
)
@click.option(
    "--arm",
    "arm_is",
    type=click.Choice(["too-low", "too-high"]),
    help="With --gap: where the arm hangs against the gauge.",
)
@click.option(
    "--side",
    type=click.Choice(["left", "right"]),
    help="With counts: side of the car, for a bar that lies along it.",
)
@click.option(
    "--most", type=click.IntRange(1, 20), default=5, help="Moves to show at most."
)
@JSON
def command(
    first: str,
    second: str | None,
    published: str | None,
    height: Any,
    match: str | None,
    turn: Any,
    gap: Any,
    radius: Any,
    arm_is: str | None,
    side: str | None,
    most: int,
    as_json: bool,
) -> int:
    r"""How many teeth, at which end, which way?

    Either for a car: CAR (a file, or demo:NAME) and a corner, all corners if left
    out. Or for two plain counts, the arm end's first, with --turn, or with --gap,
    --radius and --arm:

    \b
      splinewise teeth tourer.toml left
      splinewise teeth 24 25 --turn "7.3 deg"
      splinewise teeth 27 28 --gap "3/8 in" --radius "7 1/4 in" --arm too-low

    Exit code 1: no move brings the bar to where it should be.
    """
    if first.isascii() and first.isdigit():
        if published or height is not None or match:
            msg = "--published, --height and --match need a car file, not two counts."
            raise click.UsageError(msg)
        results = [_plain(first, second, turn, gap, radius, arm_is, side, most)]
        system: System = "metric"
        if "in" in {q.unit for q in (gap, radius) if q is not None}:
            system = "inch"
    else:
        if any(q is not None for q in (turn, gap, radius, arm_is, side)):
            msg = (
                "--turn, --gap, --radius, --arm and --side go with two counts; for a "
                "car write the reading into its file."
            )
            raise click.UsageError(msg)
        results, system = _of_car(first, second, published, height, match)
    emit(results, as_json=as_json, show=lambda t: print_teeth(t, system))
    return 0 if all(t.reachable for t in results) else 1


def _plain(
    first: str,
    second: str | None,
    turn: Any,
    gap: Any,
    radius: Any,
    arm_is: str | None,
    side: Any,
    most: int,
) -> Teeth:
    from splinewise.core.splines import Splines
    from splinewise.tasks.teeth import SeenFrom, teeth_for, turn_of_gap
    from splinewise.tasks.values import Value

    if second is None or not (second.isascii() and second.isdigit()):
        msg = "Give both counts of teeth: the arm end's, then the anchor end's."
        raise click.UsageError(msg)
    if (turn is None) == (gap is None):
        msg = "Say how far to turn: --turn ANGLE, or --gap, --radius and --arm."
        raise click.UsageError(msg)
    if turn is not None:
        if radius is not None or arm_is is not None:
            msg = "--radius and --arm go with --gap."
            raise click.UsageError(msg)
        half = turn.doubt / math.sqrt(3.0) if turn.doubt else None
        wanted, because = Value(turn.value, "rad", half, "wanted"), "as you gave it"
    else:
        if radius is None or arm_is is None:
            msg = "--gap needs --radius and --arm too-low or too-high."
            raise click.UsageError(msg)
        try:
            angle = turn_of_gap(gap.value, radius.value)
        except ValueError as error:
            msg = f"This cannot be: {error}."
            raise click.UsageError(msg) from error
        wanted = Value(angle if arm_is == "too-low" else -angle, "rad")
        because = f"closes a gap of {gap.text} at a radius of {radius.text}"
    axis = (1.0 if side == "left" else -1.0, 0.0, 0.0)
    return teeth_for(
        Splines(int(first), int(second)),
        wanted,
        because=because,
        seen_from=None if side is None else SeenFrom(axis, "front"),
        side=side,
        most=most,
    )


def _of_car(
    name: str, corner: str | None, published: str | None, height: Any, match: str | None
) -> tuple[list[Teeth], System]:
    from splinewise.cli.options import corners_wanted, open_car
    from splinewise.cli.plan import planned
    from splinewise.tasks.teeth_of_car import teeth

    car = open_car(name)
    return [
        teeth(car, planned(car, c, published, height, match))
        for c in corners_wanted(car, corner)
    ], car.system


def print_teeth(teeth: Teeth, system: System) -> None:
    """Print the moves in words."""
    from splinewise.cli.report import Report
    from splinewise.tasks.said import said_change

    report = Report()
    where = f"{teeth.car}, {teeth.corner}" if teeth.corner else "Two splined ends"
    report.title(f"{where}: which teeth?")
    best = teeth.moves[0]
    report.answer(teeth_answer(teeth, system))
    if best.teeth:
        report.points(
            f"With the bar slack, {teeth.seen_from}:"
            if teeth.seen_from
            else "With the bar slack:",
            best.steps,
        )
        report.picture(_rings(teeth, best))
    report.table(
        [
            (
                _teeth_words(move),
                str(move.teeth),
                said_change(move.turn, system),
                said_change(move.left_over, system),
                *([said_change(move.height_left_over, system)] if teeth.car else []),
            )
            for move in teeth.moves
        ],
        head=(
            "arm end, anchor end",
            "teeth",
            "turn",
            "left over",
            *(["car too high by"] if teeth.car else []),
        ),
        title="Moves, best first (+ is toward bump)",
        right=(1,),
    )
    report.table(
        [
            ("turn wanted", said_change(teeth.turn, system), teeth.because),
            *_steps(teeth, system),
        ],
        title="Figures",
    )
    if teeth.adjuster:
        report.answer(f"{teeth.adjuster} {teeth.adjuster_change}".strip())
    report.points("Watch", teeth.warnings)
    report.points("Caution", teeth.cautions)
    report.next(
        "with the teeth moved, put the gauge in, take up the spline slack, and read "
        "the check dimension again."
    )
    report.print()


def teeth_answer(teeth: Teeth, system: System) -> str:
    """Return the answer in a sentence."""
    from splinewise.tasks.said import said_change

    best = teeth.moves[0]
    rest = f"{said_change(best.left_over, system)} is left over"
    if best.height_left_over.known:
        height = best.height_left_over
        rest += f", which puts the car {said_change(height, system)} off its height"
    if teeth.adjuster_change or (not teeth.car and best.adjuster.value):
        rest += (
            f"; the adjuster takes up {said_change(best.adjuster, system)} of it and "
            f"{said_change(best.remains, system)} remains"
        )
    if not best.teeth:
        return f"Leave the teeth as they are: {rest}."
    return f"{_way_words(teeth, best)}: {rest}."


def _way_words(teeth: Teeth, move: RankedMove) -> str:
    """Return the move as said from the stated place, or toward bump and droop."""
    ways = ("bump", "droop")
    if teeth.bump_way:
        other = {"clockwise": "anticlockwise", "anticlockwise": "clockwise"}
        ways = (teeth.bump_way, other[teeth.bump_way])
    lead = "" if teeth.bump_way else "toward "
    parts = []
    for what, where, count in (
        ("the arm", "on the bar", move.arm),
        ("bar and arm", "in the anchor", move.anchor),
    ):
        if count:
            way = lead + ways[count < 0]
            teeth_moved = "1 tooth" if abs(count) == 1 else f"{abs(count)} teeth"
            parts.append(f"{what} {teeth_moved} {way} {where}")
    return "Move " + ", then ".join(parts)


def _steps(teeth: Teeth, system: System) -> list[tuple[str, str, str]]:
    """Return what a tooth does, for ends that have more than one place."""
    from splinewise.tasks.said import said

    rows = []
    if teeth.arm_teeth > 1 or teeth.anchor_teeth > 1:
        step = said(teeth.index_step, system)
        rows.append(("index step", step, "both ends together"))
    for name, count, step_of, move, moved in (
        ("arm", teeth.arm_teeth, teeth.arm_step, teeth.arm_alone, teeth.arm_alone.arm),
        (
            "anchor",
            teeth.anchor_teeth,
            teeth.anchor_step,
            teeth.anchor_alone,
            teeth.anchor_alone.anchor,
        ),
    ):
        if count > 1:
            alone = _alone(count, moved, move, system)
            rows.append((f"one tooth, {name} end", said(step_of, system), alone))
    return rows


def _alone(count: int, moved: int, move: RankedMove, system: System) -> str:
    from splinewise.tasks.said import said_change

    return (
        f"{count} teeth; alone the best is {_signed(moved)}, "
        f"{said_change(move.left_over, system)} left over"
    )


def _signed(count: int) -> str:
    sign = {1: "+", -1: "−"}.get((count > 0) - (count < 0), "")
    return f"{sign}{abs(count)}"


def _teeth_words(move: RankedMove) -> str:
    return f"{_signed(move.arm)} at the arm, {_signed(move.anchor)} at the anchor"


def _rings(teeth: Teeth, move: RankedMove) -> list[str]:
    from splinewise.cli.pictures import ring

    clockwise = "droop" if teeth.bump_way == "anticlockwise" else "bump"
    right = "clockwise" if teeth.bump_way else "toward bump"
    lines = []
    for name, count, way in (
        ("arm end", teeth.arm_teeth, move.arm),
        ("anchor end", teeth.anchor_teeth, move.anchor),
    ):
        if way:
            words = f"  {name}, {count} teeth, {right} to the right:"
            lines += [
                words,
                *(
                    f"    {line}"
                    for line in ring(count, way, clockwise=clockwise, words="")[1:]
                ),
            ]
    return lines
