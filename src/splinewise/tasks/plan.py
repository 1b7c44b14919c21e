"""What angle must the arm have with the bar slack, and what follows from it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from splinewise.car.model import Car, Corner, Figure, Observation, System
from splinewise.core.adjuster import Screw, Slot
from splinewise.core.corner import (
    Spring,
    WheelForce,
    ride_frequency,
    slack_for,
    standing_angle,
    wheel_force,
)
from splinewise.core.heights import angle_at_rise
from splinewise.core.jet import slope, value
from splinewise.core.linkages import solve
from splinewise.core.quantities import Array
from splinewise.errors import TaskError
from splinewise.tasks.cautions import cautions
from splinewise.tasks.said import said_size
from splinewise.tasks.slack import (
    corner_of,
    seen_slack,
    slack_from,
    standard_doubt,
)
from splinewise.tasks.values import Value

__all__ = ["Goal", "Plan", "PlannedLength", "Sensitivity", "StressAt", "plan"]

_AS_DRAWN = "height at the drawn position"

GRAVITY = 9.80665
"""Standard acceleration of free fall, exact by definition (ISO 80000-3). [m/s²]"""


@dataclass(frozen=True, slots=True)
class Goal:
    """What the plan is made for.

    Attributes
    ----------
    kind : str
        "published", "ride height" or "match". [1]
    words : str
        The goal in one clause. [1]
    wanted : Value
        The length or angle wanted. [m or rad]
    source : str
        Where it came from. [1]
    """

    kind: Literal["published", "ride height", "match"]
    words: str
    wanted: Value
    source: str


@dataclass(frozen=True, slots=True)
class PlannedLength:
    """One dimension at the planned setting.

    Attributes
    ----------
    name, fixed, moving : str
        The dimension and its two points. [1]
    slack : Value
        Its length with the bar slack. [m]
    standing : Value
        Its length with the car on its wheels. [m]
    per_angle : Value
        Change of the slack length with arm angle. [m/rad]
    """

    name: str
    fixed: str
    moving: str
    slack: Value
    standing: Value
    per_angle: Value


@dataclass(frozen=True, slots=True)
class StressAt:
    """The bar at one place of the travel.

    Attributes
    ----------
    where : str
        "ride", "bump stop" or "rebound stop". [1]
    arm_angle : Value
        Arm angle there. [rad]
    torque, stress : Value
        Torque in the bar; shear stress at its surface. [N·m, Pa]
    share : Value
        Stress over the limit. [1]
    energy : Value
        Energy stored in the bar. [J]
    """

    where: str
    arm_angle: Value
    torque: Value
    stress: Value
    share: Value
    energy: Value


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What a small change does to the ride height; up is positive.

    Attributes
    ----------
    cause : str
        The change in words. [1]
    height : Value
        Change of ride height. [m]
    """

    cause: str
    height: Value


@dataclass(frozen=True, slots=True)
class Plan:
    """The setting of one corner and what it gives.

    Attributes
    ----------
    car, corner, side, layout : str
        Which corner. [1]
    goal : Goal
        What was wanted. [1]
    slack_angle : Value
        Arm angle with the bar slack, from the drawn position. [rad]
    slack_slope : Value
        The same as the arm's angle above level. [rad]
    lengths : tuple of PlannedLength
        Setting length and check dimensions. [m]
    arm_angle : Value
        Arm angle standing. [rad]
    rise : Value
        Rise of the wheel from the drawn position, standing. [m]
    ride_height : Value
        Ride height standing; NaN if the file does not say where it is measured. [m]
    ride_height_where : str
        Where it is measured. [1]
    bar : str
        The bar in words. [1]
    bar_rate, load : Value
        Bar rate and sprung load used. [N·m/rad, N]
    twist : Value
        Twist of the bar standing. [rad]
    stresses : tuple of StressAt
        Stress at ride and at the stops. [Pa]
    limit : Value
        Stress limit used. [Pa]
    limit_source : str
        Where it came from. [1]
    bump_left, rebound_left : Value
        Wheel travel left to each stop. [m]
    stops_known : tuple of bool
        Whether the file gave the rebound and the bump stop; else the figure is up
        to where the linkage locks. [1]
    wheel_rate, wheel_rate_plain : Value
        Rate at the wheel, with and without the geometric term. [N/m]
    frequency : Value
        Ride frequency of the sprung load on the wheel rate. [Hz]
    sensitivities : tuple of Sensitivity
        What small changes do. [m]
    height_doubts : tuple of Sensitivity
        What each cause adds to the doubt of the ride height. [m]
    warnings, assumed : tuple of str
        What wants attention; what was taken for want of knowledge. [1]
    fits : bool
        False if the setting breaks a limit: stress, or the wanted height with its
        tolerance. [1]
    cautions : tuple of str
        Safety sentences. [1]
    """

    car: str
    corner: str
    side: str
    layout: str
    goal: Goal
    slack_angle: Value
    slack_slope: Value
    lengths: tuple[PlannedLength, ...]
    arm_angle: Value
    rise: Value
    ride_height: Value
    ride_height_where: str
    bar: str
    bar_rate: Value
    load: Value
    twist: Value
    stresses: tuple[StressAt, ...]
    limit: Value
    limit_source: str
    bump_left: Value
    rebound_left: Value
    stops_known: tuple[bool, bool]
    wheel_rate: Value
    wheel_rate_plain: Value
    frequency: Value
    sensitivities: tuple[Sensitivity, ...]
    height_doubts: tuple[Sensitivity, ...]
    warnings: tuple[str, ...]
    assumed: tuple[str, ...]
    fits: bool
    cautions: tuple[str, ...]


def plan(
    car: Car,
    corner: str,
    *,
    published: str | None = None,
    ride_height: Figure | None = None,
    match: str | None = None,
) -> Plan:
    """Plan the setting of one corner.

    With no goal named, the first of these that the file gives is taken: a published
    dimension on the bare arm, the wanted ride height.

    Parameters
    ----------
    car : Car
        The car.
    corner : str
        Its corner, by name or side.
    published : str, optional
        Name of the published dimension to set to.
    ride_height : Figure, optional
        Ride height wanted. [m]
    match : str, optional
        Corner whose present setting shall be matched.

    Returns
    -------
    Plan
        The setting and what it gives.

    Raises
    ------
    TaskError
        If the goal cannot be reached or is not known.
    """
    if sum(goal is not None for goal in (published, ride_height, match)) > 1:
        msg = (
            "Give one goal: a published dimension, a ride height or a corner to match."
        )
        raise TaskError(msg)
    here = corner_of(car, corner)
    goal, slack, slack_doubts = _goal(car, here, published, ride_height, match)
    return _planned(car, here, goal, slack, slack_doubts)


Doubts = tuple[tuple[str, float], ...]


def _goal(
    car: Car,
    corner: Corner,
    published: str | None,
    ride_height: Figure | None,
    match: str | None,
) -> tuple[Goal, float, Doubts]:
    """Return the goal, the slack angle it asks for and what that is doubtful by."""
    if match is not None:
        return _goal_match(car, corner, corner_of(car, match))
    height = corner.ride_height
    if ride_height is None and published is None:
        chosen = _first_published(corner)
        if chosen is not None:
            return _goal_published(corner, chosen)
        if height is None or height.wanted is None:
            msg = (
                f"{corner.name} has no published dimension on the bare arm and no "
                "wanted ride height. Say what you want: a published dimension, a "
                "ride height, or the corner to match."
            )
            raise TaskError(msg)
        ride_height = height.wanted
    if published is not None:
        named = [o for o in corner.published if published in (o.name, o.of)]
        if not named:
            known = ", ".join(repr(o.name) for o in corner.published) or "none"
            msg = (
                f"{corner.name} has nothing published as {published!r}; it has {known}."
            )
            raise TaskError(msg)
        return _goal_published(corner, named[0])
    if ride_height is None:  # pragma: no cover - ruled out above
        raise AssertionError
    return _goal_height(car.system, corner, ride_height)


def _first_published(corner: Corner) -> Observation | None:
    bare = [o for o in corner.published if o.state == "bare arm"]
    known = [o for o in bare if o.for_this_car] or [
        o for o in bare if o.for_this_car is not False
    ]
    return known[0] if known else None


def _goal_published(corner: Corner, seen: Observation) -> tuple[Goal, float, Doubts]:
    estimate = slack_from(corner, seen)
    goal = Goal(
        "published",
        f"set to the published {seen.name}",
        estimate.observed,
        estimate.source,
    )
    return goal, estimate.slack_angle.value, estimate.parts


def _goal_match(car: Car, corner: Corner, other: Corner) -> tuple[Goal, float, Doubts]:
    if other.name == corner.name:
        msg = f"{corner.name} cannot be matched to itself."
        raise TaskError(msg)
    estimate = seen_slack(other)
    if estimate is None:
        msg = f"{other.name} has no reading to match in {car.file or 'this car'}."
        raise TaskError(msg)
    goal = Goal(
        "match",
        f"match {other.name} as it is set now, by its {estimate.name}",
        estimate.observed,
        estimate.source,
    )
    return goal, estimate.slack_angle.value, estimate.parts


def _goal_height(
    system: System, corner: Corner, wanted: Figure
) -> tuple[Goal, float, Doubts]:
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
        msg = (
            f"A ride height of {said_size(wanted.value, system)} is out of "
            f"{corner.name}'s travel, which gives {said_size(float(least), system)} "
            f"to {said_size(float(most), system)}."
        )
        raise TaskError(msg)
    slack = float(
        slack_for(
            corner.linkage,
            angle=theta,
            rate=corner.bar.rate.value,
            load=corner.load.value,
            bush=corner.bush,
        )
    )
    goal = Goal(
        "ride height",
        f"stand at the wanted height ({height.where})",
        Value(wanted.value, "m", None, "wanted"),
        wanted.source,
    )
    return goal, slack, ()


def _planned(
    car: Car, corner: Corner, goal: Goal, slack: float, slack_doubts: Doubts
) -> Plan:
    spring = Spring(corner.bar.rate.value, slack, corner.bush)
    theta = _stand(corner, slack)
    at = wheel_force(corner.linkage, spring, theta)
    rises = _rises(corner, np.array([0.0, theta, corner.low, corner.high]))
    doubts = _height_doubts(corner, at, theta, slack_doubts)
    total = _together(d.height.value for d in doubts)
    # How the wheel stands against the body does not hang on the height as drawn.
    rise_doubt = _together(d.height.value for d in doubts if d.cause != _AS_DRAWN)
    slack_doubt = _together(u for _, u in slack_doubts)
    k = corner.bar.rate
    stiffness = standard_doubt(k) / k.value
    z1 = float(slope(solve(corner.linkage, np.asarray(theta)).contact.z))
    torque_doubt = standard_doubt(corner.load) * z1
    stresses = _stresses(corner, spring, theta, torque_doubt, slack_doubt or 0.0)
    height = corner.ride_height
    rise = float(rises[1] - rises[0])
    warnings, fits = _judge(car.system, corner, stresses, rise)
    return Plan(
        car=car.name,
        corner=corner.name,
        side=corner.side,
        layout=corner.layout,
        goal=goal,
        slack_angle=Value(slack, "rad", slack_doubt),
        slack_slope=Value(slack + corner.drawn_slope, "rad", slack_doubt),
        lengths=_lengths(
            corner, slack, theta, slack_doubt, rise_doubt and rise_doubt / z1
        ),
        arm_angle=Value(theta, "rad", rise_doubt and rise_doubt / z1),
        rise=Value(rise, "m", rise_doubt),
        ride_height=Value(
            math.nan if height is None else height.drawn.value - rise, "m", total
        ),
        ride_height_where="" if height is None else height.where,
        bar=corner.bar.words,
        bar_rate=_shown(corner.bar.rate, "N·m/rad"),
        load=_shown(corner.load, "N"),
        twist=Value(
            float(at.twist),
            "rad",
            math.hypot(torque_doubt / k.value, float(at.twist) * stiffness) or None,
        ),
        stresses=stresses,
        limit=_shown(corner.bar.limit.value, "Pa"),
        limit_source=corner.bar.limit.value.source,
        bump_left=Value(float(rises[3] - rises[1]), "m", rise_doubt),
        rebound_left=Value(float(rises[1] - rises[2]), "m", rise_doubt),
        stops_known=corner.stops_known,
        wheel_rate=Value(
            float(at.wheel_rate), "N/m", float(at.spring_part) * stiffness or None
        ),
        wheel_rate_plain=Value(
            float(at.spring_part), "N/m", float(at.spring_part) * stiffness or None
        ),
        frequency=_frequency(corner, at, stiffness),
        sensitivities=_sensitivities(corner, slack, theta),
        height_doubts=doubts,
        warnings=warnings,
        assumed=_assumed(corner),
        fits=fits,
        cautions=cautions(["twisted bar", "on stands", "stress"]),
    )


def _together(doubts: Iterable[float]) -> float | None:
    """Return the root sum of squares; None for nothing."""
    return math.sqrt(math.fsum(u * u for u in doubts)) or None


def _frequency(corner: Corner, at: WheelForce, stiffness: float) -> Value:
    f = float(ride_frequency(at.wheel_rate, corner.load.value / GRAVITY))
    load = standard_doubt(corner.load) / corner.load.value
    return Value(f, "Hz", 0.5 * f * math.hypot(stiffness, load) or None)


def _shown(figure: Figure, unit: str) -> Value:
    return Value(figure.value, unit, standard_doubt(figure) or None, figure.standing)


def _stand(corner: Corner, slack: float) -> float:
    theta = float(_stands(corner, np.asarray(slack)))
    if math.isfinite(theta):
        return theta
    spring = Spring(corner.bar.rate.value, slack, corner.bush)
    most = float(wheel_force(corner.linkage, spring, corner.high).force)
    where, much = (
        ("the bump stop", "only")
        if most < corner.load.value
        else ("the rebound stop", "")
    )
    msg = (
        f"With this slack angle {corner.name} sits on {where}: the bar carries {much} "
        f"{most:.0f} N there, and the load is {corner.load.value:.0f} N. Look at the "
        "bar, the load and the goal."
    )
    raise TaskError(msg.replace("  ", " "))


def _stands(corner: Corner, slack: Array) -> Array:
    """Return standing arm angles for slack angles, NaN where it would hit a stop."""
    return standing_angle(
        corner.linkage,
        Spring(corner.bar.rate.value, slack, corner.bush),
        corner.load.value,
        low=corner.low,
        high=corner.high,
    )


def _rises(corner: Corner, angles: Array) -> Array:
    return value(solve(corner.linkage, angles).contact.z)


def _lengths(
    corner: Corner,
    slack: float,
    theta: float,
    doubt: float | None,
    theta_doubt: float | None,
) -> tuple[PlannedLength, ...]:
    rows = []
    for d in corner.dimensions.values():
        per_angle = float(d.span.slope(slack))
        rows.append(
            PlannedLength(
                name=d.name,
                fixed=d.fixed,
                moving=d.moving,
                slack=Value(
                    float(value(d.span.length(slack))),
                    "m",
                    None if doubt is None else abs(per_angle) * doubt,
                ),
                standing=Value(
                    float(value(d.span.length(theta))),
                    "m",
                    theta_doubt and abs(float(d.span.slope(theta))) * theta_doubt,
                ),
                per_angle=Value(per_angle, "m/rad"),
            )
        )
    return tuple(rows)


def _stresses(
    corner: Corner,
    spring: Spring,
    theta: float,
    torque_doubt: float,
    slack_doubt: float,
) -> tuple[StressAt, ...]:
    """Return the bar at ride, set by the load, and at the stops, set by its twist."""
    angles = np.array([theta, corner.high, corner.low])
    at: WheelForce = wheel_force(corner.linkage, spring, angles)
    k = corner.bar.rate
    unit_stress = float(np.asarray(corner.bar.bar.stress(1.0)))
    limit = corner.bar.limit.value.value
    rows = []
    for i, where in enumerate(("ride", "bump stop", "rebound stop")):
        torque, twist = float(at.torque[i]), float(at.twist[i])
        doubt = (
            torque_doubt
            if i == 0
            else math.hypot(twist * standard_doubt(k), k.value * slack_doubt)
        )
        rows.append(
            StressAt(
                where=where,
                arm_angle=Value(float(angles[i]), "rad"),
                torque=Value(torque, "N·m", doubt or None),
                stress=Value(torque * unit_stress, "Pa", doubt * unit_stress or None),
                share=Value(abs(torque) * unit_stress / limit, "1"),
                energy=Value(0.5 * torque * twist, "J", abs(doubt * twist) or None),
            )
        )
    return tuple(rows)


def _height_doubts(
    corner: Corner, at: WheelForce, theta: float, slack_doubts: Doubts
) -> tuple[Sensitivity, ...]:
    """Return what each cause adds to the doubt of the standing height, first order.

    F(z, τ₀, k, load) = load gives dz/dτ₀ = (k τ'/z')/K_w, dz/dk = −((τ − τ₀) τ'/z')/K_w
    and dz/dload = 1/K_w.
    """
    z1 = float(slope(solve(corner.linkage, np.asarray(theta)).contact.z))
    stiff = float(at.wheel_rate)
    k = corner.bar.rate.value
    rows = [(f"slack angle: {cause}", k / z1 / stiff * u) for cause, u in slack_doubts]
    rows.append(
        (
            "bar rate",
            abs(float(at.twist)) / z1 / stiff * standard_doubt(corner.bar.rate),
        )
    )
    rows.append(("load", standard_doubt(corner.load) / stiff))
    if corner.ride_height is not None:
        drawn = standard_doubt(corner.ride_height.drawn)
        rows.append((_AS_DRAWN, drawn))
    return tuple(Sensitivity(cause, Value(abs(u), "m")) for cause, u in rows)


def _sensitivities(
    corner: Corner, slack: float, theta: float
) -> tuple[Sensitivity, ...]:
    splines = corner.splines
    causes: list[tuple[str, float]] = []
    if splines.lcm > 1:
        causes.append(("one index step toward droop", -splines.index_step))
    if splines.arm > 1:
        causes.append(
            ("one tooth at the arm end alone, toward droop", -splines.arm_step)
        )
    if splines.anchor > 1:
        causes.append(
            ("one tooth at the anchor end alone, toward droop", -splines.anchor_step)
        )
    for d in corner.dimensions.values():
        per_angle = float(d.span.slope(slack))
        causes.append((f"1 mm more of the {d.name}", 1e-3 / per_angle))
    causes.append(("one degree of slack angle toward droop", -math.radians(1.0)))
    causes += _adjuster_causes(corner)
    slacks = slack + np.array([turn for _, turn in causes])
    stands = _stands(corner, slacks)
    rises = _rises(corner, np.append(stands, theta))
    return tuple(
        Sensitivity(cause, Value(float(rises[-1] - rises[i]), "m"))
        for i, (cause, _) in enumerate(causes)
    )


def _adjuster_causes(corner: Corner) -> list[tuple[str, float]]:
    """Return one unit of the adjuster, the way that lets the arm toward droop."""
    adjuster = corner.adjuster
    if adjuster is None:
        return []
    rate = float(adjuster.rate_at(corner.adjuster_at))
    if isinstance(adjuster, Slot):
        return [("1 mm along the slot, toward droop", -abs(rate) * 1e-3)]
    what = "turn of the adjuster" if isinstance(adjuster, Screw) else "hole"
    return [(f"one {what}, toward droop", -abs(rate))]


def _judge(
    system: System, corner: Corner, stresses: tuple[StressAt, ...], rise: float
) -> tuple[tuple[str, ...], bool]:
    """Return what wants attention, and whether every limit holds."""
    warnings, fits = [], True
    height = corner.ride_height
    if height is not None and height.wanted is not None:
        off = height.drawn.value - rise - height.wanted.value
        allowed = height.tolerance.value if height.tolerance is not None else 0.0
        if height.tolerance is not None and abs(off) > allowed:
            fits = False
            warnings.append(
                f"The car would stand {said_size(off, system)} "
                f"{'above' if off > 0.0 else 'below'} the height that you want; your "
                f"tolerance is {said_size(allowed, system)}. Plan for the height "
                "instead (--height), or look at bar and load."
            )
    for at in stresses:
        if at.share.value > 1.0:
            fits = False
            warnings.append(
                f"The bar is over its stress limit at the {at.where}: "
                f"{at.share.value:.0%} of it."
                if at.where != "ride"
                else f"The bar is over its stress limit standing: {at.share.value:.0%}."
            )
    rebound = stresses[2].torque.value
    if rebound < 0.0:
        warnings.append(
            "At the rebound stop the bar is twisted the other way: it is slack before "
            "the arm gets there. A preset bar must not be loaded backwards."
        )
    if corner.bar.limit.preset is None:
        warnings.append(
            "Whether the bar is preset is not known; the limit for a bar that is not "
            "preset was used unless you gave one."
        )
    return tuple(warnings), fits


def _assumed(corner: Corner) -> tuple[str, ...]:
    rows = []
    if corner.bar.limit.value.standing == "assumed":
        rows.append(f"stress limit: {corner.bar.limit.value.source}")
    if corner.bar.rate.standing != "measured":
        rows.append("bar rate: computed from the bar's size and steel, not measured")
    if not corner.bush_known:
        rows.append("bushes: left out, the file gives no rate for them")
    names = ("rebound stop", "bump stop")
    rows += [
        f"{name}: not given, so travel counts to where the linkage locks"
        for name, known in zip(names, corner.stops_known, strict=True)
        if not known
    ]
    return tuple(rows)
