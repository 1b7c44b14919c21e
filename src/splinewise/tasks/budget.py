"""What makes a setting by a gauge bar doubtful, and is the gauge good enough?

Each cause is a doubt of the length that the gauge holds; the hinged arm turns it into
slack angle, and the bar under its load into ride height.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from splinewise.car.model import Car, Corner
from splinewise.core.conformity import assess
from splinewise.core.doubt import rectangular, triangular
from splinewise.core.instruments import INSTRUMENTS, gauge_bar_doubt, reading_doubt
from splinewise.errors import QuantityError, TaskError
from splinewise.tasks.cautions import cautions
from splinewise.tasks.fit_model import SLACK, CornerModel
from splinewise.tasks.plan_result import Plan
from splinewise.tasks.slack import corner_of, dimension_of
from splinewise.tasks.values import Value

__all__ = ["Bar", "Budget", "BudgetPart", "budget"]

STEEL = 11.5e-6
"""Growth of steel with warmth (handbook figure, from memory). [1/K]"""


@dataclass(frozen=True, slots=True)
class Bar:
    """A gauge bar as it is drilled.

    Attributes
    ----------
    holes, bolts : tuple of float
        Diameters of the two holes and of the two bolts they go on. [m]
    centres : float
        How far off the distance of the hole centres may be, either way, as drilled or
        as the person states; 0 for no more than the calliper says. [m]
    calliper : str
        Instrument with which that distance was measured; empty if it was not. [1]
    warmth : float
        How far gauge and car may differ in temperature, either way. [K]
    lean : float
        How far the bolts may lean along the bar, both together, either way. [m]
    """

    holes: tuple[float, float]
    bolts: tuple[float, float]
    centres: float = 0.0
    calliper: str = ""
    warmth: float = 0.0
    lean: float = 0.0


@dataclass(frozen=True, slots=True)
class BudgetPart:
    """One cause of doubt, or all together.

    Attributes
    ----------
    cause, source : str
        What it is and where its figure comes from. [1]
    length, slack_angle, height : Value
        Its standard doubt in the gauge, in the slack angle and in the ride height. [m
        or rad]
    share : float
        Its share of the variance. [1]
    """

    cause: str
    source: str
    length: Value
    slack_angle: Value
    height: Value
    share: float


@dataclass(frozen=True, slots=True)
class Budget:
    """The budget of doubt of a gauge bar.

    Attributes
    ----------
    car, corner, side : str
        Which corner. [1]
    dimension : str
        The dimension that the gauge holds. [1]
    length : Value
        Its length at the planned setting. [m]
    parts : tuple of BudgetPart
        The causes, the largest first. [m]
    total : BudgetPart
        All together. [m]
    tolerance : Value
        Tolerance of the ride height. [m]
    inside : float
        Probability that the gauge alone keeps the height inside it. [1]
    risk : float
        Chance of a wrong verdict that is put up with. [1]
    verdict : str
        "accept" or "remake". [1]
    words : str
        The verdict as a sentence. [1]
    notes, cautions : tuple of str
        What is left out; safety sentences. [1]
    """

    car: str
    corner: str
    side: str
    dimension: str
    length: Value
    parts: tuple[BudgetPart, ...]
    total: BudgetPart
    tolerance: Value
    inside: float
    risk: float
    verdict: Literal["accept", "remake"]
    words: str
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


def budget(
    car: Car,
    planned: Plan,
    bar: Bar,
    *,
    dimension: str | None = None,
    tolerance: float | None = None,
    risk: float,
) -> Budget:
    """Add up what makes a setting by a gauge bar doubtful.

    Parameters
    ----------
    car : Car
        The car.
    planned : Plan
        The wanted setting.
    bar : Bar
        The gauge bar. [m]
    dimension : str, optional
        The dimension that it holds; the corner's first if left out.
    tolerance : float, optional
        Tolerance of the ride height; the car file's if left out. [m]
    risk : float
        Chance of a wrong verdict that is put up with. [1]

    Returns
    -------
    Budget
        The causes and the verdict.

    Raises
    ------
    TaskError
        If a bolt does not go into its hole, a doubt cannot be, or there is no
        tolerance to judge by.
    """
    here = corner_of(car, planned.corner)
    name = dimension or next(iter(here.dimensions), "")
    span = dimension_of(here, name).span
    if not 0.0 < risk < 0.5:
        msg = "The risk must lie between 0 and one half."
        raise TaskError(msg)
    allowed = _tolerance(here, tolerance)
    slack = planned.slack_angle.value
    length = float(np.asarray(span.length(slack)))
    causes = [c for c in _causes(bar, length) if c[2] > 0.0]
    if not causes:
        msg = "Nothing makes this gauge doubtful: give --centres or --calliper."
        raise TaskError(msg)
    per_length = abs(1.0 / float(span.slope(slack)))
    per_angle = _height_per_angle(here, slack)
    square = math.fsum(u * u for _, _, u in causes)
    parts = sorted(
        (
            _part(cause, source, u, per_length, per_angle, u * u / square)
            for cause, source, u in causes
        ),
        key=lambda p: -p.share,
    )
    total = _part("all together", "", math.sqrt(square), per_length, per_angle, 1.0)
    said = assess(0.0, total.height.value, -allowed, allowed, risk=risk)
    good = said.outcome.value == "pass"
    return Budget(
        car=car.name,
        corner=here.name,
        side=here.side,
        dimension=name,
        length=Value(length, "m", math.sqrt(square)),
        parts=tuple(parts),
        total=total,
        tolerance=Value(allowed, "m", standing="wanted"),
        inside=said.inside,
        risk=risk,
        verdict="accept" if good else "remake",
        words=_words(here, good, parts[0]),
        notes=(
            (
                "Only what the gauge itself adds is in it: bar rate, load and the "
                "car's own points are not, nor how far the gauge as drilled is from "
                "the length wanted."
            ),
            (
                "Play of a hole on its bolt counts as unknown within its clearance; "
                "push the arm one way each time and it becomes a shift that you can "
                "take off."
            ),
        ),
        cautions=cautions(["twisted bar"]),
    )


def _tolerance(here: Corner, tolerance: float | None) -> float:
    ride = here.ride_height
    if tolerance is None and ride is not None and ride.tolerance is not None:
        tolerance = ride.tolerance.value
    if tolerance is None:
        msg = f"To judge the gauge of {here.name}, give the tolerance of the height."
        raise TaskError(msg)
    if tolerance <= 0.0:
        msg = "A tolerance must be above 0."
        raise TaskError(msg)
    return tolerance


def _causes(bar: Bar, length: float) -> list[tuple[str, str, float]]:
    """Return cause, source and standard doubt of the length. [m]"""
    for name, size in (
        ("centres", bar.centres),
        ("warmth", bar.warmth),
        ("lean", bar.lean),
    ):
        if not 0.0 <= size < math.inf:
            msg = f"--{name} must be 0 or more."
            raise TaskError(msg)
    try:
        play = gauge_bar_doubt(bar.holes, bar.bolts, 0.0)
    except QuantityError:
        msg = "A bolt is larger than its hole; give the holes and the bolts in order."
        raise TaskError(msg) from None
    found = [
        ("hole centres", "as stated", float(rectangular(bar.centres))),
        (
            "play of holes on bolts",
            "clearances as given",
            float(play.part("pin seating")),
        ),
        ("bolts that lean", "as stated", float(triangular(bar.lean))),
        (
            "warmth of gauge and car apart",
            "11.5 µm a metre and kelvin, steel, from memory",
            float(rectangular(STEEL * bar.warmth * length)),
        ),
    ]
    if bar.calliper:
        row = INSTRUMENTS.get(bar.calliper)
        if row is None or row.unit != "m":
            known = ", ".join(k for k, one in INSTRUMENTS.items() if one.unit == "m")
            msg = f"{bar.calliper!r} measures no lengths here. Known are {known}."
            raise TaskError(msg)
        try:
            u = float(reading_doubt(bar.calliper, length).standard)
        except QuantityError:
            msg = f"A {row.words} does not reach {length * 1e3:.0f} mm."
            raise TaskError(msg) from None
        found.append((f"measured with a {row.words}", row.limit_source, u))
    return found


def _height_per_angle(here: Corner, slack: float) -> float:
    """Return the ride height's change with slack angle, its size. [m/rad]"""
    model = CornerModel(here, ())
    x = np.array([k.start for k in model.unknowns(slack)])
    found = abs(float(model.height_slope(x)[SLACK]))
    if not math.isfinite(float(model.angle(x))):
        msg = f"With this slack angle {here.name} sits on a stop."
        raise TaskError(msg)
    return found


def _part(
    cause: str, source: str, u: float, per_length: float, per_angle: float, share: float
) -> BudgetPart:
    angle = u * per_length
    return BudgetPart(
        cause,
        source,
        Value(u, "m"),
        Value(angle, "rad"),
        Value(angle * per_angle, "m"),
        share,
    )


def _words(here: Corner, good: bool, worst: BudgetPart) -> str:
    if good:
        return (
            f"Accept the gauge of {here.name}: by itself it keeps the height inside "
            "its tolerance."
        )
    return (
        f"Remake the gauge of {here.name}, or measure it better: it does not surely "
        f"keep the height inside its tolerance. Most comes from {worst.cause}."
    )
