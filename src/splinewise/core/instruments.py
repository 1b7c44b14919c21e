"""Workshop instruments, one row each: what a reading taken with them may be wrong by.

A row gives the smallest step that is read, the error that the instrument is allowed
and the scatter of a careful hand; tapes add how the hook sits.  A row is a starting
point for an instrument of which nothing else is known: a certificate, a maker's
statement or the person's own repeats have the last word.

Left out: the temperature of a steel tape or rule (11.5 µm a metre for each kelvin
away from 20 °C; on a steel car of the same warmth the figure of the car at 20 °C is
read), sag of an unsupported tape, and parallax beyond the repeatability.

References
----------
.. [1] Directive 2014/32/EU, Annex X (MI-008), as in UK SI 2016/1153, Schedule 1I,
   chapter 1, paragraph 2: limits a + b L, L in metres rounded up, and c for an end
   surface.  Read in the statutory instrument.
.. [2] JIS B 7516, class 1 steel rules; read in a maker's guide, not in the standard.
.. [3] DIN 862, callipers; read in a one-page extract whose columns had partly run
   together, not in the standard.
.. [4] OIML R 76-1, Table 6, non-automatic weighing instruments; read.  That the limit
   doubles in service was read in a service firm's note.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.doubt import (
    Doubt,
    Part,
    of_resolution,
    rectangular,
    triangular,
)
from splinewise.core.instrument_limits import (
    box_limit,
    calliper_limit,
    constant_limit,
    person_scale_limit,
    rule_limit,
    scale_limit,
    tape_limit,
)
from splinewise.core.quantities import Array, finite, positive, refuse_where
from splinewise.errors import TextError

__all__ = ["INSTRUMENTS", "Instrument", "gauge_bar_doubt", "reading_doubt"]

DEGREE = np.pi / 180.0
PRACTICE = "common practice, no source"
MEMORY = "from memory"
MID = "Directive 2014/32/EU, Annex X (MI-008)"


@dataclass(frozen=True, slots=True, eq=False)
class Instrument:
    """One row of the table.

    Attributes
    ----------
    words : str
        What it is, as a person says it.
    unit : str
        SI unit of its readings: m, rad or kg.
    step : float
        Smallest step that is read, unless the person says another. [unit]
    limit : callable, (...) -> (...)
        Largest permitted error of a reading. [unit]
    limit_source : str
        Where the limit comes from.
    scatter : float
        Standard deviation of one reading by a careful hand. [unit]
    scatter_source : str
        Where the scatter comes from.
    seat : float
        Half-width of how a hook or an end sits; 0 where nothing sits. [unit]
    longest : float
        Largest reading for which the row holds. [unit]
    """

    words: str
    unit: str
    step: float
    limit: Callable[[Array], Array]
    limit_source: str
    scatter: float
    scatter_source: str = PRACTICE
    seat: float = 0.0
    longest: float = np.inf


def _tape(words: str, grade: int, *, hook: bool) -> Instrument:
    return Instrument(
        words,
        "m",
        1e-3,
        lambda length: tape_limit(length, grade=grade, end_surface=hook),
        MID,
        0.5e-3,
        seat=0.5e-3 if hook else 0.0,
        longest=30.0,
    )


def _calliper(words: str, step: float, scatter: float, *, inside: bool) -> Instrument:
    return Instrument(
        words,
        "m",
        step,
        lambda length: calliper_limit(length, step=step, inside=inside),
        "DIN 862, read in an extract",
        scatter,
        longest=1.0,
    )


INSTRUMENTS: dict[str, Instrument] = {
    "tape-1": _tape("steel tape, EU class I, mark to mark", 1, hook=False),
    "tape-1-hook": _tape("steel tape, EU class I, from the hook", 1, hook=True),
    "tape-2": _tape("steel tape, EU class II, mark to mark", 2, hook=False),
    "tape-2-hook": _tape("steel tape, EU class II, from the hook", 2, hook=True),
    "tape-3": _tape("steel tape, EU class III, mark to mark", 3, hook=False),
    "tape-3-hook": _tape("steel tape, EU class III, from the hook", 3, hook=True),
    "rule": Instrument(
        "steel rule",
        "m",
        0.5e-3,
        rule_limit,
        "JIS B 7516 class 1, read in a maker's guide",
        0.2e-3,
        longest=2.0,
    ),
    "calliper-outside": _calliper(
        "digital calliper, outside jaws", 1e-5, 2e-5, inside=False
    ),
    "calliper-inside": _calliper(
        "digital calliper, inside jaws or depth rod", 1e-5, 3e-5, inside=True
    ),
    "vernier-outside": _calliper(
        "vernier calliper of 0.05 mm, outside jaws", 5e-5, 3e-5, inside=False
    ),
    "vernier-inside": _calliper(
        "vernier calliper of 0.05 mm, inside jaws or depth rod",
        5e-5,
        4e-5,
        inside=True,
    ),
    "angle-box": Instrument(
        "digital angle gauge",
        "rad",
        0.1 * DEGREE,
        box_limit,
        "usual claim of makers, from memory",
        0.05 * DEGREE,
    ),
    "clinometer": Instrument(
        "hand clinometer",
        "rad",
        DEGREE / 6.0,
        constant_limit(DEGREE / 3.0),
        "one product's manual, read; typical only",
        0.1 * DEGREE,
    ),
    "phone": Instrument(
        "phone used as an inclinometer",
        "rad",
        0.1 * DEGREE,
        constant_limit(0.5 * DEGREE),
        PRACTICE,
        0.15 * DEGREE,
    ),
    "spirit-level": Instrument(
        "spirit level, bubble between its lines",
        "rad",
        1e-3,
        constant_limit(0.5e-3),
        "0.5 mm in a metre, usual claim of makers, from memory",
        0.5e-3,
        longest=0.05,
    ),
    "plumb-line": Instrument(
        "plumb line and rule",
        "m",
        0.5e-3,
        rule_limit,
        "JIS B 7516 class 1, read in a maker's guide",
        0.5e-3,
        longest=2.0,
    ),
    "floor-scales": Instrument(
        "bathroom or floor scales, never verified",
        "kg",
        0.1,
        person_scale_limit,
        "1 % or 1 kg, whichever is more; from memory",
        0.5,
    ),
    "corner-scales": Instrument(
        "corner scales, class III, interval 0.2 kg, in service",
        "kg",
        0.2,
        lambda load: 2.0 * scale_limit(load, interval=0.2),
        "OIML R 76-1 Table 6, doubled for use",
        0.3,
        longest=2000.0,
    ),
}


def reading_doubt(
    instrument: str,
    reading: ArrayLike,
    *,
    step: float | None = None,
    standard: ArrayLike | None = None,
) -> Doubt:
    """Doubt of a reading taken with an instrument of the table.

    Parameters
    ----------
    instrument : str, shape ()
        Key of `INSTRUMENTS`. [1]
    reading : array_like, shape (...)
        What was read. [unit]
    step : float, shape (), optional
        Smallest step that was read, where it is not the row's own: a tape in
        sixteenths of an inch, an angle box that shows 0.05°. [unit]
    standard : array_like, shape (...), optional
        Standard uncertainty that the person states; it replaces the whole row. [unit]

    Returns
    -------
    Doubt, shape (...)
        Parts named "resolution", "permissible error", "repeatability", and "hook"
        where one sits. [unit]

    Raises
    ------
    TextError
        If there is no such row.
    QuantityError
        If a reading is longer than the row holds for.

    Examples
    --------
    >>> doubt = reading_doubt("tape-2-hook", 0.640)
    >>> print(f"{1e3 * doubt.part('permissible error'):.4f} mm")
    0.4041 mm
    >>> print(f"{1e3 * doubt.standard:.2f} mm")
    0.76 mm
    """
    row = _row(instrument)
    value = finite("reading", reading, row.unit)
    size = np.abs(value)
    refuse_where(
        size > row.longest,
        "reading",
        value,
        row.unit,
        f"within the reach of the instrument, {row.longest:g} {row.unit}",
    )
    if standard is not None:
        u = positive("standard", standard, row.unit)
        return Doubt((Part("stated", u, "stated by the person"),), row.unit)
    d = positive("step", row.step if step is None else step, row.unit)
    like = np.ones_like(size)
    parts = [
        Part("resolution", of_resolution(d) * like, "the step that is read"),
        Part("permissible error", rectangular(row.limit(size)), row.limit_source),
        Part("repeatability", row.scatter * like, row.scatter_source),
    ]
    if row.seat > 0.0:
        parts.append(Part("hook", rectangular(row.seat) * like, PRACTICE))
    return Doubt(tuple(parts), row.unit)


def _row(key: str) -> Instrument:
    if key not in INSTRUMENTS:
        known = ", ".join(INSTRUMENTS)
        why = f"No instrument is called {key!r}."
        raise TextError(key, why, f"Known are {known}.")
    return INSTRUMENTS[key]


def gauge_bar_doubt(
    holes: ArrayLike,
    bolts: ArrayLike,
    between_centres: ArrayLike,
    *,
    straightness: ArrayLike = 0.0,
) -> Doubt:
    """Doubt of a length set by two holes of a gauge bar on two bolts.

    Each bolt may lie anywhere in its hole, so the sum of the two offsets lies within
    ±[(h₁ − p₁) + (h₂ − p₂)] / 2.  With equal clearances its density is a triangle;
    the variance of two independent rectangular offsets is taken here for any two
    clearances, which for equal ones is the triangle's.  Under load the bolts lie on
    known sides, and then it is a shift to correct, not a doubt (own derivation).

    Parameters
    ----------
    holes : array_like, shape (..., 2)
        Hole diameters, h. [m]
    bolts : array_like, shape (..., 2)
        Bolt diameters, p, at most those of the holes. [m]
    between_centres : array_like, shape (...)
        Standard uncertainty of the distance between the hole centres, as made or as
        measured. [m]
    straightness : array_like, shape (...), default 0
        Half-width of how far the bolts lean along the bar, both together. [m]

    Returns
    -------
    Doubt, shape (...)
        Parts named "pin seating", "hole centres" and "bolt lean". [m]

    Raises
    ------
    QuantityError
        If a bolt does not go into its hole.
    """
    h, p = np.broadcast_arrays(
        positive("holes", holes, "m"), positive("bolts", bolts, "m")
    )
    refuse_where(p > h, "bolts", p, "m", "no larger than their holes")
    u = finite("between_centres", between_centres, "m")
    refuse_where(u < 0.0, "between_centres", u, "m", "0 or more")
    play = rectangular((h - p) / 2.0)
    own = "clearances as given; own derivation"
    parts = (
        Part("pin seating", np.sqrt(np.sum(play**2, axis=-1)), own),
        Part("hole centres", u, "as given"),
        Part("bolt lean", triangular(straightness), "as given"),
    )
    return Doubt(parts, "m")
