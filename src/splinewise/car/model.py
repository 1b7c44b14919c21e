"""A car as the program knows it once its file has been read: SI, checked, frozen.

The file's text is turned into these objects by `splinewise.car.file`; the tasks take
nothing else.  A figure keeps where it came from and how sure it is, so that every
face can say so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal

from splinewise.core.adjuster import Adjuster
from splinewise.core.arm import Span
from splinewise.core.bar import Bar
from splinewise.core.corner import Bush
from splinewise.core.linkages import Linkage
from splinewise.core.splines import Splines

if TYPE_CHECKING:
    from splinewise.car.vehicle_model import TyreOf, VehicleOf, Wheel

__all__ = [
    "Bar",
    "Car",
    "CarBar",
    "Corner",
    "Dimension",
    "Figure",
    "Observation",
    "RideHeight",
    "Side",
    "Standing",
    "State",
    "StressLimit",
    "System",
]

Side = Literal["left", "right"]
State = Literal["bare arm", "hanging", "standing"]
Standing = Literal["measured", "published", "assumed", "computed", "wanted"]
System = Literal["inch", "metric"]


@dataclass(frozen=True, slots=True)
class Figure:
    """A number with its doubt and where it came from.

    Attributes
    ----------
    value : float
        The number. [SI]
    doubt : float or None
        Half-width that the person typed or the source states; None if neither
        did.  A computed figure's is √3 times its standard doubt, so that it is
        used as a typed one. [SI]
    standing : str
        "measured", "published", "assumed", "computed" or "wanted". [1]
    source : str
        Where it came from, in the person's words; may be empty. [1]
    text : str
        As it was typed; empty for a computed one. [1]
    step : float
        Smallest step that the text shows; 0 for a computed one. [SI]
    """

    value: float
    doubt: float | None = None
    standing: Standing = "measured"
    source: str = ""
    text: str = ""
    step: float = 0.0


@dataclass(frozen=True, slots=True)
class StressLimit:
    """The shear stress that the bar shall not pass.

    Attributes
    ----------
    value : Figure
        The limit; `standing` "assumed" if it is the program's cautious default. [Pa]
    preset : bool or None
        Whether the bar is preset (scragged); None if not known. [1]
    """

    value: Figure
    preset: bool | None


@dataclass(frozen=True, slots=True, eq=False)
class CarBar:
    """The torsion bar of one corner.

    Attributes
    ----------
    bar : Bar
        Sections, lengths and shear modulus. [m, Pa]
    rate : Figure
        Torsional rate: measured if the file gives one, else computed from the
        sections, with the doubt of modulus and diameter. [N·m/rad]
    steel : str
        The steel's name in the file. [1]
    limit : StressLimit
        What the surface stress shall not pass. [Pa]
    words : str
        The bar in words for a table, as "22.5 mm round, 1000 mm active". [1]
    """

    bar: Bar
    rate: Figure
    steel: str
    limit: StressLimit
    words: str


@dataclass(frozen=True, slots=True, eq=False)
class Dimension:
    """A length between a fixed point and a point of the arm that holds the bar.

    Attributes
    ----------
    name : str
        As the file calls it, for example "setting length". [1]
    fixed, moving : str
        The two points in words. [1]
    span : Span
        The length as the arm turns. [m]
    bolts : tuple of Figure
        Diameters of the bolts or pins that the gauge's two holes go on, fixed end
        first; empty if the file does not give them. [m]
    """

    name: str
    fixed: str
    moving: str
    span: Span
    bolts: tuple[Figure, ...] = ()


@dataclass(frozen=True, slots=True)
class Observation:
    """One value that tells something of a corner's setting.

    Attributes
    ----------
    of : str
        A dimension's name, or "ride height", "arm slope" or "gap". [1]
    figure : Figure
        What was published or read: a length, or an angle for "arm slope". [m or rad]
    state : str
        "bare arm" (bar slack), "hanging" or "standing". [1]
    name : str
        What the person calls it; the name of `of` if the file gives none. [1]
    instrument : str
        What it was read with; empty if not said. [1]
    for_this_car : bool or None
        For a published one, whether it is known to be for this very car. [1]
    of_gap : str
        For a "gap": the dimension whose gauge does not reach, else empty. [1]
    gauge : Figure or None
        For a "gap": the centre distance of the gauge that is held on the fixed
        bolt. [m]
    opens : str
        For a "gap": "low" if the arm hangs below the gauge, "high" if it stands
        above it, else empty. [1]
    taken, by : str
        When it was read and by whom; empty if not said. [1]
    line : int
        Line of the file. [1]
    """

    of: str
    figure: Figure
    state: State
    name: str
    instrument: str = ""
    for_this_car: bool | None = None
    of_gap: str = ""
    gauge: Figure | None = None
    opens: Literal["", "low", "high"] = ""
    taken: str = ""
    by: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class RideHeight:
    """Where the ride height is measured and what it is at the drawn position.

    Attributes
    ----------
    where : str
        The two places, for example "hub centre to wing edge". [1]
    drawn : Figure
        Its value at the drawn position; it falls as the wheel rises. [m]
    wanted : Figure or None
        What the person wants. [m]
    tolerance : Figure or None
        How far off it may be. [m]
    """

    where: str
    drawn: Figure
    wanted: Figure | None = None
    tolerance: Figure | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Corner:
    """One corner of the car.

    Attributes
    ----------
    name : str
        As the file calls it, for example "front-left". [1]
    side : str
        "left" or "right", as seated facing forward. [1]
    layout : str
        The linkage's name in the file, for example "double wishbone". [1]
    linkage : Linkage
        The linkage, ready to be posed. [m]
    drawn_slope : float
        Angle above level of the arm that holds the bar at the drawn position,
        from its axis to its outer end. [rad]
    arm_radius : float
        From the bar's axis to that outer end. [m]
    bar_along : tuple of float
        Direction of the bar's axis; a right-handed turn about it is bump. [1]
    bar : CarBar
        The torsion bar. [m]
    splines : Splines
        Teeth at the two ends. [1]
    adjuster : Adjuster or None
        The adjustable reaction bracket; None if there is none. [rad]
    adjuster_at : float
        Where it stands now, from the middle of its range: turns of a screw, metres
        along a slot, holes of a row. [unit]
    load : Figure
        Sprung load on the wheel, as a force. [N]
    ride_height : RideHeight or None
        Where the height is measured. [m]
    bush : Bush
        Bush rate, zero where the file gives none. [N·m/rad]
    bush_known : bool
        Whether the file said anything of the bushes. [1]
    low, high : float
        Arm angles at the rebound stop and the bump stop; where the file gives no
        stop, where the linkage locks. [rad]
    stops_known : tuple of bool
        Whether the file gave the rebound stop and the bump stop. [1]
    dimensions : mapping of str to Dimension
        By name, in the file's order. [m]
    published, readings : tuple of Observation
        What print says and what the person read. [m]
    counted : bool
        Whether the person counted the teeth of this very bar. [1]
    damper_open, damper_closed : Figure or None
        Longest and shortest length of the damper. [m]
    tyre : TyreOf or None
        The tyre, as far as the file says. [m]
    unsprung : Figure or None
        Weight that the scales see and the bar does not. [N]
    tyre_radius : Figure or None
        Loaded radius as drawn; None where the layout knows no wheel centre. [m]
    placed : bool
        Whether it is known where in the vehicle the wheel stands. [1]
    floor : float
        Height of the floor under the tyre. [m]
    friction : float
        Dry friction at the wheel, half of the band. [N]
    """

    name: str
    side: Side
    layout: str
    linkage: Linkage
    drawn_slope: float
    arm_radius: float
    bar_along: tuple[float, float, float]
    bar: CarBar
    splines: Splines
    adjuster: Adjuster | None
    adjuster_at: float
    load: Figure
    ride_height: RideHeight | None
    bush: Bush
    bush_known: bool
    low: float
    high: float
    stops_known: tuple[bool, bool]
    dimensions: Mapping[str, Dimension] = field(
        default_factory=lambda: MappingProxyType({})
    )
    published: tuple[Observation, ...] = ()
    readings: tuple[Observation, ...] = ()
    counted: bool = False
    damper_open: Figure | None = None
    damper_closed: Figure | None = None
    tyre: TyreOf | None = None
    unsprung: Figure | None = None
    tyre_radius: Figure | None = None
    placed: bool = False
    floor: float = 0.0
    friction: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Car:
    """A car, whole.

    Attributes
    ----------
    name : str
        What the person calls it. [1]
    system : str
        "inch" or "metric": what results are shown in first. [1]
    invented : bool
        True for demo data. [1]
    story : str
        Free words about the car. [1]
    corners : mapping of str to Corner
        By name, in the file's order. [1]
    file : str
        Where it was read from, as the user named it. [1]
    text : str
        The file word for word. [1]
    vehicle : VehicleOf or None
        What the file says of the whole vehicle. [kg]
    wheels : mapping of str to Wheel
        Wheels on other springs than torsion bars, by name. [N]
    """

    name: str
    system: System
    invented: bool
    story: str
    corners: Mapping[str, Corner]
    file: str = ""
    text: str = ""
    vehicle: VehicleOf | None = None
    wheels: Mapping[str, Wheel] = field(default_factory=lambda: MappingProxyType({}))

    def opposite(self, corner: Corner) -> Corner | None:
        """Return the corner at the other end of the same axle, if there is one."""
        this, that = corner.side, "right" if corner.side == "left" else "left"
        return self.corners.get(corner.name.removesuffix(this) + that)
