"""Masses, forces, rates and the rest: a number and its unit."""

from __future__ import annotations

from decimal import Decimal

from splinewise.show.figures import (
    System,
    checked,
    figures,
    place_of,
    signed,
    written,
)
from splinewise.show.lengths import angle

__all__ = [
    "angular_rate",
    "change",
    "energy",
    "force",
    "frequency",
    "linear_rate",
    "mass",
    "percent",
    "stress",
    "torque",
]

# Kind -> metric unit, inch unit, significant digits where no doubt is given.
_UNITS: dict[str, tuple[str, str, int]] = {
    "mass": ("kg", "lb", 4),
    "force": ("N", "lbf", 4),
    "torque": ("N·m", "lbf·ft", 4),
    "linear rate": ("N/mm", "lbf/in", 4),
    "angular rate": ("N·m/deg", "lbf·ft/deg", 4),
    "pressure": ("MPa", "psi", 4),
    "frequency": ("Hz", "Hz", 3),
    "energy": ("J", "ft·lbf", 3),
}


def mass(
    value: float, *, system: System, doubt: float | None = None, both: bool = False
) -> str:
    """Write a mass, kg or lb; four digits without doubt. `value`, `doubt` [kg].

    With `both`, in this and the functions below, an inch car's figure is followed by
    the metric one in brackets.

    >>> mass(268.8, system="inch", both=True)
    '592.6 lb (268.8 kg)'
    """
    return _own("mass", value, doubt, system, both)


def force(
    value: float, *, system: System, doubt: float | None = None, both: bool = False
) -> str:
    """Write a force, N or lbf; four digits without doubt. `value`, `doubt` [N].

    >>> force(2636.03, system="metric", doubt=40.0)
    '2640 N ± 40 N'
    """
    return _own("force", value, doubt, system, both)


def torque(
    value: float, *, system: System, doubt: float | None = None, both: bool = False
) -> str:
    """Write a torque, N·m or lbf·ft; four digits without doubt. [N·m].

    >>> torque(918.2253, system="inch", both=True)
    '677.2 lbf·ft (918.2 N·m)'
    """
    return _own("torque", value, doubt, system, both)


def linear_rate(
    value: float, *, system: System, doubt: float | None = None, both: bool = False
) -> str:
    """Write a spring or wheel rate, N/mm or lbf/in; four digits without doubt. [N/m].

    >>> linear_rate(14570.02, system="metric")
    '14.57 N/mm'
    """
    return _own("linear rate", value, doubt, system, both)


def angular_rate(
    value: float, *, system: System, doubt: float | None = None, both: bool = False
) -> str:
    """Write a bar's rate for each degree, N·m or lbf·ft; four digits. [N·m/rad].

    >>> angular_rate(1975.14791, system="metric")
    '34.47 N·m/deg'
    """
    return _own("angular rate", value, doubt, system, both)


def stress(
    value: float, *, system: System, doubt: float | None = None, both: bool = False
) -> str:
    """Write a stress, MPa or psi; four digits without doubt. `value`, `doubt` [Pa].

    >>> stress(410.55544e6, system="inch", both=True)
    '59550 psi (410.6 MPa)'
    """
    return _own("pressure", value, doubt, system, both)


def frequency(
    value: float, *, system: System, doubt: float | None = None, both: bool = False
) -> str:
    """Write a frequency in Hz, whatever the car's units; three digits. [Hz].

    >>> frequency(1.2, system="inch")
    '1.20 Hz'
    """
    return _own("frequency", value, doubt, system, both)


def energy(
    value: float, *, system: System, doubt: float | None = None, both: bool = False
) -> str:
    """Write an energy, J or ft·lbf; three digits without doubt. `value`, `doubt` [J].

    >>> energy(213.4, system="metric")
    '213 J'
    """
    return _own("energy", value, doubt, system, both)


def percent(value: float) -> str:
    """Write a share or a chance, two digits and at most to the whole per cent. [1].

    What is not 0 % or 100 % is never written so: a chance of 0.00002 is
    "under 0.01 %", and 0.9999 of a limit "just under 100 %".

    >>> percent(0.0256), percent(0.9971)
    ('2.6 %', '99.7 %')
    """
    number, _ = checked(value, None)
    share = 100 * number
    size = abs(share)
    if 0 < size < Decimal("0.01"):
        return "under 0.01 %" if share > 0 else "between −0.01 % and 0 %"
    place = place_of(size, 2)
    if abs(size - 100) <= Decimal("0.5") and size != 100:
        if abs(size - 100) <= Decimal("0.05"):
            side = "under" if size < 100 else "over"
            return f"just {side} {'−' if share < 0 else ''}100 %"
        place = -1
    return f"{figures(share, min(0, place))} %"


def change(
    value: float, kind: str, *, system: System, doubt: float | None = None
) -> str:
    """Write a change with its sign, + or −.

    Lengths without doubt to 0.1 mm or 0.01 in; the rest as the functions above.

    Parameters
    ----------
    value : float
        The change. [SI unit of `kind`]
    kind : str
        A kind of `splinewise.units.KINDS` that has a function here.
    system : {"inch", "metric"}
        The car's units.
    doubt : float, optional
        Half-width. [as `value`]

    Examples
    --------
    >>> change(-0.00408, "length", system="inch")
    '−0.16 in (−4.1 mm)'
    """
    if kind == "angle":
        text = angle(value, doubt=doubt)
    elif kind == "length":
        text = written(value, doubt, "length", "mm", place=-1)
        if system == "inch":
            inches = written(value, doubt, "length", "in", place=-2)
            return f"{signed(inches)} ({signed(text)})"
    else:
        text = _own(kind, value, doubt, system, both=False)
    return signed(text)


def _own(
    kind: str, value: float, doubt: float | None, system: System, both: bool
) -> str:
    metric, inch, digits = _UNITS[kind]
    first = inch if system == "inch" else metric
    text = written(value, doubt, kind, first, digits=digits)
    if both and first != metric:
        text += f" ({written(value, doubt, kind, metric, digits=digits)})"
    return text
