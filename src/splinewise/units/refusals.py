"""What is said to a person whose text cannot be read: what, why, and what would do."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import NoReturn

from splinewise.errors import TextError
from splinewise.units.nearest import nearest
from splinewise.units.part import Part, printable
from splinewise.units.table import KINDS, TAPE, Unit, find, fits, ratio, units_of
from splinewise.units.tape import mixed, nearest_on_tape

__all__ = [
    "bad_fraction",
    "named",
    "no_unit",
    "odd_unit",
    "side_by_side",
    "sum_or_difference",
    "unreadable",
    "wanted",
]

# Kind -> its name, two texts that can be read, units to offer for a bare number.
_WORDS: dict[str, tuple[str, tuple[str, str], tuple[str, ...]]] = {
    "length": ("a length", ("15 5/8 in", "397 mm"), ("in", "mm")),
    "angle": ("an angle", ("4.5 deg", "4° 30'"), ("deg", "rad")),
    "mass": ("a mass", ("592 lb", "268.8 kg"), ("lb", "kg")),
    "force": ("a force", ("592 lbf", "2640 N"), ("lbf", "N")),
    "torque": ("a torque", ("13 lbf·ft", "18 N·m"), ("lbf·ft", "N·m")),
    "linear rate": ("a linear rate", ("110 lbf/in", "14.6 N/mm"), ("lbf/in", "N/mm")),
    "angular rate": (
        "an angular rate",
        ("34 N·m/deg", "1975 N·m/rad"),
        ("N·m/deg", "N·m/rad"),
    ),
    "pressure": ("a pressure or stress", ("32 psi", "78.5 GPa"), ("psi", "bar")),
    "frequency": ("a frequency", ("1.2 Hz", "72 /min"), ("Hz", "/min")),
    "temperature": ("a temperature", ("20 °C", "68 °F"), ("°C", "°F")),
    "turns": ("a number of turns", ("1 1/2 turns", "0.5 turn"), ("turn",)),
    "energy": ("an energy", ("500 J", "370 ft·lbf"), ("J", "ft·lbf")),
    "number": ("a plain number", ("0.6", "60 %"), ("", "%")),
}


def named(kinds: Sequence[str]) -> str:
    """Name the kinds wanted, `a mass or a force`."""
    return " or ".join(_WORDS[kind][0] for kind in kinds)


def wanted(kinds: Sequence[str]) -> str:
    """Say by example how the kinds wanted are written."""
    examples = dict.fromkeys(e for kind in kinds for e in _WORDS[kind][1])
    return f"Write {named(kinds)} as {' or '.join(examples)}."


def no_unit(
    text: str, part: Part, kinds: Sequence[str], before: Part | None = None
) -> NoReturn:
    """Refuse a number that stands without its unit, maybe after another with one."""
    inch, under = units_of("length")["in"], part.under
    if "length" in kinds and under is not None and not fits(part.over, under, inch):
        bad_fraction(text, part, inch)
    offers = [
        f"{part.number} {unit.name}".rstrip()
        for kind in kinds
        for unit in (units_of(kind)[name] for name in _WORDS[kind][2])
        if part.under is None or part.under in unit.parts
        if before is None or ratio(find(before.unit, kind), unit)
    ]
    instead = f"Write {' or '.join(offers)}." if offers else wanted(kinds)
    raise TextError(text, f"{printable(part.number)} has no unit.", instead)


_WEIGHS = {"lb": "lbf", "kg": "kgf", "lbf": "lb", "kgf": "kg", "kp": "kg"}


def odd_unit(text: str, part: Part, kinds: Sequence[str]) -> NoReturn:
    """Refuse a unit of another kind, or one that is not known."""
    if re.match(r"(tons?|tonf)\b", part.unit):
        why = f"In {part.shown} the ton may be 1000 kg, 2240 lb or 2000 lb."
        instead = "Give it in kg or lb, or as t if it is 1000 kg."
        raise TextError(text, why, instead if "mass" in kinds else wanted(kinds))
    if part.unit in ("mil", "mils"):
        why = f"In {part.shown} the mil may be 0.001 in or, in speech, 1 mm."
        raise TextError(text, why, "Write thou or mm.")
    exact = next((k for k in KINDS if part.unit and part.unit in units_of(k)), "")
    near = "" if exact else nearest(part.unit, kinds)
    folded = (k for k in KINDS if part.unit and find(part.unit, k))
    other = exact or ("" if near else next(folded, ""))
    if other:
        _other_kind(text, part, other, kinds)
    why = f"“{printable(part.typed)}” is not a unit of {' or '.join(kinds)}."
    raise TextError(text, why, f"Did you mean {near}?" if near else wanted(kinds))


def _other_kind(text: str, part: Part, kind: str, kinds: Sequence[str]) -> NoReturn:
    why = f"{part.shown} is {_WORDS[kind][0]}; {named(kinds)} is wanted."
    unit = find(part.unit, kind)
    instead = wanted(kinds)
    if unit and {kind, *kinds} == {"mass", "force"} and unit.name in _WEIGHS:
        sought = "mass" if kind == "force" else "weight"
        instead = f"For the {sought} write {part.number} {_WEIGHS[unit.name]}."
    raise TextError(text, why, instead)


def bad_fraction(text: str, part: Part, unit: Unit) -> NoReturn:
    """Refuse a fraction that the unit is not divided in, or that reaches one."""
    whole, over, under = part.whole, part.over, part.under or 0
    on_tape = unit.parts == TAPE
    if under == 0:
        why = f"{part.shown} has 0 below the line, where it can never be."
        carried = ", ".join(str(d) for d in TAPE)
        instead = f"A tape carries {carried} there." if on_tape else "Write a decimal."
        raise TextError(text, why, instead)
    number = whole + Fraction(over, under)
    minus = "-" if part.number[0] == "-" else ""
    if under not in unit.parts and on_tape:
        guess = mixed(nearest_on_tape(whole, over, under))
        why = f"The tape cannot show {part.shown}."
        raise TextError(text, why, f"Did you mean {minus}{guess} in?")
    if under not in unit.parts:
        why = f"{unit.name or 'A number'} is not divided as in {part.shown}."
        if not unit.parts:
            why = f"{unit.name} takes no fractions, and {part.shown} has one."
        decimal = f"{float(number):.4f}".rstrip("0").rstrip(".")
        about = "" if Fraction(decimal) == number else "about "
        instead = f"Write a decimal: {about}{minus}{decimal} {unit.name}".rstrip() + "."
        raise TextError(text, why, instead)
    why = f"The fraction in {part.shown} is not below one."
    instead = f"Did you mean {minus}{mixed(number)} {unit.name}".rstrip() + "?"
    raise TextError(text, why, instead)


def unreadable(text: str, rest: str, kinds: Sequence[str], minus: str) -> NoReturn:
    """Refuse what should begin with a number and does not; `minus` stood before it."""
    found = re.match(r"[0-9][0-9.,]*[0-9]", rest)
    if found and len(re.findall("[.,]", found[0])) > 1:
        why = f"{printable(found[0])} has more than one decimal mark."
        instead = "Write one decimal mark, and nothing between thousands."
        *thousands, last = re.split("[.,]", found[0])
        marks = re.findall("[.,]", found[0])
        if len(set(marks[:-1])) == 1 and all(len(t) == 3 for t in thousands[1:]):
            if marks[-1] != marks[0]:
                last = "." + last
            number = minus + "".join(thousands) + last
            instead = f"Did you mean {number}{rest[found.end() :]}?"
        raise TextError(text, why, instead)
    if not re.search("[0-9]", rest):
        why = f"There is no number in {printable(rest)}."
        raise TextError(text, why if rest else "There is no number.", wanted(kinds))
    if re.match(r"[0-9]*[.,][0-9]+ ?/", rest):
        why = f"{printable(rest)} mixes a decimal and a fraction."
        raise TextError(text, why, f"Write one or the other. {wanted(kinds)}")
    raise TextError(text, f"{printable(rest)} cannot be read.", wanted(kinds))


def side_by_side(text: str, rest: str, kinds: Sequence[str], minus: str) -> NoReturn:
    """Refuse two numbers with no unit between them."""
    why = f"{printable(rest)} has two numbers with no unit between them."
    instead = wanted(kinds)
    three = re.match(r"([0-9]+) ([0-9]{1,2}) ([0-9]{1,2})(?![0-9.,/])(.*)", rest)
    thousands = re.match(
        r"([0-9]{1,3}(?: [0-9]{3})+(?![0-9])(?:[.,][0-9]+)?)(.*)", rest
    )
    if three and int(three[3]) in TAPE and 0 < int(three[2]) < int(three[3]):
        instead = f"Did you mean {minus}{three[1]} {three[2]}/{three[3]}{three[4]}?"
    elif thousands:
        instead = f"Did you mean {minus}{thousands[1].replace(' ', '')}{thousands[2]}?"
    elif re.match(r"[0-9]*[.,][0-9]+ [0-9]+/", rest):
        why = f"{printable(rest)} mixes a decimal and a fraction."
        instead = f"Write one or the other. {instead}"
    elif re.match(r"[0-9]+ ?[.,]", rest):
        why = f"In {printable(rest)} a decimal mark stands alone."
    raise TextError(text, why, instead)


def sum_or_difference(
    text: str, rest: str, kinds: Sequence[str], minus: str
) -> NoReturn:
    """Refuse a plus, or a dash that may be a minus, between two numbers."""
    why = f"In {printable(rest)} the sign between the numbers has no one meaning."
    instead = wanted(kinds)
    joined = re.match(r"([0-9]+) ?- ?([0-9]+/[0-9]+)(?![0-9/])(.*)", rest)
    if joined:
        instead = f"Did you mean {minus}{joined[1]} {joined[2]}{joined[3]}?"
    elif re.search("[0-9]-[0-9]| - ", rest):
        instead = f"For a range write its middle ± half its width. {instead}"
    raise TextError(text, why, instead)
