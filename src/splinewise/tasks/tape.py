"""From distances and levels among named points to their places, and to who is wrong."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from splinewise.car.model import Observation
from splinewise.car.tape_file import Taped, Taping
from splinewise.core.misread_slips import Alternative, Circumstances, propose
from splinewise.core.misreads import LOWEST_CHANCE, weigh
from splinewise.core.network import Network, adjust, square_sum_of
from splinewise.core.network_ties import Kind, Tie
from splinewise.core.noticeable import smallest_noticeable
from splinewise.core.snooping import Finding, judge
from splinewise.errors import TaskError
from splinewise.tasks.as_typed import like_typed, typed_of
from splinewise.tasks.doubts import observed_doubt
from splinewise.tasks.readings_result import Misread
from splinewise.tasks.values import Value

__all__ = ["Place", "Tape", "TapeRow", "tape"]

_LEAST = 0.01
_MOST = 5


@dataclass(frozen=True, slots=True)
class Place:
    """Where one point is.

    Attributes
    ----------
    point : str
        Its name. [1]
    x, y, z : Value
        Its coordinates, z up. [m]
    """

    point: str
    x: Value
    y: Value
    z: Value


@dataclass(frozen=True, slots=True)
class TapeRow:
    """One reading against all the others.

    Attributes
    ----------
    name, as_typed : str
        What it is called and how it was typed. [1]
    observed, off : Value
        As read; and that less what the others say, NaN if they say nothing. [m]
    times : float
        What shows of it over its standard doubt; NaN if the others say nothing. [1]
    noticeable : Value
        Smallest error that would be noticed four times in five; NaN if none would. [m]
    verdict : str
        "agrees", "wrong", "suspect" or "cannot tell". [1]
    """

    name: str
    as_typed: str
    observed: Value
    off: Value
    times: float
    noticeable: Value
    verdict: Literal["agrees", "wrong", "suspect", "cannot tell"]


@dataclass(frozen=True, slots=True)
class Tape:
    """The points of a taping.

    Attributes
    ----------
    name : str
        What the person calls it. [1]
    places : tuple of Place
        The points. [m]
    rows : tuple of TapeRow
        The readings. [m]
    spare : int
        How many readings there are more than are needed. [1]
    chance : float
        Chance that good readings would lie as far apart; NaN without spare ones. [1]
    agrees : bool
        Whether the readings agree. [1]
    words : str
        The verdict as a sentence. [1]
    misreads : tuple of Misread
        Slips that would explain what is wrong, the likeliest first. [1]
    free : int
        Shifts and turns that nothing in the file fixes. [1]
    mirrored : bool
        Whether the mirror image agrees as well. [1]
    other_shapes : int
        How many other shapes agree about as well. [1]
    toml : str
        The points as they stand in a car file. [1]
    notes : tuple of str
        How to read it. [1]
    """

    name: str
    places: tuple[Place, ...]
    rows: tuple[TapeRow, ...]
    spare: int
    chance: float
    agrees: bool
    words: str
    misreads: tuple[Misread, ...]
    free: int
    mirrored: bool
    other_shapes: int
    toml: str
    notes: tuple[str, ...]


def tape(taping: Taping) -> Tape:
    """Find the points of a taping, and test its readings.

    Parameters
    ----------
    taping : Taping
        What was read. [m]

    Returns
    -------
    Tape
        Places with doubts, and the verdict on each reading. [m]

    Raises
    ------
    TaskError
        If the readings do not fix all points, or one has no doubt.
    """
    index = {name: i for i, name in enumerate(taping.points)}
    ties = [_tie(row, index) for row in taping.readings]
    held, near = (
        np.array([given.get(p, (math.nan,) * 3) for p in taping.points])
        for given in (taping.held, taping.near)
    )
    found = adjust(ties, len(index), held=held, near=near, names=taping.points)
    verdict = judge(found.tested)
    wrong = verdict.finding is not Finding.AGREES
    sure = verdict.finding is Finding.READING_WRONG
    return Tape(
        name=taping.name,
        places=_places(taping, found),
        rows=_rows(taping, found, verdict.suspects, sure),
        spare=found.fit.dof,
        chance=float(found.fit.chance_above) if found.fit.dof else math.nan,
        agrees=not wrong,
        words=_words(taping, found, verdict.suspects, wrong, sure),
        misreads=_misreads(taping, found) if wrong else (),
        free=found.datum_defect,
        mirrored=bool(found.mirrored),
        other_shapes=len(found.others),
        toml=_toml(taping, found),
        notes=_notes(found),
    )


def _tie(row: Taped, index: dict[str, int]) -> Tie:
    seen = Observation(row.kind, row.figure, "bare arm", row.name, row.instrument)
    u, _ = observed_doubt(seen)
    if u <= 0.0:
        msg = f"{row.name!r} has no doubt; write its ± beside it, or an instrument."
        raise TaskError(msg)
    first, last = index[row.ends[0]], index[row.ends[-1]]
    return Tie(Kind(row.kind), first, last, row.figure.value, u)


def _places(taping: Taping, found: Network) -> tuple[Place, ...]:
    def value(i: int, axis: int) -> Value:
        u = float(np.nan_to_num(found.doubts[i, axis]))
        return Value(float(found.agreed[i, axis]), "m", u or None)

    return tuple(
        Place(name, value(i, 0), value(i, 1), value(i, 2))
        for i, name in enumerate(taping.points)
    )


def _rows(
    taping: Taping, found: Network, suspects: tuple[int, ...], sure: bool
) -> tuple[TapeRow, ...]:
    fit = found.tested
    least, r = smallest_noticeable(fit), np.clip(fit.redundancy, 1e-300, None)
    rows = []
    for i, row in enumerate(taping.readings):
        seen = bool(fit.checkable[i])
        said: Literal["agrees", "wrong", "suspect", "cannot tell"] = "agrees"
        if not seen:
            said = "cannot tell"
        elif i in suspects:
            said = "wrong" if sure else "suspect"
        off = -float(fit.residuals[i] / r[i]) if seen else math.nan
        doubt = float(fit.standard[i] / math.sqrt(r[i])) if seen else None
        own = Value(row.figure.value, "m", float(fit.standard[i]), "measured")
        rows.append(
            TapeRow(
                row.name,
                row.figure.text,
                own,
                Value(off, "m", doubt),
                float(fit.standardized[i]),
                Value(float(least[i]) if seen else math.nan, "m"),
                said,
            )
        )
    return tuple(rows)


def _words(
    taping: Taping, found: Network, suspects: tuple[int, ...], wrong: bool, sure: bool
) -> str:
    count = len(taping.readings)
    if not wrong:
        if found.fit.dof == 0:
            return f"{count} readings fix the points with none to spare: any misread stands."
        return f"The {count} readings agree; {found.fit.dof} of them are to spare."
    names = [taping.readings[i].name for i in suspects]
    if sure:
        return f"{names[0]} is wrong; the others agree. Read it again."
    if not names:
        return "Something is wrong, and the readings do not show which."
    return (
        "Something is wrong, and the readings do not show which. Read again, beginning "
        f"with {' and '.join(names[:3])}."
    )


def _misreads(taping: Taping, found: Network) -> tuple[Misread, ...]:
    fit, tried = found.tested, list[Alternative]()
    for i, row in enumerate(taping.readings):
        typed = typed_of(row.figure, "length")
        if typed is None:
            continue
        how = Circumstances(graduation=row.figure.step, signed=row.kind == "level")
        # The fit counts heights from its own origin.
        shift = float(fit.observed[i]) - row.figure.value
        tried += [
            Alternative(one.slip, one.rows, (one.corrected[0] + shift,))
            for one in propose(i, typed, how)
        ]

    def refit(one: Alternative) -> float:
        changed = fit.observed.copy()
        changed[list(one.rows)] = one.corrected
        return square_sum_of(found, changed)

    told = []
    for one in weigh(fit, tried, refit=refit).weighed[:_MOST]:
        if one.probability < _LEAST or one.chance_above < LOWEST_CHANCE:
            continue
        first = one.alternatives[0]
        row = taping.readings[first.rows[0]]
        shift = float(fit.observed[first.rows[0]]) - row.figure.value
        instead = like_typed(first.corrected[0] - shift, row.figure, "length")
        slips = " or ".join(dict.fromkeys(a.slip.value for a in one.alternatives))
        words = (
            f"If {row.name} were {instead} for {row.figure.text}, everything agrees "
            f"({slips})."
        )
        told.append(
            Misread(
                (row.name,),
                (row.figure.text,),
                (instead,),
                slips,
                one.probability,
                agrees=True,
                words=words,
            )
        )
    return tuple(told)


def _toml(taping: Taping, found: Network) -> str:
    lines = ['unit = "mm"']
    for name, place in zip(taping.points, found.agreed, strict=True):
        bare = name if name.replace("_", "").replace("-", "").isalnum() else f"{name!r}"
        lines.append(f"{bare} = [{', '.join(f'{1e3 * x + 0.0:.2f}' for x in place)}]")
    return "\n".join(lines)


def _notes(found: Network) -> tuple[str, ...]:
    notes = [
        (
            "Each ± is two standard doubts, from the readings as stated. A reading counts "
            "as wrong where a good one would lie so far out less than once in a thousand "
            "times."
        )
    ]
    if found.datum_defect:
        notes.append(
            f"Nothing fixes {found.datum_defect} shifts and turns of the whole; they "
            "are chosen so that no point is favoured. Give [held] places to fix them."
        )
    if found.mirrored:
        notes.append("The mirror image agrees as well; give [near] places to choose.")
    if found.others:
        notes.append("Another shape agrees about as well; read one distance more.")
    return tuple(notes)
