"""A faultless table read without pydantic, which takes a while to load.

Only what pydantic would take is taken, and comes out the same; whatever is in doubt is
refused without a word, and pydantic is asked (`splinewise.car.sift`).
`tests/car/test_plain.py` holds the two against each other.
"""

from __future__ import annotations

import math
import types
from collections.abc import Callable, Mapping
from typing import Annotated, Any, Literal, TypeVar, Union, get_args, get_origin

from splinewise.car.declare import (
    Decimal,
    Key,
    Reader,
    RefusedError,
    Table,
    Tagged,
    Text,
    Whole,
)

__all__ = ["UnreadError", "read_plain"]

T = TypeVar("T", bound=Table)
Data = Mapping[str, Any]
Read = Callable[[Any, Data], Any]


class UnreadError(ValueError):
    """A table that is not faultless, or not plainly so."""


def read_plain(table: type[T], raw: object) -> T:
    """Return a table.

    Parameters
    ----------
    table : type of Table
        What it may say.
    raw : object
        What it says.

    Raises
    ------
    UnreadError
        If anything in it is not right; what, is not told.
    """
    try:
        return _table(table, raw)
    except RefusedError:
        raise UnreadError from None


def _table(table: type[T], raw: object) -> T:
    if type(raw) is not dict:
        raise UnreadError
    readers = _readers(table)
    found = table()
    data: dict[str, Any] = {}
    taken = 0
    for name, spelt, key, read in readers:
        if spelt in raw:
            value = read(raw[spelt], data)
            taken += 1
        elif key.is_required():
            raise UnreadError
        else:
            value = key.get_default()
        data[name] = value
    if taken != len(raw):
        raise UnreadError
    vars(found).update(data)
    return found


_Rows = list[tuple[str, str, Key, Read]]

_READERS: dict[type[Table], _Rows] = {}


def _readers(table: type[Table]) -> _Rows:
    """Return name, spelling, key and reader of each key, made once."""
    if table in _READERS:
        return _READERS[table]
    rows = _READERS[table] = []
    for name, key in table.model_fields.items():
        read = _reader(key.annotation, key.metadata)
        if (key.min_length, key.max_length) != (None, None):
            read = _counted(read, key.min_length or 0, key.max_length or math.inf)
        rows.append((name, key.alias or name, key, read))
    return rows


def _counted(read: Read, least: int, most: float) -> Read:
    def counted(given: Any, data: Data) -> Any:
        if type(given) is not list or not least <= len(given) <= most:
            raise UnreadError
        return read(given, data)

    return counted


def _reader(kind: Any, marks: tuple[Any, ...] = ()) -> Read:
    """Return what reads an annotation."""
    origin = get_origin(kind)
    if origin is Annotated:
        kind, *more = get_args(kind)
        return _reader(kind, (*more, *marks))
    for mark in marks:
        if isinstance(mark, Reader):
            return mark.read
        if isinstance(mark, Text):
            return _text(mark)
        if isinstance(mark, (Whole, Decimal)):
            return _number(mark)
        if isinstance(mark, Tagged):
            return _tagged(mark, get_args(kind))
    if origin in (Union, types.UnionType):
        return _optional(kind)
    if origin is Literal:
        return _word(get_args(kind))
    if origin is list:
        return _list(_reader(get_args(kind)[0]))
    if origin is dict:
        return _dict(*(_reader(part) for part in get_args(kind)))
    if isinstance(kind, type) and issubclass(kind, Table):
        return lambda given, _: _table(kind, given)
    if kind in (bool, str, Any):
        return _of(kind)
    msg = f"no plain reading of {kind}"
    raise TypeError(msg)


def _of(kind: Any) -> Read:
    def just(given: Any, _: Data) -> Any:
        if kind is not Any and type(given) is not kind:
            raise UnreadError
        return given

    return just


def _text(mark: Text) -> Read:
    def text(given: Any, _: Data) -> str:
        if type(given) is not str or not mark.allows(given):
            raise UnreadError
        return given if mark.check is None else mark.check(given)

    return text


def _number(mark: Whole | Decimal) -> Read:
    kinds = (int,) if isinstance(mark, Whole) else (int, float)

    def number(given: Any, _: Data) -> Any:
        # A bool is a whole number to Python, and none to a car file.
        if type(given) not in kinds or not mark.low <= given <= mark.high:
            raise UnreadError
        return given if kinds == (int,) else float(given)

    return number


def _tagged(mark: Tagged, tables: tuple[type[Table], ...]) -> Read:
    def tagged(given: Any, _: Data) -> Any:
        word = given.get(mark.key) if type(given) is dict else None
        for table in tables:
            if type(word) is str and word in get_args(
                table.model_fields[mark.key].annotation
            ):
                return _table(table, given)
        raise UnreadError

    return tagged


def _optional(kind: Any) -> Read:
    parts = [part for part in get_args(kind) if part is not type(None)]
    words = [word for part in parts for word in get_args(part)]
    if all(get_origin(part) is Literal for part in parts):
        return _word(tuple(words))
    if len(parts) == 1:
        return _reader(parts[0])
    msg = f"no plain reading of {kind}"
    raise TypeError(msg)


def _word(words: tuple[Any, ...]) -> Read:
    def word(given: Any, _: Data) -> Any:
        for each in words:
            if type(given) is type(each) and given == each:
                return each
        raise UnreadError

    return word


def _list(read: Read) -> Read:
    def items(given: Any, data: Data) -> list[Any]:
        if type(given) is not list:
            raise UnreadError
        return [read(item, data) for item in given]

    return items


def _dict(name: Read, read: Read) -> Read:
    def pairs(given: Any, data: Data) -> dict[str, Any]:
        if type(given) is not dict:
            raise UnreadError
        return {name(k, data): read(v, data) for k, v in given.items()}

    return pairs
