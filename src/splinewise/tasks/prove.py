"""Is a corner inside its tolerance, and how sure is that?

The height, or a length with the bar slack, comes from all readings together.  A corner
passes where the chance of its being outside is no more than the risk that is put up
with, fails where that of its being inside is no more, and between the two the readings
cannot tell.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from splinewise import show
from splinewise.car.model import Car, Corner, Figure, System
from splinewise.core.conformity import assess
from splinewise.core.tails import normal_quantile
from splinewise.errors import TaskError
from splinewise.tasks.cautions import cautions
from splinewise.tasks.fit_car import readings_from
from splinewise.tasks.fit_joint import Solved, joint_of, solve_joint
from splinewise.tasks.fit_model import SLACK
from splinewise.tasks.said import said_away
from splinewise.tasks.slack import corner_of, dimension_of
from splinewise.tasks.values import Value

__all__ = ["Level", "Proof", "Wanted", "chance_words", "prove"]

HEIGHT = "ride height"
Outcome = Literal["pass", "fail", "cannot tell"]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a corner is held against.

    Attributes
    ----------
    of : str
        "ride height", or a dimension with the bar slack. [1]
    value, tolerance : float or None
        What is wanted and how far off it may be; None for the car file's. [m]
    """

    of: str = HEIGHT
    value: float | None = None
    tolerance: float | None = None


@dataclass(frozen=True, slots=True)
class Level:
    """One side against the other.

    Attributes
    ----------
    other : str
        The other corner. [1]
    higher : Value
        By how much this corner stands higher, or its length is longer. [m]
    outcome : str
        "pass", "fail" or "cannot tell" against the tolerance. [1]
    inside : float
        Probability that the two differ by no more than the tolerance. [1]
    words : str
        The same as a sentence. [1]
    """

    other: str
    higher: Value
    outcome: Outcome
    inside: float
    words: str


@dataclass(frozen=True, slots=True)
class Proof:
    """The verdict on one corner.

    Attributes
    ----------
    car, corner, side : str
        Which corner. [1]
    of, where : str
        What is proved; between which places it is measured. [1]
    found, wanted, tolerance : Value
        As all readings have it; as wanted; how far off it may be. [m]
    off : Value
        Found less wanted. [m]
    outcome : str
        "pass", "fail" or "cannot tell". [1]
    inside : float
        Probability that it is inside the tolerance. [1]
    risk : float
        Chance of a wrong verdict that is put up with. [1]
    acceptance : tuple of Value
        Between what it passes; NaN where nothing could pass with this doubt. [m]
    guard_band : Value
        How far inside the tolerance that is; NaN where nothing could pass. [m]
    doubt_needed : Value
        Standard doubt from which a corner exactly as wanted could pass. [m]
    level : Level or None
        Against the other side; None where that is not known. [1]
    readings_agree, passes : bool
        Whether the readings agree; whether it passes and they do. [1]
    words : str
        The verdict as a sentence. [1]
    left_out, cautions : tuple of str
        What could not be used; safety sentences. [1]
    """

    car: str
    corner: str
    side: str
    of: str
    where: str
    found: Value
    wanted: Value
    tolerance: Value
    off: Value
    outcome: Outcome
    inside: float
    risk: float
    acceptance: tuple[Value, Value]
    guard_band: Value
    doubt_needed: Value
    level: Level | None
    readings_agree: bool
    passes: bool
    words: str
    left_out: tuple[str, ...]
    cautions: tuple[str, ...]


def prove(car: Car, corner: str, wanted: Wanted, *, risk: float) -> Proof:
    """Judge a corner against its tolerance.

    Parameters
    ----------
    car : Car
        The car.
    corner : str
        Its corner, by name or side.
    wanted : Wanted
        What it is held against.
    risk : float
        Chance of a wrong verdict that is put up with. [1]

    Returns
    -------
    Proof
        The verdict.

    Raises
    ------
    TaskError
        If nothing was read, or what is wanted is not known.
    """
    here = corner_of(car, corner)
    if not 0.0 < risk < 0.5:
        msg = "The risk must lie between 0 and one half."
        raise TaskError(msg)
    aim, tolerance = _aim(here, wanted)
    solved = solve_joint(joint_of(car, [here.name]))
    read = readings_from(car, solved)
    found = _found(solved, here, wanted.of)
    doubt = found.doubt or 0.0
    said = assess(found.value, doubt, aim - tolerance, aim + tolerance, risk=risk)
    low, high = said.acceptance
    could = low <= high
    off = Value(found.value - aim, "m", found.doubt)
    return Proof(
        car=car.name,
        corner=here.name,
        side=here.side,
        of=wanted.of,
        where=_where(here, wanted.of),
        found=found,
        wanted=Value(aim, "m", standing="wanted"),
        tolerance=Value(tolerance, "m", standing="wanted"),
        off=off,
        outcome=said.outcome.value,
        inside=said.inside,
        risk=risk,
        acceptance=(
            Value(low if could else math.nan, "m"),
            Value(high if could else math.nan, "m"),
        ),
        guard_band=Value(aim + tolerance - high if could else math.nan, "m"),
        doubt_needed=Value(_doubt_needed(tolerance, risk), "m"),
        level=_level(car, here, wanted.of, found, tolerance, risk),
        readings_agree=read.agrees,
        passes=said.outcome.value == "pass" and read.agrees,
        words=_words(here, wanted.of, off, said.outcome.value, said.inside, car.system)
        + ("" if read.agrees else " But the readings disagree: mend that first."),
        left_out=read.left_out,
        cautions=cautions(["on stands"]),
    )


def _aim(here: Corner, wanted: Wanted) -> tuple[float, float]:
    """Return what is wanted and its tolerance. [m]"""
    value, tolerance = wanted.value, wanted.tolerance
    ride = here.ride_height
    if wanted.of == HEIGHT:
        if ride is None:
            msg = f"The file does not say where the ride height of {here.name} is read."
            raise TaskError(msg)
        value = _or(value, ride.wanted)
        tolerance = _or(tolerance, ride.tolerance)
    else:
        dimension_of(here, wanted.of)
        print_of = [
            p.figure
            for p in here.published
            if p.of == wanted.of and p.state == "bare arm"
        ]
        value = _or(value, print_of[0] if print_of else None)
    if value is None or tolerance is None:
        lacking = "the value wanted (--value)" if value is None else "--within"
        msg = f"To prove the {wanted.of} of {here.name}, give {lacking}."
        raise TaskError(msg)
    if tolerance <= 0.0:
        msg = "A tolerance must be above 0."
        raise TaskError(msg)
    return value, tolerance


def _or(value: float | None, figure: Figure | None) -> float | None:
    return figure.value if value is None and figure is not None else value


def _where(here: Corner, of: str) -> str:
    if of == HEIGHT:
        return here.ride_height.where if here.ride_height else ""
    one = here.dimensions[of]
    return f"{one.fixed} to {one.moving}, bar slack"


def _found(solved: Solved, here: Corner, of: str) -> Value:
    """Return the height or the length as all readings have it. [m]"""
    if of == HEIGHT:
        height, slopes = solved.height(0)
        if not math.isfinite(height):
            msg = f"By the readings {here.name} sits on a stop; nothing is proved so."
            raise TaskError(msg)
        return Value(height, "m", solved.doubt_of(slopes) or None)
    span = here.dimensions[of].span
    slack, doubt = solved.figure(0, SLACK)
    found = float(np.asarray(span.length(slack)))
    return Value(found, "m", abs(float(span.slope(slack))) * doubt or None)


def _doubt_needed(tolerance: float, risk: float) -> float:
    """Return the standard doubt at which the middle just passes. [m]"""
    return tolerance / float(normal_quantile(1.0 - risk / 2.0))


def _level(
    car: Car, here: Corner, of: str, found: Value, tolerance: float, risk: float
) -> Level | None:
    other = car.opposite(here)
    if other is None or (of != HEIGHT and of not in other.dimensions):
        return None
    if of == HEIGHT and other.ride_height is None:
        return None
    try:
        that = _found(solve_joint(joint_of(car, [other.name])), other, of)
    except TaskError:
        return None
    higher = Value(
        found.value - that.value, "m", math.hypot(found.doubt or 0, that.doubt or 0)
    )
    said = assess(higher.value, higher.doubt or 0.0, -tolerance, tolerance, risk=risk)
    words = ("higher", "lower") if of == HEIGHT else ("longer", "shorter")
    apart = said_away(higher, car.system, above=words[0], below=words[1])
    return Level(
        other.name,
        higher,
        said.outcome.value,
        said.inside,
        f"{here.name} is {apart} than {other.name}: "
        + {
            "pass": "no more than the tolerance.",
            "fail": "more than the tolerance.",
            "cannot tell": "whether that is within the tolerance cannot be told.",
        }[said.outcome.value],
    )


def _words(
    here: Corner, of: str, off: Value, outcome: str, inside: float, system: System
) -> str:
    above, below = ("above", "below") if of == HEIGHT else ("over", "under")
    where = said_away(off, system, above=above, below=below)
    verdict = {
        "pass": f"{here.name} passes",
        "fail": f"{here.name} fails",
        "cannot tell": f"Whether {here.name} passes cannot be told",
    }[outcome]
    return (
        f"{verdict}: its {of} is {where} what is wanted, and inside the tolerance with "
        f"a probability of {chance_words(inside)}."
    )


def chance_words(chance: float) -> str:
    """Return a probability as a person reads it.

    Parameters
    ----------
    chance : float
        The probability. [1]

    Returns
    -------
    str
        As "72 %", "over 99.9 %" or "under 0.1 %".
    """
    if chance > 0.999:
        return "over 99.9 %"
    if chance < 0.001:
        return "under 0.1 %"
    return show.percent(chance)
