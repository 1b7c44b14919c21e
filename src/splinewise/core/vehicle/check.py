"""A vehicle at the door: numbers that cannot be are refused by the corner's name."""

from __future__ import annotations

import numpy as np

from splinewise.core.geometry import Vec
from splinewise.core.jet import value
from splinewise.core.quantities import Array, finite, positive, refuse_where
from splinewise.core.vehicle.parts import Corner, Joined, Vehicle
from splinewise.errors import TaskError

__all__ = ["check"]


def check(vehicle: Vehicle) -> None:
    """Refuse a vehicle whose numbers cannot be.

    Parameters
    ----------
    vehicle : Vehicle, shape (...)
        The vehicles. [kg]

    Raises
    ------
    QuantityError
        If a mass, rate or radius is not positive, or a number is not finite.
    TaskError
        If it has no corner, or a bar joins a corner that is not there.
    """
    if not vehicle.corners:
        msg = "A vehicle needs at least one corner to stand on."
        raise TaskError(msg)
    positive("gravity", vehicle.gravity, "m/s²")
    finite("body.mass", vehicle.body.mass, "kg")
    _place("body.centre", vehicle.body.centre)
    for name in ("roll_inertia", "pitch_inertia"):
        inertia = getattr(vehicle.body, name)
        if inertia is not None:
            positive(f"body.{name}", inertia, "kg·m²")
    for load in vehicle.loads:
        finite(f"{load.name}.mass", load.mass, "kg")
        _place(f"{load.name}.at", load.at)
    positive("sprung_mass", vehicle.sprung_mass, "kg")
    for corner in vehicle.corners:
        _corner(corner)
    for joined in vehicle.joined:
        _ends(joined, len(vehicle.corners))


def _corner(corner: Corner) -> None:
    name = corner.name
    positive(f"{name}.tyre_rate", corner.tyre_rate, "N/m")
    positive(f"{name}.tyre_radius", corner.tyre_radius, "m")
    if corner.drawn_radius is not None:
        positive(f"{name}.drawn_radius", corner.drawn_radius, "m")
    finite(f"{name}.floor", corner.floor, "m")
    _not_below(f"{name}.unsprung", corner.unsprung, "kg")
    _not_below(f"{name}.friction", corner.friction, "N")
    for other in corner.others:
        finite(f"{name}.others", other.law.push(0.0).force, "N")
    for stop in corner.stops:
        finite(f"{name}.stops", stop.push(0.0).force, "N")
    for mass in corner.masses:
        _not_below(f"{name}.masses", mass.mass, "kg")


def _ends(joined: Joined, count: int) -> None:
    ends = {joined.left, joined.right}
    if len(ends) != 2 or not ends <= set(range(count)):
        msg = (
            f"An anti-roll bar joins two different corners of the {count} there are, "
            f"counted from 0; got {joined.left} and {joined.right}."
        )
        raise TaskError(msg)
    positive("joined.rate", joined.bar.rate, "N/m")
    finite("joined.ratio", joined.bar.ratio, "1")
    finite("joined.wind_up", joined.bar.wind_up, "m")
    _not_below("joined.give", joined.bar.give, "m/N")


def _place(name: str, point: Vec) -> None:
    for axis in ("x", "y", "z"):
        finite(f"{name}.{axis}", value(getattr(point, axis)), "m")


def _not_below(name: str, number: Array | float, unit: str) -> None:
    array = finite(name, number, unit)
    refuse_where(np.asarray(array < 0.0), name, array, unit, "not below 0")
