"""Shear modulus of spring steels: who says what, and how far they differ.

The modulus is an uncertain input; a measured rate is better than any row here.

The doubt of a row is ours, not the source's, for none gives one.  The true value is
taken as equally likely anywhere between what the row says and the furthest figure that
another source gives for the same steel.  Its root mean square distance from the row's
figure, reach / √3, is the standard doubt.  Two figures speak of the same steel when one is for an alloy and the
other for all bars that are formed hot, or when both are for wire.  That heavy bars of
the named alloys are hot formed is common practice, no source.

Where a row is no surer than the one for unknown steel, knowing the alloy gains nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite, positive, refuse_where
from splinewise.core.standing import Standing

__all__ = [
    "STEELS",
    "TEMPERATURE_COEFFICIENT",
    "TEMPERATURE_COEFFICIENT_STANDING",
    "Steel",
    "modulus_at",
]

_MEGAPSI = 0.45359237 * 9.80665 / 0.0254**2 * 1e6  # Pa, exact
_KILOPOND_PER_MM2 = 9.80665e6  # Pa, exact

_TABLE = (
    "spring moduli table at engineersedge.com, in the style of Machinery's Handbook"
)

TEMPERATURE_COEFFICIENT = 0.25e-3
"""Part of the modulus lost per kelvin above 20 °C, for EN 10270-1, EN 10270-2 and
EN 10089 steels; EN 13906-1. [1/K]"""

TEMPERATURE_COEFFICIENT_STANDING = Standing.MEMORY


@dataclass(frozen=True, slots=True)
class Steel:
    """A row of the table: one steel, one source.

    Attributes
    ----------
    name : str
        Plain words.
    shear_modulus : float
        Modulus of rigidity at room temperature, G. [Pa]
    doubt : float
        Standard doubt of it, by the rule told at the head of this module. [Pa]
    source : str
        Who says so.
    standing : Standing
        How far that was seen.
    """

    name: str
    shear_modulus: float
    doubt: float
    source: str
    standing: Standing

    @property
    def relative_doubt(self) -> float:
        """Standard doubt as a part of the modulus. [1]"""
        return self.doubt / self.shear_modulus


@dataclass(frozen=True, slots=True)
class _Printed:
    """A figure as its source prints it, and the rows that speak of the same steel."""

    name: str
    value: float
    unit: float
    source: str
    rivals: tuple[str, ...]
    standing: Standing = Standing.READ

    @property
    def modulus(self) -> float:
        return self.value * self.unit


_ALLOYS = ("chrome-vanadium", "chrome-silicon", "silicon-manganese")
_HOT = "hot-formed spring steel"
_WIRES = ("oil-tempered MB wire", "patented drawn wire", "EN 10270-1 wire")
_KILOPOND_SOURCE = "'Schubmodul und Werkstoff', aabag.de, there for DIN"

_PRINTED = (
    _Printed("chrome-vanadium", 11.2, _MEGAPSI, _TABLE, (_HOT,)),
    _Printed("chrome-silicon", 11.2, _MEGAPSI, _TABLE, (_HOT,)),
    _Printed("silicon-manganese", 10.75, _MEGAPSI, _TABLE, (_HOT,)),
    _Printed(
        _HOT,
        8000.0,
        _KILOPOND_PER_MM2,
        f"{_KILOPOND_SOURCE} 17221 steels",
        _ALLOYS,
    ),
    _Printed(
        "EN 10089 bar",
        78.5,
        1e9,
        "EN 13906-1, for EN 10089 steels",
        (_HOT, *_ALLOYS),
        Standing.MEMORY,
    ),
    _Printed("oil-tempered MB wire", 11.2, _MEGAPSI, _TABLE, _WIRES),
    _Printed(
        "patented drawn wire",
        8300.0,
        _KILOPOND_PER_MM2,
        f"{_KILOPOND_SOURCE} 17223 wire",
        _WIRES,
    ),
    _Printed(
        "EN 10270-1 wire",
        81.5,
        1e9,
        "list of DIN standards, part 38, zinref.ru",
        _WIRES,
    ),
)


def _with_doubt(row: _Printed) -> Steel:
    rivals = [other.modulus for other in _PRINTED if other.name in row.rivals]
    reach = max(abs(row.modulus - g) for g in rivals)
    return Steel(row.name, row.modulus, reach / 3**0.5, row.source, row.standing)


def _spanned(name: str, low: float, high: float, source: str) -> Steel:
    """One row for all that lies between two figures, each value as likely."""
    half = (high - low) / 2.0
    return Steel(name, low + half, half / 3**0.5, source, Standing.OWN)


STEELS: Mapping[str, Steel] = MappingProxyType(
    {
        row.name: row
        for row in [
            *(_with_doubt(printed) for printed in _PRINTED),
            _spanned(
                "steel of the textbooks",
                77e9,
                12.0 * _MEGAPSI,
                "figures used in textbooks' worked examples, 77 GPa to 12 million psi;"
                " the middle is ours",
            ),
            _spanned(
                "unknown spring steel",
                74.1e9,
                81.4e9,
                "the spread of the figures read for spring steels, 74.1 to 81.4 GPa;"
                " the middle is ours",
            ),
        ]
    }
)
"""The rows, by name.  For a steel without a row of its own take the unknown one."""


def modulus_at(shear_modulus: ArrayLike, temperature_rise: ArrayLike) -> Array:
    """Modulus away from room temperature, G [1 − 0.25e-3 (t − 20 °C)].

    The coefficient is from memory and not verified (EN 13906-1, for EN 10270-1,
    EN 10270-2 and EN 10089 steels).

    Parameters
    ----------
    shear_modulus : array_like, shape (...)
        Modulus at 20 °C, G. [Pa]
    temperature_rise : array_like, shape (...)
        How much warmer than 20 °C the bar is, t − 20 °C; from −80 to 180, a limit of
        ours, wider than a bar in service sees. [K]

    Returns
    -------
    ndarray, shape (...)
        Modulus at that temperature. [Pa]

    Raises
    ------
    QuantityError
        If the modulus is not positive or the temperature out of that range.
    """
    G = positive("shear_modulus", shear_modulus, "Pa")
    rise = finite("temperature_rise", temperature_rise, "K")
    refuse_where(
        (rise < -80.0) | (rise > 180.0),
        "temperature_rise",
        rise,
        "K",
        "from -80 to 180 about 20 °C",
    )
    return np.asarray(G * (1.0 - TEMPERATURE_COEFFICIENT * rise))
