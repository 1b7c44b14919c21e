"""What a person typed, kept as typed and in SI side by side."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Any, Final

from splinewise.errors import TextError
from splinewise.units import read_any

__all__ = ["DISTANCE", "READABLE", "SI_UNITS", "Typed", "kinds_of", "typed"]

Typed = dict[str, Any]
"""`text` as typed, `value`, `doubt` and `step` in SI, `unit` the SI unit."""

SI_UNITS: Final = {
    "length": "m",
    "angle": "rad",
    "mass": "kg",
    "force": "N",
    "torque": "N·m",
    "linear rate": "N/m",
    "angular rate": "N·m/rad",
    "pressure": "Pa",
    "frequency": "Hz",
    "temperature": "K",
    "turns": "turn",
    "number": "1",
}

DISTANCE: Final = ("distance",)
"""What an odometer shows: kilometres or miles, which `units` has no need of."""

READABLE: Final = (
    "length",
    "angle",
    "mass",
    "force",
    "pressure",
    "torque",
    "turns",
    "linear rate",
    "angular rate",
    "frequency",
    "temperature",
)

# Of some things the kind is known, and 30' is then half a degree, never 30 feet.
_ANGLES = ("arm slope", "camber", "caster", "steering-axis inclination")
_KINDS = {
    **dict.fromkeys(_ANGLES, ("angle",)),
    "toe": ("angle", "length"),
    "corner load": ("mass", "force"),
    "ride height": ("length",),
    "gap": ("length",),
}

_ODOMETER = re.compile(
    r"(\d{1,9})(?:[.,](\d{1,3}))?\s*(km|mi|miles|mile)", re.IGNORECASE
)
_MILE = Fraction("1609.344")


def kinds_of(of: str) -> tuple[str, ...]:
    """Return the kinds of quantity that a reading of something may be.

    Parameters
    ----------
    of : str
        What is read, as "setting length" or "camber".

    Returns
    -------
    tuple of str
        Kinds, the likelier first.
    """
    return _KINDS.get(of, READABLE)


def typed(text: str, kinds: Sequence[str]) -> Typed:
    """Return what was typed, with its value in SI.

    Parameters
    ----------
    text : str
        As typed.
    kinds : sequence of str
        Kinds of quantity that it may be, or `DISTANCE`.

    Returns
    -------
    dict
        `text`, `value`, `unit`, `doubt` and `step`. [SI]

    Raises
    ------
    TextError
        If it cannot be read.

    Examples
    --------
    >>> typed("15 5/8 in", ("length",))["value"]
    0.396875
    >>> typed("84312 mi", DISTANCE)["value"]
    135687011.328
    """
    if tuple(kinds) == DISTANCE:
        return _distance(text)
    try:
        read = read_any(text, kinds)
    except TextError:
        if len(kinds) > 4:
            # Say what is meant most often, not all that could have been.
            read_any(text, kinds[:2])
        raise
    return {
        "text": text,
        "value": read.value,
        "unit": SI_UNITS[read.kind],
        "doubt": read.doubt,
        "step": read.step,
    }


def _distance(text: str) -> Typed:
    found = _ODOMETER.fullmatch(text.strip())
    if found is None:
        why = f"{text!r} is no distance as an odometer shows it."
        raise TextError(text, why, "Write 84312 mi or 135689 km.")
    whole, part, unit = found.groups()
    size = Fraction(1000) if unit.lower() == "km" else _MILE
    digits = part or ""
    number = Fraction(f"{whole}.{digits or 0}")
    return {
        "text": text,
        "value": float(number * size),
        "unit": "m",
        "doubt": None,
        "step": float(size / 10 ** len(digits)),
    }
