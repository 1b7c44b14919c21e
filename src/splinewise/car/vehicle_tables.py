"""What the tables of the whole vehicle may say: body, loads, other wheels, tyres."""

from __future__ import annotations

from typing import Literal

from splinewise.car.keys import (
    Length,
    LinearRate,
    Load,
    Name,
    Offset,
    Ratio,
    ScaleLoad,
    Tolerance,
    Wanted,
)
from splinewise.car.points import Point
from splinewise.car.tables import Table, key

__all__ = [
    "LoadRow",
    "PointRow",
    "RateRow",
    "RollBarRow",
    "TyreTable",
    "VehicleTable",
    "WheelTable",
]

_UNIT = "Unit of the bare numbers in this table."


class TyreTable(Table):
    """A tyre, as it carries the car."""

    rate: LinearRate | None = key(
        "Vertical rate of the tyre at its pressure.", "180 N/mm", None
    )
    unloaded_radius: Length | None = key(
        "From the wheel's centre to the tread, wheel off the ground; this or `size`.",
        "318 mm",
        None,
    )
    size: Name | None = key(
        "Size designation as on the sidewall; a new tyre's radius is worked out from "
        "it.",
        "165R15",
        None,
    )


class LoadRow(Table):
    """A person, fuel, luggage: what was not aboard when the wheels were weighed."""

    unit: Literal["mm", "in"] = key(_UNIT, "mm")
    name: Name = key("What it is.", "driver")
    mass: Load = key("How heavy it is.", "75 kg")
    at: Point = key("Where its centre of gravity is.", [-1300, 350, 550])


class PointRow(Table):
    """A point of the body whose height above the floor is told."""

    unit: Literal["mm", "in"] = key(_UNIT, "mm")
    name: Name = key("What you call it.", "left sill, front")
    at: Point = key("Where it is at the drawn position.", [-600, 700, 300])
    wanted: Wanted | None = key("Height that you want.", "300 mm", None)
    tolerance: Tolerance | None = key("How far off it may be.", "6 mm", None)


class RollBarRow(Table):
    """An anti-roll bar."""

    axle: Name = key(
        "The axle whose two wheels it joins: their name without the side.", "front"
    )
    rate: LinearRate = key(
        "Force at the bar's ends per difference of their travel.", "18 N/mm"
    )
    ratio: Ratio = key("Travel of the bar's end over rise of the wheel.", 0.6, 1.0)


class VehicleTable(Table):
    """The vehicle as a whole, to let it stand on its wheels."""

    centre_height: Length | None = key(
        "Height of the sprung body's centre of gravity, from where z is counted.",
        "520 mm",
        None,
    )
    sprung_mass: Load | None = key(
        "Weight of the sprung body, with `centre_x` and `centre_y`; left out, all "
        "three come from the loads on the wheels.",
        "860 kg",
        None,
    )
    centre_x: Offset | None = key(
        "How far the centre of gravity of the sprung body lies ahead, with "
        "`sprung_mass`.",
        "-1200 mm",
        None,
    )
    centre_y: Offset | None = key(
        "How far it lies to the left, with `sprung_mass`.", "0 mm", None
    )
    level: Tolerance | None = key(
        "How far the two sides of an axle may differ in height for the car to count "
        "as level.",
        "6 mm",
        None,
    )
    load: list[LoadRow] = key("What else is aboard.", [], [])
    point: list[PointRow] = key("Points whose heights are told.", [], [])
    roll_bar: list[RollBarRow] = key("Anti-roll bars.", [], [])


class RateRow(Table):
    """One row of a rate that grows along the travel."""

    travel: Offset = key("Rise of the wheel from the drawn position.", "20 mm")
    rate: LinearRate = key("Rate at the wheel there.", "24 N/mm")


class WheelTable(Table):
    """A wheel on another spring than a torsion bar."""

    axle_x: Offset = key(
        "How far the wheel stands ahead of the vehicle's axes; below zero behind.",
        "-94 in",
    )
    half_track: Length = key(
        "From the car's middle to where the tyre meets the ground.", "24 in"
    )
    sprung_load: Load | None = key(
        "Weight that the spring carries at this wheel as drawn; this, or "
        "`scale_load` and `unsprung`.",
        "480 lb",
        None,
    )
    scale_load: ScaleLoad | None = key(
        "What scales show under this wheel.", "280 kg ± 2", None
    )
    unsprung: Load | None = key(
        "Weight of wheel, hub and half of axle and spring, which the scales see and "
        "the spring does not.",
        "45 kg ± 5",
        None,
    )
    wheel_rate: LinearRate | None = key(
        "Rate of the spring at the wheel, as of a leaf spring over the axle; this, "
        "`spring_rate` or rows of `rate`.",
        "22 N/mm",
        None,
    )
    spring_rate: LinearRate | None = key(
        "Rate of a coil, on the damper or by itself; with `ratio`.", "30 N/mm", None
    )
    ratio: Ratio | None = key(
        "Shortening of that coil over rise of the wheel.", 0.85, None
    )
    rate: list[RateRow] = key("A rate that grows along the travel.", [], [])
    tyre: TyreTable | None = key("The tyre.", {}, None)
    floor: Offset | None = key(
        "Height of the floor under this tyre, where it is not level.", "0 mm", None
    )
    friction: Load | None = key(
        "Dry friction of the suspension at this wheel, either way.", "150 N", None
    )
