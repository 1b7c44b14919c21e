"""Every dimension turned into one quantity: the slack angle of the arm.

A length on the bare arm gives the slack angle through the hinged arm alone; an arm
slope gives it at once; a ride height gives it through the bar's rate and the load.
Each comes with a first-order standard doubt from the parts that were put in.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from splinewise.car.model import Car, Corner, Dimension, Observation
from splinewise.core.corner import slack_for, wheel_force
from splinewise.core.heights import angle_at_rise
from splinewise.core.jet import slope
from splinewise.core.linkages import solve
from splinewise.errors import TaskError
from splinewise.tasks.doubts import observed_doubt, standard_doubt
from splinewise.tasks.turns import arm_angle, spring_of, turn_per_angle
from splinewise.tasks.values import Value

__all__ = [
    "SlackEstimate",
    "corner_of",
    "dimension_of",
    "estimates",
    "seen_slack",
    "slack_from",
]


@dataclass(frozen=True, slots=True)
class SlackEstimate:
    """What one observation says of the slack angle.

    Attributes
    ----------
    name : str
        What the observation is called. [1]
    of : str
        The dimension it is of, or "ride height", "arm slope" or "gap". [1]
    standing : str
        "published" or "measured". [1]
    source : str
        Where it came from or what it was read with; may be empty. [1]
    as_typed : str
        The observation's text. [1]
    state : str
        "bare arm", "hanging" or "standing". [1]
    observed : Value
        The observation itself. [m or rad]
    slack_angle : Value
        Arm angle with the bar slack. [rad]
    parts : tuple of (str, float)
        Share of each cause in the standard doubt, root-sum-squared in
        `slack_angle.doubt`. [rad]
    doubt_from : str
        Where the doubt of the observation comes from, in words. [1]
    for_this_car : bool or None
        For a published one, whether it is known to be for this car. [1]
    """

    name: str
    of: str
    standing: str
    source: str
    as_typed: str
    state: str
    observed: Value
    slack_angle: Value
    parts: tuple[tuple[str, float], ...]
    doubt_from: str
    for_this_car: bool | None


def corner_of(car: Car, name: str) -> Corner:
    """Return a corner by name, or by side where that says enough.

    Parameters
    ----------
    car : Car
        The car.
    name : str
        "front-left", or "left" if only one corner is on that side.

    Returns
    -------
    Corner
        The corner.

    Raises
    ------
    TaskError
        If there is no such corner, naming those there are.
    """
    if name in car.corners:
        return car.corners[name]
    found = [c for c in car.corners.values() if name in (c.side, c.name)]
    if len(found) == 1:
        return found[0]
    names = ", ".join(car.corners)
    why = "more than one corner is" if found else "there is no corner"
    msg = f"{why} called {name!r} in this car. It has: {names}."
    raise TaskError(msg)


def dimension_of(corner: Corner, name: str) -> Dimension:
    """Return a dimension of a corner by name.

    Parameters
    ----------
    corner : Corner
        The corner.
    name : str
        The dimension's name in the car file.

    Returns
    -------
    Dimension
        The dimension.

    Raises
    ------
    TaskError
        If the corner has no such dimension, naming those it has.
    """
    try:
        return corner.dimensions[name]
    except KeyError:
        known = ", ".join(repr(n) for n in corner.dimensions) or "none"
        msg = f"{corner.name} has no dimension called {name!r}; it has {known}."
        raise TaskError(msg) from None


def slack_from(corner: Corner, seen: Observation) -> SlackEstimate:
    """Turn one observation into the slack angle it implies.

    Parameters
    ----------
    corner : Corner
        The corner it was made on. [m]
    seen : Observation
        The observation. [m or rad]

    Returns
    -------
    SlackEstimate
        The slack angle with its doubt. [rad]

    Raises
    ------
    TaskError
        If the arm cannot give what was seen, or something needed is not known.
    """
    if seen.state == "hanging":
        msg = (
            f"{seen.name!r} was taken with the wheel hanging, where the rebound stop "
            "and not the bar sets the arm; it says nothing of the slack angle."
        )
        raise TaskError(msg)
    read, doubt_from = observed_doubt(seen)
    if seen.state == "standing":
        angle, parts = _from_standing(corner, seen, read)
    elif seen.of == "arm slope":
        angle, parts = seen.figure.value - corner.drawn_slope, [("slope", read)]
    else:
        angle, parts = _from_length(corner, seen, read)
    doubt = math.sqrt(math.fsum(u * u for _, u in parts))
    unit = "rad" if seen.of == "arm slope" else "m"
    return SlackEstimate(
        name=seen.name,
        of=seen.of,
        standing=seen.figure.standing,
        source=seen.figure.source or seen.instrument,
        as_typed=seen.figure.text,
        state=seen.state,
        observed=Value(seen.figure.value, unit, read, seen.figure.standing),
        slack_angle=Value(angle, "rad", doubt),
        parts=tuple(parts),
        doubt_from=doubt_from,
        for_this_car=seen.for_this_car,
    )


def estimates(
    corner: Corner, observations: Iterable[Observation]
) -> tuple[tuple[SlackEstimate, ...], tuple[str, ...]]:
    """Turn observations into slack angles, and say which could not be and why.

    Parameters
    ----------
    corner : Corner
        The corner they were made on. [m]
    observations : iterable of Observation
        The observations. [m or rad]

    Returns
    -------
    tuple
        The slack angles, and a sentence for each observation left out. [rad]
    """
    found, left_out = [], []
    for seen in observations:
        try:
            found.append(slack_from(corner, seen))
        except TaskError as error:
            left_out.append(str(error))
    return tuple(found), tuple(left_out)


def seen_slack(corner: Corner) -> SlackEstimate | None:
    """Return the best single reading of where the corner is set now.

    A reading on the bare arm is preferred to one on the wheels, and among equals
    the one with the least doubt; `splinewise check` shows all of them.  A reading
    that says nothing of the slack angle is passed over.

    Parameters
    ----------
    corner : Corner
        The corner. [m]

    Returns
    -------
    SlackEstimate or None
        The reading's slack angle; None if nothing that serves was read. [rad]
    """
    found, _ = estimates(corner, corner.readings)
    return min(
        found,
        key=lambda e: (e.state != "bare arm", e.slack_angle.doubt or math.inf),
        default=None,
    )


Parts = list[tuple[str, float]]


def _from_length(corner: Corner, seen: Observation, read: float) -> tuple[float, Parts]:
    angle, per_angle = _angle_of_length(corner, seen)
    parts = [("gap" if seen.of == "gap" else "length", read / abs(per_angle))]
    if seen.gauge is not None:
        parts.append(("gauge", standard_doubt(seen.gauge) / abs(per_angle)))
    return angle, parts


def _angle_of_length(corner: Corner, seen: Observation) -> tuple[float, float]:
    """Return the arm angle that a length or a gap tells, and d(length)/d(angle)."""
    name, length = seen.of, seen.figure.value
    if seen.of == "gap":
        name, length = seen.of_gap, _length_past_gauge(corner, seen)
    dimension = dimension_of(corner, name)
    angle = float(dimension.span.angle(length))
    if not math.isfinite(angle):
        low, high = float(dimension.span.shortest), float(dimension.span.longest)
        msg = (
            f"{seen.name!r} on {corner.name} reads {length * 1e3:.1f} mm, but the arm "
            f"can only give {low * 1e3:.1f} to {high * 1e3:.1f} mm between "
            f"{dimension.fixed} and {dimension.moving}. Look at the reading and at "
            "the points."
        )
        raise TaskError(msg)
    return angle, float(dimension.span.slope(angle))


def _length_past_gauge(corner: Corner, seen: Observation) -> float:
    """Return the length that a gauge and the gap beyond it tell. [m]"""
    if seen.gauge is None:
        msg = (
            f"{seen.name!r} is a gap, but the file does not say how long the gauge is."
        )
        raise TaskError(msg)
    span = dimension_of(corner, seen.of_gap).span
    # Where droop lengthens the span, an arm that hangs low is farther off than the
    # gauge is long; where it shortens it, nearer.
    lengthens = float(span.slope(span.angle(seen.gauge.value))) < 0.0
    farther = (seen.opens == "low") == lengthens
    return seen.gauge.value + (1.0 if farther else -1.0) * seen.figure.value


def _from_standing(
    corner: Corner, seen: Observation, read: float
) -> tuple[float, Parts]:
    theta, observed_slope = _standing_angle_seen(corner, seen)
    if not corner.low <= theta <= corner.high:
        msg = (
            f"{seen.name!r} puts {corner.name} outside its travel between the rebound "
            "stop and the bump stop. Look at the reading, or at the height that the "
            "file gives for the drawn position."
        )
        raise TaskError(msg)
    k, load = corner.bar.rate, corner.load
    turn = slack_for(
        corner.linkage,
        angle=theta,
        rate=k.value,
        load=load.value,
        bush=corner.bush,
    )
    slack = arm_angle(corner, float(turn))
    at = wheel_force(corner.linkage, spring_of(corner, slack), theta)
    z1 = _rise_slope(corner, theta)
    # What the bar's turn when slack must do at a fixed load when the wheel stands
    # elsewhere, dτ₀/dθ = K_w z'²/(k τ'), and the arm's angle with it.
    to_arm = 1.0 / turn_per_angle(corner, slack)
    per_load = z1 / (k.value * turn_per_angle(corner, theta)) * to_arm
    per_observed = abs(float(at.wheel_rate) * z1 * per_load / observed_slope)
    parts: Parts = [
        (seen.of, per_observed * read),
        ("load", abs(per_load) * standard_doubt(load)),
        ("bar rate", abs(float(at.twist) * to_arm) / k.value * standard_doubt(k)),
    ]
    if corner.ride_height is not None and seen.of == "ride height":
        drawn = standard_doubt(corner.ride_height.drawn)
        parts.append(("height at the drawn position", per_observed * drawn))
    if seen.gauge is not None:
        parts.append(("gauge", per_observed * standard_doubt(seen.gauge)))
    return slack, parts


def _standing_angle_seen(corner: Corner, seen: Observation) -> tuple[float, float]:
    """Return the arm angle at which the car stands and d(observed)/d(angle)."""
    if seen.of == "arm slope":
        return seen.figure.value - corner.drawn_slope, 1.0
    if seen.of != "ride height":
        return _angle_of_length(corner, seen)
    if corner.ride_height is None:
        msg = (
            f"{seen.name!r} is a ride height, but {corner.name} has no [ride_height] "
            "table that says where it is measured and what it is as drawn."
        )
        raise TaskError(msg)
    rise = corner.ride_height.drawn.value - seen.figure.value
    theta = float(angle_at_rise(corner.linkage, rise, low=corner.low, high=corner.high))
    if not math.isfinite(theta):
        return math.nan, math.nan
    return theta, -_rise_slope(corner, theta)


def _rise_slope(corner: Corner, theta: float) -> float:
    return float(slope(solve(corner.linkage, np.asarray(theta)).contact.z))
