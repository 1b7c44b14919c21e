"""Rounding: how many digits a number in SI deserves once it is written in a unit."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_EVEN, Context, Decimal
from typing import Literal

from splinewise.errors import QuantityError
from splinewise.units import scale

__all__ = ["System", "checked", "figures", "place_of", "signed", "written"]

System = Literal["inch", "metric"]

# Wide enough for any float to any place that another float can ask for.
_WIDE = Context(prec=700, rounding=ROUND_HALF_EVEN)


def written(
    value: float,
    doubt: float | None,
    kind: str,
    unit: str,
    *,
    place: int = 0,
    digits: int = 0,
) -> str:
    """Write `value ± doubt` in a unit, by the rule of this package.

    Without doubt the last place is the power of ten `place`, or that of so many
    significant `digits`.
    """
    number, doubted = checked(value, doubt)
    one = Decimal(repr(scale(unit, kind)))
    number /= one
    if doubted is None:
        place = place_of(number, digits) if digits else place
        return f"{figures(number, place)} {unit}"
    doubted /= one
    place = place_of(doubted, 2)
    if figures(doubted, place).strip("0.")[0] != "1":
        place += 1
    return f"{figures(number, place)} {unit} ± {figures(doubted, place)} {unit}"


def checked(value: float, doubt: float | None) -> tuple[Decimal, Decimal | None]:
    """Both numbers by their shortest decimals; a doubt of 0 as None.

    So 0.39705 m is a tie between 397.0 and 397.1 mm, and not a hair below one.
    """
    for name, number in ("value", value), ("doubt", doubt or 0.0):
        if not math.isfinite(number):
            raise QuantityError(name, number, "(SI)", "finite")
    if doubt is None or doubt == 0.0:
        return Decimal(repr(float(value))), None
    if doubt < 0.0:
        name = "doubt"
        raise QuantityError(name, doubt, "(SI)", "not below 0")
    return Decimal(repr(float(value))), Decimal(repr(float(doubt)))


def place_of(number: Decimal, digits: int) -> int:
    """Power of ten of the last of so many significant digits, once rounded."""
    if not number:
        return 0
    place = number.adjusted() - digits + 1
    rounded = number.quantize(Decimal(1).scaleb(place), context=_WIDE)
    return rounded.adjusted() - digits + 1


def figures(number: Decimal, place: int) -> str:
    """Write `number` to the power of ten `place`, with − and never −0."""
    rounded = number.quantize(Decimal(1).scaleb(place), context=_WIDE)
    return f"{'−' if rounded < 0 else ''}{abs(rounded):f}"


def signed(text: str) -> str:
    """Put + before a written number that is above zero."""
    figure = text.partition("±")[0]
    above = figure[0] != "−" and any(c in "123456789" for c in figure)
    return f"+{text}" if above else text
