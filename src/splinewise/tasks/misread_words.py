"""Likely misreads of the readings of a car, tried one by one and put in words."""

from __future__ import annotations

import numpy as np

from splinewise.car.model import Corner
from splinewise.core.instruments import INSTRUMENTS
from splinewise.core.misread_slips import (
    Alternative,
    Circumstances,
    Slip,
    propose,
    swapped_sides,
)
from splinewise.core.misreads import LOWEST_CHANCE, Weighed, weigh
from splinewise.errors import TaskError
from splinewise.tasks.as_typed import like_typed, typed_of
from splinewise.tasks.fit_joint import Solved, fitted
from splinewise.tasks.fit_model import Row
from splinewise.tasks.readings_result import Misread

__all__ = ["misreads_of"]

MOST = 5
LEAST = 0.01
HOOK = 1e-3
"""Thickness of a tape's hook, by which pushed and pulled differ (common practice, no
source). [m]"""


def misreads_of(solved: Solved) -> tuple[Misread, ...]:
    """Try known slips on each reading, and keep those that explain what is wrong.

    Parameters
    ----------
    solved : Solved
        The fit in which something is wrong.

    Returns
    -------
    tuple of Misread
        The likeliest first.
    """
    joint, fit = solved.joint, solved.fit
    rows = joint.rows
    tried: list[Alternative] = []
    for i, (corner, row) in enumerate(rows):
        tried += _of_row(i, corner, row)
    tried += _sides(rows)
    observed = fit.observed[: fit.readings]

    def refit(one: Alternative) -> float:
        changed = observed.copy()
        changed[list(one.rows)] = one.corrected
        try:
            return float(fitted(joint, changed).square_sum)
        except TaskError:
            return float("inf")

    found = weigh(fit, tried, refit=refit)
    kept = [
        one
        for one in found.weighed
        if one.probability >= LEAST and one.chance_above >= LOWEST_CHANCE
    ]
    return tuple(_told(one, rows) for one in kept[:MOST])


def _of_row(index: int, corner: Corner, row: Row) -> list[Alternative]:
    figure = row.spot.figure if row.spot else None
    if row.spot is None or figure is None:
        return []
    typed = typed_of(figure, "angle" if row.unit == "rad" else "length")
    if typed is None:
        return []
    tool = INSTRUMENTS.get(row.spot.instrument)
    dimension = corner.dimensions.get(row.length_of)
    heads = tuple(b.value for b in dimension.bolts) if dimension else ()
    how = Circumstances(
        graduation=figure.step,
        hook=HOOK if tool is not None and tool.seat > 0.0 else 0.0,
        heads=heads,
        signed=row.unit == "rad",
    )
    # A gap is read beyond a gauge, on one side of it or the other.
    way = 1.0
    if row.of == "gap" and row.spot.gauge is not None:
        way = float(np.sign(row.observed - row.spot.gauge.value)) or 1.0
    return [
        Alternative(
            one.slip,
            one.rows,
            (row.observed + way * (one.corrected[0] - figure.value),),
        )
        for one in propose(index, typed, how)
    ]


def _sides(rows: tuple[tuple[Corner, Row], ...]) -> list[Alternative]:
    found = []
    for i, (left, one) in enumerate(rows):
        for j, (right, other) in enumerate(rows):
            if (left.side, right.side) != ("left", "right"):
                continue
            same = (one.of, one.state, one.kind) == (other.of, other.state, other.kind)
            if same and one.of != "gap" and one.observed != other.observed:
                found.append(swapped_sides(i, j, (one.observed, other.observed)))
    return found


def _told(one: Weighed, rows: tuple[tuple[Corner, Row], ...]) -> Misread:
    first = one.alternatives[0]
    concerned = [rows[k] for k in first.rows]
    instead = []
    for (_, row), number in zip(concerned, first.corrected, strict=True):
        figure = row.spot.figure if row.spot else None
        if figure is None:
            continue
        read = number
        if row.of == "gap" and row.spot is not None and row.spot.gauge is not None:
            read = abs(number - row.spot.gauge.value)
        kind = "angle" if row.unit == "rad" else "length"
        instead.append(like_typed(read, figure, kind))
    slips = " or ".join(dict.fromkeys(a.slip.value for a in one.alternatives))
    names = tuple(f"{row.name} ({corner.name})" for corner, row in concerned)
    was = tuple(row.as_typed for _, row in concerned)
    if first.slip is Slip.SIDES:
        told = (
            f"If {names[0]} and {names[1]} were written down the wrong way round, "
            "everything agrees."
        )
    else:
        told = (
            f"If {names[0]} were {instead[0]} for {was[0]}, everything agrees "
            f"({slips})."
        )
    return Misread(
        names=names,
        was=was,
        instead=tuple(instead),
        slip=slips,
        probability=one.probability,
        agrees=one.chance_above >= LOWEST_CHANCE,
        words=told,
    )
