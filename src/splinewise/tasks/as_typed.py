"""A reading as it was typed: its digits for slips, and other readings in its manner."""

from __future__ import annotations

import math
from fractions import Fraction

from splinewise.car.model import Figure
from splinewise.core.misread_slips import Term, Typed
from splinewise.errors import TextError
from splinewise.units import grammar
from splinewise.units.table import find, si
from splinewise.units.tape import mixed

__all__ = ["like_typed", "typed_of"]

INCH = 0.0254
_CLOSE = 1e-9


def typed_of(figure: Figure, kind: str) -> Typed | None:
    """Return the digits of a figure.

    Parameters
    ----------
    figure : Figure
        The figure. [m or rad]
    kind : str
        "length" or "angle". [1]

    Returns
    -------
    Typed or None
        Its digits; None for a figure that was not typed in plain digits. [SI]
    """
    try:
        sign, body = grammar.sign(grammar.halves(grammar.plain(figure.text))[0])
        parts = grammar.divide(body, figure.text, (kind,))
    except TextError:
        return None
    terms: list[Term] = []
    for part in parts:
        unit = find(part.unit, kind)
        if unit is None:
            return None
        one = si(Fraction(1), unit)
        if part.under is not None:
            terms += [Term(str(part.whole), one)] if part.whole else []
            terms.append(Term(str(part.over), one / part.under, one))
            continue
        digits = part.number.replace(",", ".")
        if not digits.replace(".", "", 1).isdigit():
            return None
        terms.append(Term(digits, one))
    typed = Typed(tuple(terms), float(sign))
    return typed if abs(typed.value - figure.value) < _CLOSE else None


def like_typed(number: float, figure: Figure, kind: str) -> str:
    """Write another reading in the manner of one that was typed.

    Parameters
    ----------
    number : float
        The other reading. [m or rad]
    figure : Figure
        The one whose manner is kept. [m or rad]
    kind : str
        "length" or "angle". [1]

    Returns
    -------
    str
        As "15 3/16 in", "395.5 mm" or "4.5°".
    """
    if kind == "angle":
        return f"{math.degrees(number):.6g}°".replace("-", "−")
    steps = number / INCH * 64.0
    whole = round(steps)
    text = figure.text
    inches = "/" in text or "in" in text or '"' in text or "ft" in text
    if inches and abs(steps - whole) < 1e-6:
        return f"{mixed(Fraction(whole, 64))} in"
    if inches:
        return f"{number / INCH:.6g} in"
    return f"{number * 1e3:.6g} mm"
