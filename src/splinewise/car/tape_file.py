"""The file of a taping: named points, and the distances and levels among them.

It is laid out like this::

    [tape]
    name = "front left"
    instrument = "tape-2"          # for readings that name none of their own

    [held]                         # taken as exact; "?" where not known
    lower_front = ["0 mm", "0 mm", "0 mm"]
    [near]                         # rough places, which choose between mirror images
    lower_ball = ["0 mm", "350 mm", "−30 mm"]

    [[distance]]                   # straight from point to point
    from = "lower_front"
    to = "lower_ball"
    value = "372 mm ± 1"
    [[plan]]                       # between plumb marks on the floor
    [[level]]                      # how far `to` is above `from`
    [[height]]                     # how far `of` is above zero
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

from splinewise.car.file import file_text
from splinewise.car.lines import find_lines, line_of
from splinewise.car.model import Figure
from splinewise.errors import CarFileError, Fault, TextError
from splinewise.units import read

__all__ = ["Taped", "Taping", "load_taping", "read_taping"]

KINDS = ("distance", "plan", "level", "height")
_TABLES = ("tape", "held", "near", *KINDS)
Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Taped:
    """One reading between points.

    Attributes
    ----------
    kind : str
        "distance", "plan", "level" or "height". [1]
    ends : tuple of str
        The two points, or the one of a height. [1]
    figure : Figure
        What was read. [m]
    instrument : str
        What it was read with; empty if not said. [1]
    name : str
        What it is called. [1]
    """

    kind: str
    ends: tuple[str, ...]
    figure: Figure
    instrument: str
    name: str


@dataclass(frozen=True, slots=True)
class Taping:
    """All that was taped.

    Attributes
    ----------
    name : str
        What the person calls it. [1]
    points : tuple of str
        The points, in the order in which the file names them. [1]
    held, near : mapping of str to tuple of float
        Places taken as exact, and rough ones; NaN where not known. [m]
    readings : tuple of Taped
        The readings. [m]
    """

    name: str
    points: tuple[str, ...]
    held: Mapping[str, Place]
    near: Mapping[str, Place]
    readings: tuple[Taped, ...]


def load_taping(path: str | Path) -> Taping:
    """Read the file of a taping.

    Parameters
    ----------
    path : str or Path
        Where it is.

    Returns
    -------
    Taping
        What it says. [m]

    Raises
    ------
    CarFileError
        If it cannot be read, or what it says is no taping.
    """
    return read_taping(file_text(path), file=str(path))


def read_taping(text: str, *, file: str = "") -> Taping:
    """Read the text of a taping; as `load_taping` otherwise.

    Parameters
    ----------
    text : str
        TOML.
    file : str
        What to call it in messages.

    Returns
    -------
    Taping
        What it says. [m]

    Raises
    ------
    CarFileError
        If what it says is no taping.
    """
    try:
        raw = tomllib.loads(text)
    except ValueError as error:
        _refuse(file, 0, f"This is not TOML: {error}.")
    lines = find_lines(text)
    for key in raw:
        if key not in _TABLES:
            known = ", ".join(_TABLES)
            _refuse(file, line_of(lines, (key,)), f"{key!r} is not one of {known}.")
    head = _table(raw, "tape", file)
    for key in head:
        if key not in ("name", "instrument"):
            why = f"[tape] has no key {key!r}; it has name and instrument."
            _refuse(file, line_of(lines, ("tape", key)), why)
    held, near = (_places(raw, key, file, lines) for key in ("held", "near"))
    rows: list[Taped] = []
    for kind in KINDS:
        given = raw.get(kind, [])
        if not isinstance(given, list):
            why = f"Write [[{kind}]] with two brackets, one for each reading."
            _refuse(file, line_of(lines, (kind,)), why)
        for i, row in enumerate(given):
            line = line_of(lines, (kind, i))
            rows.append(_row(kind, row, str(head.get("instrument", "")), file, line))
    if not rows:
        _refuse(
            file, 0, "There is no reading: write [[distance]], [[level]] or others."
        )
    named = [*held, *near, *(end for row in rows for end in row.ends)]
    return Taping(
        str(head.get("name", "")), tuple(dict.fromkeys(named)), held, near, tuple(rows)
    )


def _row(kind: str, row: Any, instrument: str, file: str, line: int) -> Taped:
    ends = ("of",) if kind == "height" else ("from", "to")
    allowed = (*ends, "value", "instrument", "name")
    if not isinstance(row, dict):
        _refuse(file, line, f"[[{kind}]] holds keys: {', '.join(allowed)}.")
    for key in row:
        if key not in allowed:
            why = f"[[{kind}]] has no key {key!r}; it has {', '.join(allowed)}."
            _refuse(file, line, why)
    for key in (*ends, "value"):
        if key not in row:
            _refuse(file, line, f"[[{kind}]] lacks {key!r}.")
    for key, value in row.items():
        if not isinstance(value, str) or not value.strip():
            _refuse(file, line, f"{key!r} of [[{kind}]] is text in quotes.")
    points = tuple(row[key] for key in ends)
    if len(set(points)) < len(points):
        _refuse(file, line, f"A {kind} needs two different points.")
    try:
        typed = read(row["value"], "length")
    except TextError as error:
        _refuse(file, line, str(error))
    if kind in ("distance", "plan") and typed.value <= 0.0:
        _refuse(file, line, f"A {kind} must be above 0.")
    figure = Figure(
        typed.value, typed.doubt, "measured", text=typed.text, step=typed.step
    )
    name = row.get("name") or f"{kind} {' to '.join(points)}"
    return Taped(kind, points, figure, row.get("instrument", instrument), name)


def _places(
    raw: Mapping[str, Any], key: str, file: str, lines: Any
) -> dict[str, Place]:
    found: dict[str, Place] = {}
    for point, given in _table(raw, key, file).items():
        line = line_of(lines, (key, point))
        if (
            not isinstance(given, list)
            or len(given) != 3
            or not all(isinstance(one, str) for one in given)
        ):
            why = f'Give {point} as three lengths, as ["120 mm", "?", "240 mm"].'
            _refuse(file, line, why)
        try:
            x, y, z = (
                math.nan if one.strip() == "?" else read(one, "length").value
                for one in given
            )
        except TextError as error:
            _refuse(file, line, str(error))
        found[point] = (x, y, z)
    return found


def _table(raw: Mapping[str, Any], key: str, file: str) -> Mapping[str, Any]:
    table = raw.get(key, {})
    if not isinstance(table, dict):
        _refuse(file, 0, f"[{key}] is a table: write its name in brackets.")
    return table


def _refuse(file: str, line: int, why: str) -> NoReturn:
    raise CarFileError(file, [Fault(line, "", why)]) from None
