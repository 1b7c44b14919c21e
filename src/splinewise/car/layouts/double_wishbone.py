"""A double wishbone: its rows in the file and the linkage made of them."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from splinewise.car.blame import Blame
from splinewise.car.keys import Angle, Length, PointName
from splinewise.car.layouts.base import Built, CornerTable, DamperTable, Layout
from splinewise.car.layouts.common import NEAREST, Places, off_line, spindle_of
from splinewise.car.model import Side
from splinewise.car.points import Direction, Point
from splinewise.car.tables import Table, key
from splinewise.core.linkages import DoubleWishbone, WishbonePoints

__all__ = [
    "DOUBLE_WISHBONE",
    "WishboneCorner",
    "WishboneDamperTable",
    "WishbonePointsTable",
]

_OF_BODY = ("lower_front", "lower_rear", "upper_front", "upper_rear", "damper_body")


class WishbonePointsTable(Table):
    """Hard points at the drawn position: x forward, y to the left, z up."""

    # First, for the points below are read in it.
    unit: Literal["mm", "in"] = key("Unit of the bare numbers in this table.", "mm")
    lower_front: Point = key("Front pivot of the lower arm.", [120, 230, 240])
    lower_rear: Point = key("Rear pivot of the lower arm.", [-180, 230, 235])
    lower_ball: Point = key("Ball joint of the lower arm.", [5, 575, 205])
    upper_front: Point = key("Front pivot of the upper arm.", [60, 330, 455])
    upper_rear: Point = key("Rear pivot of the upper arm.", [-120, 330, 445])
    upper_ball: Point = key("Ball joint of the upper arm.", [-12, 560, 440])
    rod_inner: Point = key("Inner joint of the track rod.", [-110, 245, 262])
    rod_outer: Point = key("Outer joint of the track rod.", [-115, 590, 250])
    wheel_centre: Point = key("Centre of the wheel.", [0, 640, 305])
    damper_body: Point | None = key(
        "Bolt of the damper on the body.", [20, 290, 560], None
    )
    damper_arm: Point | None = key(
        "Bolt of the damper on the arm that `damper.on` names.", [10, 480, 215], None
    )
    body: dict[PointName, Point] = key(
        "Further points of the body, under names of your own.",
        {"gauge_boss": [200, 300, 520]},
        {},
    )
    arm: dict[PointName, Point] = key(
        "Further points of the arm that holds the bar, under names of your own.",
        {"gauge_eye": [10, 480, 215]},
        {},
    )


class WishboneDamperTable(DamperTable):
    """The damper, its bolts among the hard points."""

    on: Literal["lower", "upper"] | None = key(
        "The arm that carries the damper; wanted with its two points.", "lower", None
    )


class WishboneCorner(CornerTable):
    """A corner on two wishbones."""

    layout: Literal["double wishbone"] = key(
        "The layout of the corner.", "double wishbone"
    )
    bar_on: Literal["lower", "upper"] = key("The arm that holds the bar.", "lower")
    tyre_radius: Length = key(
        "From the wheel's centre to the ground, tyre loaded.", "305 mm"
    )
    drawn_camber: Angle | None = key(
        "Camber at the drawn position, positive top out.", "0.5 deg", None
    )
    drawn_toe: Angle | None = key(
        "Toe of this wheel at the drawn position, positive toe-in.", "0.1 deg", None
    )
    spindle: Direction | None = key(
        "Direction of the wheel's axis at the drawn position, x, y, z of any length, "
        "without unit; this, or `drawn_camber` and `drawn_toe`.",
        [0.0015, 1.0, -0.0087],
        None,
    )
    points: WishbonePointsTable = key("Hard points at the drawn position.", {})
    damper: WishboneDamperTable | None = key("The damper.", {}, None)


def build(corner: WishboneCorner, side: Side, blame: Blame) -> Built | None:
    """Return the linkage of such a corner, or None where a fault was found."""
    outboard = 1.0 if side == "left" else -1.0
    worse = blame.mark()
    _check_points(corner.points, outboard, side, blame.below("points"))
    angles = (corner.drawn_camber, corner.drawn_toe)
    spindle = spindle_of(corner.spindle, angles, outboard, blame)
    damper_on = _damper_on(corner, blame)
    if spindle is None or worse():
        return None
    at = Places(corner.points, corner)
    linkage = DoubleWishbone.build(
        WishbonePoints(
            lower_front=at.array("lower_front"),
            lower_rear=at.array("lower_rear"),
            lower_ball=at.array("lower_ball"),
            upper_front=at.array("upper_front"),
            upper_rear=at.array("upper_rear"),
            upper_ball=at.array("upper_ball"),
            rod_inner=at.array("rod_inner"),
            rod_outer=at.array("rod_outer"),
            wheel_centre=at.array("wheel_centre"),
            spindle=np.array(spindle),
            tyre_radius=corner.tyre_radius.value,
            damper_body=at.maybe("damper_body"),
            damper_arm=at.maybe("damper_arm"),
        ),
        outboard=outboard,
        bar_on=corner.bar_on,
        damper_on=damper_on,
    )
    arm_points = [f"{corner.bar_on}_ball"]
    if damper_on == corner.bar_on:
        arm_points.append("damper_arm")
    body, arm = at.named(_OF_BODY, arm_points, blame.below("points"))
    return None if worse() else Built(linkage, arm[f"{corner.bar_on}_ball"], body, arm)


def _check_points(
    p: WishbonePointsTable, outboard: float, side: Side, blame: Blame
) -> None:
    """Find what no arm can be: coincident pivots, joints in line, a wheel inboard."""
    for arm, front, rear, ball in (
        ("lower", p.lower_front, p.lower_rear, p.lower_ball),
        ("upper", p.upper_front, p.upper_rear, p.upper_ball),
    ):
        if math.dist(front, rear) < NEAREST:
            blame.say(
                f"{arm}_rear",
                f"The two pivots of the {arm} arm are one point. Give two points of "
                "its axis that lie apart.",
            )
        elif off_line(ball, front, rear) < NEAREST:
            blame.say(
                f"{arm}_ball",
                f"The {arm} ball joint lies on the axis of the arm's pivots; the arm "
                "has no length.",
            )
        elif (ball[1] - (front[1] + rear[1]) / 2.0) * outboard <= 0.0:
            blame.say(
                f"{arm}_ball",
                f"The {arm} ball joint lies inboard of the arm's pivots. On the left "
                "y grows outward, on the right it falls; this is the "
                f"{side} side.",
            )
    if p.wheel_centre[1] * outboard <= 0.0:
        right = "above" if outboard > 0.0 else "below"
        blame.say(
            "wheel_centre",
            f"On the {side} side y of the wheel is {right} zero; y is positive to the "
            "left of the car's middle.",
        )
    if math.dist(p.lower_ball, p.upper_ball) < NEAREST:
        blame.say("upper_ball", "The two ball joints are one point.")
    elif off_line(p.rod_outer, p.lower_ball, p.upper_ball) < NEAREST:
        blame.say(
            "rod_outer",
            "The track rod's outer joint lies on the line of the ball joints, where it "
            "cannot steer.",
        )
    elif math.dist(p.rod_inner, p.rod_outer) < NEAREST:
        blame.say("rod_outer", "The two joints of the track rod are one point.")


def _damper_on(corner: WishboneCorner, blame: Blame) -> Literal["lower", "upper"]:
    p, damper = corner.points, corner.damper
    on = None if damper is None else damper.on
    if (p.damper_body is None) != (p.damper_arm is None):
        missing = "damper_body" if p.damper_body is None else "damper_arm"
        blame.below("points").say(
            missing,
            "This is missing. A damper needs its bolts on the body and the arm.",
        )
    elif p.damper_body is not None and on is None:
        blame.below("damper").say(
            "on",
            "This is missing. With the damper's points, say which arm carries it: "
            '"lower" or "upper".',
        )
    elif p.damper_body is None and on is not None:
        blame.below("damper").say(
            "on",
            "The damper has no bolts among the points. Add damper_body and "
            "damper_arm to them, or leave this out.",
        )
    return on or corner.bar_on


DOUBLE_WISHBONE = Layout(
    name="double wishbone",
    place="points",
    table=WishboneCorner,
    needs=(
        "bar_on",
        "tyre_radius",
        "drawn_camber",
        "drawn_toe",
        "spindle",
        "points",
        "damper",
        "axle_x",
    ),
    start=(
        "drawn_camber",
        "drawn_toe",
        "points.damper_body",
        "points.damper_arm",
        "damper.on",
    ),
    build=build,
)
