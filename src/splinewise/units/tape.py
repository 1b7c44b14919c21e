"""Inches and the fractions that a tape carries."""

from __future__ import annotations

from fractions import Fraction

from splinewise.units.table import TAPE

__all__ = ["mixed", "nearest_on_tape"]


def mixed(number: Fraction) -> str:
    """Write a whole number and a reduced fraction, `15 5/8`; − in front if below 0."""
    whole, rest = divmod(abs(number), 1)
    words = [str(whole)] if whole or not rest else []
    if rest:
        words.append(f"{rest.numerator}/{rest.denominator}")
    return ("−" if number < 0 else "") + " ".join(words)


def nearest_on_tape(whole: int, over: int, under: int) -> Fraction:
    """Guess which tape fraction was meant by `whole` `over`/`under`.

    A denominator one off from a tape's (5/7, 3/9) is a slip of the pen, and keeps its
    numerator; any other fraction goes to the nearest 32nd.
    """
    slips = [d for d in TAPE if abs(d - under) == 1 and over % 2 and over < d]
    if len(slips) == 1:
        return whole + Fraction(over, slips[0])
    return whole + Fraction(round(Fraction(over, under) * 32), 32)
