"""What small changes do to a standing car: teeth, adjuster, load, tyre."""

from __future__ import annotations

import numpy as np

from splinewise.car.model import Car
from splinewise.core.adjuster import Screw
from splinewise.core.geometry import Vec
from splinewise.core.quantities import Array
from splinewise.core.vehicle import Effect as CoreEffect
from splinewise.core.vehicle import Stand, Vehicle, sensitivities
from splinewise.tasks.stand_result import Effect
from splinewise.tasks.values import Value

__all__ = ["effects"]

_TEN = 10.0
_RADIUS = 0.005


def effects(car: Car, vehicle: Vehicle, found: Stand) -> tuple[Effect, ...]:
    """Return what small changes do to every height and load.

    First order, from exact derivatives.

    Parameters
    ----------
    car : Car
        The car.
    vehicle : Vehicle
        The vehicle made of it. [kg]
    found : Stand
        Where it stands. [m]

    Returns
    -------
    tuple of Effect
        The changes. [m, N]
    """
    points = () if car.vehicle is None else car.vehicle.points
    places = [Vec(*(np.asarray(x) for x in point.at)) for point in points]
    by = sensitivities(vehicle, found, places)
    rows = []
    for i, corner in enumerate(car.corners.values()):
        step = corner.splines.index_step
        if corner.splines.lcm > 1:
            rows.append(
                _row(f"{corner.name}: one index step to droop", by.slack, i, -step)
            )
        if isinstance(corner.adjuster, Screw):
            turn = abs(float(corner.adjuster.rate_at(corner.adjuster_at)))
            words = f"{corner.name}: one turn of the adjuster to droop"
            rows.append(_row(words, by.slack, i, -turn))
    rows.append(_row("10 kg more at the body's centre of gravity", by.mass, 0, _TEN))
    for j, load in enumerate(vehicle.loads, start=1):
        mass = -float(np.asarray(load.mass))
        rows.append(_row(f"without {load.name}", by.mass, j, mass))
    for i, part in enumerate(vehicle.corners):
        words = f"{part.name}: 5 mm more tyre radius"
        rows.append(_row(words, by.tyre_radius, i, _RADIUS))
    return tuple(rows)


def _row(cause: str, effect: CoreEffect, column: int, change: float) -> Effect:
    def values(rows: Array, unit: str) -> tuple[Value, ...]:
        return tuple(Value(float(x) * change, unit) for x in rows[..., column])

    return Effect(cause, values(effect.heights, "m"), values(effect.loads, "N"))
