"""A sliding strut over a lower arm: its rows in the file and the linkage of them."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from splinewise.car.blame import Blame
from splinewise.car.layouts.base import Built, Layout
from splinewise.car.layouts.common import (
    NEAREST,
    HungCorner,
    OwnPointsTable,
    Places,
    check_arm,
    check_wheel,
    spindle_of,
)
from splinewise.car.model import Side
from splinewise.car.points import Point
from splinewise.car.tables import key
from splinewise.core.linkages import Strut, StrutPoints

__all__ = ["STRUT", "StrutCorner", "StrutPointsTable"]


class StrutPointsTable(OwnPointsTable):
    """Hard points at the drawn position: x forward, y to the left, z up."""

    lower_front: Point = key("Front pivot of the lower arm.", [120, 230, 240])
    lower_rear: Point = key("Rear pivot of the lower arm.", [-180, 230, 235])
    lower_ball: Point = key("Ball joint of the lower arm.", [5, 575, 205])
    strut_top: Point = key("Middle of the strut's top mount.", [-45, 500, 790])
    strut_low: Point = key(
        "A point of the strut's axis that is fixed to the upright; the length of the "
        "strut, which `damper` limits, counts from it to the top mount.",
        [-8, 560, 370],
    )
    rod_inner: Point = key("Inner joint of the track rod.", [-110, 245, 262])
    rod_outer: Point = key("Outer joint of the track rod.", [-115, 590, 250])
    wheel_centre: Point = key("Centre of the wheel.", [0, 640, 305])


class StrutCorner(HungCorner):
    """A corner on a sliding strut."""

    layout: Literal["strut"] = key("The layout of the corner.", "strut")
    points: StrutPointsTable = key("Hard points at the drawn position.", {})


def build(corner: StrutCorner, side: Side, blame: Blame) -> Built | None:
    """Return the linkage of such a corner, or None where a fault was found."""
    outboard = 1.0 if side == "left" else -1.0
    worse, below, p = blame.mark(), blame.below("points"), corner.points
    lower = ("lower_front", "lower_rear", "lower_ball")
    check_arm("lower arm", lower, p, outboard, side, below)
    check_wheel(p.wheel_centre, outboard, side, below)
    if math.dist(p.strut_top, p.strut_low) < NEAREST:
        below.say("strut_low", "The two points of the strut's axis are one point.")
    elif p.strut_top[2] <= p.lower_ball[2]:
        below.say("strut_top", "The top mount lies below the ball joint.")
    angles = (corner.drawn_camber, corner.drawn_toe)
    spindle = spindle_of(corner.spindle, angles, outboard, blame)
    if spindle is None or worse():
        return None
    at = Places(p, corner)
    linkage = Strut.build(
        StrutPoints(
            lower_front=at.array("lower_front"),
            lower_rear=at.array("lower_rear"),
            lower_ball=at.array("lower_ball"),
            strut_top=at.array("strut_top"),
            strut_low=at.array("strut_low"),
            rod_inner=at.array("rod_inner"),
            rod_outer=at.array("rod_outer"),
            wheel_centre=at.array("wheel_centre"),
            spindle=np.array(spindle),
            tyre_radius=corner.tyre_radius.value,
        ),
        outboard=outboard,
    )
    body, arm = at.named(
        ("lower_front", "lower_rear", "strut_top"), ("lower_ball",), below
    )
    return None if worse() else Built(linkage, arm["lower_ball"], body, arm)


STRUT = Layout(
    name="strut",
    place="points",
    table=StrutCorner,
    needs=("tyre_radius", "drawn_camber", "drawn_toe", "spindle", "points", "axle_x"),
    start=(
        "drawn_camber",
        "drawn_toe",
        "dimension.fixed_radius",
        "dimension.arm_radius",
        "dimension.drawn_length",
        "dimension.in_bump",
    ),
    build=build,
)
