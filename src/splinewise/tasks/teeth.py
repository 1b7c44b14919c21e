"""How many teeth, at which end, which way.

The plain form (`teeth_for`) needs nothing but two counts and a turn, and imports
nothing heavy; the form for a car (`splinewise.tasks.teeth_of_car`) works out the
turn from what was wanted and what was read, and hands it to the plain one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from splinewise.core.direction import PLACES, Place, Side, Vector, turning
from splinewise.core.splines import Move, Splines, Step, alone, moves, steps
from splinewise.tasks.cautions import cautions
from splinewise.tasks.values import Value

__all__ = ["RankedMove", "SeenFrom", "Teeth", "place_words", "teeth_for", "turn_of_gap"]

_PLACE_WORDS: dict[Place, str] = {
    "front": "standing in front of the car, looking rearward",
    "rear": "standing behind the car, looking forward",
    "left": "standing at the car's left side, looking across to its right",
    "right": "standing at the car's right side, looking across to its left",
}


@dataclass(frozen=True, slots=True)
class SeenFrom:
    """Where one stands when a turn is called clockwise.

    Attributes
    ----------
    axis : tuple of float
        The bar's axis; a right-handed turn about it is bump. [1]
    place : str
        "front", "rear", "left" or "right". [1]
    """

    axis: Vector
    place: Place


@dataclass(frozen=True, slots=True)
class RankedMove:
    """One move, what it leaves over, and how to make it.

    Attributes
    ----------
    arm, anchor : int
        Teeth at each end, positive to bump. [1]
    teeth, ends : int
        Teeth moved in all; ends that have to be worked. [1]
    turn : Value
        What the slack angle gains. [rad]
    left_over : Value
        What is still wanting, before any adjuster. [rad]
    height_left_over : Value
        The same as ride height, positive if the car stands too high; NaN if the car
        is not known. [m]
    adjuster : Value
        The part that the adjuster takes up. [rad]
    remains : Value
        What is wanting after that. [rad]
    steps : tuple of str
        What to do, bar in hand. [1]
    """

    arm: int
    anchor: int
    teeth: int
    ends: int
    turn: Value
    left_over: Value
    height_left_over: Value
    adjuster: Value
    remains: Value
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Teeth:
    """The moves that bring a bar to a wanted turn.

    Attributes
    ----------
    car, corner, side : str
        Which corner; empty where only counts were given. [1]
    arm_teeth, anchor_teeth : int
        Teeth at the two ends. [1]
    present, wanted : Value
        Slack angle now and slack angle wanted; NaN where only a turn was
        given. [rad]
    turn : Value
        Turn wanted, positive to bump. [rad]
    because : str
        How the turn was found, in one clause. [1]
    index_step, arm_step, anchor_step : Value
        Smallest turn of both ends together, and of a tooth at each alone. [rad]
    moves : tuple of RankedMove
        Best first. [1]
    arm_alone, anchor_alone : RankedMove
        The best that each end can do by itself. [1]
    seen_from : str
        Where one stands when a turn is called clockwise; empty where the side is
        not known, and turns are then told as toward bump or toward droop. [1]
    bump_way : str
        "clockwise" or "anticlockwise": the way that bump turns as seen from there;
        empty where the side is not known. [1]
    adjuster : str
        What the adjuster can do, in words; empty if there is none. [1]
    adjuster_change : str
        What to do at the adjuster with the best move; empty if nothing. [1]
    warnings : tuple of str
        What wants attention. [1]
    reachable : bool
        False if even the best move with the adjuster leaves more over than half an
        index step. [1]
    cautions : tuple of str
        Safety sentences. [1]
    """

    car: str
    corner: str
    side: str
    arm_teeth: int
    anchor_teeth: int
    present: Value
    wanted: Value
    turn: Value
    because: str
    index_step: Value
    arm_step: Value
    anchor_step: Value
    moves: tuple[RankedMove, ...]
    arm_alone: RankedMove
    anchor_alone: RankedMove
    seen_from: str
    bump_way: str
    adjuster: str
    adjuster_change: str
    warnings: tuple[str, ...]
    reachable: bool
    cautions: tuple[str, ...]


Heights = Callable[[Sequence[float]], Sequence[float]]
"""Turns left over → what they do to the ride height, too high positive. [rad → m]"""


def place_words(place: Place) -> str:
    """Return where one stands, in words.

    Parameters
    ----------
    place : str
        "front", "rear", "left" or "right".

    Returns
    -------
    str
        A clause.
    """
    return _PLACE_WORDS[place]


def turn_of_gap(gap: float, radius: float) -> float:
    """Return the turn that closes a gap at a radius, 2 asin(g/2r).

    Parameters
    ----------
    gap : float
        Straight distance from the hole's centre to the bolt's. [m]
    radius : float
        Distance of both from the bar's axis. [m]

    Returns
    -------
    float
        The turn. [rad]

    Raises
    ------
    ValueError
        If no turn opens so wide a gap at this radius.
    """
    if not 0.0 < radius < math.inf:
        msg = f"the radius must be above 0; got {radius * 1e3:.1f} mm"
        raise ValueError(msg)
    if not abs(gap) <= 2.0 * radius:
        msg = (
            f"a gap of {abs(gap) * 1e3:.1f} mm is wider than any turn can open at a "
            f"radius of {radius * 1e3:.1f} mm"
        )
        raise ValueError(msg)
    return 2.0 * math.asin(gap / (2.0 * radius))


def teeth_for(
    splines: Splines,
    turn: Value,
    *,
    because: str = "as you gave it",
    seen_from: SeenFrom | None = None,
    side: Side | None = None,
    adjuster: tuple[float, float] = (0.0, 0.0),
    adjuster_words: str = "",
    heights: Heights | None = None,
    most: int = 6,
    car: str = "",
    corner: str = "",
    present: Value | None = None,
    wanted: Value | None = None,
    warnings: Sequence[str] = (),
) -> Teeth:
    """Rank the moves for a turn.

    Parameters
    ----------
    splines : Splines
        Counts at the two ends. [1]
    turn : Value
        Slack angle wanted less slack angle now, positive to bump. [rad]
    because : str
        How the turn was found.
    seen_from : SeenFrom, optional
        Where one stands; without it turns are told as toward bump or droop.
    side : str, optional
        "left" or "right".
    adjuster : tuple of float
        Least and greatest turn that the adjuster can still give. [rad]
    adjuster_words : str
        What the adjuster can do.
    heights : callable, optional
        Turns left over to ride heights. [m]
    most : int
        Moves to show at most. [1]
    car, corner : str
        Names to carry along.
    present, wanted : Value, optional
        Slack angles, if they are known. [rad]
    warnings : sequence of str
        Warnings to carry along.

    Returns
    -------
    Teeth
        The moves, best first.
    """
    # What is left over within the turn's own doubt is nothing: labour decides there.
    found = moves(
        splines,
        turn.value,
        most=most,
        adjuster=adjuster,
        tolerance=turn.doubt or 0.0,
    )
    single = [
        alone(splines, turn.value, end, adjuster=adjuster) for end in ("arm", "anchor")
    ]
    everything = [*found, *single]
    left = [m.left_over for m in everything]
    tall = [math.nan] * len(left)
    height_doubt = None
    if heights is not None:
        tall = list(heights(left))
        if turn.doubt:
            (height_doubt,) = heights([turn.doubt])
    ranked = [
        _ranked(m, Value(h, "m", height_doubt and abs(height_doubt)), turn, seen_from)
        for m, h in zip(everything, tall, strict=True)
    ]
    step = splines.index_step
    reachable = abs(found[0].remains) <= 0.5 * step + 1e-12
    if splines.lcm == 1:
        reachable = abs(found[0].remains) <= max(turn.doubt or 0.0, 1e-9)
    nowhere = Value(math.nan, "rad")
    return Teeth(
        car=car,
        corner=corner,
        side=side or "",
        arm_teeth=splines.arm,
        anchor_teeth=splines.anchor,
        present=present or nowhere,
        wanted=wanted or nowhere,
        turn=turn,
        because=because,
        index_step=Value(step, "rad"),
        arm_step=Value(splines.arm_step, "rad"),
        anchor_step=Value(splines.anchor_step, "rad"),
        moves=tuple(ranked[: len(found)]),
        arm_alone=ranked[-2],
        anchor_alone=ranked[-1],
        seen_from="" if seen_from is None else _PLACE_WORDS[seen_from.place],
        bump_way=""
        if seen_from is None
        else turning(seen_from.axis, PLACES[seen_from.place]),
        adjuster=adjuster_words,
        adjuster_change="",
        warnings=(*warnings, *_warnings(splines, turn, reachable=reachable)),
        reachable=reachable,
        cautions=cautions(["twisted bar", "on stands", "handed bar"]),
    )


def _ranked(
    move: Move, height: Value, wanted: Value, seen_from: SeenFrom | None
) -> RankedMove:
    return RankedMove(
        arm=move.arm,
        anchor=move.anchor,
        teeth=move.teeth,
        ends=move.ends,
        turn=Value(move.turn, "rad"),
        left_over=Value(move.left_over, "rad", wanted.doubt),
        height_left_over=height,
        adjuster=Value(move.adjuster, "rad"),
        remains=Value(move.remains, "rad", wanted.doubt),
        steps=tuple(_step_words(s, seen_from) for s in steps(move))
        or ("Leave both ends as they are.",),
    )


def _step_words(step: Step, seen_from: SeenFrom | None) -> str:
    if seen_from is None:
        way = f"toward {step.sense}"
    else:
        way = turning(seen_from.axis, PLACES[seen_from.place], sense=step.sense)
    teeth = "1 tooth" if step.teeth == 1 else f"{step.teeth} teeth"
    if step.end == "arm":
        return (
            "Arm end: draw the bar out of the arm, leave the bar where it is in the "
            f"anchor, turn the arm {teeth} {way}, and push it home."
        )
    return (
        "Anchor end: draw the bar out of the anchor with the arm still on it, turn "
        f"bar and arm together {teeth} {way}, and push it home."
    )


def _warnings(splines: Splines, turn: Value, *, reachable: bool) -> list[str]:
    rows = []
    step = splines.index_step
    if splines.lcm == 1:
        rows.append(
            "Both ends go together one way only, so there are no teeth to move: only "
            "an adjuster can change the slack angle."
        )
    elif turn.doubt is not None and 2.0 * turn.doubt > 0.5 * step:
        rows.append(
            "The turn is not known well enough to tell one index step from the next: "
            f"its doubt (two standard) is {math.degrees(2 * turn.doubt):.2f}°, the "
            f"step {math.degrees(step):.2f}°. Measure better before you choose."
        )
    if not reachable:
        rows.append("No move brings the bar to where it should be.")
    rows.append(
        "Count the teeth at each end yourself: sources disagree on which end has "
        "which count, even for one model."
    )
    rows.append(
        "If the bar has to come out of both ends at once, mark its place in each "
        "first, and count both moves from those marks."
    )
    rows.append(
        "Before you read, lift the arm lightly until the slack in the splines is "
        "taken up toward bump, and read with it held there each time."
    )
    return rows
