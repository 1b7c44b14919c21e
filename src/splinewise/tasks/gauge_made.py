"""A gauge as it was made: its centre distance from a calliper, and the verdict."""

from __future__ import annotations

import math

from splinewise.car.model import Figure
from splinewise.core.conformity import Outcome, assess
from splinewise.core.gauge import (
    centre_from_edges,
    centre_from_land,
    centre_from_span,
)
from splinewise.errors import QuantityError, TaskError
from splinewise.tasks.doubts import standard_doubt
from splinewise.tasks.gauge_result import Drilled, Verdict
from splinewise.tasks.values import Value

__all__ = ["judged", "measured"]

_WORDS: dict[Outcome, Verdict] = {
    Outcome.PASS: "good enough",
    Outcome.FAIL: "not good enough",
    Outcome.CANNOT_TELL: "cannot tell",
}

_SEEN = 5e-5
"""A difference of hole sizes that nobody would see: half a tenth. [m]"""


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
    for name, figure in (("span", span), ("land", land), *_named(holes)):
        if figure is not None and figure.value <= 0.0:
            msg = f"The {name} must be above zero, not {figure.text}."
            raise TaskError(msg)
    if span is not None and land is not None:
        return _from_both(span, land, holes)
    reading = span or land
    if reading is None or holes is None:
        msg = (
            "Give the span over the far edges and the land between the near edges, "
            "or one of them with both hole diameters."
        )
        raise TaskError(msg)
    a, b = holes
    of_one = centre_from_span if span is not None else centre_from_land
    try:
        centre = of_one(reading.value, a.value, b.value)
    except QuantityError:
        msg = (
            f"A span of {reading.text} over the far edges is no more than the holes "
            f"themselves, {a.text} and {b.text}. One of the readings is wrong."
        )
        raise TaskError(msg) from None
    doubt = math.hypot(
        standard_doubt(reading), 0.5 * math.hypot(standard_doubt(a), standard_doubt(b))
    )
    edges = "far edges less" if span is not None else "near edges plus"
    return (
        Value(float(centre), "m", doubt or None, "measured"),
        f"{edges} half of both hole diameters",
    )


def _named(holes: tuple[Figure, Figure] | None) -> list[tuple[str, Figure]]:
    return [] if holes is None else [("hole", hole) for hole in holes]


def _from_both(
    span: Figure, land: Figure, holes: tuple[Figure, Figure] | None
) -> tuple[Value, str]:
    try:
        both = centre_from_edges(
            span.value,
            land.value,
            span_uncertainty=standard_doubt(span),
            land_uncertainty=standard_doubt(land),
        )
    except QuantityError:
        msg = (
            f"The land between the near edges, {land.text}, must be shorter than the "
            f"span over the far ones, {span.text}."
        )
        raise TaskError(msg) from None
    total, doubt = float(both.hole_sum), float(both.hole_sum_uncertainty)
    if holes is not None:
        _hole_sum_agrees(total, doubt, holes)
    return (
        Value(float(both.centre), "m", float(both.uncertainty) or None, "measured"),
        "half the sum of far and near edges; the hole sizes cancel",
    )


def _hole_sum_agrees(total: float, doubt: float, holes: tuple[Figure, Figure]) -> None:
    wanted = holes[0].value + holes[1].value
    spread = math.hypot(doubt, standard_doubt(holes[0]), standard_doubt(holes[1]))
    if abs(total - wanted) > 3.0 * spread + _SEEN:
        msg = (
            f"Far edges less near edges is {total * 1e3:.2f} mm, but the two holes add "
            f"up to {wanted * 1e3:.2f} mm. One of the readings is wrong."
        )
        raise TaskError(msg)


def judged(
    made: Value,
    how: str,
    *,
    wanted: float,
    height: float,
    per_length: float,
    allowed: Figure | None,
) -> Drilled:
    """Judge a gauge by what its error does to the ride height.

    Parameters
    ----------
    made : Value
        Its centre distance. [m]
    how : str
        How that was measured.
    wanted : float
        What it should be. [m]
    height : float
        What the ride height gains by the difference; NaN if the car would sit on a
        stop. [m]
    per_length : float
        What the ride height gains for each metre of a longer gauge. [1]
    allowed : Figure or None
        Tolerance of ride height. [m]

    Returns
    -------
    Drilled
        The verdict. [m]

    Raises
    ------
    TaskError
        If the tolerance is not above zero.
    """
    if allowed is not None and allowed.value <= 0.0:
        msg = f"The tolerance must be above zero, not {allowed.text}."
        raise TaskError(msg)
    doubt = None if made.doubt is None else abs(per_length) * made.doubt
    inside, outcome = math.nan, Outcome.CANNOT_TELL
    if not math.isfinite(height):
        outcome = Outcome.FAIL
    elif allowed is not None:
        found = assess(height, doubt or 0.0, -allowed.value, allowed.value)
        inside, outcome = found.inside, found.outcome
    return Drilled(
        centres=made,
        error=Value(made.value - wanted, "m", made.doubt),
        height_error=Value(height, "m", doubt),
        how=how,
        tolerance=Value(
            math.nan if allowed is None else allowed.value,
            "m",
            None,
            "wanted" if allowed is None else allowed.standing,
        ),
        inside=Value(inside, "1"),
        outcome=_WORDS[outcome],
        good=outcome is Outcome.PASS,
    )
