"""The choice of teeth in words."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from splinewise.cli.report import Report
    from splinewise.show import System
    from splinewise.tasks.teeth import RankedMove, Teeth

__all__ = ["print_teeth", "teeth_answer"]


def print_teeth(teeth: Teeth, system: System, *, then: str = "") -> None:
    """Print the moves in words; `then` is the command that comes next."""
    from splinewise.cli.report import Report
    from splinewise.tasks.said import said_change

    report = Report()
    where = f"{teeth.car}, {teeth.corner}" if teeth.corner else "Two splined ends"
    report.title(f"{where}: which teeth?")
    best = teeth.moves[0]
    for sentence in teeth_answer(teeth, system):
        report.answer(sentence)
    if best.teeth:
        report.points(
            f"With the bar slack, {teeth.seen_from}:"
            if teeth.seen_from
            else "With the bar slack:",
            best.steps,
        )
        report.picture(_rings(teeth, best))
    report.points("Watch", teeth.warnings)
    if teeth.arm_teeth > 1 or teeth.anchor_teeth > 1:
        _print_moves(report, teeth, system)
    report.table(
        [
            ("turn wanted", said_change(teeth.turn, system), teeth.because),
            *_steps(teeth, system),
        ],
        title="Figures",
    )
    if teeth.adjuster:
        report.answer(teeth.adjuster)
    report.points("Caution", teeth.cautions)
    report.next(_next(teeth), then)
    report.print()


def _print_moves(report: Report, teeth: Teeth, system: System) -> None:
    from splinewise.tasks.said import said_change

    tall = any(move.height_left_over.known for move in teeth.moves)
    report.table(
        [
            (
                _signed(move.arm),
                _signed(move.anchor),
                str(move.teeth),
                said_change(move.turn, system),
                said_change(move.left_over, system),
                *([_height(move, system, both=False)] if tall else []),
            )
            for move in teeth.moves
        ],
        head=(
            "arm end",
            "anchor end",
            "teeth",
            "turn",
            "left over",
            *(["car without adjuster" if teeth.adjuster else "car"] if tall else []),
        ),
        title="Moves, best first (+ is toward bump)",
        right=(0, 1, 2),
    )


def _height(move: RankedMove, system: System, *, both: bool) -> str:
    from splinewise.tasks.said import said_away

    if not move.height_left_over.known:
        return "on a stop"
    return said_away(
        move.height_left_over, system, above="too high", below="too low", both=both
    )


def _next(teeth: Teeth) -> str:
    if not teeth.reachable:
        return "look again at what is wanted and at what was read."
    best = teeth.moves[0]
    done = "with the teeth moved" if best.teeth else "with the adjuster set"
    if not teeth.car:
        return f"{done}, take up the spline slack, and see what is left of the turn."
    if not best.teeth and best.within_doubt:
        done = "to be surer"
    return (
        f"{done}, take up the spline slack, read the setting length again, and write "
        "it into the car file. Then:"
    )


def teeth_answer(teeth: Teeth, system: System) -> list[str]:
    """Return the answer in sentences."""
    from splinewise.tasks.said import said_away

    best = teeth.moves[0]
    if best.teeth:
        found = [f"{_way_words(teeth, best)}."]
        then = "That leaves the arm"
    elif teeth.arm_teeth == teeth.anchor_teeth == 1:
        found, then = ["There are no teeth to move."], "The arm is"
    else:
        found, then = ["Leave the teeth as they are."], "The arm is"
    # What is wanting is up where the arm is too low.
    off = replace(best.left_over, value=-best.left_over.value)
    where = said_away(off, system, above="above", below="below", level="from")
    sentence = f"{then} {where} where it should be"
    if best.height_left_over.known and not best.within_doubt:
        sentence += f", and the car {_height(best, system, both=True)}"
    if best.within_doubt and best.left_over.doubt:
        sentence += ", which is within its doubt"
    found.append(f"{sentence}.")
    sentences = [" ".join(found)]
    if teeth.adjuster_change:
        then = teeth.adjuster_change
        if not best.within_doubt:
            remains = replace(best.remains, value=-best.remains.value)
            where = said_away(remains, system, level="from")
            then += f" With that the arm is {where} where it should be."
        sentences.append(then)
    return sentences


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

    many = "none" if not moved else _signed(moved)
    return (
        f"{count} teeth; alone, {many} comes nearest, "
        f"{said_change(move.left_over, system)} left over"
    )


def _signed(count: int) -> str:
    sign = {1: "+", -1: "−"}.get((count > 0) - (count < 0), "")
    return f"{sign}{abs(count)}"


def _rings(teeth: Teeth, move: RankedMove) -> list[str]:
    from splinewise.cli.pictures import ring

    clockwise = "droop" if teeth.bump_way == "anticlockwise" else "bump"
    right = "clockwise" if teeth.bump_way else "toward bump"
    lines: list[str] = []
    for name, count, way in (
        ("arm end", teeth.arm_teeth, move.arm),
        ("anchor end", teeth.anchor_teeth, move.anchor),
    ):
        if way:
            drawn = ring(count, way, clockwise=clockwise)
            lines += [
                f"  {name}, {count} teeth, top of the ring, {right} to the right:",
                *(f"    {line}" for line in drawn),
            ]
    return lines
