"""How text falls apart: ±, sign, numbers, units.  Their meaning is no matter here."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from fractions import Fraction

from splinewise.errors import TextError
from splinewise.units import refusals
from splinewise.units.part import Part, printable

__all__ = ["divide", "halves", "plain", "sign"]

_MOST_DIGITS = 25
_MOST_POWER = 15

_PLAIN = str.maketrans(
    dict.fromkeys("‐‑‒–−﹣－", "-")
    | dict.fromkeys("″”“„", '"')
    | dict.fromkeys("′’‘´`", "'")
    | dict.fromkeys("⁄∕", "/")
    | dict.fromkeys("⋅∙•", "·")
    | dict.fromkeys("º˚", "°")
    | {"℃": "°C", "℉": "°F", "μ": "µ"}
)
_TWICE = re.compile("''|′′|’’|‘‘|´´|``")
_VULGAR = re.compile("(-?)([¼-¾⅐-⅞↉])")
_POWER = re.compile(r"(?<=[A-Za-z])(?:⁻¹|²)")


def plain(text: str) -> str:
    """Spell one way what keyboards and books spell in several: −, ″, ⅝, spaces.

    Raises
    ------
    TextError
        If a digit is raised, or of another script than 0 to 9.
    """
    if text.isascii():
        return " ".join(text.replace("''", '"').split())
    # Two marks alike are one double mark; two unlike are a slip, and are left.
    same = _TWICE.sub('"', text).translate(_PLAIN)
    same = _VULGAR.sub(_spelt_out, same)
    for character in _POWER.sub("", same):
        if character.isnumeric() and not character.isascii():
            why = f"“{character}” in {printable(text)} is not a digit from 0 to 9."
            raise TextError(text, why, "Type the number in digits from 0 to 9.")
    return " ".join(same.split())


def _spelt_out(found: re.Match[str]) -> str:
    over, _, under = unicodedata.normalize("NFKC", found[2]).partition("⁄")
    return f"{found[1] or ' '}{over}/{under} "


_PLUS_MINUS = re.compile(r" ?(?:±|\+/-|\+-) ?")


def halves(text: str) -> list[str]:
    """Cut `text` at each ±, +/- or +-."""
    return _PLUS_MINUS.split(text)


def sign(text: str) -> tuple[int, str]:
    """Take a leading sign off `text`."""
    if text[:1] in ("-", "+"):
        return (-1 if text[0] == "-" else 1), text[1:].lstrip()
    return 1, text


_NUMBER = re.compile(
    r"""(?:  (?:(?P<whole>[0-9]+)[ -])? (?P<over>[0-9]+) [ ]?/[ ]? (?P<under>[0-9]+)
        |    (?P<decimal>[0-9]+(?:[.,][0-9]+)? | (?<!\S)[.,][0-9]+)
             (?:[eE](?P<power>[+-]?[0-9]+))?
        ) (?![.,]?[0-9] | [ ]?/[ ]?[0-9])""",
    re.VERBOSE,
)
# A unit holds no digit, save the 2 of an area and the -1 of a rate.
_UNIT = re.compile(
    r"""(?: /[ ]?[A-Za-z]+\^?2(?![0-9])
        |   (?<![A-Za-z])(?:min|s)\^?-1(?![0-9])
        |   [^0-9.,]
        |   (?<=[A-Za-z])\.(?![0-9])
        )*""",
    re.VERBOSE,
)
# The 1 of "90 1/min" belongs to the unit.
_ONE_PER = re.compile(r"(?<=[0-9] )1 ?/ ?(?=min\b|s\b)")


def divide(body: str, text: str, kinds: Sequence[str], minus: str = "") -> list[Part]:
    """Cut a quantity, its sign taken off, into its numbers and units.

    `minus` is put before the first number, as it is to be shown.

    Raises
    ------
    TextError
        If `body` is not numbers and units in turn; it is told of the whole `text`
        and the `kinds` that are wanted.
    """
    body = _ONE_PER.sub("/", body)
    found: list[Part] = []
    at = 0
    while at < len(body) or not found:
        number, start = _NUMBER.match(body, at), at
        minus = "" if found else minus
        if number is None:
            refusals.unreadable(text, body[at:], kinds, minus)
        unit = _UNIT.match(body, number.end())
        typed = unit[0] if unit else ""
        at = number.end() + len(typed)
        if at < len(body):
            if not typed.strip():
                refusals.side_by_side(text, body[start:], kinds, minus)
            # The dash of 1'-3" only joins; with a space beside it, it may subtract.
            if re.search("[^ ]-$", typed):
                typed = typed[:-1]
            if "+" in typed or typed.rstrip().endswith("-"):
                refusals.sum_or_difference(text, body[start:], kinds, minus)
        found.append(_part(text, number, typed.strip(), minus))
    return found


def _part(text: str, found: re.Match[str], typed: str, minus: str) -> Part:
    number, unit = minus + found[0], _key(typed)
    whole, over, under, decimal, power = found.groups()
    if sum(c.isdigit() for c in number) > _MOST_DIGITS:
        why = f"{printable(number)} has more digits than anything that is measured."
        raise TextError(text, why, f"Give at most {_MOST_DIGITS}.")
    if under is not None:
        w, n, d = int(whole or 0), int(over), int(under)
        value, step = Fraction(w * d + n, d or 1), Fraction(1, d or 1)
        return Part(number, typed, unit, value, step, w, n, d)
    units, _, behind = decimal.replace(",", ".").partition(".")
    p = int(power or 0)
    if abs(p) > _MOST_POWER:
        why = f"{printable(number)} is beyond anything that is measured."
        raise TextError(text, why, f"Give a power of ten from -{_MOST_POWER} to 15.")
    up, down = 10 ** max(0, p - len(behind)), 10 ** max(0, len(behind) - p)
    value = Fraction(int(units + behind) * up, down)
    return Part(number, typed, unit, value, Fraction(up, down))


_PER = re.compile(r"\.? ?(?:/|\bper\b) ?")
_JOIN = re.compile(r"(?<=[A-Za-z])[ .·*×-]+(?=[A-Za-z])")
_RAISED = re.compile(r"\^(?=2|-1)")
_LEVEL = str.maketrans("²⁻¹", "2-1")


def _key(typed: str) -> str:
    """Spell a unit as the table does: `lb.-ft.` as lb·ft, `N / mm²` as N/mm2."""
    if typed.isalpha():
        return typed
    key = _JOIN.sub("·", _PER.sub("/", typed)).replace("° ", "°")
    key = _RAISED.sub("", key).translate(_LEVEL)
    if key[:1] == "-" and key[1:2].isalpha():  # the dash of 15-in
        key = key[1:]
    return key[:-1] if key[-1:] == "." else key
