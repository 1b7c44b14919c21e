"""The vehicle that the core lets stand, made of a car.

The core counts a slack angle as the bar's turn, where `splinewise.tasks` has the
arm's; what is handed over here is the bar's.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from splinewise.car.model import Car, Figure
from splinewise.car.model import Corner as CarCorner
from splinewise.car.vehicle_model import TyreOf, VehicleOf, Wheel
from splinewise.core.arm import Arm
from splinewise.core.corner import Spring
from splinewise.core.geometry import Vec
from splinewise.core.jet import Number, value
from splinewise.core.linkages import Linkage, Pose
from splinewise.core.other_springs import LinearSpring, SpringLaw, WheelSpring
from splinewise.core.quantities import GRAVITY
from splinewise.core.roll_bar import AntiRollBar
from splinewise.core.stops import Stop
from splinewise.core.vehicle import (
    Body,
    Corner,
    Joined,
    Load,
    SpringAt,
    Vehicle,
    centre_of_loads,
)
from splinewise.errors import TaskError

__all__ = ["Riser", "vehicle_of"]

_STOP_DEPTH = 0.02
"""Way over which a stop's rubber builds up its rate: an assumption. [m]"""

_STOP_RATES = 8.0
"""Full rate of a stop in loads on the wheel over that way: an assumption. [1]"""


@dataclass(frozen=True, slots=True, eq=False)
class Riser:
    """A wheel that rises straight; its "arm angle" is a metre of rise per radian.

    Attributes
    ----------
    outboard : float
        +1 on the left of the vehicle, −1 on the right. [1]
    contact : Vec
        Where the tyre meets the ground at the drawn position. [m]
    """

    outboard: float
    contact: Vec

    @property
    def arm(self) -> Arm:
        """A level arm of a metre, which no bar turns. [m]"""
        foot = self.contact - Vec(np.zeros(()), np.asarray(self.outboard), np.zeros(()))
        one, nil = np.asarray(self.outboard), np.zeros(())
        return Arm(foot, Vec(one, nil, nil))

    def pose(self, angle: Number, *, rack: Number = 0.0) -> Pose:
        """Return the pose at a rise; as in `Linkage.pose`. [m]"""
        del rack
        p = self.contact
        return Pose(Vec(p.x + 0.0 * angle, p.y + 0.0 * angle, p.z + angle), angle)

    def bar_turn(self, angle: Number) -> Number:
        """Return the same. [rad]"""
        return angle

    def angle_at(self, twist: Number) -> Number:
        """Return the same. [rad]"""
        return twist


def vehicle_of(car: Car, slack: Mapping[str, float]) -> Vehicle:
    """Return the vehicle that a car file describes.

    Parameters
    ----------
    car : Car
        The car.
    slack : mapping of str to float
        Arm angle with the bar slack, of every torsion-bar corner. [rad]

    Returns
    -------
    Vehicle
        The vehicle; torsion-bar corners first, both in the file's order. [kg]

    Raises
    ------
    TaskError
        If something is missing that a standing vehicle needs, all of it named.
    """
    lacking = _lacking(car)
    if lacking or car.vehicle is None:
        told = "".join(f"\n- {row}" for row in lacking)
        msg = f"The whole car cannot stand yet: the file lacks something.{told}"
        raise TaskError(msg)
    corners = [_corner(c, slack[c.name]) for c in car.corners.values()]
    corners += [_wheel(w) for w in car.wheels.values()]
    names = [corner.name for corner in corners]
    return Vehicle(
        body=_body(car, car.vehicle, corners),
        corners=tuple(corners),
        loads=tuple(
            Load(load.name, load.mass, _vec(load.at)) for load in car.vehicle.loads
        ),
        joined=tuple(
            Joined(
                names.index(f"{bar.axle}-left"),
                names.index(f"{bar.axle}-right"),
                AntiRollBar(bar.rate.value, bar.ratio),
            )
            for bar in car.vehicle.roll_bars
        ),
        gravity=GRAVITY,
    )


def _lacking(car: Car) -> list[str]:
    """Return a sentence for everything that is missing."""
    rows = []
    if car.vehicle is None:
        rows.append("[vehicle]: write this table, with centre_height in it.")
    elif car.vehicle.centre_height is None:
        rows.append(
            "[vehicle] centre_height: the height of the sprung centre of gravity, as "
            '"540 mm".'
        )
    every: list[CarCorner | Wheel] = [*car.corners.values(), *car.wheels.values()]
    if len(every) < 3:
        rows.append(
            "wheels: a car stands on three or more. Write the others as [corner.NAME], "
            "or as [wheel.NAME] where they hang on other springs."
        )
    for each in every:
        place = "corner" if isinstance(each, CarCorner) else "wheel"
        at = f"[{place}.{each.name}"
        if each.unsprung is None:
            rows.append(f"{at}]: scale_load and unsprung in place of sprung_load.")
        if each.tyre is None or each.tyre.rate is None:
            rows.append(f'{at}.tyre] rate: of the tyre, as "180 N/mm".')
        if isinstance(each, CarCorner) and not each.placed:
            rows.append(f"{at}] half_track, and axle_x: where the wheel stands.")
    return rows


def _corner(corner: CarCorner, slack: float) -> Corner:
    turn = float(value(corner.linkage.bar_turn(np.asarray(slack))))
    carried = _carried(corner.load, corner.unsprung)
    rate, unloaded, drawn = _tyre(corner.tyre, corner.tyre_radius, carried)
    return Corner(
        name=corner.name,
        linkage=corner.linkage,
        spring=Spring(corner.bar.rate.value, turn, corner.bush),
        tyre_rate=rate,
        tyre_radius=unloaded,
        unsprung=_mass(corner.unsprung),
        floor=corner.floor,
        stops=_stops(corner, carried),
        friction=corner.friction,
        drawn_radius=drawn,
    )


def _stops(corner: CarCorner, carried: float) -> tuple[Stop, ...]:
    """Return stops where the file has them, of a rubber that is assumed."""
    ends = np.array([0.0, corner.low, corner.high])
    z = value(corner.linkage.pose(ends).contact.z)
    rate = _STOP_RATES * carried / _STOP_DEPTH
    return tuple(
        Stop.build(float(z[i] - z[0]), rate=rate, depth=_STOP_DEPTH, side=side)
        for i, side, known in zip((1, 2), (-1.0, 1.0), corner.stops_known, strict=True)
        if known
    )


def _wheel(wheel: Wheel) -> Corner:
    carried = _carried(wheel.load, wheel.unsprung)
    rate, unloaded, drawn = _tyre(wheel.tyre, None, carried)
    linkage: Linkage = Riser(1.0 if wheel.side == "left" else -1.0, _vec(wheel.at))
    return Corner(
        name=wheel.name,
        linkage=linkage,
        spring=None,
        tyre_rate=rate,
        tyre_radius=unloaded,
        unsprung=_mass(wheel.unsprung),
        floor=wheel.floor,
        others=(SpringAt(_law(wheel)),),
        friction=wheel.friction,
        drawn_radius=drawn,
    )


def _law(wheel: Wheel) -> SpringLaw:
    if wheel.rate is None:
        from splinewise.core.table_spring import TableSpring

        travel, rates = np.array(wheel.rates).T
        return TableSpring.from_rates(travel, rates, preload=wheel.load.value)
    spring = LinearSpring(wheel.rate.value, wheel.load.value / wheel.ratio)
    return WheelSpring(spring, wheel.ratio)


def _carried(load: Figure, unsprung: Figure | None) -> float:
    return load.value + (0.0 if unsprung is None else unsprung.value)


def _mass(weight: Figure | None) -> float:
    return 0.0 if weight is None else weight.value / GRAVITY


def _tyre(
    tyre: TyreOf | None, loaded: Figure | None, carried: float
) -> tuple[float, float, float]:
    """Return rate, unloaded radius, and the radius that touches ground as drawn."""
    rate = 1.0 if tyre is None or tyre.rate is None else tyre.rate.value
    pressed = carried / rate
    if tyre is not None and tyre.radius is not None:
        unloaded = tyre.radius.value
    else:
        unloaded = 1.0 if loaded is None else loaded.value + pressed
    # Where no wheel centre is known the tyre's place at the drawn position is what
    # the drawing shows loaded, whatever its size.
    return rate, unloaded, unloaded - pressed


def _body(car: Car, vehicle: VehicleOf, corners: list[Corner]) -> Body:
    height = 0.0 if vehicle.centre_height is None else vehicle.centre_height.value
    if vehicle.sprung_mass and vehicle.centre_x and vehicle.centre_y:
        place = (vehicle.centre_x.value, vehicle.centre_y.value, height)
        return Body(vehicle.sprung_mass.value / GRAVITY, _vec(place))
    loads = [c.load.value for c in car.corners.values()]
    loads += [w.load.value for w in car.wheels.values()]
    feet = [corner.linkage.pose(np.zeros(())).contact for corner in corners]
    x, y = ([float(value(getattr(foot, axis))) for foot in feet] for axis in "xy")
    found = centre_of_loads(loads, x, y)
    centre = Vec(found.x, found.y, np.asarray(height))
    return Body(float(found.weight) / GRAVITY, centre)


def _vec(place: tuple[float, float, float]) -> Vec:
    return Vec(*(np.asarray(x) for x in place))
