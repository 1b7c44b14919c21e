"""Teeth for a car: from what is wanted and what is seen to the ranked moves."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from splinewise.car.model import Car, Corner, Observation, System
from splinewise.core.adjuster import HoleRow, Screw, after, spare
from splinewise.core.corner import Spring, standing_angle
from splinewise.core.direction import stated_place
from splinewise.core.jet import value
from splinewise.core.linkages import solve
from splinewise.errors import TaskError
from splinewise.tasks.plan import Plan
from splinewise.tasks.said import said_size
from splinewise.tasks.slack import SlackEstimate, corner_of, seen_slack, slack_from
from splinewise.tasks.teeth import SeenFrom, Teeth, teeth_for
from splinewise.tasks.values import Value

__all__ = ["adjuster_words", "teeth"]

_NO_TURN = math.radians(0.005)
"""A turn that no face would show: it rounds to 0.00°. [rad]"""


def teeth(car: Car, planned: Plan, *, seen: Observation | None = None) -> Teeth:
    """Rank the moves that bring a corner from where it is to where it was planned.

    Parameters
    ----------
    car : Car
        The car.
    planned : Plan
        The wanted setting, from `splinewise.tasks.plan.plan`.
    seen : Observation, optional
        The reading to start from; the car file's best one if left out.

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
        msg = (
            f"Nothing was read of how {corner.name} is set now. Read a setting length "
            "or an arm slope with the bar slack, or give one to this command."
        )
        raise TaskError(msg)
    wanted = _turn(planned, now)
    found = teeth_for(
        corner.splines,
        wanted,
        because=f"{planned.goal.words}; set now as its {now.name} says",
        seen_from=SeenFrom(
            corner.bar_along, stated_place(corner.bar_along, corner.side)
        ),
        side=corner.side,
        adjuster=spare(corner.adjuster, corner.adjuster_at),
        adjuster_words=adjuster_words(corner),
        heights=lambda left: _heights(corner, planned, left),
        car=car.name,
        corner=corner.name,
        present=now.slack_angle,
        wanted=planned.slack_angle,
        warnings=_one_tooth(planned, car.system),
    )
    if corner.adjuster is None:
        return found
    turn = found.moves[0].adjuster.value
    return replace(found, adjuster_change=_adjuster_change(corner, turn, car.system))


def _turn(planned: Plan, now: SlackEstimate) -> Value:
    doubt = math.hypot(planned.slack_angle.doubt or 0.0, now.slack_angle.doubt or 0.0)
    return Value(
        planned.slack_angle.value - now.slack_angle.value, "rad", doubt or None
    )


def _heights(
    corner: Corner, planned: Plan, left_over: Sequence[float]
) -> Sequence[float]:
    """Return how much too high the car stands with so much turn left over."""
    wanted = planned.slack_angle.value
    slacks = wanted - np.asarray([0.0, *left_over])
    stands = standing_angle(
        corner.linkage,
        Spring(corner.bar.rate.value, slacks, corner.bush),
        corner.load.value,
        low=corner.low,
        high=corner.high,
    )
    rises = value(solve(corner.linkage, stands).contact.z)
    return [float(rises[0] - rise) for rise in rises[1:]]


def _one_tooth(planned: Plan, system: System) -> tuple[str, ...]:
    alone = [s for s in planned.sensitivities if s.cause.startswith("one tooth at")]
    heights = [s.height.value for s in alone if s.height.known]
    if not alone:
        return ()
    if not heights:
        return ("One tooth at one end alone, toward droop, puts the arm on a stop.",)
    least = said_size(min(heights), system)
    return (f"One tooth at one end alone moves the wheel by about {least}.",)


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
    what = {Screw: "screw", HoleRow: "row of holes"}.get(
        type(corner.adjuster), "slotted bracket"
    )
    return (
        f"The {what} can still give {math.degrees(high):.2f}° toward bump and "
        f"{math.degrees(-low):.2f}° toward droop."
    )


def _adjuster_change(corner: Corner, turn: float, system: System) -> str:
    """Return how the adjuster gives a turn, and where it ends, in words."""
    adjuster, now = corner.adjuster, corner.adjuster_at
    if adjuster is None or abs(turn) < _NO_TURN:
        return ""
    new = after(adjuster, now, turn)
    change, share = float(new.change), float(new.share)
    used = f"That is {share:.0%} of the way from the middle of its range to its end."
    if isinstance(adjuster, Screw):
        way = "longer" if change > 0.0 else "shorter"
        return f"Turn the screw {abs(change):.1f} turns, so that it grows {way}. {used}"
    if isinstance(adjuster, HoleRow):
        count = round(abs(change))
        return f"Move the bolt {count} {'hole' if count == 1 else 'holes'}. {used}"
    return f"Move the bolt {said_size(change, system)} along its slot. {used}"
