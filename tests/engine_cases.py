"""Corners and cars set beside the engine's: how far apart the two come to rest."""

from dataclasses import dataclass, replace

import numpy as np

import engine
from layouts import DAMPER, ROD, SHARED, STRUT, TRAILING, UPPER
from splinewise.core.corner import Spring, slack_for, standing_angle, wheel_force
from splinewise.core.linkages import DoubleWishbone, WishbonePoints, locking_angle
from splinewise.core.linkages.strut import Strut, StrutPoints
from splinewise.core.linkages.trailing import TrailingArm, TrailingPoints
from splinewise.core.vehicle import stand
from vehicles import (
    LOWER,
    Dice,
    car,
    changed_corner,
    corner_points,
    vec,
)

RATE, DRAWN = 2000.0, 2600.0  # N·m/rad; N that the bar carries where it is drawn
LOADS = (1500.0, 2900.0, 4200.0)  # N: droop, near where it is drawn, bump
LAYOUTS = {
    "double wishbone": (
        engine.wishbones,
        DoubleWishbone,
        WishbonePoints,
        {**SHARED, **UPPER, **ROD, **DAMPER, **LOWER},
    ),
    "strut": (engine.strut, Strut, StrutPoints, {**SHARED, **ROD, **STRUT}),
    "trailing arm": (
        engine.trailing,
        TrailingArm,
        TrailingPoints,
        {**SHARED, **TRAILING},
    ),
    "semi-trailing arm": (
        engine.trailing,
        TrailingArm,
        TrailingPoints,
        {**SHARED, **TRAILING, "pivot_inner": (0.320, 0.250, 0.300)},
    ),
}
HEIGHTS = ((-0.2, 0.6, 0.2), (-0.2, -0.6, 0.2), (-2.2, 0.6, 0.25), (-2.2, -0.6, 0.25))


@dataclass(frozen=True)
class Difference:
    """How far apart the two came to rest; the greatest of each kind.

    Places and heights in metres, angles in radians, loads as a share; with it how far
    the engine's loops stood open, and the steps that it took.
    """

    place: float
    angle: float
    load: float
    gap: float
    steps: int


def corner_case(layout, seed, *, mirrored=False):
    """Hard points of an invented corner, the engine's layout and ours."""
    make, ours, kind, drawn = LAYOUTS[layout]
    dice = Dice(np.random.default_rng(seed))
    points = corner_points(kind, drawn, dice, mirrored=mirrored, spread=0.02)
    return make, ours.build(points, outboard=-1.0 if mirrored else 1.0), points


def corner_difference(layout, load, *, seed=0, mirrored=False, step=1e-3):
    """A corner whose body is held, pressed at the lowest point of its wheel."""
    make, linkage, points = corner_case(layout, seed, mirrored=mirrored)
    slack = float(slack_for(linkage, angle=0.0, rate=RATE, load=DRAWN))
    spring = Spring(RATE, slack)

    part = make("one", points, spring=(RATE, slack), unsprung=25.0, damping=100.0)
    # No gravity: the load is the whole of what the corner carries.
    whole = engine.model([part], step=step, gravity=0.0)
    radius = float(points.tyre_radius)
    rest = engine.Settled(whole, pushes=[("one", radius, load)])
    assert rest.speed < 1e-7, "the engine did not settle"

    low, high = (0.999 * locking_angle(linkage, side) for side in (-1.0, 1.0))
    angle = standing_angle(linkage, spring, load, low=low, high=high)
    pose = linkage.pose(angle)
    centre, spindle = rest.wheel("one")
    lowest = rest.lowest("one", radius)
    carried = float(wheel_force(linkage, spring, rest.angle("one")).force)
    return Difference(
        place=max(
            float(np.linalg.norm(centre - pose.wheel.array)),
            float(np.linalg.norm(lowest - pose.contact.array)),
        ),
        angle=max(
            abs(rest.angle("one") - float(angle)),
            float(np.linalg.norm(np.cross(spindle, pose.spindle.array))),
        ),
        load=abs(carried / load - 1.0),
        gap=rest.gap,
        steps=rest.steps,
    )


def engine_car(seed, *, front="double wishbone"):
    """An invented car without stops and anti-roll bars, and its hard points."""
    rng = np.random.default_rng(seed)
    hard = []
    vehicle = car(rng, stops=False, bars=False, points_too=hard)
    if front == "strut":
        for i in (0, 1):
            _, linkage, points = corner_case("strut", seed, mirrored=i == 1)
            spring = vehicle.corners[i].spring
            slack = float(slack_for(linkage, angle=0.0, rate=spring.rate, load=2600.0))
            # The strut carries its own damper; nothing helps its bar.
            vehicle = changed_corner(
                vehicle,
                i,
                linkage=linkage,
                spring=replace(spring, slack=slack),
                others=(),
            )
            hard[i] = points
    return vehicle, hard


def car_difference(seed, *, front="double wishbone", step=1e-3):
    """A whole car let down on its four tyres."""
    vehicle, hard = engine_car(seed, front=front)
    whole, tyres = engine.whole_car(vehicle, hard, step=step)
    rest = engine.Settled(whole, tyres)
    assert rest.speed < 1e-6, "the engine did not settle"

    found = stand(vehicle)
    assert found.stands
    at = found.attitude
    apart = [rest.height(p) - float(at.height(vec(p))) for p in HEIGHTS]
    for tyre, corner, angle in zip(
        tyres, vehicle.corners, found.arm_angles, strict=True
    ):
        wheel = corner.linkage.pose(angle).wheel
        apart.append(rest.wheel(tyre.name)[0][2] - float(at.height(wheel)))
    loads = np.array([rest.force(tyre) for tyre in tyres])
    angles = np.array([rest.angle(tyre.name) for tyre in tyres])
    return Difference(
        place=float(np.max(np.abs(apart))),
        angle=float(np.max(np.abs(angles - found.arm_angles))),
        load=float(np.max(np.abs(loads / found.loads - 1.0))),
        gap=rest.gap,
        steps=rest.steps,
    )
