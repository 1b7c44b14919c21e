"""`splinewise teeth`: how many teeth, at which end, which way?"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from splinewise.cli.options import (
    JSON,
    QuantityOption,
    WholeNumber,
    again,
    book_options,
    corners_wanted,
    emit,
    open_car,
)
from splinewise.cli.plan import goal_options, planned
from splinewise.cli.teeth_words import print_teeth

if TYPE_CHECKING:
    from splinewise.show import System
    from splinewise.tasks.teeth import Teeth
    from splinewise.tasks.values import Value

__all__ = ["command"]


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
    "--most",
    type=WholeNumber(1, 20),
    default=6,
    show_default=True,
    metavar="NUMBER",
    help="Moves to show at most.",
)
@book_options
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
    """How many teeth, at which end, which way?

    Either for a car: CAR (a file, or demo:NAME) and a corner, all corners if left
    out. Or for two plain counts, the arm end's first, with --turn, or with --gap,
    --radius and --arm:

    \b
      splinewise teeth tourer.toml left
      splinewise teeth 24 25 --turn "7.3 deg"
      splinewise teeth 27 28 --gap "3/8 in" --radius "7 1/4 in" --arm too-low

    Exit code 1: no move brings the bar to where it should be.
    """  # noqa: D301  click reads the backspace
    if first.isascii() and first.isdigit():
        if published or height is not None or match:
            msg = "--published, --height and --match need a car file, not two counts."
            raise click.UsageError(msg)
        found = _plain(first, second, turn, gap, radius, arm_is, side, most)
        inches = "in" in {q.unit for q in (gap, radius) if q is not None}
        system: System = "inch" if inches else "metric"
        emit([found], one=True, as_json=as_json, show=lambda t: print_teeth(t, system))
        return 0 if found.reachable else 1
    if any(q is not None for q in (turn, gap, radius, arm_is, side)):
        msg = (
            "--turn, --gap, --radius, --arm and --side go with two counts; for a car "
            "write the reading into its file."
        )
        raise click.UsageError(msg)
    from splinewise.tasks.teeth_of_car import teeth

    car = open_car(first)
    results = [
        teeth(car, planned(car, name, published, height, match), most=most)
        for name in corners_wanted(car, second)
    ]
    emit(
        results,
        one=second is not None,
        as_json=as_json,
        car=car,
        show=lambda t: print_teeth(t, car.system, then=again("check", first, t.corner)),
    )
    return 0 if all(t.reachable for t in results) else 1


def _count(text: str | None, end: str) -> int:
    from splinewise.core.splines import MOST_TEETH

    if text is None or not (text.isascii() and text.isdigit()):
        msg = "Give both counts of teeth: the arm end's, then the anchor end's."
        raise click.UsageError(msg)
    if len(text) > 9 or not 1 <= int(text) <= MOST_TEETH:
        msg = (
            f"The {end} end must have from 1 to {MOST_TEETH} teeth, not {text[:12]}. "
            "An end that goes together one way only counts as 1."
        )
        raise click.UsageError(msg)
    return int(text)


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
    from splinewise.tasks.teeth import SeenFrom, teeth_for

    splines = Splines(_count(first, "arm"), _count(second, "anchor"))
    if (turn is None) == (gap is None):
        msg = "Say how far to turn: --turn ANGLE, or --gap, --radius and --arm."
        raise click.UsageError(msg)
    if turn is None:
        wanted, because, told = _turn_of_gap(gap, radius, arm_is)
    else:
        if radius is not None or arm_is is not None:
            msg = "--radius and --arm go with --gap."
            raise click.UsageError(msg)
        wanted, because, told = _turn_as_typed(turn)
    axis = (1.0 if side == "left" else -1.0, 0.0, 0.0)
    return teeth_for(
        splines,
        wanted,
        because=because,
        seen_from=None if side is None else SeenFrom(axis, "front"),
        side=side,
        most=most,
        warnings=told,
    )


def _turn_as_typed(turn: Any) -> tuple[Value, str, list[str]]:
    from splinewise.tasks.values import Value

    if not abs(turn.value) <= math.pi:
        msg = (
            f"{turn.text} is more than half a turn; the arm gets there sooner the "
            "other way."
        )
        raise click.UsageError(msg)
    wanted = Value(turn.value, "rad", _standard(turn), "wanted")
    return wanted, "as you gave it", []


def _turn_of_gap(
    gap: Any, radius: Any, arm_is: str | None
) -> tuple[Value, str, list[str]]:
    from splinewise.tasks.teeth import turn_of_gap

    if radius is None or arm_is is None:
        msg = "--gap needs --radius and --arm too-low or too-high."
        raise click.UsageError(msg)
    if gap.value < 0.0 or radius.value <= 0.0:
        msg = (
            "--gap and --radius are distances, above zero; --arm says where the arm "
            "hangs."
        )
        raise click.UsageError(msg)
    try:
        closes = turn_of_gap(
            gap.value,
            radius.value,
            gap_doubt=_standard(gap),
            radius_doubt=_standard(radius),
        )
    except ValueError:
        msg = f"No turn opens a gap of {gap.text} at a radius of {radius.text}."
        raise click.UsageError(msg) from None
    told = []
    if closes.doubt is None:
        small, words = (0.0254 / 32, "1/32 in") if gap.unit == "in" else (1e-3, "1 mm")
        worth = math.degrees(small / radius.value)
        told.append(
            f"No ± was given, so nothing is known of how sure the turn is. {words} of "
            f"gap is {worth:.2f}°."
        )
    way = 1.0 if arm_is == "too-low" else -1.0
    wanted = replace(closes, value=way * closes.value)
    return wanted, f"closes a gap of {gap.text} at a radius of {radius.text}", told


def _standard(quantity: Any) -> float | None:
    """Return the standard doubt of a typed ±; None where none was typed."""
    return quantity.doubt / math.sqrt(3.0) if quantity.doubt else None
