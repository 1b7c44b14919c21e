"""Likely misreads of one reading: what it would be, had a known slip been made.

The slips are those of common practice, no source: an inch or a graduation miscounted,
a fraction counted from the wrong side, digits swapped, left out or taken for another,
a hook that sat the other way, a bolt's edge measured for its centre, left for right.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from enum import Enum
from itertools import pairwise

import numpy as np

from splinewise.core.quantities import finite

__all__ = [
    "Alternative",
    "Circumstances",
    "Slip",
    "Term",
    "Typed",
    "propose",
    "swapped_sides",
]

INCH = 0.0254
LOOK_ALIKES = {
    "0": "68", "1": "7", "2": "7", "3": "8", "4": "9", "5": "6", "6": "058", "7": "12",
    "8": "036", "9": "4",
}  # fmt: skip


class Slip(Enum):
    """Kinds of misread."""

    WHOLE_INCH = "off by a whole inch"
    GRADUATION = "off by one graduation"
    COUNTED_BACK = "fraction counted from the wrong side of the mark"
    TEN_MILLIMETRES = "off by ten millimetres"
    BURNT_END = "measured from the 100 mm mark, and not taken off"
    SWAPPED = "two digits swapped"
    LEFT_OUT = "a digit left out"
    ADDED = "a digit too many"
    LOOK_ALIKE = "one digit taken for another"
    DENOMINATOR = "fraction of the wrong kind"
    OTHER_END = "read from the other end of the tape"
    HOOK = "hook pushed for pulled"
    BOLT_EDGE = "measured to the edge of a bolt head for its centre"
    SIGN = "wrong sign"
    SIDES = "left for right"


@dataclass(frozen=True, slots=True)
class Term:
    """One number of a reading as it was typed.

    Attributes
    ----------
    digits : str
        The number: digits, with a decimal point if there was one.
    unit : float
        What a one of it is worth: 0.0254 for inches, 0.0254/16 for sixteenths. [unit]
    whole : float
        What it must stay below, for a fraction the unit that it is part of; infinite
        for a whole number. [unit]
    """

    digits: str
    unit: float
    whole: float = np.inf

    @property
    def value(self) -> float:
        """What the term adds to the reading. [unit]"""
        return float(self.digits) * self.unit

    @property
    def is_fraction(self) -> bool:
        """Whether it is the numerator of a fraction. [1]"""
        return bool(np.isfinite(self.whole))


@dataclass(frozen=True, slots=True)
class Typed:
    """A reading as it was typed: 1 ft 3 5/8 in is three terms.

    Attributes
    ----------
    terms : tuple of Term
        The numbers, which add up.
    sign : float
        1 or -1. [1]
    """

    terms: tuple[Term, ...]
    sign: float = 1.0

    @property
    def value(self) -> float:
        """The reading. [unit]"""
        return self.sign * sum(term.value for term in self.terms)


@dataclass(frozen=True, slots=True)
class Circumstances:
    """How a reading was taken, as far as that opens the way to a slip.

    Attributes
    ----------
    graduation : float
        Spacing of the finest marks; 0 where there were none, as on a display. [unit]
    hook : float
        Thickness of the hook, by which a pulled and a pushed reading differ; 0 where
        none was used. [m]
    heads : tuple of float
        Sizes across of the bolt heads at the ends that were measured to. [m]
    tape : float
        Length of a tape or rule that could have lain the wrong way round; 0 where
        that cannot be. [m]
    signed : bool
        Whether the sign could be wrong, as of a camber.
    """

    graduation: float = 0.0
    hook: float = 0.0
    heads: tuple[float, ...] = ()
    tape: float = 0.0
    signed: bool = False


@dataclass(frozen=True, slots=True)
class Alternative:
    """What one reading, or two, may have been.

    Attributes
    ----------
    slip : Slip
        What would have gone wrong.
    rows : tuple of int
        Rows of the fit that it concerns. [1]
    corrected : tuple of float
        What they would have been. [unit]
    """

    slip: Slip
    rows: tuple[int, ...]
    corrected: tuple[float, ...]


def propose(
    row: int, typed: Typed, circumstances: Circumstances | None = None
) -> tuple[Alternative, ...]:
    """List what a reading may have been.

    Parameters
    ----------
    row : int
        Its row in the fit. [1]
    typed : Typed
        The reading as typed. [unit]
    circumstances : Circumstances, optional
        How it was taken; without it only the digits are looked at.

    Returns
    -------
    tuple of Alternative
        Corrected readings, each different from the reading itself; where two slips
        of a kind give the same number it comes once. [unit]

    Examples
    --------
    >>> fifteen = Typed((Term("15", INCH), Term("3", INCH / 16, INCH)))
    >>> slips = propose(0, fifteen)
    >>> [round(s.corrected[0] / INCH, 4) for s in slips if s.slip is Slip.LEFT_OUT]
    [15.8125]
    """
    how = circumstances or Circumstances()
    value = float(finite("typed", typed.value, "[unit]"))
    seen: set[tuple[Slip, float]] = set()
    found = []
    for slip, number in _numbers(typed, how):
        key = (slip, round(number, 12))
        if abs(number - value) < 1e-12 or key in seen:
            continue
        if number <= 0.0 < value and not how.signed:
            continue
        seen.add(key)
        found.append(Alternative(slip, (row,), (number,)))
    return tuple(found)


def swapped_sides(left: int, right: int, values: tuple[float, float]) -> Alternative:
    """Two readings of a pair, written down the wrong way round.

    Parameters
    ----------
    left, right : int
        Rows of the two readings. [1]
    values : tuple of float
        The readings of those rows. [unit]

    Returns
    -------
    Alternative
        Both corrected. [unit]
    """
    return Alternative(Slip.SIDES, (left, right), (values[1], values[0]))


def _numbers(typed: Typed, how: Circumstances) -> Iterator[tuple[Slip, float]]:
    value, sign = typed.value, typed.sign
    units = {term.unit for term in typed.terms if not term.is_fraction}
    inches = any(abs(u / INCH % 1.0) < 1e-9 for u in units) or any(
        term.is_fraction for term in typed.terms
    )
    metric = any(u in (1e-3, 1e-2) for u in units)
    for way in (-1.0, 1.0):
        if inches:
            yield Slip.WHOLE_INCH, value + way * INCH
        if how.graduation > 0.0:
            yield Slip.GRADUATION, value + way * how.graduation
        if metric:
            yield Slip.TEN_MILLIMETRES, value + way * 0.010
            yield Slip.BURNT_END, value + way * 0.100
        if how.hook > 0.0:
            yield Slip.HOOK, value + way * how.hook
        for head in how.heads:
            yield Slip.BOLT_EDGE, value + way * 0.5 * head
    if len(how.heads) == 2:
        # From far edge to far edge, or from near edge to near edge.
        both = 0.5 * sum(how.heads)
        yield Slip.BOLT_EDGE, value - both
        yield Slip.BOLT_EDGE, value + both
    if how.tape > 0.0:
        yield Slip.OTHER_END, how.tape - value
    if how.signed:
        yield Slip.SIGN, -value
    for place, term in enumerate(typed.terms):
        for slip, other in _other_terms(term):
            terms = (*typed.terms[:place], other, *typed.terms[place + 1 :])
            yield slip, replace(typed, terms=terms).value
        if term.is_fraction:
            rest = value - sign * term.value
            yield Slip.COUNTED_BACK, rest - sign * term.value
            yield Slip.COUNTED_BACK, rest + sign * (term.whole - term.value)


def _other_terms(term: Term) -> Iterator[tuple[Slip, Term]]:
    ways: tuple[tuple[Slip, Callable[[str], Iterator[str]]], ...] = (
        (Slip.SWAPPED, _swapped),
        (Slip.ADDED, _shortened),
        (Slip.LOOK_ALIKE, _mistaken),
    )
    for slip, change in ways:
        for digits in change(term.digits):
            other = replace(term, digits=digits)
            if other.value < term.whole:
                yield slip, other
    if term.is_fraction:
        # Only a 1 is easily lost in front of a numerator: 3/16 for 13/16.
        longer = replace(term, digits="1" + term.digits)
        if longer.value < term.whole:
            yield Slip.LEFT_OUT, longer
        for factor in (0.5, 2.0):
            other = replace(term, unit=term.unit * factor)
            if other.value < term.whole:
                yield Slip.DENOMINATOR, other


def _places(digits: str) -> list[int]:
    return [i for i, sign in enumerate(digits) if sign.isdigit()]


def _swapped(digits: str) -> Iterator[str]:
    places = _places(digits)
    for i, j in pairwise(places):
        if digits[i] != digits[j]:
            text = list(digits)
            text[i], text[j] = text[j], text[i]
            yield "".join(text)


def _shortened(digits: str) -> Iterator[str]:
    places = _places(digits)
    if len(places) > 1:
        for i in places:
            text = digits[:i] + digits[i + 1 :]
            if text.strip("."):
                yield text


def _mistaken(digits: str) -> Iterator[str]:
    for i in _places(digits):
        for other in LOOK_ALIKES[digits[i]]:
            yield digits[:i] + other + digits[i + 1 :]
