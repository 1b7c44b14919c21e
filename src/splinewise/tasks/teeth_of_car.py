"""Teeth for a car: from what is wanted and what is seen to the ranked moves."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from splinewise import show
from splinewise.car.model import Car, Corner, Observation, System
from splinewise.core.adjuster import HoleRow, Screw, after, spare
from splinewise.core.direction import stated_place
from splinewise.errors import TaskError
from splinewise.tasks.plan import Plan
from splinewise.tasks.plan_judge import ONE_TOOTH
from splinewise.tasks.said import said_size
from splinewise.tasks.slack import (
    SlackEstimate,
    corner_of,
    estimates,
    seen_slack,
    slack_from,
)
from splinewise.tasks.standing import rises, stand
from splinewise.tasks.teeth import SeenFrom, Teeth, teeth_for
from splinewise.tasks.teeth_result import RankedMove
from splinewise.tasks.turns import arm_angles, bar_turn, turn_per_angle
from splinewise.tasks.values import Value

__all__ = ["adjuster_words", "teeth"]


def teeth(
    car: Car, planned: Plan, *, seen: Observation | None = None, most: int = 6
) -> Teeth:
    """Rank the moves that bring a corner from where it is to where it was planned.

    Parameters
    ----------
    car : Car
        The car.
    planned : Plan
        The wanted setting, from `splinewise.tasks.plan.plan`.
    seen : Observation, optional
        The reading to start from; the car file's best one if left out.
    most : int
        Moves to return at most. [1]

    Returns
    -------
    Teeth
        The moves, best first.

    Raises
    ------
    TaskError
        If nothing was read of how the corner is set now.
    """
    corner = corner_of(car, planned.corner)
    now = seen_slack(corner) if seen is None else slack_from(corner, seen)
    if now is None:
        _, left_out = estimates(corner, corner.readings)
        msg = (
            f"Nothing was read of how {corner.name} is set now. Read a setting length "
            "or an arm slope with the bar slack, and write it into the car file."
        )
        raise TaskError(" ".join([msg, *left_out]))
    found = teeth_for(
        corner.splines,
        _turn(corner, planned, now),
        because=f"{planned.goal.words}; set now as its {now.name} says",
        seen_from=SeenFrom(
            corner.bar_along, stated_place(corner.bar_along, corner.side)
        ),
        side=corner.side,
        adjuster=spare(corner.adjuster, corner.adjuster_at),
        adjuster_words=adjuster_words(corner),
        heights=lambda left: _heights(corner, planned, left),
        most=most,
        counted=corner.counted,
        car=car.name,
        corner=corner.name,
        present=now.slack_angle,
        wanted=planned.slack_angle,
        warnings=(*planned.breaks, *_one_tooth(planned, car.system)),
    )
    if corner.adjuster is None:
        return found
    if isinstance(corner.adjuster, HoleRow):
        nearest = tuple(_by_whole_holes(corner, m) for m in found.moves)
        found = replace(found, moves=nearest)
    change = _adjuster_change(corner, found.moves[0], car.system)
    return replace(found, adjuster_change=change)


def _by_whole_holes(corner: Corner, move: RankedMove) -> RankedMove:
    """Return a move with what a row of holes can really take up of it."""
    adjuster = corner.adjuster
    if not isinstance(adjuster, HoleRow):
        return move
    missed = float(after(adjuster, corner.adjuster_at, move.adjuster.value).left_over)
    return replace(
        move,
        adjuster=replace(move.adjuster, value=move.adjuster.value - missed),
        remains=replace(move.remains, value=move.remains.value + missed),
    )


def _turn(corner: Corner, planned: Plan, now: SlackEstimate) -> Value:
    """Return by how much the bar is to turn, which is what its splines turn. [rad]"""
    ends = (planned.slack_angle, now.slack_angle)
    turns = bar_turn(corner, [end.value for end in ends])
    doubt = math.hypot(
        *(turn_per_angle(corner, end.value) * (end.doubt or 0.0) for end in ends)
    )
    return Value(float(turns[0] - turns[1]), "rad", doubt or None)


def _heights(
    corner: Corner, planned: Plan, left_over: Sequence[float]
) -> Sequence[float]:
    """Return how much too high the car stands with so much turn left over. [m]"""
    turns = bar_turn(corner, planned.slack_angle.value)
    slacks = arm_angles(corner, turns - np.asarray([0.0, *left_over]))
    wanted, *found = rises(corner, stand(corner, slacks).angle)
    return [float(wanted - rise) for rise in found]


def _one_tooth(planned: Plan, system: System) -> tuple[str, ...]:
    alone = [s for s in planned.sensitivities if s.cause.startswith(ONE_TOOTH)]
    heights = [s.height.value for s in alone if s.height.known]
    if not alone:
        return ()
    if not heights:
        return ("One tooth at one end alone, toward droop, puts the arm on a stop.",)
    least = said_size(min(heights), system)
    return (f"One tooth at one end alone moves the wheel by about {least}.",)


def _kind(corner: Corner) -> str:
    words = {Screw: "screw", HoleRow: "row of holes"}
    return words.get(type(corner.adjuster), "slotted bracket")


def adjuster_words(corner: Corner) -> str:
    """Return what the adjuster can still do, in words.

    Parameters
    ----------
    corner : Corner
        The corner. [rad]

    Returns
    -------
    str
        A sentence; empty if there is no adjuster.
    """
    if corner.adjuster is None:
        return ""
    low, high = spare(corner.adjuster, corner.adjuster_at)
    return (
        f"The {_kind(corner)} can still give {show.angle(high)} toward bump and "
        f"{show.angle(abs(low))} toward droop."
    )


def _adjuster_change(corner: Corner, move: RankedMove, system: System) -> str:
    """Return how the adjuster gives its part of a move, and where it ends."""
    adjuster, now, turn = corner.adjuster, corner.adjuster_at, move.adjuster.value
    if adjuster is None:
        return ""
    new = after(adjuster, now, turn)
    change = float(new.change)
    if move.within_doubt or not change:
        part = "screw" if isinstance(adjuster, Screw) else "bolt of the adjuster"
        return f"Leave the {part} where it is."
    sense = "bump" if turn > 0.0 else "droop"
    if isinstance(adjuster, Screw):
        way = "longer" if change > 0.0 else "shorter"
        told = (
            f"Turn the screw {abs(change):.1f} turns so that it grows {way}, which "
            f"turns the arm toward {sense}. The screw"
        )
    elif isinstance(adjuster, HoleRow):
        count = round(abs(change))
        holes = "1 hole" if count == 1 else f"{count} holes"
        told = f"Move the bolt of the row of holes {holes} toward {sense}. The bolt"
    else:
        along = show.length(abs(change), system=system, fine=True)
        told = (
            f"Move the bolt of the slotted bracket {along} along its slot, toward "
            f"{sense}. The bolt"
        )
    share = show.percent(float(new.share))
    return f"{told} then stands {share} of the way from the middle to its end."
