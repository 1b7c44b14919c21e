"""A result's figure in the user's words: unit, doubt, and what kind of knowledge."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from splinewise import show
from splinewise.show import System
from splinewise.tasks.values import COVERAGE, Value

__all__ = ["said", "said_away", "said_change", "said_size"]

_WRITERS: dict[str, Callable[..., str]] = {
    "N": show.force,
    "N·m": show.torque,
    "N/m": show.linear_rate,
    "N·m/rad": show.angular_rate,
    "Pa": show.stress,
    "Hz": show.frequency,
    "J": show.energy,
    "kg": show.mass,
}

_KINDS = {
    "m": "length",
    "rad": "angle",
    "N": "force",
    "N·m": "torque",
    "N/m": "linear rate",
    "N·m/rad": "angular rate",
    "Pa": "pressure",
    "kg": "mass",
}

_STANDING = {"assumed": " (assumed)", "published": " (published)"}


def said(
    value: Value, system: System, *, both: bool = False, marked: bool = False
) -> str:
    """Write a figure in the user's units, its ± being two standard doubts.

    Parameters
    ----------
    value : Value
        The figure. [SI]
    system : str
        "inch" or "metric".
    both : bool
        Whether an inch car's figure is followed by the metric one.
    marked : bool
        Whether to add "(assumed)" or "(published)".

    Returns
    -------
    str
        The figure; "not known" if there is none.
    """
    if not math.isfinite(value.value):
        return "not known"
    doubt = None if value.doubt is None else COVERAGE * value.doubt
    if value.unit == "m":
        text = show.length(value.value, system=system, doubt=doubt)
    elif value.unit == "rad":
        text = show.angle(value.value, doubt=doubt)
    elif value.unit == "1":
        text = show.percent(value.value)
    elif value.unit == "m/rad":
        text = f"{show.change(math.radians(value.value), 'length', system=system)}/°"
    else:
        text = _WRITERS[value.unit](value.value, system=system, doubt=doubt, both=both)
    return text + (_STANDING.get(value.standing, "") if marked else "")


def said_change(value: Value, system: System, *, both: bool = True) -> str:
    """Write a change with its sign.

    Parameters
    ----------
    value : Value
        The change. [SI]
    system : str
        "inch" or "metric".
    both : bool
        Whether an inch car's length is followed by the metric one.

    Returns
    -------
    str
        The change; "not known" if there is none.
    """
    if not math.isfinite(value.value):
        return "not known"
    doubt = None if value.doubt is None else COVERAGE * value.doubt
    text = show.change(value.value, _KINDS[value.unit], system=system, doubt=doubt)
    return text if both else text.partition(" (")[0]


def said_away(
    value: Value,
    system: System,
    *,
    above: str = "above",
    below: str = "below",
    level: str = "off",
    both: bool = True,
) -> str:
    """Write how far something is from a place, with the side in words.

    Parameters
    ----------
    value : Value
        Its distance, of either sign. [m or rad]
    system : str
        "inch" or "metric".
    above, below : str
        What the positive and the negative side are called.
    level : str
        What is said where the distance rounds to nothing.
    both : bool
        Whether an inch car's length is followed by the metric one.

    Returns
    -------
    str
        As "0.40 in (10.2 mm) below".
    """
    size = replace(value, value=abs(value.value))
    text = said_change(size, system, both=both).replace("+", "")
    if not set("123456789") & set(text.partition("±")[0].partition("(")[0]):
        return f"{text} {level}"
    return f"{text} {above if value.value >= 0.0 else below}"


def said_size(metres: float, system: System, *, doubt: float | None = None) -> str:
    """Write how much, without a sign, for the middle of a sentence.

    Parameters
    ----------
    metres : float
        A length. [m]
    system : str
        "inch" or "metric".
    doubt : float, optional
        Its standard doubt. [m]

    Returns
    -------
    str
        The length, as "1.85 in (47.0 mm)" or "47.0 mm".
    """
    half = None if doubt is None else COVERAGE * doubt
    text = show.change(abs(metres), "length", system=system, doubt=half)
    return text.replace("+", "")
