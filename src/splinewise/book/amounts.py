"""The doors of fields that hold quantities: one, several of one thing, one a place."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from splinewise.book.fields import Line, not_text, one_text
from splinewise.book.typed import SI_UNITS, kinds_of, typed
from splinewise.errors import BookError

__all__ = ["Places", "Quantity", "Repeats"]

_MANY: Final = 200
_TYPED_KEYS = ["text", "value", "unit", "doubt", "step"]


def _typed_fault(value: Any) -> str:
    if not isinstance(value, dict) or list(value) != _TYPED_KEYS:
        return "must have a text, a value, a unit, a doubt and a step"
    if value["unit"] not in SI_UNITS.values():
        return f"has no SI unit that is known; got {value['unit']!r}"
    for key in ("value", "step", "doubt"):
        number = value[key]
        if key == "doubt" and number is None:
            continue
        if not isinstance(number, float) or not math.isfinite(number):
            return f"must have a number as its {key}"
    return not_text(value["text"], 200, lines=False) or (
        "" if value["text"] else "has no text as typed"
    )


@dataclass(frozen=True, slots=True)
class Quantity:
    """A quantity as typed and in SI, or none.

    Attributes
    ----------
    kinds : tuple of str
        What it may be.
    """

    kinds: tuple[str, ...]

    def read(self, texts: Sequence[str]) -> Any:
        """Return the quantity, None where nothing was typed."""
        text = one_text(texts)
        return typed(text, self.kinds) if text else None

    def fault(self, value: Any) -> str:
        """Return what is wrong with it."""
        return "" if value is None else _typed_fault(value)

    def texts(self, value: Any) -> list[str]:
        """Return it as typed."""
        return [value["text"]] if value else []


@dataclass(frozen=True, slots=True)
class Repeats:
    """One or more readings of the same thing; what it is says of which kind.

    Attributes
    ----------
    of : str
        What was read.
    """

    of: str = ""

    def read(self, texts: Sequence[str]) -> list[Any]:
        """Return the readings."""
        kinds = kinds_of(self.of)
        values = [typed(text.strip(), kinds) for text in texts]
        fault = self.fault(values)
        if fault:
            msg = f"What was read {fault}."
            raise BookError(msg)
        return values

    def fault(self, value: Any) -> str:
        """Return what is wrong with them."""
        if not isinstance(value, list) or not value:
            return "is missing"
        if len(value) > _MANY:
            return f"is repeated more than {_MANY} times"
        faults = [fault for fault in map(_typed_fault, value) if fault]
        if faults:
            return faults[0]
        units = {one["unit"] for one in value}
        return "" if len(units) == 1 else "is of more than one kind of quantity"

    def texts(self, value: Any) -> list[str]:
        """Return them as typed."""
        return [one["text"] for one in value]


@dataclass(frozen=True, slots=True)
class Places:
    """A quantity for each of some places, typed as `front-left = 26 psi`.

    Attributes
    ----------
    kinds : tuple of str
        What each may be.
    """

    kinds: tuple[str, ...]

    def read(self, texts: Sequence[str]) -> dict[str, Any]:
        """Return the quantities by place."""
        found: dict[str, Any] = {}
        for text in texts:
            place, equals, amount = (part.strip() for part in text.partition("="))
            if not place or not equals:
                msg = f"{text!r} names no place. Write it as front-left=26 psi."
                raise BookError(msg)
            if place in found:
                msg = f"{place} is given twice."
                raise BookError(msg)
            found[place] = typed(amount, self.kinds)
        return found

    def fault(self, value: Any) -> str:
        """Return what is wrong with them."""
        if not isinstance(value, dict) or len(value) > _MANY:
            return f"must name at most {_MANY} places"
        faults = [Line(needed=True).fault(place) for place in value]
        faults += [_typed_fault(amount) for amount in value.values()]
        return next((fault for fault in faults if fault), "")

    def texts(self, value: Any) -> list[str]:
        """Return them as typed."""
        return [f"{place}={amount['text']}" for place, amount in value.items()]
