"""Lengths and angles: what a tape, a calliper and an angle gauge show."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

from splinewise.show.figures import System, checked, written
from splinewise.units import mixed, scale

__all__ = ["angle", "length", "tape"]

_EXACT = Decimal("0.05e-3")  # m: nobody sees less on a tape
_SHADE = Decimal("0.010") * Decimal("0.0254")  # m: about a third of the way to a 32nd
_SAID = Fraction(1, 64)  # in: with more doubt than this the rest is not worth a word


def length(
    value: float, *, system: System, doubt: float | None = None, fine: bool = False
) -> str:
    """Write a length: millimetres, or inches with the millimetres beside them.

    Without doubt: to 0.1 mm; in an inch car to 0.001 in and 0.01 mm.

    Parameters
    ----------
    value : float
        The length. [m]
    system : {"inch", "metric"}
        The car's units.
    doubt : float, optional
        Half-width; None or 0 where none is known. [m]
    fine : bool, default False
        For a calliper: to 0.01 mm, and inches as a decimal alone.

    Returns
    -------
    str
        As `15 5/8 in, a shade full (15.634 in, 397.10 mm)` or `397.1 mm ± 0.3 mm`.

    Raises
    ------
    QuantityError
        If a number is not finite or the doubt is below 0.

    Examples
    --------
    >>> length(0.3971, system="inch", doubt=0.0003)
    '15 5/8 in, a shade full (15.634 in ± 0.012 in, 397.1 mm ± 0.3 mm)'
    """
    if system == "metric":
        return written(value, doubt, "length", "mm", place=-2 if fine else -1)
    inches = written(value, doubt, "length", "in", place=-3)
    millimetres = written(value, doubt, "length", "mm", place=-2)
    if fine:
        return f"{inches} ({millimetres})"
    return f"{tape(value, doubt=doubt)} ({inches}, {millimetres})"


def tape(value: float, *, doubt: float | None = None) -> str:
    """Write a length as a mechanic reads it off an inch tape.

    The nearest 1/32 in, reduced.  What is left over is not said up to 0.05 mm; it is
    "a shade full" or "a shade scant" up to 0.010 in, and "full" or "scant" beyond, up
    to the half-way mark of 1/64 in.  Full means farther from zero.  A doubt above
    1/64 in leaves the words out and says "about"; above 1/32 in it coarsens the
    fraction to the first that is no finer than the doubt.

    Parameters
    ----------
    value : float
        The length. [m]
    doubt : float, optional
        Half-width. [m]

    Examples
    --------
    >>> tape(0.3971)
    '15 5/8 in, a shade full'
    """
    number, doubted = checked(value, doubt)
    inch = Decimal(repr(scale("in", "length")))
    step, about = 32, False
    if doubted is not None:
        width = Fraction(doubted / inch)
        about = width > _SAID
        while step > 1 and Fraction(1, step) < width:
            step //= 2
    count = int((abs(number) / inch * step).to_integral_value(ROUND_HALF_EVEN))
    rest = abs(number) - inch * count / step
    left = mixed(Fraction(count if number >= 0 else -count, step)) + " in"
    if about:
        return f"about {left}"
    if abs(rest) <= _EXACT:
        return left
    if not count:
        return f"a shade {'over' if number > 0 else 'under'} {left}"
    shade = "a shade " if abs(rest) <= _SHADE else ""
    return f"{left}, {shade}{'full' if rest > 0 else 'scant'}"


def angle(value: float, *, doubt: float | None = None) -> str:
    """Write an angle in degrees; to 0.01° without doubt. `value`, `doubt` [rad].

    >>> angle(-0.46489, doubt=0.004)
    '−26.6° ± 0.2°'
    """
    return written(value, doubt, "angle", "deg", place=-2).replace(" deg", "°")
