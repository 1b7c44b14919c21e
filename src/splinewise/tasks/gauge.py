"""What to drill for a gauge bar, and whether what was drilled is good enough."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from splinewise.car.model import Car, Corner, Dimension, Figure, System
from splinewise.core.gauge import centre_play, stock_length
from splinewise.core.holes import ASME_B18_2_8, ISO_273, ClearanceTable
from splinewise.core.jet import value
from splinewise.errors import QuantityError, TaskError
from splinewise.tasks.cautions import cautions
from splinewise.tasks.gauge_made import judged, measured
from splinewise.tasks.gauge_result import Drilled, Gauge, HeightError, Hole
from splinewise.tasks.plan import Plan
from splinewise.tasks.slack import corner_of, dimension_of
from splinewise.tasks.standing import rises, stand
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

_ROUND = np.linspace(-math.pi, math.pi, 181)
"""Arm angles all round, to see where a dimension tells most. [rad]"""

_ERRORS = ((1e-4, "0.1 mm"), (0.0254 / 64, "1/64 in"), (1e-3, "1 mm"))
"""Errors of a gauge that are told: length, and as a workshop says it. [m]"""


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
    error = math.nan if made is None else made.value - centres
    tests = [e for e, _ in _ERRORS] + [x for x in (play, error) if math.isfinite(x)]
    heights = _height_gains(corner, slack, np.array(tests) / per_angle)
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
        play_height=Value(abs(heights[len(_ERRORS)]) if known else math.nan, "m"),
        errors=tuple(
            HeightError(
                Value(e, "m"), words, Value(e / per_angle, "rad"), Value(height, "m")
            )
            for (e, words), height in zip(_ERRORS, heights, strict=False)
        ),
        arm_drops=per_angle < 0.0,
        drilled=None
        if made is None
        else judged(
            made,
            how,
            wanted=centres,
            height=heights[-1],
            per_length=heights[0] / _ERRORS[0][0],
            allowed=allowed,
        ),
        warnings=_warnings(corner, here, per_angle),
        cautions=cautions(["twisted bar", "on stands"]),
    )


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


def _height_gains(corner: Corner, slack: float, turns: ArrayLike) -> list[float]:
    """Return what changes of slack angle do to the ride height, up positive. [m]"""
    slacks = np.append(slack, slack + np.asarray(turns, dtype=np.float64))
    now, *then = rises(corner, stand(corner, slacks).angle)
    return [float(now - rise) for rise in then]


def _warnings(
    corner: Corner, dimension: Dimension, per_angle: float
) -> tuple[str, ...]:
    rows = []
    # Near dead centre a length says little of the angle: the same millimetre is
    # then worth many times the turn that it is worth square on.
    steepest = float(np.max(np.abs(dimension.span.slope(_ROUND))))
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
