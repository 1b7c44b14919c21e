"""The figures in a result: number, unit, doubt, and what kind of knowledge it is."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Any, Literal

__all__ = ["COVERAGE", "KINDS", "SCHEMA_VERSION", "Standing", "Value", "as_json"]

Standing = Literal["measured", "published", "assumed", "computed", "wanted"]

SCHEMA_VERSION = 1

KINDS = {
    "bar": ("new_bar", "NewBar"),
    "budget": ("budget", "Budget"),
    "check": ("check", "Check"),
    "gauge": ("gauge_result", "Gauge"),
    "history": ("history", "History"),
    "next": ("next_reading", "NextReading"),
    "plan": ("plan_result", "Plan"),
    "stand": ("stand_result", "StandResult"),
    "prove": ("prove", "Proof"),
    "readings": ("readings_result", "Readings"),
    "tape": ("tape", "Tape"),
    "teeth": ("teeth_result", "Teeth"),
    "travel": ("travel", "TravelTable"),
    "word": ("glossary", "Word"),
}
"""Kind of result → module of `splinewise.tasks` and class, for its JSON."""

COVERAGE = 2.0
"""Standard doubts in every ± that a face shows, about 95 % (JCGM 100:2008, 6.3.3,
from memory). [1]"""


@dataclass(frozen=True, slots=True)
class Value:
    """A figure of a result.

    Attributes
    ----------
    value : float
        The number; NaN where there is none. [SI]
    unit : str
        Its SI unit: "m", "rad", "N", "N·m", "Pa", "N/m", "N·m/rad", "Hz", "J", "1",
        or a quotient such as "m/rad". [1]
    doubt : float or None
        Standard uncertainty; None where nothing is known of it. [SI]
    standing : str
        "measured", "published", "assumed", "computed" or "wanted". [1]
    """

    value: float
    unit: str
    doubt: float | None = None
    standing: Standing = "computed"

    @property
    def known(self) -> bool:
        """Whether there is a number at all. [1]"""
        return math.isfinite(self.value)


def as_json(result: object, *, kind: str | None = None) -> dict[str, Any]:
    """Return a result object as plain data for `json.dumps`.

    Each dataclass becomes an object with its field names, each `Value` an object
    with `value`, `unit`, `doubt` and `standing`; a number that does not exist is
    null.  The outermost object carries `schema`, the result's kind and version.

    Parameters
    ----------
    result : dataclass instance
        A task's result.
    kind : str, optional
        Name for `schema`; that of `KINDS` if left out, else the class's name in
        lower case.

    Returns
    -------
    dict
        Plain data.
    """
    plain = _plain(result)
    if not isinstance(plain, dict):
        msg = f"a result must be a dataclass, not {type(result).__name__}"
        raise TypeError(msg)
    own = type(result).__name__
    named = {name: kind for kind, (_, name) in KINDS.items()}
    name = kind or named.get(own, own.lower())
    return {"schema": f"splinewise/{name}/{SCHEMA_VERSION}", **plain}


def _plain(thing: object) -> Any:
    if is_dataclass(thing) and not isinstance(thing, type):
        return {f.name: _plain(getattr(thing, f.name)) for f in fields(thing)}
    if isinstance(thing, Mapping):
        return {str(key): _plain(item) for key, item in thing.items()}
    if isinstance(thing, (tuple, list)):
        return [_plain(item) for item in thing]
    if isinstance(thing, float):
        return thing if math.isfinite(thing) else None
    if thing is None or isinstance(thing, (str, bool, int)):
        return thing
    if hasattr(thing, "tolist"):  # NumPy, without importing it here
        return _plain(thing.tolist())
    msg = f"a result may not hold a {type(thing).__name__}"
    raise TypeError(msg)
