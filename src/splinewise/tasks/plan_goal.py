"""What a plan is made for: a published dimension, a ride height, or the other side."""

from __future__ import annotations

import math

import numpy as np

from splinewise.car.model import Car, Corner, Figure, Observation, System
from splinewise.core.corner import slack_for
from splinewise.core.heights import angle_at_rise
from splinewise.core.jet import value
from splinewise.core.linkages import solve
from splinewise.errors import TaskError
from splinewise.tasks.plan_result import Goal
from splinewise.tasks.said import said_size
from splinewise.tasks.slack import corner_of, estimates, seen_slack, slack_from
from splinewise.tasks.turns import arm_angle
from splinewise.tasks.values import Value

__all__ = ["Causes", "goal_of"]

Causes = tuple[tuple[str, float], ...]
"""What a slack angle is doubtful by: cause and standard doubt. [rad]"""


def goal_of(
    car: Car,
    corner: Corner,
    *,
    published: str | None,
    ride_height: Figure | None,
    match: str | None,
) -> tuple[Goal, float, Causes]:
    """Return a goal, the slack angle that it asks for, and what that is doubtful by.

    Parameters
    ----------
    car : Car
        The car.
    corner : Corner
        The corner to set. [m]
    published : str or None
        Name of the published dimension to set to.
    ride_height : Figure or None
        Ride height wanted. [m]
    match : str or None
        Corner whose present setting shall be matched.

    Returns
    -------
    tuple
        Goal, slack angle and its doubts. [rad]

    Raises
    ------
    TaskError
        If more than one goal is given, or none can be found or reached.
    """
    if sum(goal is not None for goal in (published, ride_height, match)) > 1:
        msg = (
            "Give one goal: a published dimension, a ride height or a corner to match."
        )
        raise TaskError(msg)
    if match is not None:
        return _by_match(car, corner, corner_of(car, match))
    if published is not None:
        return _by_published(corner, _named(corner, published))
    if ride_height is not None:
        return _by_height(car.system, corner, ride_height)
    chosen = _first_published(corner)
    if chosen is not None:
        return _by_published(corner, chosen)
    height = corner.ride_height
    if height is not None and height.wanted is not None:
        return _by_height(car.system, corner, height.wanted)
    msg = (
        f"{corner.name} has no published dimension on the bare arm and no wanted ride "
        "height. Say what you want: a published dimension, a ride height, or the "
        "corner to match."
    )
    raise TaskError(msg)


def _named(corner: Corner, name: str) -> Observation:
    found = [o for o in corner.published if name in (o.name, o.of)]
    if found:
        return found[0]
    known = ", ".join(repr(o.name) for o in corner.published) or "none"
    msg = f"{corner.name} has nothing published as {name!r}; it has {known}."
    raise TaskError(msg)


def _first_published(corner: Corner) -> Observation | None:
    """Return the first that is meant for this car, else the first that may be."""
    bare = [o for o in corner.published if o.state == "bare arm"]
    known = [o for o in bare if o.for_this_car] or [
        o for o in bare if o.for_this_car is not False
    ]
    return known[0] if known else None


def _by_published(corner: Corner, seen: Observation) -> tuple[Goal, float, Causes]:
    estimate = slack_from(corner, seen)
    goal = Goal(
        "published",
        f"set to the published {seen.name}",
        estimate.observed,
        estimate.source,
    )
    return goal, estimate.slack_angle.value, estimate.parts


def _by_match(car: Car, corner: Corner, other: Corner) -> tuple[Goal, float, Causes]:
    if other.name == corner.name:
        msg = f"{corner.name} cannot be matched to itself."
        raise TaskError(msg)
    estimate = seen_slack(other)
    if estimate is None:
        _, left_out = estimates(other, other.readings)
        where = car.file or "this car"
        msg = f"{other.name} has no reading to match in {where}."
        raise TaskError(" ".join([msg, *left_out]))
    goal = Goal(
        "match",
        f"match {other.name} as it is set now, by its {estimate.name}",
        estimate.observed,
        estimate.source,
    )
    return goal, estimate.slack_angle.value, estimate.parts


def _by_height(
    system: System, corner: Corner, wanted: Figure
) -> tuple[Goal, float, Causes]:
    height = corner.ride_height
    if height is None:
        msg = (
            f"{corner.name} has no [ride_height] table that says where the height is "
            "measured and what it is at the drawn position."
        )
        raise TaskError(msg)
    rise = height.drawn.value - wanted.value
    theta = float(angle_at_rise(corner.linkage, rise, low=corner.low, high=corner.high))
    if not math.isfinite(theta):
        ends = value(
            solve(corner.linkage, np.array([0.0, corner.low, corner.high])).contact.z
        )
        most, least = height.drawn.value - (ends[1:] - ends[0])
        told = wanted.text or said_size(wanted.value, system)
        msg = (
            f"A ride height of {told} is out of the travel of {corner.name}, which "
            f"gives {said_size(float(least), system)} to "
            f"{said_size(float(most), system)}."
        )
        raise TaskError(msg)
    turn = slack_for(
        corner.linkage,
        angle=theta,
        rate=corner.bar.rate.value,
        load=corner.load.value,
        bush=corner.bush,
    )
    goal = Goal(
        "ride height",
        f"stand at the wanted height ({height.where})",
        Value(wanted.value, "m", None, "wanted"),
        wanted.source,
    )
    return goal, arm_angle(corner, float(turn)), ()
