"""The whole car on its wheels: heights, loads, lean, and what small changes do."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from splinewise.car.model import Car
from splinewise.car.vehicle import vehicle_of
from splinewise.core.geometry import Vec
from splinewise.core.jet import value
from splinewise.core.quantities import Array
from splinewise.core.vehicle import (
    Attitude,
    HeightWanted,
    Modes,
    Outcome,
    Stand,
    Vehicle,
    modes,
    remarks,
    shares,
    slack_for_wants,
    stand,
    why,
)
from splinewise.errors import TaskError
from splinewise.tasks.cautions import cautions
from splinewise.tasks.plan import plan
from splinewise.tasks.said import said_size
from splinewise.tasks.slack import estimates, seen_slack
from splinewise.tasks.stand_effects import effects
from splinewise.tasks.stand_result import HeightAt, StandResult, StandsOn
from splinewise.tasks.turns import arm_angle
from splinewise.tasks.values import Value

__all__ = ["as_found", "as_planned", "as_wanted", "stand_car"]

_LEVEL = 0.006
"""How far the sides of an axle may differ where the file does not say; a cautious
figure of our own. [m]"""

_NONE = math.nan

Slacks = Mapping[str, tuple[float, str]]
"""Arm angle with the bar slack, and what it was taken from, of each corner. [rad]"""


def as_found(car: Car) -> Slacks:
    """Return the slack angles that the readings tell.

    Parameters
    ----------
    car : Car
        The car.

    Returns
    -------
    mapping of str to (float, str)
        Slack angles of the arms, and the readings' names. [rad]

    Raises
    ------
    TaskError
        If a corner has no reading that tells its slack angle.
    """
    found = {}
    for corner in car.corners.values():
        seen = seen_slack(corner)
        if seen is None:
            _, left_out = estimates(corner, corner.readings)
            msg = (
                f"Nothing was read of how {corner.name} is set now. Read a setting "
                "length or an arm slope with the bar slack, or let the car stand as "
                "planned (--as-planned)."
            )
            raise TaskError(" ".join([msg, *left_out]))
        found[corner.name] = (seen.slack_angle.value, seen.name)
    return found


def as_planned(car: Car) -> Slacks:
    """Return the slack angles that a plan of each corner gives.

    Parameters
    ----------
    car : Car
        The car.

    Returns
    -------
    mapping of str to (float, str)
        Slack angles of the arms, and the goals. [rad]
    """
    plans = [plan(car, name) for name in car.corners]
    return {p.corner: (p.slack_angle.value, p.goal.words) for p in plans}


def as_wanted(car: Car) -> Slacks:
    """Return the slack angles with which the body stands as high as it is drawn.

    The height of every torsion-bar wheel's place on the body is wanted as drawn, less
    what its ride height is wanted other than drawn; of points, what the file wants.

    Parameters
    ----------
    car : Car
        The car.

    Returns
    -------
    mapping of str to (float, str)
        Slack angles of the arms. [rad]

    Raises
    ------
    TaskError
        If no slack angles give the heights, or they lie out of reach.
    """
    # Any start will do; at no slack angle the search begins with bars that about
    # carry the drawn car.
    vehicle = vehicle_of(car, dict.fromkeys(car.corners, 0.0))
    wants = _wants(car, vehicle)
    found = slack_for_wants(vehicle, wants)
    outcome = found.outcomes[0]
    if outcome not in (Outcome.MET, Outcome.COMPROMISE):
        reasons = "; ".join(reason.words for reason in found.lost[0])
        msg = f"The wanted heights cannot be set: {outcome.value}. {reasons}".strip()
        raise TaskError(msg)
    words = (
        "for the wanted heights"
        if outcome is Outcome.MET
        else "nearest to the wanted heights, which cannot all be met"
    )
    return {
        corner.name: (arm_angle(corner, float(found.slack[i])), words)
        for i, corner in enumerate(car.corners.values())
    }


def _wants(car: Car, vehicle: Vehicle) -> list[HeightWanted]:
    points = () if car.vehicle is None else car.vehicle.points
    wants = [
        HeightWanted(
            _vec(point.at),
            point.wanted.value,
            point.tolerance.value if point.tolerance else 1e-3,
        )
        for point in points
        if point.wanted is not None
    ]
    if wants:
        return wants
    for corner, part in zip(car.corners.values(), vehicle.corners, strict=False):
        foot = part.linkage.pose(np.zeros(())).contact
        at = Vec(*(np.asarray(value(x)) for x in (foot.x, foot.y, foot.z)))
        height, more = corner.ride_height, 0.0
        if height is not None and height.wanted is not None:
            more = height.wanted.value - height.drawn.value
        wants.append(HeightWanted(at, part.floor + more))
    return wants


def stand_car(car: Car, slacks: Slacks, *, setting: str = "as found") -> StandResult:
    """Let the whole car stand on its wheels.

    Parameters
    ----------
    car : Car
        The car, its vehicle in the file.
    slacks : mapping of str to (float, str)
        Slack angles, from `as_found`, `as_planned` or `as_wanted`. [rad]
    setting : str
        Where they come from, in words.

    Returns
    -------
    StandResult
        How it stands.

    Raises
    ------
    TaskError
        If the file lacks something that a standing car needs, or the car does not
        come to rest on its wheels.
    """
    vehicle = vehicle_of(car, {name: angle for name, (angle, _) in slacks.items()})
    found = stand(vehicle)
    if not found.stands:
        reasons = "; ".join(reason.words for reason in why(found, vehicle)[0])
        msg = f"Set {setting}, the car does not come to rest on its wheels: {reasons}."
        raise TaskError(msg)
    rides = modes(vehicle, found)
    wheels = _wheels(car, slacks, vehicle, found, rides)
    tolerance = _tolerance(car)
    uneven = _uneven(vehicle, found)
    level = all(abs(v.value) <= tolerance.value for _, v in uneven)
    broken = [
        f"{axle}: the body stands {said_size(v.value, car.system)} higher on the "
        f"{'left' if v.value > 0.0 else 'right'}; {said_size(tolerance.value, car.system)}"
        " is allowed."
        for axle, v in uneven
        if abs(v.value) > tolerance.value
    ]
    broken += [f"{reason.words}." for reason in remarks(found, vehicle)[0]]
    broken += [
        f"{w.name}: the bar is over its stress limit, {w.share.value * 100.0:.0f} % of it."
        for w in wheels
        if w.share.value > 1.0
    ]
    heights = _heights(car, found)
    broken += _missed(car, heights)
    front, left, cross = _shares(vehicle, found)
    return StandResult(
        car=car.name,
        setting=setting,
        stands=True,
        level=level,
        fits=not broken,
        tolerance=tolerance,
        wheels=wheels,
        heights=heights,
        uneven=uneven,
        weight=Value(float(found.loads.sum()), "N"),
        front=front,
        left=left,
        cross=cross,
        roll=Value(float(found.attitude.roll), "rad"),
        pitch=Value(float(found.attitude.pitch), "rad"),
        heave_frequency=Value(float(rides.heave_frequency), "Hz"),
        roll_rate=Value(float(rides.roll_rate), "N·m/rad"),
        pitch_rate=Value(float(rides.pitch_rate), "N·m/rad"),
        effects=effects(car, vehicle, found),
        broken=tuple(broken),
        assumed=_assumed(car),
        cautions=cautions(["twisted bar", "on stands"]),
    )


def _tolerance(car: Car) -> Value:
    given = None if car.vehicle is None else car.vehicle.level
    if given is None:
        return Value(_LEVEL, "m", None, "assumed")
    return Value(given.value, "m", None, "wanted")


def _wheels(
    car: Car, slacks: Slacks, vehicle: Vehicle, found: Stand, rides: Modes
) -> tuple[StandsOn, ...]:
    rows = []
    for i, part in enumerate(vehicle.corners):
        corner = car.corners.get(part.name)
        rise, torque = float(found.rises[i]), float(found.torques[i])
        angle, source = slacks.get(part.name, (_NONE, "no torsion bar"))
        height = stress = share = twist = _NONE
        if corner is not None:
            stress = float(np.asarray(corner.bar.bar.stress(torque)))
            share, twist = abs(stress) / corner.bar.limit.value.value, found.twists[i]
            if corner.ride_height is not None:
                height = corner.ride_height.drawn.value - rise
        where = {1: "on the bump stop", -1: "on the rebound stop"}.get(
            int(found.on_stop[i]),
            "off the floor" if found.lifted[i] else "on its spring",
        )
        side = "left" if part.linkage.outboard > 0.0 else "right"
        rows.append(
            StandsOn(
                name=part.name,
                side=side,
                load=Value(float(found.loads[i]), "N"),
                rise=Value(rise, "m"),
                ride_height=Value(height, "m"),
                slack_angle=Value(angle, "rad"),
                slack_from=source,
                twist=Value(float(twist), "rad"),
                stress=Value(stress, "Pa"),
                share=Value(share, "1"),
                wheel_rate=Value(float(rides.wheel_rates[i]), "N/m"),
                ride_rate=Value(float(rides.ride_rates[i]), "N/m"),
                frequency=Value(float(rides.ride_frequencies[i]), "Hz"),
                where=where,
            )
        )
    return tuple(rows)


def _feet(vehicle: Vehicle) -> Array:
    """Return where the wheels stand at the drawn position, x, y, z. [m]"""
    feet = [corner.linkage.pose(np.zeros(())).contact for corner in vehicle.corners]
    return np.array([[float(value(c)) for c in (f.x, f.y, f.z)] for f in feet])


def _uneven(vehicle: Vehicle, found: Stand) -> tuple[tuple[str, Value], ...]:
    """Return for each axle how much higher the body stands over its left wheel."""
    heights = {
        corner.name: float(found.attitude.height(_vec(foot)))
        for corner, foot in zip(vehicle.corners, _feet(vehicle), strict=True)
    }
    rows = []
    for name, height in heights.items():
        axle = name.removesuffix("-left")
        other = heights.get(f"{axle}-right")
        if axle != name and other is not None:
            rows.append((axle, Value(height - other, "m")))
    return tuple(rows)


def _heights(car: Car, found: Stand) -> tuple[HeightAt, ...]:
    if car.vehicle is None:
        return ()
    drawn = Attitude(np.zeros(()), np.zeros(()), np.zeros(()))
    return tuple(
        HeightAt(
            name=point.name,
            height=Value(float(found.attitude.height(_vec(point.at))), "m"),
            drawn=Value(float(drawn.height(_vec(point.at))), "m"),
            wanted=Value(
                _NONE if point.wanted is None else point.wanted.value,
                "m",
                None,
                "wanted",
            ),
        )
        for point in car.vehicle.points
    )


def _missed(car: Car, heights: tuple[HeightAt, ...]) -> list[str]:
    rows = []
    for point, at in zip(
        () if car.vehicle is None else car.vehicle.points, heights, strict=True
    ):
        off = at.height.value - at.wanted.value
        if point.tolerance is not None and abs(off) > point.tolerance.value:
            rows.append(
                f"{at.name}: {said_size(off, car.system)} "
                f"{'above' if off > 0.0 else 'below'} what you want."
            )
    return rows


def _shares(vehicle: Vehicle, found: Stand) -> tuple[Value, Value, Value]:
    if len(vehicle.corners) != 4:
        return (Value(_NONE, "1"),) * 3
    x, y, _ = _feet(vehicle).T
    order = np.argsort(-x)
    part = shares(
        found.loads,
        left=[int(i) for i in np.flatnonzero(y > 0.0)],
        front=[int(i) for i in order[:2]],
    )
    return (
        Value(float(part.front), "1"),
        Value(float(part.left), "1"),
        Value(float(part.cross), "1"),
    )


def _assumed(car: Car) -> tuple[str, ...]:
    rows = [
        "stops: where the file has one, a rubber whose rate builds up over 20 mm",
        "roll and pitch inertia: not known, so no frequencies of roll and pitch",
    ]
    if car.vehicle is not None and car.vehicle.level is None:
        rows.append("level: 6 mm between the sides of an axle, the file does not say")
    rows += [
        f"{c.name}: unloaded tyre radius worked back from the loaded one"
        for c in car.corners.values()
        if c.tyre is not None and c.tyre.radius is None and c.tyre_radius is not None
    ]
    return tuple(rows)


def _vec(place: tuple[float, float, float] | Array) -> Vec:
    return Vec(*(np.asarray(x) for x in place))
