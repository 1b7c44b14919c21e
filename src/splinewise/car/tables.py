"""What the tables of one corner may say, whatever its layout.

Each key's words serve the published schema, the reference page, a new file's comments
and the message where the key is missing.
"""

from __future__ import annotations

from typing import Annotated, Literal

from splinewise.car.declare import Table, Tagged, key
from splinewise.car.keys import (
    Angle,
    AngleOrLength,
    AngularRate,
    Bump,
    Count,
    Length,
    Measured,
    MeasuredRate,
    Modulus,
    Name,
    Offset,
    Published,
    Reading,
    Size,
    Stress,
    Teeth,
    Tolerance,
    Travel,
    Turns,
    Wanted,
    When,
    YesNo,
)
from splinewise.car.model import State

__all__ = [
    "AdjusterTable",
    "BarTable",
    "BushTable",
    "DimensionRow",
    "HoleRowTable",
    "NoAdjusterTable",
    "PieceTable",
    "PublishedRow",
    "ReadingRow",
    "RideHeightTable",
    "ScrewTable",
    "SegmentRow",
    "Shape",
    "SlotTable",
    "SplinesTable",
    "StopsTable",
    "Table",
    "key",
]

Shape = Literal["round", "tube", "square", "hexagon", "leaf pack"]


class PieceTable(Table):
    """Sizes of a section; which of them are wanted depends on its shape."""

    shape: str | None  # the tables below say which; it stands first in each
    diameter: Size | None = key(
        "Outside diameter of a round bar or a tube; of the body, for a taper or a "
        "fillet.",
        "22.5 mm",
        None,
    )
    bore: Size | None = key("Inside diameter of a tube.", "12 mm", None)
    side: Size | None = key("Side of a square bar.", "20 mm", None)
    across_flats: Size | None = key(
        "Distance between opposite sides of a hexagon bar.", "22 mm", None
    )
    width: Size | None = key("Width of one leaf of a pack.", "40 mm", None)
    thickness: Size | None = key("Thickness of one leaf of a pack.", "4 mm", None)
    leaves: Count | None = key("How many leaves a pack has.", 8, None)


class SegmentRow(PieceTable):
    """One piece of a bar that is not the same all along."""

    shape: Shape | Literal["taper", "fillet"] = key(
        "What the piece is: a plain length of some section, a taper from the body to "
        "another diameter, or the fillet that leads to a head.",
        "round",
    )
    length: Length | None = key(
        "Length of the piece along the bar; a fillet's follows from its radius.",
        "940 mm",
        None,
    )
    far_diameter: Size | None = key(
        "Diameter at the far end of a taper.", "30 mm", None
    )
    head_diameter: Size | None = key(
        "Diameter of the head that a fillet leads to.", "32 mm", None
    )
    radius: Length | None = key("Radius of a fillet's arc.", "20 mm", None)


class BarTable(PieceTable):
    """The torsion bar: one section all along, or segments end to end."""

    shape: Shape | None = key(
        "Section of a bar that is the same all along; round if only a diameter is "
        "given.",
        "round",
        None,
    )
    active_length: Length | None = key(
        "Length that twists, between the heads; splines that are gripped do not count.",
        "1000 mm",
        None,
    )
    segment: list[SegmentRow] | None = key(
        "The pieces of a bar that is not the same all along, in any order.", [], None
    )
    steel: Name | None = key(
        "Plain name of the steel, from which the shear modulus and its doubt are "
        "taken; this or `shear_modulus`.",
        "unknown spring steel",
        None,
    )
    shear_modulus: Modulus | None = key(
        "Shear modulus of the steel, if you know it; this or `steel`.", "78.5 GPa", None
    )
    preset: YesNo = key(
        "Whether the bar was preset (scragged) by its maker, which allows more stress "
        "in one direction of twist.",
        "unknown",
    )
    stress_limit: Stress | None = key(
        "Shear stress at the surface that the bar shall not pass; a cautious figure "
        "with its source is taken if you give none.",
        "700 MPa",
        None,
    )
    measured_rate: MeasuredRate | None = key(
        "Rate that you measured on this very bar; it goes before the computed one.",
        "34.5 N·m/deg ± 0.5",
        None,
    )


class SplinesTable(Table):
    """Teeth at the two ends; which end has which count cannot be guessed."""

    arm_teeth: Teeth = key(
        "Teeth at the end that goes into the arm; 1 for an end that goes together one "
        "way only, 6 for a hexagon.",
        24,
    )
    anchor_teeth: Teeth = key(
        "Teeth at the end that goes into the anchor, counted likewise.", 25
    )
    counted: bool = key(
        "Whether you counted the teeth of this very bar yourself.", True, False
    )


class NoAdjusterTable(Table):
    """A car without an adjuster."""

    kind: Literal["none"] = key("There is no adjuster.", "none")


class ScrewTable(Table):
    """A screw that bears on a lever of the anchor."""

    kind: Literal["screw on a lever"] = key(
        "A screw that bears on a lever of the anchor.", "screw on a lever"
    )
    lever_radius: Length = key(
        "From the bar's axis to where the screw bears on the lever.", "60 mm"
    )
    pitch: Size = key("Travel of the screw in one turn.", "1.5 mm")
    turns: Turns = key(
        "Turns of the screw from one end of its range to the other.", "20 turns"
    )
    screw_angle: Angle = key(
        "Angle between the screw and the lever in the middle of the range.", "90 deg"
    )
    screw_length: Length | None = key(
        "From joint to joint of the screw in the middle of the range; leave it out for "
        "a screw that keeps its direction.",
        "80 mm",
        None,
    )
    longer: Literal["bump", "droop"] = key(
        "Which way the arm goes, with the bar slack, as the screw grows longer between "
        "lever and body.",
        "droop",
    )
    now: Turns = key(
        "Turns from the middle of the range at which it stands, positive as it grows "
        "longer.",
        "-2 1/2 turns",
    )


class SlotTable(Table):
    """A bolt of the anchor in a curved slot about the bar's axis."""

    kind: Literal["slotted bracket"] = key(
        "A bolt of the anchor in a slot.", "slotted bracket"
    )
    radius: Length = key("From the bar's axis to the middle of the bolt.", "2 3/4 in")
    slot_length: Length = key(
        "Straight from the bolt's centre at one end of the slot to that at the other: "
        "the slot's length less the bolt's diameter.",
        "3/4 in",
    )
    now: Offset = key(
        "How far the bolt stands from the middle of the slot, positive toward the end "
        "that takes the arm, with the bar slack, to bump.",
        "-1/8 in",
    )


class HoleRowTable(Table):
    """A bolt of the anchor in one of a row of holes."""

    kind: Literal["row of holes"] = key(
        "A bolt of the anchor in one of a row of holes.", "row of holes"
    )
    radius: Length = key("From the bar's axis to the middle of each hole.", "70 mm")
    pitch: Length = key("Straight from the middle of one hole to the next.", "14 mm")
    holes: Count = key("How many holes the row has.", 5)
    hole: Count = key(
        "In which hole the bolt is, counted from 1 at the end that takes the arm, with "
        "the bar slack, to droop.",
        3,
    )


AdjusterTable = Annotated[
    NoAdjusterTable | ScrewTable | SlotTable | HoleRowTable,
    Tagged("kind"),
]


class StopsTable(Table):
    """Where the travel ends, from the drawn position."""

    rebound: Travel | None = key(
        "How far the wheel can fall from the drawn position, or the arm turn down.",
        "70 mm",
        None,
    )
    bump: Travel | None = key(
        "How far the wheel can rise from the drawn position, or the arm turn up.",
        "65 mm",
        None,
    )


class BushTable(Table):
    """Rubber bushes that twist with the arm; no figure is built in for them."""

    rate: AngularRate = key("Torque that twists all bushes of the arm.", "2.5 N·m/deg")
    tightened_at: AngleOrLength = key(
        "Where the arm was when the bushes were clamped, from the drawn position: an "
        "arm angle or a wheel travel, positive in bump.",
        "0 deg",
    )


class RideHeightTable(Table):
    """Where the ride height is measured; it falls as the wheel rises."""

    where: Name = key(
        "The two places between which it is measured, upright.",
        "hub centre to wing edge",
    )
    drawn: Length = key("What it is at the drawn position.", "385 mm")
    wanted: Wanted | None = key("What you want it to be.", "380 mm", None)
    tolerance: Tolerance | None = key("How far off it may be.", "5 mm", None)


class DimensionRow(Table):
    """A length between a fixed point and a point of the arm that holds the bar."""

    name: Name = key("What you call it.", "setting length")
    fixed: Name = key(
        "The fixed point: the name of a point of the body, or words where the three "
        "lengths of the triangle are given.",
        "damper_body",
        alias="from",
    )
    moving: Name = key(
        "The point that rides with the arm: the name of a point of that arm, or words.",
        "damper_arm",
        alias="to",
    )
    fixed_radius: Length | None = key(
        "From the bar's axis to the fixed point, square to the axis.", "310 mm", None
    )
    arm_radius: Length | None = key(
        "From the bar's axis to the arm's point, square to the axis.", "250 mm", None
    )
    drawn_length: Length | None = key(
        "From the one point to the other at the drawn position, square to the axis.",
        "394 mm",
        None,
    )
    in_bump: Bump | None = key(
        "What bump of the arm does to the length; wanted with the three lengths.",
        "shortens",
        None,
    )
    bolts: list[Size] | None = key(
        "Diameters of the two bolts or pins that a gauge goes on, the fixed one first.",
        ["12 mm", "12 mm"],
        None,
        min_length=2,
        max_length=2,
    )


class _Row(Table):
    of: Name = key(
        'What it is of: a dimension\'s name, "ride height" or "arm slope" (the arm\'s '
        'angle above level, from its axis to its outer end); a reading also "gap".',
        "setting length",
    )
    state: State = key(
        'How the car is then: "bare arm" (bar slack, the arm free), "hanging" or '
        '"standing".',
        "bare arm",
    )
    name: Name | None = key(
        "What you call it, if not as `of` says.", "setting length, second try", None
    )


class PublishedRow(_Row):
    """A figure that somebody printed."""

    value: Published = key("What is printed.", "15 5/8 in ± 1/16 in")
    source: Name = key("Who says so, and where.", "workshop manual, section H")
    for_this_car: YesNo = key(
        "Whether it is known to be meant for this very car.", "unknown", "unknown"
    )


class ReadingRow(_Row):
    """What you read on the car, on this side."""

    value: Reading = key("What you read.", "397 mm")
    instrument: Name | None = key("What you read it with.", "tape-2", None)
    taken: When | None = key("When you read it.", "2024-05-18", None)
    by: Name | None = key("Who read it.", "me", None)
    of_gap: Name | None = key(
        "For a gap: the dimension whose gauge does not reach.", "setting length", None
    )
    gauge: Measured | None = key(
        "For a gap: the centre distance of the gauge that is held on the fixed bolt.",
        "397 mm",
        None,
    )
    opens: Literal["low", "high"] | None = key(
        'For a gap: whether the arm hangs below the gauge ("low") or stands above it '
        '("high").',
        "low",
        None,
    )
