"""A single link with a strut rod: its rows in the file and the linkage of them."""

from __future__ import annotations

from typing import Literal

import numpy as np

from splinewise.car.blame import Blame
from splinewise.car.layouts.base import Built, Layout
from splinewise.car.layouts.common import (
    HungCorner,
    OwnPointsTable,
    Places,
    bar_direction,
    check_arm,
    check_bar,
    check_damper,
    check_wheel,
    spindle_of,
)
from splinewise.car.model import Side
from splinewise.car.points import Point
from splinewise.car.tables import key
from splinewise.core.linkages import StrutRodLink, StrutRodPoints

__all__ = ["STRUT_ROD_LINK", "StrutRodCorner", "StrutRodPointsTable"]


class StrutRodPointsTable(OwnPointsTable):
    """Hard points at the drawn position: x forward, y to the left, z up."""

    link_inner: Point = key("Middle of the link's inner bush.", [0, 230, 240])
    strut_rod_body: Point = key(
        "Middle of the strut rod's bush on the body.", [420, 300, 265]
    )
    lower_ball: Point = key("Ball joint at the link's outer end.", [5, 575, 205])
    bar_arm_end: Point = key(
        "A point of the bar's axis, toward its arm end.", [0, 230, 240]
    )
    bar_anchor_end: Point = key(
        "A point of the bar's axis, toward its anchor end.", [-1000, 225, 250]
    )
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
        "Bolt of the damper on the link.", [10, 480, 215], None
    )


class StrutRodCorner(HungCorner):
    """A corner on a link that a strut rod holds fore and aft."""

    layout: Literal["strut rod link"] = key(
        "The layout of the corner.", "strut rod link"
    )
    points: StrutRodPointsTable = key("Hard points at the drawn position.", {})


def build(corner: StrutRodCorner, side: Side, blame: Blame) -> Built | None:
    """Return the linkage of such a corner, or None where a fault was found."""
    outboard = 1.0 if side == "left" else -1.0
    worse, below, p = blame.mark(), blame.below("points"), corner.points
    link = ("strut_rod_body", "link_inner", "lower_ball")
    check_arm("link", link, p, outboard, side, below)
    upper = ("upper_front", "upper_rear", "upper_ball")
    check_arm("upper arm", upper, p, outboard, side, below)
    check_wheel(p.wheel_centre, outboard, side, below)
    check_bar(p, below)
    check_damper(p, below)
    angles = (corner.drawn_camber, corner.drawn_toe)
    spindle = spindle_of(corner.spindle, angles, outboard, blame)
    if spindle is None or worse():
        return None
    at = Places(p, corner)
    given = StrutRodPoints(
        link_inner=at.array("link_inner"),
        strut_rod_body=at.array("strut_rod_body"),
        lower_ball=at.array("lower_ball"),
        bar_arm_end=at.array("bar_arm_end"),
        bar_anchor_end=at.array("bar_anchor_end"),
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
    )
    linkage = StrutRodLink.build(given, outboard=outboard)
    body, arm = at.named(
        ("link_inner", "strut_rod_body", "upper_front", "upper_rear", "damper_body"),
        ("lower_ball", "damper_arm"),
        below,
    )
    if worse():
        return None
    ends = given.bar_arm_end, given.bar_anchor_end
    same = float(np.dot(linkage.arm.axis.array, ends[0] - ends[1]))
    return Built(
        linkage, arm["lower_ball"], body, arm, bar_along=bar_direction(*ends, same)
    )


STRUT_ROD_LINK = Layout(
    name="strut rod link",
    place="points",
    table=StrutRodCorner,
    needs=("tyre_radius", "drawn_camber", "drawn_toe", "spindle", "points", "axle_x"),
    start=("drawn_camber", "drawn_toe", "points.damper_body", "points.damper_arm"),
    build=build,
)
