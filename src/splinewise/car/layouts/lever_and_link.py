"""Wishbones whose bar lies apart and is worked by a drop link and a lever."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from splinewise.car.blame import Blame
from splinewise.car.layouts.base import Built, Layout
from splinewise.car.layouts.common import NEAREST, bar_direction, check_bar, off_line
from splinewise.car.layouts.double_wishbone import (
    DOUBLE_WISHBONE,
    WishboneCorner,
    WishbonePointsTable,
)
from splinewise.car.layouts.double_wishbone import build as build_wishbones
from splinewise.car.model import Side
from splinewise.car.points import Point
from splinewise.car.tables import key
from splinewise.core.geometry import Vec
from splinewise.core.linkages import LeverAndLink, LeverPoints

__all__ = ["LEVER_AND_LINK", "LeverCorner", "LeverPointsTable"]


class LeverPointsTable(WishbonePointsTable):
    """Hard points at the drawn position: x forward, y to the left, z up."""

    bar_arm_end: Point = key(
        "A point of the bar's axis, toward its arm end.", [30, 300, 330]
    )
    bar_anchor_end: Point = key(
        "A point of the bar's axis, toward its anchor end.", [-900, 300, 330]
    )
    lever_end: Point = key("Joint of the drop link on the lever.", [30, 430, 335])
    link_arm: Point = key(
        "Joint of the drop link on the arm that `bar_on` names.", [20, 440, 220]
    )


class LeverCorner(WishboneCorner):
    """A corner on two wishbones, its bar worked by a drop link and a lever."""

    layout: Literal["lever and link"] = key(  # type: ignore[assignment]
        "The layout of the corner.", "lever and link"
    )
    bar_on: Literal["lower", "upper"] = key(
        "The arm that works the bar through its drop link.", "lower"
    )
    points: LeverPointsTable = key("Hard points at the drawn position.", {})


def build(corner: LeverCorner, side: Side, blame: Blame) -> Built | None:
    """Return the linkage of such a corner, or None where a fault was found."""
    worse, below, p = blame.mark(), blame.below("points"), corner.points
    check_bar(p, below)
    if math.dist(p.lever_end, p.link_arm) < NEAREST:
        below.say("link_arm", "The two joints of the drop link are one point.")
    elif off_line(p.lever_end, p.bar_arm_end, p.bar_anchor_end) < NEAREST:
        below.say("lever_end", "The lever's joint lies on the bar's axis.")
    wishbones = build_wishbones(corner, side, blame)
    if wishbones is None or worse():
        return None
    ahead = 0.0 if corner.axle_x is None else corner.axle_x.value
    shift = np.array([ahead, 0.0, 0.0])
    ends = [
        np.array(point) + shift
        for point in (p.bar_arm_end, p.bar_anchor_end, p.lever_end, p.link_arm)
    ]
    linkage = LeverAndLink.build(wishbones.linkage, LeverPoints(*ends))
    held = Vec(*(np.asarray(x) for x in ends[3]))
    # The drop link keeps its length, which tells the lever's sense in bump.
    drop, along = ends[3] - ends[2], ends[0] - ends[1]
    raised = float(np.dot(drop, linkage.arm.path(held).ahead.array))
    turned = float(np.dot(drop, np.cross(along, ends[2] - ends[1])))
    return Built(
        linkage,
        wishbones.outer,
        wishbones.body,
        {**wishbones.arm, "link_arm": held},
        bar_along=bar_direction(ends[0], ends[1], raised * turned),
    )


LEVER_AND_LINK = Layout(
    name="lever and link",
    place="points",
    table=LeverCorner,
    needs=DOUBLE_WISHBONE.needs,
    start=DOUBLE_WISHBONE.start,
    build=build,
)
