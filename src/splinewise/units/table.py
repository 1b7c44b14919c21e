"""The units that may be typed, their other spellings, and what each is in SI.

Factors are exact by definition: the inch and the pound of the 1959 yard and pound
agreement, standard gravity 9.80665 m/s², and what follows from them.  The
hundredweight, quarter and stone are the long ones: 112, 28 and 14 lb.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction
from functools import cache
from typing import NamedTuple

__all__ = ["KINDS", "TAPE", "Unit", "find", "fits", "ratio", "scale", "si", "units_of"]

TAPE = (2, 4, 8, 16, 32, 64)
_ARC = (2, 3, 4, 6, 12)  # 30, 20, 15, 10 and 5 minutes
_TURN = (2, 3, 4, 6, 8, 12)  # a flat of a hexagon is a sixth
_WEIGHT = (2, 4, 8, 16)
_HALVES = (2, 4)


class Unit(NamedTuple):
    """One unit: its name here, its size, and the fractions that it is divided in."""

    name: str
    factor: Fraction  # in SI, its power of pi left out
    pi: int = 0
    parts: tuple[int, ...] = ()
    zero: Fraction = Fraction(0)  # added before scaling


def si(number: Fraction, unit: Unit) -> float:
    """Return `number` of `unit` in SI; the only step that is not exact."""
    exact = float(number * unit.factor)
    return exact * math.pi**unit.pi if unit.pi else exact


def scale(unit: str, kind: str) -> float:
    """SI size of one `unit`; a name that `Quantity.unit` may bear, and its kind."""
    return si(Fraction(1), units_of(kind)[unit])


def find(key: str, kind: str) -> Unit | None:
    """Return the unit spelt `key`; capitals count only where they matter.

    They matter in one letter alone (m, g, N, K) and after a capital M (MPa).
    """
    unit = units_of(kind).get(key)
    if unit is None and len(key) > 1:
        unit = _folded(kind).get(key.casefold())
    return unit


def fits(over: int, under: int, unit: Unit) -> bool:
    """Whether a fraction is below one and of a sort that the unit is divided in."""
    return over < under and under in unit.parts


def ratio(larger: Unit | None, smaller: Unit) -> int:
    """How many of the `smaller` make one of the `larger`; 0 if not a whole number."""
    if larger is None or larger.pi != smaller.pi:
        return 0
    many = larger.factor / smaller.factor
    return many.numerator if many.denominator == 1 and many > 1 else 0


@cache
def units_of(kind: str) -> dict[str, Unit]:
    """Every spelling of every unit of one kind."""
    units: dict[str, Unit] = {}
    for name, factor, parts, spellings in _ROWS[kind]():
        pi = -1 if name.endswith("/deg") else int(name in _ARCS)
        unit = Unit(name, Fraction(factor), pi, parts, _ZEROS.get(name, Fraction(0)))
        for spelling in (name, *spellings.split()):
            units[spelling] = unit
    return units


@cache
def _folded(kind: str) -> dict[str, Unit]:
    return {
        spelling.casefold(): unit
        for spelling, unit in units_of(kind).items()
        if len(spelling) > 1 and spelling[0] != "M"
    }


_Row = tuple[str, Fraction | int, tuple[int, ...], str]

_INCH, _POUND, _G = Fraction("0.0254"), Fraction("0.45359237"), Fraction("9.80665")
_LBF = _POUND * _G
_FORCES = {
    "N": Fraction(1),
    "daN": Fraction(10),
    "kN": Fraction(1000),
    "lbf": _LBF,
    "kgf": _G,
    "kp": _G,
}
_SPANS = {
    "m": Fraction(1),
    "cm": Fraction(1, 100),
    "mm": Fraction(1, 1000),
    "in": _INCH,
    "ft": 12 * _INCH,
}
# Beside a length the trade's lb and kg can only be forces, and are read so.
_LOOSE = {"lbf": ("lbf", "lb", "lbs"), "kgf": ("kgf", "kg")}
_ARCS = ("deg", "arcmin", "arcsec")
_ZEROS = {"°C": Fraction("273.15"), "°F": Fraction("459.67")}


def _torques() -> Iterator[_Row]:
    for force, newtons in _FORCES.items():
        for span, metres in _SPANS.items():
            also: list[str] = []
            for f in _LOOSE.get(force, (force,)):
                also += f"{f}·{span}", f"{span}·{f}", f + span
                if force[-1] != "N":  # mN is a millinewton
                    also.append(span + f)
            parts = _WEIGHT if force == "lbf" else ()
            yield f"{force}·{span}", metres * newtons, parts, " ".join(also)


def _angular_rates() -> Iterator[_Row]:
    for name, factor, parts, also in _torques():
        for angle, size, ways in (("rad", 1, ["rad"]), ("deg", 180, ["deg", "°"])):
            both = " ".join(f"{a}/{w}" for a in also.split() for w in ways)
            yield f"{name}/{angle}", factor * size, parts, both


def _per_length() -> Iterator[_Row]:
    for force, newtons in _FORCES.items():
        for span, metres in _SPANS.items():
            also = " ".join(f"{f}/{span}" for f in _LOOSE.get(force, (force,)))
            parts = _WEIGHT if force == "lbf" else ()
            yield f"{force}/{span}", newtons / metres, parts, also


def _per_area() -> Iterator[_Row]:
    for force, newtons in _FORCES.items():
        for span, metres in _SPANS.items():
            ways = _LOOSE.get(force, (force,))
            also = " ".join(f"{f}/{span}2 {f}/sq·{span}" for f in ways)
            parts = _WEIGHT if force == "lbf" else ()
            yield f"{force}/{span}2", newtons / metres**2, parts, also


def _pressures() -> Iterator[_Row]:
    psi = _LBF / _INCH**2
    yield "bar", 10**5, (), ""
    yield "psi", psi, _WEIGHT, ""
    yield "Pa", 1, (), ""
    yield "kPa", 10**3, (), ""
    yield "MPa", 10**6, (), "MN/m2"
    yield "GPa", 10**9, (), ""
    yield "ksi", 1000 * psi, _WEIGHT, ""
    yield from _per_area()


# Kind -> rows of name, size, denominators, other spellings.
_ROWS: dict[str, Callable[[], Iterable[_Row]]] = {
    "length": lambda: (
        ("mm", Fraction(1, 1000), (), "millimetre millimetres millimeter millimeters"),
        ("in", _INCH, TAPE, 'inch inches ins "'),
        ("cm", Fraction(1, 100), (), "centimetre centimetres centimeter centimeters"),
        ("m", 1, (), "metre metres meter meters"),
        ("ft", 12 * _INCH, _HALVES, "foot feet '"),
        ("thou", _INCH / 1000, _HALVES, ""),
        ("µm", Fraction(1, 10**6), (), "um micron microns"),
    ),
    "angle": lambda: (
        ("deg", Fraction(1, 180), _ARC, "° degs degree degrees"),
        ("rad", 1, (), "radian radians"),
        ("arcmin", Fraction(1, 180 * 60), _HALVES, "' min mins minute minutes"),
        ("arcsec", Fraction(1, 180 * 3600), (), '" sec secs second seconds'),
        ("mrad", Fraction(1, 1000), (), ""),
    ),
    "mass": lambda: (
        ("kg", 1, (), "kgs kilogram kilograms kilogramme kilogrammes"),
        ("lb", _POUND, _WEIGHT, "lbs pound pounds"),
        ("st", 14 * _POUND, _HALVES, "stone"),
        ("cwt", 112 * _POUND, _HALVES, ""),
        ("qr", 28 * _POUND, _HALVES, "qrs"),
        ("oz", _POUND / 16, (2, 4, 8), "ounce ounces"),
        ("g", Fraction(1, 1000), (), "gram grams gramme grammes"),
        ("t", 1000, (), "tonne tonnes"),
    ),
    "force": lambda: (
        ("N", 1, (), "newton newtons"),
        ("lbf", _LBF, _WEIGHT, ""),
        *((name, _FORCES[name], (), "") for name in ("daN", "kN", "kgf", "kp")),
    ),
    "torque": _torques,
    "linear rate": _per_length,
    "angular rate": _angular_rates,
    "pressure": _pressures,
    "frequency": lambda: (
        ("Hz", 1, (), "/s /sec /second s-1 c/s cycles/s"),
        ("/min", Fraction(1, 60), (), "/minute min-1 cpm c/min cycles/min"),
    ),
    "temperature": lambda: (
        ("°C", 1, (), "C degC deg·C"),
        ("°F", Fraction(5, 9), (), "F degF deg·F"),
        ("K", 1, (), ""),
    ),
    "turns": lambda: (("turn", 1, _TURN, "turns rev revs"),),
    "energy": lambda: (
        ("J", 1, (), "joule joules"),
        ("ft·lbf", 12 * _INCH * _LBF, _WEIGHT, "ft·lb ftlb lbf·ft lb·ft lbft"),
        ("in·lbf", _INCH * _LBF, _WEIGHT, "in·lb inlb lbf·in lb·in lbin"),
        ("kJ", 1000, (), ""),
    ),
    "number": lambda: (
        ("", 1, tuple(range(2, 101)), ""),
        ("%", Fraction(1, 100), (), ""),
    ),
}

KINDS: tuple[str, ...] = tuple(_ROWS)
