"""Lengths and angles: what a tape, a calliper and an angle gauge show."""

from __future__ import annotations

from fractions import Fraction

from splinewise.show.figures import System, checked, written
from splinewise.units import mixed, scale

__all__ = ["angle", "length", "tape"]

# All in inches.
_EXACT = Fraction("0.05") / Fraction("25.4")  # nobody sees less on a tape
_SHADE = Fraction("0.010")  # about a third of the way to the next 32nd
_DUST = Fraction(1, 10**7)  # what a float may add to either
_SAID = Fraction(1, 64)  # with more doubt than this the rest is not worth a word


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
    1/64 in leaves the words out and says "about"; from 1/16 in on it coarsens the
    fraction, but never beyond the doubt.

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
    inch = Fraction(repr(scale("in", "length")))
    inches = Fraction(number) / inch
    width = Fraction(doubted) / inch if doubted is not None else Fraction(0)
    step = 32
    while step > 1 and Fraction(2, step) <= width:
        step //= 2
    mark = Fraction(round(abs(inches) * step), step)
    rest = abs(inches) - mark
    text = mixed(mark if inches > 0 else -mark) + " in"
    if width > _SAID:
        return f"about {text}"
    if abs(rest) <= _EXACT + _DUST:
        return text
    if not mark:
        return f"a shade {'over' if inches > 0 else 'under'} {text}"
    shade = "a shade " if abs(rest) <= _SHADE + _DUST else ""
    return f"{text}, {shade}{'full' if rest > 0 else 'scant'}"


def angle(value: float, *, doubt: float | None = None) -> str:
    """Write an angle in degrees; to 0.01° without doubt. `value`, `doubt` [rad].

    >>> angle(-0.46489, doubt=0.004)
    '−26.6° ± 0.2°'
    """
    return written(value, doubt, "angle", "deg", place=-2).replace(" deg", "°")
