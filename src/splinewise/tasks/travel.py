"""What the wheel does over its travel: angles, rates, stress, as a table."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from splinewise.car.model import Car, Corner
from splinewise.core.corner import wheel_force
from splinewise.core.heights import angle_at_rise
from splinewise.core.linkages import travel as sweep
from splinewise.core.quantities import Array
from splinewise.errors import TaskError
from splinewise.tasks.cautions import cautions
from splinewise.tasks.plan import Plan
from splinewise.tasks.slack import corner_of
from splinewise.tasks.turns import spring_of
from splinewise.tasks.values import Value

__all__ = ["Column", "TravelTable", "travel_table"]

_LEAST_ROWS, _MOST_ROWS = 3, 2001


@dataclass(frozen=True, slots=True)
class Column:
    """One output over the travel.

    Attributes
    ----------
    name : str
        What it is. [1]
    unit : str
        SI unit of its values. [1]
    values : tuple of float
        A value for each row; NaN where there is none. [SI]
    """

    name: str
    unit: str
    values: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class TravelTable:
    """A corner over its travel, with the bar set as planned.

    Attributes
    ----------
    car, corner, side, layout : str
        Which corner. [1]
    goal : str
        The setting that it was worked out for. [1]
    columns : tuple of Column
        Outputs, the rise of the wheel first; those that the layout does not know are
        left out. [SI]
    ride : Value
        Rise of the wheel standing. [m]
    low, high : Value
        Rise at the rebound stop and at the bump stop. [m]
    stops_known : tuple of bool
        Whether the file gave the two stops; else the linkage's own limits. [1]
    cautions : tuple of str
        Safety sentences. [1]
    """

    car: str
    corner: str
    side: str
    layout: str
    goal: str
    columns: tuple[Column, ...]
    ride: Value
    low: Value
    high: Value
    stops_known: tuple[bool, bool]
    cautions: tuple[str, ...]

    def column(self, name: str) -> Column:
        """Return the column of this name."""
        return next(c for c in self.columns if c.name == name)


def travel_table(car: Car, planned: Plan, *, rows: int = 21) -> TravelTable:
    """Work out a planned corner over its travel, in equal steps of wheel rise.

    Parameters
    ----------
    car : Car
        The car.
    planned : Plan
        The setting of the corner.
    rows : int
        Rows of the table, both stops included. [1]

    Returns
    -------
    TravelTable
        The outputs.

    Raises
    ------
    TaskError
        If `rows` is not from 3 to 2001.
    """
    if not _LEAST_ROWS <= rows <= _MOST_ROWS:
        msg = f"Ask for {_LEAST_ROWS} to {_MOST_ROWS} rows, not {rows}."
        raise TaskError(msg)
    corner = corner_of(car, planned.corner)
    ends = sweep(corner.linkage, np.array([corner.low, corner.high])).rise
    rises = np.linspace(float(ends[0]), float(ends[1]), rows)
    angles = angle_at_rise(corner.linkage, rises, low=corner.low, high=corner.high)
    # The two ends are the stops themselves, whatever rounding made of their rises.
    angles[0], angles[-1] = corner.low, corner.high
    return TravelTable(
        car=car.name,
        corner=corner.name,
        side=corner.side,
        layout=corner.layout,
        goal=planned.goal.words,
        columns=_columns(corner, planned, angles),
        ride=planned.rise,
        low=Value(float(ends[0]), "m"),
        high=Value(float(ends[1]), "m"),
        stops_known=corner.stops_known,
        cautions=cautions(["on stands"]),
    )


def _columns(corner: Corner, planned: Plan, angles: Array) -> tuple[Column, ...]:
    at = sweep(corner.linkage, angles)
    spring = spring_of(corner, planned.slack_angle.value)
    held = wheel_force(corner.linkage, spring, angles)
    found: list[tuple[str, str, Array | None]] = [
        ("rise of the wheel", "m", at.rise),
        ("arm angle", "rad", at.angle),
        ("force at the wheel", "N", held.force),
        ("wheel rate", "N/m", held.wheel_rate),
        ("motion ratio", "rad/m", at.motion_ratio),
        ("twist of the bar", "rad", held.twist),
        ("stress in the bar", "Pa", np.asarray(corner.bar.bar.stress(held.torque))),
        ("camber", "rad", at.camber),
        ("caster", "rad", at.caster),
        ("steering-axis inclination", "rad", at.inclination),
        ("toe", "rad", at.toe),
        ("scrub radius", "m", at.scrub_radius),
        ("trail", "m", at.trail),
        ("track change", "m", at.track_change),
        ("roll-centre height", "m", at.roll_centre_height),
        ("damper length", "m", at.damper),
    ]
    return tuple(
        Column(
            name, unit, tuple(float(v) for v in np.broadcast_to(values, angles.shape))
        )
        for name, unit, values in found
        if values is not None
    )
