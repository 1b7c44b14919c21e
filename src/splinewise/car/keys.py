"""How one value of a car file is read: a quantity, a point, a choice, a few words.

Each kind of value knows its unit, the range in which it can be believed and an
example; the published schema and the reference page are made from these same rows.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Final, Literal

from splinewise.car.declare import Decimal, Reader, Text, Whole, refuse
from splinewise.car.model import Figure, Standing
from splinewise.core.quantities import GRAVITY
from splinewise.errors import TextError
from splinewise.units import Quantity, read_any

__all__ = [
    "BLANK",
    "FIGURE",
    "OFFSET",
    "STANDINGS",
    "Angle",
    "AngleOrLength",
    "AngularRate",
    "Bump",
    "Count",
    "Length",
    "LinearRate",
    "Load",
    "Measured",
    "MeasuredRate",
    "Modulus",
    "Name",
    "Offset",
    "PointName",
    "Published",
    "Range",
    "Ratio",
    "Reading",
    "Reads",
    "ScaleLoad",
    "Size",
    "Story",
    "Stress",
    "Teeth",
    "Tolerance",
    "Travel",
    "Turns",
    "Wanted",
    "When",
    "YesNo",
    "kind_of",
    "refuse",
    "shown",
]

BLANK = "?"
"""What a new file has where a value must still be filled in."""

_DEGREE = math.pi / 180.0


FIGURE: Final = "figure"
"""What marks a figure in the schema as pydantic makes it."""


def _number(given: int) -> str:
    # Python refuses to spell out an integer of thousands of digits.
    return str(given) if abs(given) < 10**20 else "a number of very many digits"


@dataclass(frozen=True, slots=True)
class Range:
    """Where a value can be believed.

    Attributes
    ----------
    low, high : float
        The ends, both allowed. [SI]
    words : str
        The same as people say it. [1]
    """

    low: float
    high: float
    words: str


@dataclass(frozen=True, slots=True)
class Reads(Reader):
    """Reads text, or a table with its source, as a `Figure` in SI.

    Attributes
    ----------
    kinds : tuple of str
        The kinds of quantity that are taken, as `splinewise.units` names them. [1]
    ranges : tuple of Range
        The range of each. [SI]
    example : str
        A value as it may be written. [1]
    standing : str
        What the figure counts as unless the file says otherwise. [1]
    """

    kinds: tuple[str, ...]
    ranges: tuple[Range, ...]
    example: str
    standing: Standing = "assumed"

    def read(self, given: object, data: Mapping[str, Any]) -> Figure:
        """Return the figure, or refuse what was given."""
        del data
        return self.figure(given)

    def published(self) -> dict[str, Any]:
        """Return one mark for all figures; the schema says once what they are."""
        return {"$comment": FIGURE}

    def figure(self, given: object) -> Figure:
        """Return the figure, or refuse what was given."""
        standing, source = self.standing, ""
        if isinstance(given, Mapping):
            given, standing, source = self._opened(given)
        if not isinstance(given, str):
            refuse(self._not_text(given))
        quantity, allowed = self._quantity(given)
        _within(quantity, allowed)
        value, doubt, step = quantity.value, quantity.doubt, quantity.step
        if self.kinds == ("mass", "force") and quantity.kind == "mass":
            # A load is a force in the model, however it was weighed.
            value, step = value * GRAVITY, step * GRAVITY
            doubt = None if doubt is None else doubt * GRAVITY
        text = " ".join(given.split())  # a line end is a space to the reader too
        return Figure(value, doubt, standing, source, text, step)

    def _quantity(self, text: str) -> tuple[Quantity, Range]:
        try:
            quantity = read_any(text, self.kinds)
        except TextError as error:
            refuse(str(error))
        return quantity, self.ranges[self.kinds.index(quantity.kind)]

    def _opened(self, table: Mapping[str, object]) -> tuple[object, Standing, str]:
        extra = sorted(set(table) - {"value", "standing", "source"})
        if extra or "value" not in table:
            why = f'has no key "{extra[0]}"' if extra else "needs a value"
            msg = (
                f"A table for one value {why}. Write it as "
                f'{{ value = "{self.example}", standing = "measured", source = "..." }}.'
            )
            refuse(msg)
        standing = table.get("standing", self.standing)
        source = table.get("source", "")
        if standing not in STANDINGS:
            msg = f"The standing {shown(standing)} must be {_either(STANDINGS)}."
            refuse(msg)
        if not isinstance(source, str) or not source.isprintable():
            refuse(f"The source {shown(source)} must be one line of text.")
        return table["value"], standing, source

    def _not_text(self, given: object) -> str:
        if isinstance(given, (int, float)) and not isinstance(given, bool):
            return (
                f"{shown(given)} has no unit. Write it in quotes with its unit, as "
                f'"{self.example}".'
            )
        return f'{shown(given)} cannot be read here. Write text, as "{self.example}".'


@dataclass(frozen=True, slots=True)
class ReadsOf(Reads):
    """Reads what a row is of: an angle where that is a slope, else a length.

    So 30' is half a degree for a slope, and thirty feet for a length.
    """

    def read(self, given: object, data: Mapping[str, Any]) -> Figure:
        """Return the figure, or refuse what was given."""
        of = data.get("of")  # not there if it was refused itself
        wanted = self.kinds if of is None else (_KIND_OF.get(of, "length"),)
        pairs = [
            (kind, span)
            for kind, span in zip(self.kinds, self.ranges, strict=True)
            if kind in wanted
        ]
        kinds, ranges = zip(*pairs, strict=True)
        return Reads(kinds, ranges, self.example, self.standing).figure(given)


_KIND_OF = {"arm slope": "angle"}

STANDINGS: tuple[Standing, ...] = ("measured", "published", "assumed", "wanted")


def _within(quantity: Quantity, allowed: Range) -> None:
    low, high, words = allowed.low, allowed.high, allowed.words
    if low > 0.0 >= quantity.value:
        what = "zero" if quantity.value == 0.0 else "below zero"
        refuse(f'"{quantity.text}" is {what}; it must be {words}.')
    if not low <= quantity.value <= high:
        refuse(f'"{quantity.text}" cannot be right; it must be {words}.')
    doubt = quantity.doubt
    if doubt is not None and not 0.0 < doubt <= max(abs(quantity.value), high / 100.0):
        msg = f'The doubt in "{quantity.text}" is larger than makes sense here.'
        refuse(msg)


def _either(words: tuple[str, ...]) -> str:
    quoted = [f'"{word}"' for word in words]
    return ", ".join(quoted[:-1]) + f" or {quoted[-1]}"


def shown(given: object) -> str:
    """Return a value much as the file has it, not too long."""
    if isinstance(given, str):
        text = f'"{given}"'
    elif isinstance(given, (datetime.date, datetime.time)):
        text = given.isoformat()
    elif isinstance(given, bool):
        text = str(given).lower()
    elif isinstance(given, dict):
        text = "a table"
    else:
        text = _number(given) if isinstance(given, int) else repr(given)
    text = "".join(c if c.isprintable() else "�" for c in text)
    return text if len(text) <= 40 else text[:37] + "..."


_LENGTH = Range(1e-5, 50.0, "from 0.01 mm to 50 m")
_SIZE = Range(1e-4, 1.0, "from 0.1 mm to 1 m")
OFFSET = Range(-50.0, 50.0, "within 50 m")
_ANGLE = Range(-180.0 * _DEGREE, 180.0 * _DEGREE, "within 180°")
_MASS = Range(0.1, 1e5, "from 0.1 kg to 100 t")
_FORCE = Range(1.0, 1e6, "from 1 N to 1000 kN")
_RATE = Range(1e-2, 1e8, "from 0.01 N·m/rad to 100 MN·m/rad")
_LINEAR = Range(10.0, 1e8, "from 0.01 N/mm to 100 kN/mm")
_MODULUS = Range(1e9, 1e12, "from 1 to 1000 GPa")
_STRESS = Range(1e6, 1e10, "from 1 MPa to 10 GPa")
_TURN = Range(-200.0, 200.0, "within 200 turns")

_LENGTHS = (("length",), (_LENGTH,), "22.5 mm")

Length = Annotated[Figure, Reads(*_LENGTHS)]
Size = Annotated[Figure, Reads(("length",), (_SIZE,), "22.5 mm")]
Measured = Annotated[Figure, Reads(*_LENGTHS, "measured")]
Wanted = Annotated[Figure, Reads(*_LENGTHS, "wanted")]
Tolerance = Wanted
Offset = Annotated[Figure, Reads(("length",), (OFFSET,), "3/8 in", "measured")]
Angle = Annotated[Figure, Reads(("angle",), (_ANGLE,), "4.5 deg")]
Travel = Annotated[Figure, Reads(("length", "angle"), (OFFSET, _ANGLE), "60 mm")]
AngleOrLength = Annotated[
    Figure, Reads(("length", "angle"), (OFFSET, _ANGLE), "-2 deg")
]
# Where both are taken a length goes first: 2" is two inches, not two arc seconds.
_LOADS = (("mass", "force"), (_MASS, _FORCE))
Load = Annotated[Figure, Reads(*_LOADS, "592 lb")]
ScaleLoad = Annotated[Figure, Reads(*_LOADS, "310 kg ± 2", "measured")]
AngularRate = Annotated[Figure, Reads(("angular rate",), (_RATE,), "12 N·m/deg")]
LinearRate = Annotated[Figure, Reads(("linear rate",), (_LINEAR,), "22 N/mm")]
MeasuredRate = Annotated[
    Figure, Reads(("angular rate",), (_RATE,), "34.5 N·m/deg", "measured")
]
Modulus = Annotated[Figure, Reads(("pressure",), (_MODULUS,), "78.5 GPa")]
Stress = Annotated[Figure, Reads(("pressure",), (_STRESS,), "700 MPa")]
Turns = Annotated[Figure, Reads(("turns",), (_TURN,), "2 1/2 turns", "measured")]
Published = Annotated[
    Figure, ReadsOf(("length", "angle"), (_LENGTH, _ANGLE), "15 5/8 in", "published")
]
Reading = Annotated[
    Figure, ReadsOf(("length", "angle"), (_LENGTH, _ANGLE), "397 mm", "measured")
]


def kind_of(figure: Figure, *kinds: str) -> str:
    """Return the kind of a figure that may be of several."""
    return read_any(figure.text, kinds).kind


def _one_line(text: str) -> str:
    """Refuse what would not show, or would steer a terminal."""
    if not text.isprintable():
        msg = "The text must be one line without control characters."
        refuse(msg)
    return text


def _lines(text: str) -> str:
    """Refuse the same in text of several lines."""
    if not text.replace("\n", "").replace("\r", "").replace("\t", "").isprintable():
        msg = "The text must have no control characters but line ends."
        refuse(msg)
    return text


@dataclass(frozen=True, slots=True)
class _Date(Reader):
    """Reads a date, typed bare or in quotes, as text."""

    def read(self, given: object, data: Mapping[str, Any]) -> str:
        """Return the text, or refuse what was given."""
        del data
        if isinstance(given, str):
            return _one_line(given[:200])
        if isinstance(given, datetime.date):  # a date with a time is one too
            return given.isoformat()
        return refuse(f"{shown(given)} is no date. Write it as 2024-05-18.")

    def published(self) -> dict[str, Any]:
        """Return what the schema says of it."""
        return {"type": "string", "minLength": 1}


When = Annotated[str, _Date()]
Name = Annotated[str, Text(shortest=1, longest=200, check=_one_line)]
PointName = Annotated[str, Text(pattern="^[A-Za-z0-9_]{1,40}$")]
Story = Annotated[str, Text(longest=20_000, check=_lines)]
Teeth = Annotated[int, Whole(1, 200)]
Count = Annotated[int, Whole(1, 1000)]
Ratio = Annotated[float, Decimal(0.01, 100.0)]
Bump = Literal["shortens", "lengthens"]
YesNo = Literal["yes", "no", "unknown"]
