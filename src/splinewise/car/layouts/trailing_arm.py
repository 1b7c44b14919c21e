"""A trailing or semi-trailing arm: its rows in the file and the linkage of them."""

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
    bar_direction,
    check_bar,
    check_damper,
    check_wheel,
    off_line,
    spindle_of,
)
from splinewise.car.model import Side
from splinewise.car.points import Point
from splinewise.car.tables import key
from splinewise.core.linkages import TrailingArm, TrailingPoints

__all__ = ["TRAILING_ARM", "TrailingCorner", "TrailingPointsTable"]


class TrailingPointsTable(OwnPointsTable):
    """Hard points at the drawn position: x forward, y to the left, z up."""

    pivot_inner: Point = key("Inner pivot of the arm.", [400, 250, 290])
    pivot_outer: Point = key(
        "Outer pivot of the arm; behind or ahead of the inner one on a semi-trailing "
        "arm.",
        [420, 520, 290],
    )
    wheel_centre: Point = key("Centre of the wheel.", [0, 640, 305])
    bar_arm_end: Point | None = key(
        "A point of the bar's axis, toward its arm end; left out with the next where "
        "the bar lies on the arm's axis.",
        [410, 380, 295],
        None,
    )
    bar_anchor_end: Point | None = key(
        "A point of the bar's axis, toward its anchor end.", [410, -380, 295], None
    )
    damper_body: Point | None = key(
        "Bolt of the damper on the body.", [50, 500, 620], None
    )
    damper_arm: Point | None = key(
        "Bolt of the damper on the arm.", [60, 540, 270], None
    )


class TrailingCorner(HungCorner):
    """A corner on an arm whose pivots lie ahead of the wheel."""

    layout: Literal["trailing arm"] = key("The layout of the corner.", "trailing arm")
    points: TrailingPointsTable = key("Hard points at the drawn position.", {})


def build(corner: TrailingCorner, side: Side, blame: Blame) -> Built | None:
    """Return the linkage of such a corner, or None where a fault was found."""
    outboard = 1.0 if side == "left" else -1.0
    worse, below, p = blame.mark(), blame.below("points"), corner.points
    if math.dist(p.pivot_inner, p.pivot_outer) < NEAREST:
        below.say(
            "pivot_outer",
            "The two pivots of the arm are one point. Give two points of its axis that "
            "lie apart.",
        )
    elif off_line(p.wheel_centre, p.pivot_inner, p.pivot_outer) < NEAREST:
        below.say(
            "wheel_centre",
            "The wheel lies on the axis of the arm, which has no length.",
        )
    check_wheel(p.wheel_centre, outboard, side, below)
    check_bar(p, below)
    check_damper(p, below)
    angles = (corner.drawn_camber, corner.drawn_toe)
    spindle = spindle_of(corner.spindle, angles, outboard, blame)
    if spindle is None or worse():
        return None
    at = Places(p, corner)
    arm_end, anchor_end = at.maybe("bar_arm_end"), at.maybe("bar_anchor_end")
    linkage = TrailingArm.build(
        TrailingPoints(
            pivot_inner=at.array("pivot_inner"),
            pivot_outer=at.array("pivot_outer"),
            wheel_centre=at.array("wheel_centre"),
            spindle=np.array(spindle),
            tyre_radius=corner.tyre_radius.value,
            bar_arm_end=arm_end,
            bar_anchor_end=anchor_end,
            damper_body=at.maybe("damper_body"),
            damper_arm=at.maybe("damper_arm"),
        ),
        outboard=outboard,
    )
    body, arm = at.named(
        ("pivot_inner", "pivot_outer", "damper_body"),
        ("wheel_centre", "damper_arm"),
        below,
    )
    if worse():
        return None
    along = None
    if arm_end is not None and anchor_end is not None:
        same = float(np.dot(linkage.arm.axis.array, arm_end - anchor_end))
        along = bar_direction(arm_end, anchor_end, same)
    return Built(linkage, arm["wheel_centre"], body, arm, bar_along=along)


TRAILING_ARM = Layout(
    name="trailing arm",
    place="points",
    table=TrailingCorner,
    needs=("tyre_radius", "drawn_camber", "drawn_toe", "spindle", "points", "axle_x"),
    start=("drawn_camber", "drawn_toe", "points.damper_body", "points.damper_arm"),
    build=build,
)
