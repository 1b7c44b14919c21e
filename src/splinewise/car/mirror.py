"""A corner that is written as the mirror of the one across the car.

The two tables are merged before anything is read: key by key where both are tables,
rows as a whole.  Points are taken over with y reversed.  What was measured on one
side is not taken over as a measurement of the other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeGuard

from splinewise.car.blame import Blame
from splinewise.car.keys import BLANK
from splinewise.car.lines import Path, line_of
from splinewise.car.model import Side
from splinewise.car.points import Mirrored

__all__ = ["across", "line_finder", "side_of", "twin", "unfolded"]

Raw = dict[str, Any]

# Read on one side only, or true of one part only: never taken over.
_OWN: Mapping[Path, frozenset[str]] = {
    (): frozenset({"mirror", "reading", "floor"}),
    ("bar",): frozenset({"measured_rate"}),
    ("splines",): frozenset({"counted"}),
    ("adjuster",): frozenset({"now", "hole"}),
}

_SHAPE = frozenset(
    {
        "shape",
        "diameter",
        "bore",
        "side",
        "across_flats",
        "width",
        "thickness",
        "leaves",
    }
)

# Ways to say one thing: where a corner says it in its own way, the other's go.
_WAYS: Mapping[Path, tuple[tuple[frozenset[str], frozenset[str]], ...]] = {
    (): (
        (frozenset({"sprung_load"}), frozenset({"scale_load", "unsprung"})),
        (frozenset({"scale_load", "unsprung"}), frozenset({"sprung_load"})),
        (frozenset({"spindle"}), frozenset({"drawn_camber", "drawn_toe"})),
        (frozenset({"drawn_camber", "drawn_toe"}), frozenset({"spindle"})),
    ),
    ("bar",): (
        (frozenset({"shape"}), _SHAPE),
        (frozenset({"segment"}), _SHAPE | {"active_length"}),
        (_SHAPE | {"active_length"}, frozenset({"segment"})),
        (frozenset({"steel"}), frozenset({"shear_modulus"})),
        (frozenset({"shear_modulus"}), frozenset({"steel"})),
    ),
    ("tyre",): (
        (frozenset({"size"}), frozenset({"unloaded_radius"})),
        (frozenset({"unloaded_radius"}), frozenset({"size"})),
    ),
    ("arm",): (
        (frozenset({"drawn_slope"}), frozenset({"drawn_drop"})),
        (frozenset({"drawn_drop"}), frozenset({"drawn_slope"})),
    ),
}


def side_of(name: str) -> Side | None:
    """Return the side that a corner's name ends with."""
    if name.endswith("-left"):
        return "left"
    return "right" if name.endswith("-right") else None


def unfolded(corners: Mapping[str, Any], blame: Blame) -> Raw:
    """Return the corners with every mirror filled in, those that cannot be left out."""
    whole: Raw = {}
    for name, own in corners.items():
        if not isinstance(own, dict) or "mirror" not in own:
            whole[name] = own
            continue
        why = _refusal(name, own["mirror"], corners)
        if why:
            blame.below(name).say("mirror", why)
        else:
            whole[name] = _merged(own, corners[own["mirror"]], (), own["mirror"])
    return whole


def _refusal(name: str, other: object, corners: Mapping[str, Any]) -> str:
    side = side_of(name)
    across = {"left": "right", "right": "left"}.get(side or "")
    wanted = f"{name.removesuffix(side or '')}{across}"
    if other == BLANK or not isinstance(other, str) or other not in corners:
        return f'There is no corner "{other}" to mirror. Write "{wanted}".'
    if other == name or side_of(other) == side:
        return f'"{other}" is not across the car. Write "{wanted}".'
    if not isinstance(corners[other], dict) or "mirror" in corners[other]:
        return f'"{other}" is a mirror itself. One of the two must be written out.'
    return ""


def _merged(own: Raw, other: Raw, at: Path, name: str, unit: object = None) -> Raw:
    """Return one table of a mirrored corner; `unit` is that of the points."""
    unit = other.get("unit", unit)
    left_out = set(_OWN.get(at, ()))
    for said, instead_of in _WAYS.get(at, ()):
        if said & set(own):
            left_out |= instead_of - said
    if at == ("adjuster",) and own.get("kind", other.get("kind")) != other.get("kind"):
        left_out |= set(other)
    merged: Raw = {}
    for key in [*other, *(key for key in own if key not in other)]:
        mine, theirs, here = own.get(key), other.get(key), (*at, key)
        if _is_table(mine) and _is_table(theirs):
            merged[key] = _merged(mine, theirs, here, name, unit)
        elif key in own:
            merged[key] = mine
        elif key not in left_out:
            merged[key] = _taken_over(theirs, here, unit, name)
    merged.pop("mirror", None)
    return merged


def _is_table(value: object) -> TypeGuard[Raw]:
    # A table with a value is one figure and goes as a whole.
    return isinstance(value, dict) and "value" not in value


def _taken_over(value: Any, at: Path, unit: object, name: str) -> Any:
    """Return what a mirrored corner gets where it says nothing itself."""
    if at == ("spindle",):
        return Mirrored(value, None)
    if at[0] == "points" and isinstance(value, list):
        return Mirrored(value, unit)
    if _is_table(value):
        return _merged({}, value, at, name, unit)
    if at in (("sprung_load",), ("scale_load",)):
        return _as_assumed(value, name)
    return value


def _as_assumed(value: Any, name: str) -> Any:
    """Return a load of the other side: weighed there, it is only assumed here."""
    figure = dict(value) if isinstance(value, dict) else {"value": value}
    if figure.get("standing") == "published" or BLANK in (value, figure.get("value")):
        return value
    said = figure.get("source")
    source = f"as on {name}" + (f": {said}" if isinstance(said, str) and said else "")
    return {**figure, "standing": "assumed", "source": source}


def line_finder(
    lines: Mapping[Path, int], corners: Mapping[str, Any]
) -> Callable[[Path], tuple[int, Path]]:
    """Return what finds the line of a path, and the path as the file has it.

    What a mirrored corner took over stands in the other corner's table.
    """

    def find(path: Path) -> tuple[int, Path]:
        there = across(path, lines, corners)
        if there is not None and there in lines:
            return lines[there], there
        return line_of(lines, path), path

    return find


def across(
    path: Path, lines: Mapping[Path, int], corners: Mapping[str, Any]
) -> Path | None:
    """Return the path in the mirrored corner that a path was taken over from."""
    there, inside = _there(path, corners), path[2:]
    if there is None or path in lines or _has_rows(corners[str(path[1])], inside):
        return None
    if inside and inside[-1] in _OWN.get(inside[:-1], ()):
        return None
    return there


def twin(path: Path, corners: Mapping[str, Any]) -> Path | None:
    """Return the path of the same table in the mirrored corner."""
    here: Any = corners.get(str(path[1])) if path[1:] else None
    for key in path[2:]:
        here = here.get(key) if isinstance(here, dict) else None
    return _there(path, corners) if isinstance(here, dict) else None


def _there(path: Path, corners: Mapping[str, Any]) -> Path | None:
    own = corners.get(str(path[1])) if path[:1] == ("corner",) and path[1:] else None
    if not isinstance(own, dict) or not isinstance(own.get("mirror"), str):
        return None
    return ("corner", own["mirror"], *path[2:])


def _has_rows(table: Raw, path: Path) -> bool:
    """Return whether a path leads into rows that the table has itself."""
    here: Any = table
    for key in path:
        if isinstance(here, list):
            return True
        here = here.get(key) if isinstance(here, dict) else None
    return isinstance(here, list)
