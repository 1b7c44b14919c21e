"""What to drill for a bolt, and the limits of a reamed fit.

Tables only: ISO 273 and ASME B18.2.8 clearance holes by bolt, ISO 286 tolerances by
size.  None of the standards' own pages was seen; each table says where its figures
were read and how far to trust them, and a face that shows a figure shows that too.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isclose
from types import MappingProxyType

from splinewise.errors import QuantityError

__all__ = [
    "ASME_B18_2_8",
    "ISO_273",
    "ISO_273_LARGER",
    "ISO_286_STANDING",
    "ClearanceTable",
    "Limits",
    "it_grade",
    "reamed_hole",
    "reamed_pin",
]

_MM = 1e-3
_INCH = 0.0254


@dataclass(frozen=True, slots=True)
class Limits:
    """Least and greatest diameter that a fit allows.

    Attributes
    ----------
    least, greatest : float, shape ()
        The limits. [m]
    """

    least: float
    greatest: float


@dataclass(frozen=True, slots=True)
class ClearanceTable:
    """Clearance holes by bolt diameter and fit, as one standard gives them.

    Attributes
    ----------
    standard : str, shape ()
        What the table is of. [1]
    standing : str, shape ()
        Where the figures were read, and what was not seen. [1]
    fits : tuple of str, shape (3,)
        The standard's own names of the fits, the closest first. [1]
    names : mapping of float to str, shape (N,)
        The bolts' names by their diameter. [1]
    rows : mapping of float to tuple, shape (N, 3)
        Hole diameters by bolt diameter; None where no figure is to be trusted. [m]
    """

    standard: str
    standing: str
    fits: tuple[str, str, str]
    names: Mapping[float, str]
    rows: Mapping[float, tuple[float | None, ...]]

    def hole(self, bolt: float, fit: str) -> float:
        """Return the hole for a bolt.

        Parameters
        ----------
        bolt : float, shape ()
            Nominal diameter of the bolt, one of `rows`. [m]
        fit : str, shape ()
            One of `fits`. [1]

        Returns
        -------
        float, shape ()
            Diameter to drill. [m]

        Raises
        ------
        QuantityError
            If the table has no such bolt, or no figure for it at that fit.
        KeyError
            If the table has no such fit.
        """
        if fit not in self.fits:
            msg = f"{self.standard} has no fit {fit!r}; it has {', '.join(self.fits)}"
            raise KeyError(msg)
        for diameter, holes in self.rows.items():
            # A bolt is told by its name; a tenth of a micrometre is rounding.
            if isclose(diameter, bolt, rel_tol=0.0, abs_tol=1e-7):
                hole = holes[self.fits.index(fit)]
                if hole is not None:
                    return hole
        listed = ", ".join(self.at(fit))
        name, rule = "bolt", f"one that {self.standard} lists at {fit}: {listed}"
        raise QuantityError(name, bolt, "m", rule)

    def at(self, fit: str) -> Mapping[str, float]:
        """Return the holes of one fit by the bolts' names. [m]"""
        column = self.fits.index(fit)
        found = ((self.names[d], holes[column]) for d, holes in self.rows.items())
        return {name: hole for name, hole in found if hole is not None}


def _metric(
    rows: Mapping[int, tuple[float, float, float]], **told: str
) -> ClearanceTable:
    """Return a table typed in millimetres."""
    return ClearanceTable(
        fits=("fine", "medium", "coarse"),
        names=MappingProxyType({d * _MM: f"M{d}" for d in rows}),
        rows=MappingProxyType(
            {d * _MM: tuple(h * _MM for h in holes) for d, holes in rows.items()}
        ),
        **told,
    )


def _inch(
    rows: Mapping[str, tuple[int, int, int | None]], **told: str
) -> ClearanceTable:
    """Return a table typed as 64ths of an inch over the bolt's own size."""
    sizes = {name: _sixty_fourths(name) for name in rows}
    return ClearanceTable(
        fits=("close", "normal", "loose"),
        names=MappingProxyType(
            {n * _INCH / 64: f"{name} in" for name, n in sizes.items()}
        ),
        rows=MappingProxyType(
            {
                sizes[name] * _INCH / 64: tuple(
                    None if over is None else (sizes[name] + over) * _INCH / 64
                    for over in row
                )
                for name, row in rows.items()
            }
        ),
        **told,
    )


def _sixty_fourths(name: str) -> int:
    """Return an inch size, whole or a fraction, in 64ths."""
    top, _, bottom = name.partition("/")
    return int(top) * 64 // int(bottom or 1)


ISO_273 = _metric(
    {
        5: (5.3, 5.5, 5.8),
        6: (6.4, 6.6, 7.0),
        8: (8.4, 9.0, 10.0),
        10: (10.5, 11.0, 12.0),
        12: (13.0, 13.5, 14.5),
        14: (15.0, 15.5, 16.5),
        16: (17.0, 17.5, 18.5),
        18: (19.0, 20.0, 21.0),
        20: (21.0, 22.0, 24.0),
        22: (23.0, 24.0, 26.0),
        24: (25.0, 26.0, 28.0),
    },
    standard="ISO 273",
    standing=(
        "Read in a supplier's chart and in the tables of an open-source drawing "
        "library, which agree from M5 to M16, at M20 and at M24; M18 and M22 in a "
        "drawing-office table and the data of an open-source parts library, which "
        "differ at other sizes. The standard's page was not seen."
    ),
)
"""Metric clearance holes; the hole tolerances of the three fits are H12, H13, H14."""

ISO_273_LARGER = _metric(
    {12: (13.0, 14.0, 15.0), 14: (15.0, 16.0, 17.0), 16: (17.0, 18.0, 19.0)},
    standard="an older table",
    standing=(
        "Read in a drawing-office table and in the data of an open-source parts "
        "library, both without a word on why they differ from ISO 273."
    ),
)
"""Bolts at which other tables in use drill larger: a person may meet either."""

ASME_B18_2_8 = _inch(
    {
        "1/4": (1, 2, 3),
        "5/16": (1, 2, 3),
        "3/8": (1, 2, 3),
        "7/16": (1, 2, 3),
        "1/2": (2, 4, 7),
        "5/8": (2, 4, 7),
        "3/4": (2, 4, 10),
        # One copy prints for loose what it prints for normal, so it is left out.
        "7/8": (2, 4, None),
        "1": (2, 6, 10),
    },
    standard="ASME B18.2.8",
    standing=(
        "Read in the tables of two open-source drawing libraries, which agree. The "
        "standard's page was not seen: verify against it before relying on a figure."
    ),
)
"""Inch clearance holes, typed as 64ths over the bolt's size."""

ISO_286_STANDING = (
    "Tolerances read in the tables of an open-source library of fits; H7 and h6 of "
    "the sizes in use agree with the standard as remembered. Its page was not seen."
)
"""Where the figures of `it_grade` come from."""

# Micrometres by greatest size in millimetres: "over one, up to and including the next".
_IT: Mapping[int, tuple[int, ...]] = MappingProxyType(
    {
        6: (8, 12, 18, 30, 48, 75),
        10: (9, 15, 22, 36, 58, 90),
        18: (11, 18, 27, 43, 70, 110),
        30: (13, 21, 33, 52, 84, 130),
        50: (16, 25, 39, 62, 100, 160),
    }
)
_LEAST_GRADE, _LEAST_SIZE = 6, 3.0


def it_grade(size: float, grade: int) -> float:
    """Return the tolerance of a size at a grade, ISO 286-1.

    Parameters
    ----------
    size : float, shape ()
        Nominal size, over 3 mm and up to 50 mm. [m]
    grade : int, shape ()
        Grade, 6 to 11. [1]

    Returns
    -------
    float, shape ()
        Width of the tolerance; where it was read stands in `ISO_286_STANDING`. [m]

    Raises
    ------
    QuantityError
        If the size or the grade is not in the table.

    Examples
    --------
    >>> print(f"{it_grade(0.012, 7) * 1e6:.0f} µm")
    18 µm
    """
    mm = round(size / _MM, 6)  # 18 mm is up to 18 mm, whatever its last bit
    last = _LEAST_GRADE + len(_IT[10]) - 1
    if not _LEAST_SIZE < mm <= max(_IT):
        name, rule = "size", f"over {_LEAST_SIZE * _MM:g} up to {max(_IT) * _MM:g}"
        raise QuantityError(name, size, "m", rule)
    if grade not in range(_LEAST_GRADE, last + 1):
        name, rule = "grade", f"a whole number from {_LEAST_GRADE} to {last}"
        raise QuantityError(name, grade, "", rule)
    row = next(row for most, row in _IT.items() if mm <= most)
    return row[grade - _LEAST_GRADE] * 1e-6


def reamed_hole(size: float, *, grade: int = 7) -> Limits:
    """Return the limits of a hole on the basic-hole system, H7 unless told.

    Parameters
    ----------
    size : float, shape ()
        Nominal size. [m]
    grade : int, shape (), default 7
        Grade of H. [1]

    Returns
    -------
    Limits, shape ()
        From the nominal size upwards. [m]

    Raises
    ------
    QuantityError
        As in `it_grade`.
    """
    return Limits(size, size + it_grade(size, grade))


def reamed_pin(size: float, *, grade: int = 6) -> Limits:
    """Return the limits of a pin, h6 unless told.

    Parameters
    ----------
    size : float, shape ()
        Nominal size. [m]
    grade : int, shape (), default 6
        Grade of h. [1]

    Returns
    -------
    Limits, shape ()
        From the nominal size downwards. [m]

    Raises
    ------
    QuantityError
        As in `it_grade`.
    """
    return Limits(size - it_grade(size, grade), size)
