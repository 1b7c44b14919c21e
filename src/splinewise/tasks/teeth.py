"""How many teeth, at which end, which way.

The plain form (`teeth_for`) needs nothing but two counts and a turn, and imports
nothing heavy; the form for a car (`splinewise.tasks.teeth_of_car`) works out the
turn from what was wanted and what was read, and hands it to the plain one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from splinewise.core.direction import PLACES, Place, Side, turning
from splinewise.core.splines import Move, Splines, Step, alone, moves, steps
from splinewise.tasks.cautions import cautions
from splinewise.tasks.teeth_result import RankedMove, SeenFrom, Teeth
from splinewise.tasks.values import COVERAGE, Value

__all__ = ["RankedMove", "SeenFrom", "Teeth", "place_words", "teeth_for", "turn_of_gap"]

NEAR_MIDDLE = 0.25
"""Part of an adjuster's way from the middle to its end that counts as the middle: no
bar is drawn to bring it nearer (own choice). [1]"""

_PLACE_WORDS: dict[Place, str] = {
    "front": "as seen from in front of the car, looking rearward",
    "rear": "as seen from behind the car, looking forward",
    "left": "as seen from the car's left side, looking across to its right",
    "right": "as seen from the car's right side, looking across to its left",
}


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


def turn_of_gap(
    gap: float,
    radius: float,
    *,
    gap_doubt: float | None = None,
    radius_doubt: float | None = None,
) -> Value:
    """Return the turn that closes a gap at a radius, 2 asin(g/2r).

    Parameters
    ----------
    gap : float
        Straight distance from the hole's centre to the bolt's, g. [m]
    radius : float
        Distance of both from the bar's axis, r. [m]
    gap_doubt, radius_doubt : float, optional
        Standard doubts of the two; None where nothing is known of them. [m]

    Returns
    -------
    Value
        The turn, with a doubt if either has one. [rad]

    Raises
    ------
    ValueError
        If the gap is below zero, or no turn opens so wide a gap at this radius.

    Examples
    --------
    >>> print(f"{math.degrees(turn_of_gap(0.0095, 0.184).value):.2f}°")
    2.96°
    """
    if not 0.0 < radius < math.inf:
        msg = f"the radius must be above 0; got {radius * 1e3:.1f} mm"
        raise ValueError(msg)
    if not gap >= 0.0:
        msg = (
            f"a gap has no sign; got {gap * 1e3:.1f} mm. Say which way it opens instead"
        )
        raise ValueError(msg)
    if not gap <= 2.0 * radius:
        msg = (
            f"a gap of {gap * 1e3:.1f} mm is wider than any turn can open at a radius "
            f"of {radius * 1e3:.1f} mm"
        )
        raise ValueError(msg)
    angle = 2.0 * math.asin(gap / (2.0 * radius))
    if gap_doubt is None and radius_doubt is None:
        return Value(angle, "rad")
    across = math.sqrt((2.0 * radius - gap) * (2.0 * radius + gap))
    if not across:
        return Value(angle, "rad")
    parts = (gap_doubt or 0.0, (radius_doubt or 0.0) * gap / radius)
    return Value(angle, "rad", 2.0 * math.hypot(*parts) / across)


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
    counted: bool = False,
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
    counted : bool
        Whether the person counted the teeth of this very bar.
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
    if _adjuster_serves(turn.value, adjuster):
        stay = Move(0, 0, 0.0, turn.value, adjuster=turn.value)
        found = (stay, *(m for m in found if m.teeth))[:most]
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
    near = max(COVERAGE * (turn.doubt or 0.0), 1e-9)
    if splines.lcm > 1:
        near = max(near, 0.5 * step * (1.0 + 1e-9))
    reachable = abs(found[0].remains) <= near
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
        warnings=(
            *warnings,
            *_warnings(splines, turn, reachable=reachable, counted=counted),
        ),
        reachable=reachable,
        cautions=cautions(["twisted bar", "on stands", "handed bar", "roadworthy"]),
    )


def _adjuster_serves(turn: float, adjuster: tuple[float, float]) -> bool:
    """Whether the adjuster alone gives a turn and ends near its middle."""
    low, high = adjuster
    off = abs(turn - (low + high) / 2.0)
    return low < high and off <= NEAR_MIDDLE * (high - low) / 2.0


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


def _warnings(
    splines: Splines, turn: Value, *, reachable: bool, counted: bool
) -> list[str]:
    rows = []
    step = splines.index_step
    if splines.lcm == 1:
        rows.append(
            "Both ends go together one way only, so there are no teeth to move: only "
            "an adjuster can change the slack angle."
        )
    elif turn.doubt is not None and COVERAGE * turn.doubt > 0.5 * step:
        rows.append(
            "The turn is not known well enough to tell one index step from the next: "
            f"its ± is {math.degrees(COVERAGE * turn.doubt):.2f}°, the step "
            f"{math.degrees(step):.2f}°. Measure better before you choose."
        )
    if not reachable:
        rows.append("No move brings the bar to where it should be.")
    if splines.lcm > 1:
        if not counted:
            rows.append(
                "Count the teeth at each end yourself: sources disagree on which end "
                "has which count, even for one model."
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
