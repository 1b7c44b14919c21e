"""One table read as far as it can be: what is wrong is blamed, the rest goes on.

So that a person sees every fault of a file at once, also those that only the
mechanics can find.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from splinewise.car.blame import Blame
from splinewise.car.declare import Table
from splinewise.car.faults import (
    blanks,
    example_of,
    field_at,
    is_rows,
    kinds,
    sentence,
    without_tags,
)
from splinewise.car.lines import Path
from splinewise.car.plain import UnreadError, read_plain

__all__ = ["sifted"]

T = TypeVar("T", bound=Table)


def sifted(
    model: type[T], raw: object, blame: Blame
) -> tuple[T | None, frozenset[str]]:
    """Return a table without its faulty keys, and which keys those were.

    Parameters
    ----------
    model : type of Table
        What the table may say.
    raw : object
        What it says.
    blame : Blame
        What gathers the faults.

    Returns
    -------
    tuple of Table or None and frozenset of str
        The table, None in place of what could not be read, a faulty row included;
        None if it is no table at all.  The keys that had a fault anywhere below, by
        their names here.
    """
    try:
        return read_plain(model, raw), frozenset()
    except UnreadError:
        pass
    from pydantic import ValidationError  # only a faulty file pays for it

    from splinewise.car.models import as_table, model_of

    try:
        return as_table(model_of(model).model_validate(raw)), frozenset()
    except ValidationError as error:
        errors = error.errors(include_url=False)
    empty = list(blanks(raw))
    for path in empty:
        _place(blame, path, _unfilled(model, path, raw))
    faulty: list[Path] = list(empty)
    for each in errors:
        path = without_tags(each["loc"], raw)
        faulty.append(path)
        if not any(_of_blank(path, blank) for blank in empty):
            why = sentence(each, path, model, raw)
            # An unknown kind is told of the table; the key to blame is its kind.
            place = (*path, "kind") if each["type"] == "union_tag_invalid" else path
            _place(blame, place, why)
    if not isinstance(raw, Mapping):
        return None, frozenset(model.model_fields)
    return _partly(model, raw, faulty)


def _place(blame: Blame, path: Path, why: str) -> None:
    blame.below(*path[:-1]).say(path[-1] if path else None, why)


def _of_blank(path: Path, blank: Path) -> bool:
    """Return whether a fault only says again that something is not filled in.

    A table whose kind is not filled in is found wrong as a whole.
    """
    return path[: len(blank)] == blank or blank == (*path, "kind")


def _unfilled(model: type[Table], path: Path, raw: object) -> str:
    field = field_at(model, path, raw)
    if field is None:
        return f"This is not filled in yet. {kinds(model, path[:-1], raw)}".strip()
    example = example_of(field, str(path[-1]))
    return f"This is not filled in yet. {field.description} {example}".strip()


def _partly(
    model: type[T], raw: Mapping[str, object], faulty: list[Path]
) -> tuple[T, frozenset[str]]:
    from splinewise.car.models import as_table, model_of

    spoilt = model_of(model)
    table: Any = spoilt.model_construct(**dict.fromkeys(model.model_fields))
    bad = set()
    for name, field in model.model_fields.items():
        key = field.alias or name
        below = [path[1:] for path in faulty if path[:1] == (key,)]
        value = raw.get(key)
        if below:
            bad.add(name)
            rows = {path[0] for path in below if path}
            if not is_rows(field) or not isinstance(value, list) or () in below:
                continue
            good = [row for n, row in enumerate(value) if n not in rows]
            _assign(table, name, good)
            kept = iter(getattr(table, name))
            whole = [None if n in rows else next(kept) for n in range(len(value))]
            table.__dict__[name] = whole
        elif key in raw:
            _assign(table, name, value)
        else:
            table.__dict__[name] = field.get_default()
    return as_table(table), frozenset(bad)


def _assign(table: Any, name: str, value: object) -> None:
    type(table).__pydantic_validator__.validate_assignment(table, name, value)
