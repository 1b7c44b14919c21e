"""A plain arm known by tape: its rows in the file and the linkage made of them."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from splinewise.car.blame import Blame
from splinewise.car.keys import Angle, Bump, Length, Offset, Ratio
from splinewise.car.layouts.base import Built, CornerTable, DamperTable, Layout
from splinewise.car.model import Side
from splinewise.car.tables import Table, key
from splinewise.car.triangle import taped_span
from splinewise.car.words import angle_words, length_words
from splinewise.core.arm import Span
from splinewise.core.geometry import Vec
from splinewise.core.linkages import PlanarArm

__all__ = ["PLANAR_ARM", "ArmTable", "PlanarArmCorner", "TapedDamperTable"]

_STEEPEST = math.radians(80.0)


class ArmTable(Table):
    """The arm that holds the bar, by tape."""

    length: Length = key("From the bar's axis to the wheel end of the arm.", "380 mm")
    drawn_slope: Angle | None = key(
        "Angle of the arm above level at the drawn position, from the bar's axis to "
        "the wheel end; this or `drawn_drop`.",
        "-8.5 deg",
        None,
    )
    drawn_drop: Offset | None = key(
        "How far the wheel end lies below the bar's axis at the drawn position; this "
        "or `drawn_slope`.",
        "56 mm",
        None,
    )
    ratio: Ratio = key(
        "Rise of the wheel over rise of the arm's wheel end; 1 where the wheel hangs "
        "on that end itself.",
        1.0,
    )
    bar_lies: Literal["along", "across"] = key(
        "How the bar lies in the car: along it, or across it as with trailing arms.",
        "along",
    )


class TapedDamperTable(DamperTable):
    """The damper, its bolts known by tape."""

    fixed_radius: Length | None = key(
        "From the bar's axis to the damper's bolt on the body.", "310 mm", None
    )
    arm_radius: Length | None = key(
        "From the bar's axis to the damper's bolt on the arm.", "250 mm", None
    )
    drawn_length: Length | None = key(
        "From bolt to bolt at the drawn position.", "330 mm", None
    )
    in_bump: Bump | None = key(
        "What bump does to the damper's length.", "shortens", None
    )


class PlanarArmCorner(CornerTable):
    """A corner on a plain arm."""

    layout: Literal["planar arm"] = key("The layout of the corner.", "planar arm")
    arm: ArmTable = key("The arm that holds the bar.", {})
    half_track: Length | None = key(
        "From the car's middle to where the tyre meets the ground; only to stand the "
        "whole car.",
        "640 mm",
        None,
    )
    damper: TapedDamperTable | None = key("The damper.", {}, None)


def _slope(arm: ArmTable, blame: Blame) -> float | None:
    if (arm.drawn_slope is None) == (arm.drawn_drop is None):
        blame.say(
            None if arm.drawn_slope is None else "drawn_drop",
            "Give the arm's place at the drawn position once: drawn_slope, an angle, "
            "or drawn_drop, a length.",
        )
        return None
    if arm.drawn_slope is not None:
        slope, name = arm.drawn_slope.value, "drawn_slope"
    else:
        drop = arm.drawn_drop.value if arm.drawn_drop else 0.0
        if abs(drop) >= arm.length.value:
            longest = length_words(arm.length.value, blame.system)
            blame.say(
                "drawn_drop",
                f"The arm is {longest} long; its end cannot lie so far from the axis.",
            )
            return None
        slope, name = -math.asin(drop / arm.length.value), "drawn_drop"
    if abs(slope) > _STEEPEST:
        blame.say(
            name,
            f"The arm stands at {angle_words(slope)} to level, where it cannot carry a "
            "wheel; it must be within 80°.",
        )
        return None
    return slope


def _damper(damper: TapedDamperTable | None, blame: Blame) -> Span | None:
    if damper is None:
        return None
    lengths = (damper.fixed_radius, damper.arm_radius, damper.drawn_length)
    if not any((*lengths, damper.in_bump)):
        return None
    return taped_span(blame, *lengths, damper.in_bump)


def build(corner: PlanarArmCorner, side: Side, blame: Blame) -> Built | None:
    """Return the linkage of such a corner, or None where a fault was found."""
    slope = _slope(corner.arm, blame.below("arm"))
    damper = _damper(corner.damper, blame.below("damper"))
    if slope is None:
        return None
    outboard = 1.0 if side == "left" else -1.0
    length, across = corner.arm.length.value, corner.arm.bar_lies == "across"
    linkage = PlanarArm(
        outboard=outboard,
        arm_length=length,
        drawn_slope=slope,
        ratio=corner.arm.ratio,
        contact=_contact(corner, outboard),
        across=across,
        damper_span=damper,
    )
    return Built(linkage, linkage.contact)  # where such an arm is taken to end


def _contact(corner: PlanarArmCorner, outboard: float) -> Vec:
    """Return where the tyre meets the ground, as far as the file says."""
    x = 0.0 if corner.axle_x is None else corner.axle_x.value
    y = 0.0 if corner.half_track is None else corner.half_track.value * outboard
    return Vec(np.asarray(x), np.asarray(y), np.zeros(()))


PLANAR_ARM = Layout(
    name="planar arm",
    place="arm",
    table=PlanarArmCorner,
    needs=("arm", "damper", "axle_x", "half_track"),
    start=(
        "arm.drawn_slope",
        "dimension.fixed_radius",
        "dimension.arm_radius",
        "dimension.drawn_length",
        "dimension.in_bump",
    ),
    build=build,
)
