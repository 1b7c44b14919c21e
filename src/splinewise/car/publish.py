"""Makes what is published of the car file anew: the JSON Schema and the key tables.

    python -m splinewise.car.publish docs/reference/car-file.md

Both come from the tables that read the file, so that neither can lag behind; a test
fails where one does.
"""

from __future__ import annotations

import re
import sys
import types
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from splinewise.car.declare import Decimal, Key, Table, Whole
from splinewise.car.faults import example_of, is_rows, keys_of, models_in
from splinewise.car.keys import Reads, When
from splinewise.car.layouts import LAYOUTS, CornerTable
from splinewise.car.layouts.base import DamperTable
from splinewise.car.points import Coordinates
from splinewise.car.schema import CarTable, WholeTable, schema_text
from splinewise.car.vehicle_tables import VehicleTable, WheelTable

__all__ = ["key_tables", "main", "with_tables"]

_START, _END = "<!-- keys -->", "<!-- end of keys -->"
_CORNER = "corner.NAME"


def key_tables() -> str:
    """Return every table of the file with its keys, as Markdown."""
    parts = [_table("The top of the file", "", WholeTable), _table("", "car", CarTable)]
    # Every layout has a damper of its own, so the common one is no table of the file.
    seen: set[type[Table]] = {DamperTable}
    common = list(_below(_CORNER, CornerTable, seen, ""))
    for row in LAYOUTS.values():
        parts.append(_table(f"Layout “{row.name}”", _CORNER, row.table))
        parts += _below(_CORNER, row.table, seen, f" of a {row.name}")
    parts += common
    parts.append(_table("A wheel on another spring", "wheel.NAME", WheelTable))
    parts += _below("wheel.NAME", WheelTable, seen, "")
    parts.append(_table("", "vehicle", VehicleTable))
    parts += _below("vehicle", VehicleTable, seen, "")
    return "\n\n".join(parts)


def _below(
    place: str, model: type[Table], seen: set[type[Table]], whose: str
) -> Iterator[str]:
    for key, field in keys_of(model).items():
        rows = is_rows(field)
        for inner in models_in(field.annotation):
            if inner in seen:
                continue
            seen.add(inner)
            where = f"{place}.{key}"
            kind = keys_of(inner).get("kind")
            title = f" with kind = {_words(kind)}" if kind else whose
            yield _table(title, f"[{where}]" if rows else where, inner)
            yield from _below(where, inner, seen, whose)


def _table(title: str, place: str, model: type[Table]) -> str:
    head = f"`[{place}]`" if place else ""
    head = f"{title}: {head}" if title and head and title[0] != " " else head + title
    about = (model.__doc__ or "").strip().split("\n")[0]
    lines = [f"### {head}", "", about, "", "| key | value | needed | meaning |"]
    lines.append("|---|---|---|---|")
    for key, field in keys_of(model).items():
        needed = "yes" if field.is_required() else "no"
        example = example_of(field, key).removeprefix("For example: ")
        shown = f" `{example}`" if example else ""
        cells = (f"`{key}`", _words(field), needed, f"{field.description}{shown}")
        lines.append(f"| {' | '.join(cell.replace('|', '/') for cell in cells)} |")
    return "\n".join(lines)


def _parts(annotation: Any) -> Iterator[Any]:
    """Return an annotation and the branches of it that are not None."""
    yield annotation
    if get_origin(annotation) in (Union, types.UnionType):
        for part in get_args(annotation):
            if part is not type(None):
                yield from _parts(part)


def _words(field: Key) -> str:
    """Return what a key's value is, with its unit and range."""
    for part in _parts(field.annotation):
        metadata = [*field.metadata]
        base = part
        if get_origin(part) is Annotated:
            base, *more = get_args(part)
            metadata += more
        words = _sort(base, part, metadata)
        if words:
            return words
    msg = f"no words for {field.annotation}"
    raise TypeError(msg)


def _sort(base: Any, part: Any, metadata: list[Any]) -> str:
    if get_origin(base) in (Union, types.UnionType):
        return ""
    for each in metadata:
        if isinstance(each, Reads):
            pairs = zip(each.kinds, each.ranges, strict=True)
            return "; or ".join(f"{kind}, {span.words}" for kind, span in pairs)
        if isinstance(each, Coordinates):
            return "[x, y, z], bare numbers" if each.bare else "[x, y, z], within 50 m"
    if get_origin(base) is Literal:
        return " or ".join(
            f'`"{word}"`' if isinstance(word, str) else f"`{word}`"
            for word in get_args(base)
        )
    if get_origin(base) is dict:
        return "table of names" if base is not dict[str, Any] else "tables"
    if get_origin(base) is list:
        inner = get_args(base)[0]
        models = list(models_in(inner))
        return "rows" if models else f"list of {_sort(*_opened(inner))}"
    if part == When:
        return "date"
    if isinstance(base, type) and base in (int, float):
        what = "whole number" if base is int else "number"
        limits = next(each for each in metadata if isinstance(each, (Whole, Decimal)))
        return f"{what}, from {limits.low:g} to {limits.high:g}"
    if base is bool:
        return "`true` or `false`"
    if base is str:
        return "text"
    return "table" if list(models_in(part)) else ""


def _opened(annotation: Any) -> tuple[Any, Any, list[Any]]:
    base, *metadata = get_args(annotation)
    return base, annotation, metadata


def with_tables(page: str) -> str:
    """Return the reference page with its key tables made anew."""
    block = f"{_START}\n\n{key_tables()}\n\n{_END}"
    pattern = f"{re.escape(_START)}.*{re.escape(_END)}"
    return re.sub(pattern, lambda _: block, page, flags=re.DOTALL)


def main(words: list[str]) -> None:
    """Write the schema beside this module, and the tables into the pages named."""
    schema = Path(str(files("splinewise.car") / "car.schema.json"))
    schema.write_text(schema_text(), encoding="utf-8")
    for word in words:
        page = Path(word)
        page.write_text(with_tables(page.read_text("utf-8")), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
