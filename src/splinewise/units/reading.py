"""One quantity out of one text.

    [sign] number unit [number unit ...] [± number [unit]]

where a number is `15`, `397.5`, `397,5`, `11.2e6`, `5/8`, `15 5/8`, `15-5/8` or `15⅝`.
Arithmetic is in exact fractions up to the last step.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple, NoReturn

from splinewise.errors import TextError
from splinewise.units import grammar, refusals
from splinewise.units.part import Part, printable
from splinewise.units.table import KINDS, Unit, find, fits, ratio, si

__all__ = ["Quantity", "read", "read_any"]

_LONGEST = 200  # characters; nobody types a quantity as long as that
_SIGNED = ("length", "angle", "force", "torque", "temperature", "turns", "number")
_GUESS = re.compile(r"Did you mean ([-+.,0-9].*)\?")
_MIXED = ("length", "angle", "mass")  # kinds typed in more than one unit at once


@dataclass(frozen=True, slots=True)
class Quantity:
    """What a person typed, in SI.

    Attributes
    ----------
    value : float
        The number. [m, rad, kg, N, N·m, N/m, N·m/rad, Pa, Hz, K, turn, J or 1]
    doubt : float or None
        Half-width typed after ±; None if none was typed. [as `value`]
    kind : str
        One of `KINDS`.
    unit : str
        The last unit typed, by its name here: `in` for `15⅝"`.
    text : str
        The text as typed.
    step : float
        Smallest step that the text itself shows: 1/8 in for `15 5/8 in`, 0.1 mm for
        `397,5 mm`. [as `value`]
    """

    value: float
    doubt: float | None
    kind: str
    unit: str
    text: str
    step: float


def read(text: str, kind: str) -> Quantity:
    """Read one quantity of one kind.

    Parameters
    ----------
    text : str
        What was typed.
    kind : str
        One of `KINDS`.

    Returns
    -------
    Quantity
        The number in SI, with its doubt if one was typed.

    Raises
    ------
    TextError
        If the text is not one quantity of that kind, or has two meanings.

    Examples
    --------
    >>> read('15⅝" ± 1/64', "length").value
    0.396875
    """
    return read_any(text, (kind,))


def read_any(text: str, kinds: Sequence[str]) -> Quantity:
    """Read one quantity of any of the `kinds`; the first that its unit fits is taken.

    Otherwise as `read`.  A load may be typed as a mass or as a force:

    >>> read_any("592 lb", ("mass", "force")).kind
    'mass'
    """
    if not kinds or not set(kinds) <= set(KINDS):
        message = f"kinds must be among {', '.join(KINDS)}; got {kinds!r}"
        raise ValueError(message)
    try:
        return _read(text, kinds)
    except TextError as refused:
        guess = _GUESS.fullmatch(refused.instead)
        if guess is None:
            raise
        why = refused.why
    # A guess that would be refused in its turn is no help.
    try:
        _read(guess[1], kinds)
    except TextError:
        raise TextError(text, why, refusals.wanted(kinds)) from None
    raise TextError(text, why, guess[0])


def _read(text: str, kinds: Sequence[str]) -> Quantity:
    if len(text) > _LONGEST:
        why = f"{len(text)} characters are too many for {refusals.named(kinds)}."
        raise TextError(text, why, refusals.wanted(kinds))
    halves = grammar.halves(grammar.plain(text))
    if halves == [""]:
        raise TextError(text, "Nothing is written here.", refusals.wanted(kinds))
    if len(halves) > 2 or not all(halves):
        why = f"{printable(text)} needs one ±, with a number on each side of it."
        raise TextError(text, why, refusals.wanted(kinds))
    sign, body = grammar.sign(halves[0])
    parts = grammar.divide(body, text, kinds, "-" if sign < 0 else "")
    main = _added(text, parts, kinds)
    if sign < 0 and main.total and main.kind not in _SIGNED:
        why = (
            f"{printable(text)} is below zero, as {refusals.named([main.kind])} is not."
        )
        raise TextError(text, why, "Leave the minus sign out.")
    total = main.total if sign > 0 else -main.total
    value = si(total + main.unit.zero if main.unit.zero else total, main.unit)
    if main.kind == "temperature" and value < 0.0:
        why = f"{printable(text)} is below absolute zero."
        raise TextError(text, why, "Check the sign and the unit.")
    doubt = _doubt(text, halves[1], main) if len(halves) == 2 else None
    step = si(main.step, main.unit)
    return Quantity(value, doubt, main.kind, main.unit.name, text, step)


class _Sum(NamedTuple):
    total: Fraction  # in the last unit, unsigned
    step: Fraction
    unit: Unit
    kind: str
    parts: list[Part]


def _doubt(text: str, body: str, main: _Sum) -> float:
    kinds = (main.kind,)
    sign, body = grammar.sign(body)
    parts = grammar.divide(body, text, kinds)
    if len(parts) == 1 and not parts[0].unit:
        if len(main.parts) > 1:
            why = (
                f"The doubt {parts[0].number} has no unit, and the reading has several."
            )
            raise TextError(text, why, f"Write ± {parts[0].number} {main.unit.name}.")
        typed, unit = main.parts[0].typed, main.parts[0].unit
        parts = [parts[0]._replace(typed=typed, unit=unit)]
    doubt = _added(text, parts, kinds)
    if main.kind == "number" and doubt.unit != main.unit:
        why = f"In {printable(text)} one number is in % and the other is not."
        raise TextError(text, why, "Write both the same way.")
    if sign < 0 or not doubt.total:
        why = f"The doubt of {printable(text)} is not above zero."
        raise TextError(text, why, "Give a half-width above zero, or leave ± out.")
    return si(doubt.total, doubt.unit)


def _added(text: str, parts: list[Part], kinds: Sequence[str]) -> _Sum:
    kind, units = _resolved(text, parts, kinds)
    for part, unit in zip(parts, units, strict=True):
        if part.under is not None and not fits(part.over, part.under, unit):
            refusals.bad_fraction(text, part, unit)
    total, unit = parts[0].value, units[0]
    for before, part, lesser in zip(parts, parts[1:], units[1:], strict=False):
        many = ratio(unit, lesser) if kind in _MIXED else 0
        if not many:
            why = f"{part.shown} cannot follow {before.shown}."
            raise TextError(text, why, refusals.wanted([kind]))
        if before.step != 1 or before.under is not None:
            why = f"{before.shown} has a part of a unit, yet {part.shown} follows."
            raise TextError(text, why, "Only the last number may be broken.")
        if part.value >= many:
            why = f"{part.shown} after {before.shown} is too many."
            instead = f"After {unit.name}, {lesser.name} must be below {many}."
            raise TextError(text, why, instead)
        total, unit = total * many + part.value, lesser
    return _Sum(total, parts[-1].step, unit, kind, parts)


def _resolved(
    text: str, parts: list[Part], kinds: Sequence[str]
) -> tuple[str, list[Unit]]:
    for kind in kinds:
        units = [unit for part in parts if (unit := find(part.unit, kind))]
        if len(units) == len(parts):
            break
    else:
        _blame(text, parts, kinds)
    return kind, units


def _blame(text: str, parts: list[Part], kinds: Sequence[str]) -> NoReturn:
    known = [any(find(p.unit, kind) for kind in kinds) for p in parts]
    at = known.index(False) if False in known else -1
    if not parts[at].unit:
        refusals.no_unit(text, parts[at], kinds, parts[at - 1] if at > 0 else None)
    refusals.odd_unit(text, parts[at], kinds)
