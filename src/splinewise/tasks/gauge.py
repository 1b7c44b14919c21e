"""What to drill for a gauge bar, and whether what was drilled is good enough."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from splinewise.car.model import Car, Corner, Dimension, Figure, System
from splinewise.core.corner import Spring, standing_angle
from splinewise.core.gauge import (
    centre_from_edges,
    centre_from_land,
    centre_from_span,
    centre_play,
    stock_length,
)
from splinewise.core.holes import ASME_B18_2_8, ISO_273, ClearanceTable
from splinewise.core.jet import value
from splinewise.core.linkages import solve
from splinewise.errors import QuantityError, TaskError
from splinewise.tasks.cautions import cautions
from splinewise.tasks.plan import Plan
from splinewise.tasks.slack import corner_of, dimension_of, standard_doubt
from splinewise.tasks.values import Value

__all__ = [
    "EDGE_MARGIN",
    "Drilled",
    "Gauge",
    "HeightError",
    "Hole",
    "gauge",
    "measured",
]

EDGE_MARGIN = 1.5
"""Hole centre to end of the stock, in hole diameters: common practice, no source. [1]"""


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole of the gauge.

    Attributes
    ----------
    at : str
        The point of the car that its bolt is. [1]
    bolt : Value
        Nominal diameter of the bolt; NaN if the car file does not give it. [m]
    drill : Value
        Clearance hole to drill; NaN if it is not known. [m]
    standard : str
        The table that the hole comes from, and how far to trust it. [1]
    """

    at: str
    bolt: Value
    drill: Value
    standard: str


@dataclass(frozen=True, slots=True)
class HeightError:
    """What an error of the gauge does to the ride height.

    Attributes
    ----------
    error : Value
        How much longer the gauge is. [m]
    angle : Value
        What the slack angle gains by it. [rad]
    height : Value
        What the ride height gains by it; up is positive. [m]
    """

    error: Value
    angle: Value
    height: Value


@dataclass(frozen=True, slots=True)
class Drilled:
    """A gauge as it was made.

    Attributes
    ----------
    centres : Value
        Centre distance as measured. [m]
    error : Value
        Measured less wanted. [m]
    height_error : Value
        What that does to the ride height; up is positive. [m]
    how : str
        How the centre distance was found. [1]
    good : bool
        Whether the height error is inside the tolerance. [1]
    tolerance : Value
        Tolerance of ride height used. [m]
    """

    centres: Value
    error: Value
    height_error: Value
    how: str
    good: bool
    tolerance: Value


@dataclass(frozen=True, slots=True)
class Gauge:
    """A gauge bar for one dimension of one corner.

    Attributes
    ----------
    car, corner, side : str
        Which corner. [1]
    dimension, fixed, moving : str
        The dimension and its two points. [1]
    goal : str
        What the gauge sets the car to. [1]
    centres : Value
        Distance between the hole centres. [m]
    holes : tuple of Hole
        The two holes, the fixed point's first. [m]
    stock : Value
        Least length of stock; NaN if the holes are not known. [m]
    play : Value
        Half-range by which the holes' play lets the distance stray. [m]
    play_height : Value
        The same as ride height. [m]
    errors : tuple of HeightError
        What small errors of the gauge do. [m]
    arm_drops : bool
        Whether a longer gauge holds the arm lower. [1]
    drilled : Drilled or None
        The gauge as made, if it was measured. [m]
    warnings, cautions : tuple of str
        What wants attention; safety sentences. [1]
    """

    car: str
    corner: str
    side: str
    dimension: str
    fixed: str
    moving: str
    goal: str
    centres: Value
    holes: tuple[Hole, ...]
    stock: Value
    play: Value
    play_height: Value
    errors: tuple[HeightError, ...]
    arm_drops: bool
    drilled: Drilled | None
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]


def gauge(
    car: Car,
    planned: Plan,
    *,
    dimension: str | None = None,
    fit: int = 0,
    made: Value | None = None,
    how: str = "",
    tolerance: Figure | None = None,
) -> Gauge:
    """Work out the gauge bar for a planned corner.

    Parameters
    ----------
    car : Car
        The car.
    planned : Plan
        The wanted setting.
    dimension : str, optional
        The dimension that the gauge holds; the corner's first if left out.
    fit : int
        0 for the closest clearance hole, 1 for the middle, 2 for the widest. [1]
    made : Value, optional
        Centre distance of the gauge as drilled, from `measured`. [m]
    how : str
        How that was measured.
    tolerance : Figure, optional
        Tolerance of ride height; the car file's if left out. [m]

    Returns
    -------
    Gauge
        What to drill, and the verdict on what was drilled.

    Raises
    ------
    TaskError
        If the corner has no dimension, or the slack angle is out of its reach.
    """
    corner = corner_of(car, planned.corner)
    if not corner.dimensions:
        msg = (
            f"{corner.name} has no dimension between a fixed point and the arm, so no "
            "gauge can be made for it. Add a [[dimension]] to the car file."
        )
        raise TaskError(msg)
    here = dimension_of(corner, dimension or next(iter(corner.dimensions)))
    slack = planned.slack_angle.value
    centres = float(value(here.span.length(slack)))
    per_angle = float(here.span.slope(slack))
    holes = _holes(here, fit, car.system)
    drills = [h.drill.value for h in holes]
    bolts = [h.bolt.value for h in holes]
    known = len(holes) == 2 and all(map(math.isfinite, drills))
    play = (
        float(centre_play(drills[0], bolts[0], drills[1], bolts[1]).half_range)
        if known
        else math.nan
    )
    tests = np.array([1e-4, 0.0254 / 64, 1e-3, *([play] if known else [])])
    heights = _height_gains(corner, slack, tests / per_angle)
    allowed = tolerance or (
        corner.ride_height.tolerance if corner.ride_height else None
    )
    return Gauge(
        car=car.name,
        corner=corner.name,
        side=corner.side,
        dimension=here.name,
        fixed=here.fixed,
        moving=here.moving,
        goal=planned.goal.words,
        # The target is what it is; how sure the plan behind it is stands in the plan.
        centres=Value(centres, "m", None, "wanted"),
        holes=holes,
        stock=Value(
            float(stock_length(centres, *(EDGE_MARGIN * d for d in drills)))
            if known
            else math.nan,
            "m",
        ),
        play=Value(play, "m"),
        play_height=Value(abs(heights[3]) if known else math.nan, "m"),
        errors=tuple(
            HeightError(
                Value(float(e), "m"),
                Value(float(e) / per_angle, "rad"),
                Value(heights[i], "m"),
            )
            for i, e in enumerate(tests[:3])
        ),
        arm_drops=per_angle < 0.0,
        drilled=None
        if made is None
        else _drilled(corner, slack, per_angle, centres, made, how, allowed),
        warnings=_warnings(corner, here, per_angle, slack),
        cautions=cautions(["twisted bar", "on stands"]),
    )


def measured(
    *,
    span: Figure | None = None,
    land: Figure | None = None,
    holes: tuple[Figure, Figure] | None = None,
) -> tuple[Value, str]:
    """Turn calliper readings over two holes into their centre distance.

    Parameters
    ----------
    span : Figure, optional
        Far edge to far edge, inside jaws. [m]
    land : Figure, optional
        Near edge to near edge, outside jaws. [m]
    holes : tuple of Figure, optional
        The two hole diameters, needed with a span or a land alone. [m]

    Returns
    -------
    tuple of Value and str
        The centre distance, and how it was found. [m]

    Raises
    ------
    TaskError
        If the readings given are not enough, or do not fit one another.
    """
    try:
        if span is not None and land is not None:
            both = centre_from_edges(
                span.value,
                land.value,
                span_uncertainty=standard_doubt(span),
                land_uncertainty=standard_doubt(land),
            )
            _hole_sum_agrees(
                float(both.hole_sum), float(both.hole_sum_uncertainty), holes
            )
            return (
                Value(float(both.centre), "m", float(both.uncertainty), "measured"),
                "half the sum of far and near edges; the hole sizes cancel",
            )
        reading = span or land
        if reading is None or holes is None:
            msg = (
                "Give the span over the far edges and the land between the near edges, "
                "or one of them with both hole diameters."
            )
            raise TaskError(msg)
        a, b = holes
        centre = (centre_from_span if span is not None else centre_from_land)(
            reading.value, a.value, b.value
        )
    except QuantityError as error:
        msg = f"These readings do not make a gauge: {error}."
        raise TaskError(msg) from error
    doubt = math.hypot(
        standard_doubt(reading), 0.5 * math.hypot(standard_doubt(a), standard_doubt(b))
    )
    edges = "far edges less" if span is not None else "near edges plus"
    return (
        Value(float(centre), "m", doubt, "measured"),
        f"{edges} half of both hole diameters",
    )


def _hole_sum_agrees(
    total: float, doubt: float, holes: tuple[Figure, Figure] | None
) -> None:
    if holes is None:
        return
    wanted = holes[0].value + holes[1].value
    spread = math.hypot(doubt, standard_doubt(holes[0]), standard_doubt(holes[1]))
    if abs(total - wanted) > 3.0 * spread + 5e-5:
        msg = (
            f"Far edges less near edges is {total * 1e3:.2f} mm, but the two holes add "
            f"up to {wanted * 1e3:.2f} mm. One of the readings is wrong."
        )
        raise TaskError(msg)


def _scaled(doubt: float | None, factor: float) -> float | None:
    return None if doubt is None else abs(factor) * doubt


def _holes(dimension: Dimension, fit: int, system: System) -> tuple[Hole, ...]:
    names = (dimension.fixed, dimension.moving)
    if not dimension.bolts:
        nothing = Value(math.nan, "m")
        why = "The car file gives no bolt for it: measure the bolt."
        return tuple(Hole(at, nothing, nothing, why) for at in names)
    # The car's own standard is asked first; a metric bolt in an inch car still has one.
    tables = (ASME_B18_2_8, ISO_273) if system == "inch" else (ISO_273, ASME_B18_2_8)
    bolts = dimension.bolts if len(dimension.bolts) == 2 else dimension.bolts * 2
    return tuple(
        _hole(at, bolt, fit, tables) for at, bolt in zip(names, bolts, strict=True)
    )


def _hole(
    at: str, bolt: Figure, fit: int, tables: tuple[ClearanceTable, ClearanceTable]
) -> Hole:
    size = Value(bolt.value, "m", None, bolt.standing)
    for table in tables:
        try:
            drill = table.hole(bolt.value, table.fits[fit])
        except QuantityError:
            continue
        return Hole(
            at,
            size,
            Value(drill, "m", None, "published"),
            f"{table.standard}, {table.fits[fit]}. {table.standing}",
        )
    why = (
        f"Neither {tables[0].standard} nor {tables[1].standard} lists this bolt: ream "
        "the hole to it."
    )
    return Hole(at, size, Value(math.nan, "m"), why)


def _height_gains(corner: Corner, slack: float, turns: object) -> list[float]:
    """Return what changes of slack angle do to the ride height, up positive. [m]"""
    slacks = np.append(slack, slack + np.asarray(turns, dtype=np.float64))
    stands = standing_angle(
        corner.linkage,
        Spring(corner.bar.rate.value, slacks, corner.bush),
        corner.load.value,
        low=corner.low,
        high=corner.high,
    )
    rises = value(solve(corner.linkage, stands).contact.z)
    return [float(rises[0] - rise) for rise in rises[1:]]


def _drilled(
    corner: Corner,
    slack: float,
    per_angle: float,
    centres: float,
    made: Value,
    how: str,
    allowed: Figure | None,
) -> Drilled:
    error = made.value - centres
    (height,) = _height_gains(corner, slack, [error / per_angle])
    share = height / error if error else math.nan
    limit = allowed.value if allowed is not None else math.nan
    return Drilled(
        centres=made,
        error=Value(error, "m", made.doubt),
        height_error=Value(
            height, "m", None if math.isnan(share) else _scaled(made.doubt, share)
        ),
        how=how,
        good=not math.isnan(limit) and abs(height) <= limit,
        tolerance=Value(
            limit, "m", None, allowed.standing if allowed is not None else "wanted"
        ),
    )


def _warnings(
    corner: Corner, dimension: Dimension, per_angle: float, slack: float
) -> tuple[str, ...]:
    rows = []
    # Near dead centre a length says little of the angle: the same millimetre is
    # then worth many times the turn that it is worth square on.
    steepest = float(
        np.max(np.abs(dimension.span.slope(slack + np.linspace(-0.5, 0.5, 101))))
    )
    if abs(per_angle) < 0.3 * steepest:
        rows.append(
            "At this angle the gauge lies nearly in line with the arm, so a small "
            "error of its length is a large one of the angle. Use another dimension if "
            "there is one."
        )
    if corner.ride_height is None:
        rows.append(
            "The file does not say where the ride height is measured, so heights here "
            "are those of the wheel against the body."
        )
    return tuple(rows)
