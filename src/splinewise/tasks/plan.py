"""What angle must the arm have with the bar slack, and what follows from it."""

from __future__ import annotations

import math

import numpy as np

from splinewise.car.model import Car, Corner, Figure
from splinewise.core.corner import wheel_force
from splinewise.core.jet import value
from splinewise.core.quantities import Array
from splinewise.tasks.cautions import cautions
from splinewise.tasks.doubts import standard_doubt
from splinewise.tasks.plan_goal import goal_of
from splinewise.tasks.plan_judge import assumed, breaks, small_changes, warnings
from splinewise.tasks.plan_result import (
    Goal,
    Plan,
    PlannedLength,
    Sensitivity,
    StressAt,
)
from splinewise.tasks.slack import corner_of
from splinewise.tasks.standing import Settled, Stand, rises, settle, together
from splinewise.tasks.turns import spring_of
from splinewise.tasks.values import Value

__all__ = ["Goal", "Plan", "PlannedLength", "Sensitivity", "StressAt", "plan"]

_AS_DRAWN = "height at the drawn position"


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

    Examples
    --------
    >>> from splinewise import load_demo
    >>> left = plan(load_demo("van"), "left")
    >>> print(f"{math.degrees(left.slack_angle.value):.1f}°")
    -27.3°
    """
    here = corner_of(car, corner)
    goal, slack, causes = goal_of(
        car, here, published=published, ride_height=ride_height, match=match
    )
    changes = small_changes(here, slack)
    settled = settle(here, slack, causes, [turn for _, turn in changes], car.system)
    at, change = settled.at, settled.change
    theta = float(at.angle)
    drawn, now, low, high, *after = rises(
        here, np.append([0.0, theta, here.low, here.high], settled.turned)
    )
    rise, rise_doubt = float(now - drawn), together(change.rise)
    slack_doubt = together(u for _, u in causes)
    stresses = _stresses(here, slack, slack_doubt or 0.0, at, change)
    height, height_doubts = here.ride_height, _height_doubts(here, settled)
    broken = breaks(car.system, here, goal, stresses, rise)
    return Plan(
        car=car.name,
        corner=here.name,
        side=here.side,
        layout=here.layout,
        goal=goal,
        slack_angle=Value(slack, "rad", slack_doubt),
        slack_slope=Value(slack + here.drawn_slope, "rad", slack_doubt),
        lengths=_lengths(here, slack, theta, slack_doubt, together(change.angle)),
        arm_angle=Value(theta, "rad", together(change.angle)),
        rise=Value(rise, "m", rise_doubt),
        ride_height=Value(
            math.nan if height is None else height.drawn.value - rise,
            "m",
            None if height is None else together(d.height.value for d in height_doubts),
        ),
        ride_height_where="" if height is None else height.where,
        bar=here.bar.words,
        bar_rate=_given(here.bar.rate, "N·m/rad"),
        load=_given(here.load, "N"),
        twist=Value(float(at.twist), "rad", together(change.twist)),
        stresses=stresses,
        limit=_given(here.bar.limit.value, "Pa"),
        limit_source=here.bar.limit.value.source,
        bump_left=Value(float(high - now), "m", rise_doubt),
        rebound_left=Value(float(now - low), "m", rise_doubt),
        stops_known=here.stops_known,
        wheel_rate=Value(float(at.wheel_rate), "N/m", together(change.wheel_rate)),
        wheel_rate_plain=Value(
            float(at.plain_rate), "N/m", together(change.plain_rate)
        ),
        frequency=Value(float(at.frequency), "Hz", together(change.frequency)),
        sensitivities=tuple(
            Sensitivity(cause, Value(float(now - then), "m"))
            for (cause, _), then in zip(changes, after, strict=True)
        ),
        height_doubts=height_doubts,
        breaks=broken,
        warnings=warnings(here, stresses),
        assumed=assumed(here),
        fits=not broken,
        cautions=cautions(["twisted bar", "on stands", "stress"]),
    )


def _given(figure: Figure, unit: str) -> Value:
    return Value(figure.value, unit, standard_doubt(figure) or None, figure.standing)


def _lengths(
    corner: Corner,
    slack: float,
    theta: float,
    slack_doubt: float | None,
    theta_doubt: float | None,
) -> tuple[PlannedLength, ...]:
    """Return every dimension with the bar slack and with the car standing."""
    rows = []
    for d in corner.dimensions.values():
        lengths = value(d.span.length(np.array([slack, theta])))
        slopes = np.abs(d.span.slope(np.array([slack, theta])))
        rows.append(
            PlannedLength(
                name=d.name,
                fixed=d.fixed,
                moving=d.moving,
                slack=Value(
                    float(lengths[0]),
                    "m",
                    slack_doubt and float(slopes[0]) * slack_doubt,
                ),
                standing=Value(
                    float(lengths[1]),
                    "m",
                    theta_doubt and float(slopes[1]) * theta_doubt,
                ),
                per_angle=Value(float(d.span.slope(slack)), "m/rad"),
            )
        )
    return tuple(rows)


def _stresses(
    corner: Corner, slack: float, slack_doubt: float, at: Stand, change: Stand
) -> tuple[StressAt, ...]:
    """Return the bar at ride, set by the load, and at the stops, set by its twist."""
    k = corner.bar.rate
    held = wheel_force(
        corner.linkage,
        spring_of(corner, slack),
        np.array([corner.high, corner.low]),
    )
    rows = [
        StressAt(
            where="ride",
            arm_angle=Value(float(at.angle), "rad"),
            torque=Value(float(at.torque), "N·m", together(change.torque)),
            stress=Value(float(at.stress), "Pa", together(change.stress)),
            share=_share(corner, at.torque),
            energy=Value(float(at.energy), "J", together(change.energy)),
        )
    ]
    for i, where in enumerate(("bump stop", "rebound stop")):
        torque, twist = float(held.torque[i]), float(held.twist[i])
        by_rate, by_slack = twist * standard_doubt(k), k.value * slack_doubt
        doubt = math.hypot(by_rate, by_slack)
        energy_doubt = math.hypot(0.5 * by_rate * twist, by_slack * twist)
        unit_stress = float(np.asarray(corner.bar.bar.stress(1.0)))
        rows.append(
            StressAt(
                where=where,
                arm_angle=Value((corner.high, corner.low)[i], "rad"),
                torque=Value(torque, "N·m", doubt or None),
                stress=Value(torque * unit_stress, "Pa", doubt * unit_stress or None),
                share=_share(corner, torque),
                energy=Value(0.5 * torque * twist, "J", energy_doubt or None),
            )
        )
    return tuple(rows)


def _share(corner: Corner, torque: Array | float) -> Value:
    stress = np.abs(np.asarray(corner.bar.bar.stress(torque)))
    return Value(float(stress) / corner.bar.limit.value.value, "1")


def _height_doubts(corner: Corner, settled: Settled) -> tuple[Sensitivity, ...]:
    """Return what each cause adds to the doubt of the standing height."""
    sizes = np.abs(settled.change.rise).tolist()
    rows = list(zip(settled.causes, sizes, strict=True))
    if corner.ride_height is not None:
        rows.append((_AS_DRAWN, standard_doubt(corner.ride_height.drawn)))
    return tuple(Sensitivity(cause, Value(u, "m")) for cause, u in rows if u)
