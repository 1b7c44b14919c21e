"""What the layouts with hard points have in common: the wheel, and named points."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Literal

import numpy as np

from splinewise.car.blame import Blame
from splinewise.car.keys import Angle, Length, PointName
from splinewise.car.layouts.base import CornerTable
from splinewise.car.model import Side
from splinewise.car.points import Direction, Point, Triple
from splinewise.car.tables import Table, key
from splinewise.core.geometry import Vec
from splinewise.core.quantities import Array

__all__ = [
    "NEAREST",
    "HungCorner",
    "OwnPointsTable",
    "Places",
    "bar_direction",
    "check_arm",
    "check_bar",
    "check_damper",
    "check_wheel",
    "off_line",
    "spindle_of",
]

NEAREST = 1e-3
"""Points nearer than this are one point to the tape. [m]"""

_STEEPEST = math.radians(30.0)


class OwnPointsTable(Table):
    """Hard points at the drawn position: x forward, y to the left, z up."""

    # First, for the points below are read in it.
    unit: Literal["mm", "in"] = key("Unit of the bare numbers in this table.", "mm")
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


class HungCorner(CornerTable):
    """A corner whose wheel is known by hard points."""

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


class Places:
    """The hard points of a corner, moved along the car to where its axle is.

    Attributes
    ----------
    table : Table
        The points as the file has them. [m]
    ahead : float
        By how much their axes lie ahead of the vehicle's. [m]
    """

    def __init__(self, table: Table, corner: CornerTable) -> None:
        self.table = table
        self.ahead = 0.0 if corner.axle_x is None else corner.axle_x.value

    def array(self, name: str) -> Array:
        """Return a point as the core takes it. [m]"""
        found = self.maybe(name)
        if found is None:
            raise KeyError(name)
        return found

    def maybe(self, name: str) -> Array | None:
        """Return a point that the file need not have. [m]"""
        point = getattr(self.table, name)
        return None if point is None else self._moved(point)

    def _moved(self, point: Triple) -> Array:
        return np.asarray(np.array(point) + np.array([self.ahead, 0.0, 0.0]))

    def named(
        self, body: Iterable[str], arm: Iterable[str], blame: Blame
    ) -> tuple[dict[str, Vec], dict[str, Vec]]:
        """Return the points of the body and those of the bar's arm, by name. [m]"""
        found: list[dict[str, Vec]] = []
        taken = set(type(self.table).model_fields)
        for kind, names in (("body", body), ("arm", arm)):
            points = {name: self.maybe(name) for name in names}
            own: Mapping[str, Triple] = getattr(self.table, kind)
            for name, point in own.items():
                if name in taken:
                    blame.below(kind).say(
                        name,
                        "There is a point of this name already. Choose another name.",
                    )
                taken.add(name)
                points[name] = self._moved(point)
            found.append(
                {
                    name: Vec(*(np.asarray(x) for x in point))
                    for name, point in points.items()
                    if point is not None
                }
            )
        return found[0], found[1]


def off_line(point: Triple, one: Triple, other: Triple) -> float:
    """Return how far a point lies off the line through two others. [m]"""
    along = np.subtract(other, one)
    across = np.cross(along, np.subtract(point, one))
    length = float(np.linalg.norm(along))
    return float(np.linalg.norm(across)) / length if length else 0.0


def check_arm(
    arm: str,
    ends: tuple[str, str, str],
    table: Table,
    outboard: float,
    side: Side,
    blame: Blame,
) -> None:
    """Find what no arm across the car can be: pivots in one, no length, turned in."""
    front, rear, ball = (getattr(table, name) for name in ends)
    if math.dist(front, rear) < NEAREST:
        blame.say(
            ends[1],
            f"The two pivots of the {arm} are one point. Give two points of its axis "
            "that lie apart.",
        )
    elif off_line(ball, front, rear) < NEAREST:
        blame.say(
            ends[2],
            f"The outer end of the {arm} lies on the axis of its pivots; it has no "
            "length.",
        )
    elif (ball[1] - (front[1] + rear[1]) / 2.0) * outboard <= 0.0:
        blame.say(
            ends[2],
            f"The outer end of the {arm} lies inboard of its pivots. On the left y "
            f"grows outward, on the right it falls; this is the {side} side.",
        )


def check_wheel(centre: Triple, outboard: float, side: Side, blame: Blame) -> None:
    """Find a wheel on the other side of the car."""
    if centre[1] * outboard <= 0.0:
        right = "above" if outboard > 0.0 else "below"
        blame.say(
            "wheel_centre",
            f"On the {side} side y of the wheel is {right} zero; y is positive to the "
            "left of the car's middle.",
        )


def check_bar(table: Table, blame: Blame) -> None:
    """Find a bar's axis that is given by one point, or by half."""
    ends = [getattr(table, name) for name in ("bar_arm_end", "bar_anchor_end")]
    if (ends[0] is None) != (ends[1] is None):
        blame.say(
            "bar_arm_end" if ends[0] is None else "bar_anchor_end",
            "This is missing. The bar's axis needs two points, or none where it is "
            "the arm's own.",
        )
    elif ends[0] is not None and math.dist(*ends) < NEAREST:
        blame.say(
            "bar_anchor_end",
            "The two points of the bar's axis are one point. Give two that lie apart.",
        )


def check_damper(table: Table, blame: Blame) -> None:
    """Find a damper with one bolt only."""
    ends = {name: getattr(table, name) for name in ("damper_body", "damper_arm")}
    missing = [name for name, point in ends.items() if point is None]
    if len(missing) == 1:
        blame.say(
            missing[0],
            "This is missing. A damper needs its bolts on the body and the arm.",
        )


def bar_direction(
    arm_end: Array, anchor_end: Array, forward: float
) -> tuple[float, float, float]:
    """Return the bar's axis, pointing so that a right-handed turn is bump.

    Parameters
    ----------
    arm_end, anchor_end : ndarray, shape (3,)
        Points of the bar's axis. [m]
    forward : float
        Of either sign: whether bump turns it right-handed from anchor to arm end. [1]

    Returns
    -------
    tuple of float
        Unit vector. [1]
    """
    along = (arm_end - anchor_end) / np.linalg.norm(arm_end - anchor_end)
    x, y, z = along * (-1.0 if forward < 0.0 else 1.0)
    return float(x), float(y), float(z)


def spindle_of(
    spindle: Triple | None,
    camber_and_toe: tuple[Angle | None, Angle | None],
    outboard: float,
    blame: Blame,
) -> Triple | None:
    """Return the direction of the wheel's axis, or None where a fault was found."""
    if (spindle is None) != all(camber_and_toe) or (
        spindle is not None and any(camber_and_toe)
    ):
        blame.say(
            "drawn_camber" if camber_and_toe[0] else None,
            "Give the wheel's direction at the drawn position once: drawn_camber and "
            "drawn_toe, or spindle.",
        )
        return None
    if spindle is not None:
        length = math.hypot(*spindle)
        if abs(spindle[1]) < length * math.cos(_STEEPEST) or not length:
            blame.say(
                "spindle",
                "The spindle must point along the wheel's axis, across the car: y is "
                "by far the largest of its three numbers.",
            )
            return None
        return spindle
    camber, toe = (0.0 if angle is None else angle.value for angle in camber_and_toe)
    for name, angle in (("drawn_camber", camber), ("drawn_toe", toe)):
        if abs(angle) > _STEEPEST:
            blame.say(name, "No wheel stands so; it must be within 30°.")
            return None
    return (
        math.cos(camber) * math.sin(toe),
        math.cos(camber) * math.cos(toe) * outboard,
        -math.sin(camber),
    )
