"""How sure a figure of the car file is, and who says so.

A ± that the person typed or the source states comes first; then the instrument that
a reading was taken with; and where neither is known, the last step that the typed
text shows.
"""

from __future__ import annotations

import math

from splinewise.car.model import Figure, Observation
from splinewise.errors import QuantityError, TaskError

__all__ = ["observed_doubt", "standard_doubt"]

AS_TYPED = "the ± as typed"
LAST_STEP = "half of the last step that the figure shows"


def standard_doubt(figure: Figure) -> float:
    """Return a figure's standard doubt from what was typed.

    A stated ± is taken as the half-width of a rectangle (a/√3); else the last step
    that the text shows is (step/√12): JCGM 100:2008, 4.3.7 and F.2.2.1, from memory.

    Parameters
    ----------
    figure : Figure
        The figure. [SI]

    Returns
    -------
    float
        Standard uncertainty. [SI]
    """
    if figure.doubt is not None:
        return figure.doubt / math.sqrt(3.0)
    return figure.step / math.sqrt(12.0)


def observed_doubt(seen: Observation) -> tuple[float, str]:
    """Return an observation's standard doubt, and where it comes from.

    Parameters
    ----------
    seen : Observation
        The observation. [m or rad]

    Returns
    -------
    tuple of float and str
        Standard uncertainty, and its origin in words. [m or rad]

    Raises
    ------
    TaskError
        If the instrument cannot have read this.
    """
    figure = seen.figure
    if figure.doubt is not None:
        return standard_doubt(figure), AS_TYPED
    if not seen.instrument:
        return standard_doubt(figure), LAST_STEP
    # Not before it is needed: a plan seldom does.
    from splinewise.core.instruments import INSTRUMENTS, reading_doubt

    row = INSTRUMENTS.get(seen.instrument)
    if row is None:
        return standard_doubt(figure), LAST_STEP
    unit = "rad" if seen.of == "arm slope" else "m"
    if row.unit != unit:
        what = "an angle" if unit == "rad" else "a length"
        msg = f"{seen.name!r} is {what}, which a {row.words} does not read."
        raise TaskError(msg)
    try:
        doubt = reading_doubt(seen.instrument, figure.value)
    except QuantityError:
        msg = f"{seen.name!r} is {figure.text}, beyond the reach of a {row.words}."
        raise TaskError(msg) from None
    return float(doubt.standard), f"{row.words} ({row.limit_source})"
