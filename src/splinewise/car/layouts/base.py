"""What every layout has in the file, and what its builder hands on."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, ClassVar

from splinewise.car.blame import Blame
from splinewise.car.keys import Length, Load, Offset, ScaleLoad
from splinewise.car.model import Side
from splinewise.car.tables import (
    AdjusterTable,
    BarTable,
    BushTable,
    DimensionRow,
    PublishedRow,
    ReadingRow,
    RideHeightTable,
    SplinesTable,
    StopsTable,
    Table,
    key,
)
from splinewise.car.vehicle_tables import TyreTable
from splinewise.core.geometry import Vec
from splinewise.core.linkages import Linkage

__all__ = ["Built", "CornerTable", "DamperTable", "Layout"]


class DamperTable(Table):
    """The damper, as far as it limits the travel."""

    open: Length | None = key("Length of the damper pulled out.", "400 mm", None)
    closed: Length | None = key("Length of the damper pushed in.", "260 mm", None)


class CornerTable(Table):
    """One corner of the car, whatever its layout."""

    also: ClassVar[tuple[str, ...]] = ("mirror",)

    layout: str  # each layout says its own name; it stands first in all
    sprung_load: Load | None = key(
        "Weight that the bar carries at this wheel, as a mass or a force; this, or "
        "`scale_load` and `unsprung`.",
        "592 lb",
        None,
    )
    scale_load: ScaleLoad | None = key(
        "What scales show under this wheel.", "310 kg ± 2", None
    )
    unsprung: Load | None = key(
        "Weight of wheel, hub and half of the arms, which the scales see and the bar "
        "does not.",
        "38 kg ± 4",
        None,
    )
    bar: BarTable = key("The torsion bar.", {})
    splines: SplinesTable = key("Teeth at the two ends of the bar.", {})
    adjuster: AdjusterTable = key(
        "The adjuster at the anchor, or that there is none.", {}
    )
    stops: StopsTable | None = key("Where the travel ends.", {}, None)
    bush: BushTable | None = key("Rubber bushes that twist with the arm.", {}, None)
    ride_height: RideHeightTable | None = key(
        "Where the ride height is measured.", {}, None
    )
    damper: DamperTable | None = key("The damper.", {}, None)
    axle_x: Offset | None = key(
        "How far the axes of this axle's points lie ahead of the vehicle's axes; "
        "below zero behind.",
        "-94 in",
        None,
    )
    tyre: TyreTable | None = key("The tyre, to stand the whole car.", {}, None)
    floor: Offset | None = key(
        "Height of the floor under this tyre, where it is not level.", "0 mm", None
    )
    friction: Load | None = key(
        "Dry friction of the suspension at this wheel, either way.", "80 N", None
    )
    dimension: list[DimensionRow] = key(
        "Lengths that tell the arm's angle: setting length, check dimensions.", [], []
    )
    published: list[PublishedRow] = key("What print says of this corner.", [], [])
    reading: list[ReadingRow] = key("What you read on this corner.", [], [])


@dataclass(frozen=True, slots=True, eq=False)
class Built:
    """A linkage and the points that dimensions may be taken from.

    Attributes
    ----------
    linkage : Linkage
        The linkage. [m]
    outer : Vec
        Outer end of the arm that holds the bar, at the drawn position. [m]
    body, arm : mapping of str to Vec
        Named points of the body and of that arm, at the drawn position. [m]
    bar_along : tuple of float or None
        Direction of the bar's axis, right-handed in bump; None where it is the
        arm's. [1]
    """

    linkage: Linkage
    outer: Vec
    body: Mapping[str, Vec] = field(default_factory=dict)
    arm: Mapping[str, Vec] = field(default_factory=dict)
    bar_along: tuple[float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class Layout:
    """One row of the registry.

    Attributes
    ----------
    name : str
        What the file calls it. [1]
    place : str
        The key of the table that most of the linkage comes from. [1]
    table : type of CornerTable
        What such a corner may say. [1]
    needs : tuple of str
        Keys of it without which there is no linkage. [1]
    start : tuple of str
        What a new file asks for besides what is needed: dotted paths. [1]
    build : callable
        From the table, the side and what gathers faults to the linkage, or to None
        where a fault was found. [1]
    """

    name: str
    place: str
    table: type[CornerTable]
    needs: tuple[str, ...]
    start: tuple[str, ...]
    build: Callable[[Any, Side, Blame], Built | None]
