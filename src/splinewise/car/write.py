"""What is written into a car file: values, readings, or a whole new file.

A file is the person's own: comments, order and spelling stay as they are.  Each change
is read back and compared, so that nothing else can have changed; where it has, the
change is refused.  The writer of TOML is imported only when something is written.
"""

from __future__ import annotations

import os
import tempfile
import tomllib
from collections.abc import Callable, Mapping
from itertools import pairwise
from pathlib import Path as FilePath
from typing import Any, NamedTuple, NoReturn

from splinewise.car.lines import Path
from splinewise.car.start import new_car_text
from splinewise.errors import CarFileError, Fault

__all__ = ["new_car_text", "save_text", "with_reading", "with_value"]

Plain = str | int | float | bool | list[Any] | dict[str, Any]


def with_value(text: str, path: Path, value: Plain, *, file: str = "") -> str:
    """Return a car file with one value changed or added.

    Parameters
    ----------
    text : str
        The file.
    path : tuple of str and int
        The value's keys, and counts from 0 for rows.
    value : str, int, float, bool, list or dict
        What shall stand there.
    file : str
        What the user calls the file.

    Returns
    -------
    str
        The file, all else word for word as it was.

    Raises
    ------
    CarFileError
        If there is no such place, or the change cannot be made without loss.
    """

    def change(data: Any, make: _Make) -> None:
        for key in path[:-1]:
            if isinstance(data, dict) and key not in data:
                data[key] = make.table({})
            data = data[key]
        data[path[-1]] = make.value(value)

    return _changed(text, change, path, file)


def with_reading(
    text: str, corner: str, row: Mapping[str, Plain], *, file: str = ""
) -> str:
    """Return a car file with one reading more, after those of its corner.

    Parameters
    ----------
    text : str
        The file.
    corner : str
        The corner's name.
    row : mapping
        The reading's keys and values, as the file has them.
    file : str
        What the user calls the file.

    Returns
    -------
    str
        The file, all else word for word as it was.

    Raises
    ------
    CarFileError
        As `with_value`.
    """
    place = ("corner", corner, "reading")

    def change(data: Any, make: _Make) -> None:
        table = data["corner"][corner]
        if "reading" not in table:
            table["reading"] = make.rows([make.table(row)])
        elif type(table["reading"]).__name__ == "Array":  # rows written in one line
            table["reading"].append(make.value(dict(row)))
        else:
            table["reading"].append(make.table(row))

    return _changed(text, change, place, file)


class _Make(NamedTuple):
    """How tables, rows and values are made, for the file or for plain data."""

    table: Callable[[Mapping[str, Any]], Any]
    rows: Callable[[list[Any]], Any]
    value: Callable[[Any], Any]


_PLAIN = _Make(dict, list, lambda value: value)


def _for_file() -> _Make:
    import tomlkit

    def table(row: Mapping[str, Any]) -> Any:
        made = tomlkit.table()
        for key, inner in row.items():
            made.add(key, value(inner))
        return made

    def rows(tables: list[Any]) -> Any:
        made = tomlkit.aot()
        for each in tables:
            made.append(each)
        return made

    def value(given: Any) -> Any:
        if not isinstance(given, dict):
            return tomlkit.item(given)
        made = tomlkit.inline_table()
        for key, inner in given.items():
            made.add(key, value(inner))
        return made

    return _Make(table, rows, value)


def _changed(
    text: str, change: Callable[[Any, _Make], None], path: Path, file: str
) -> str:
    """Return the text after a change that is made on it and on plain data alike."""
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    name = file or "car file"
    field = ".".join(str(key + 1 if isinstance(key, int) else key) for key in path)
    try:
        wanted = tomllib.loads(text)
        document = tomlkit.parse(text)
        change(wanted, _PLAIN)
        change(document, _for_file())
        new = _spaced(tomlkit.dumps(document), text)
        same = tomllib.loads(new) == wanted
    except (KeyError, IndexError, TypeError, AttributeError):
        _refuse(name, field, "There is no such place in the file.")
    except (TOMLKitError, ValueError, RecursionError) as error:
        _refuse(name, field, f"The file cannot be changed: {error}.")
    if not same or _comments(new) != _comments(text):
        _refuse(
            name,
            field,
            "The file cannot be changed here without loss. Change it by hand.",
        )
    return new


def _spaced(new: str, old: str) -> str:
    """Return the new text with a blank line before each header that came in."""
    before = old.splitlines()
    pairs = set(pairwise(before))
    lines: list[str] = []
    for line in new.splitlines(keepends=True):
        last = lines[-1] if lines else "\n"
        pair = (last.rstrip("\r\n"), line.rstrip("\r\n"))
        if line[0] == "[" and last.strip() and last[0] != "#" and pair not in pairs:
            lines.append("\n")
        lines.append(line)
    return "".join(lines)


def _comments(text: str) -> list[str]:
    """Return the comment lines of a text; none may be lost."""
    return [line.strip() for line in text.splitlines() if line.lstrip()[:1] == "#"]


def _refuse(file: str, field: str, why: str) -> NoReturn:
    raise CarFileError(file, [Fault(0, field, why)])


def save_text(path: str | FilePath, text: str) -> None:
    """Put a text in the place of a file, whole or not at all.

    Parameters
    ----------
    path : str or pathlib.Path
        The file; it keeps its permissions if it is there.
    text : str
        What shall stand in it.

    Raises
    ------
    CarFileError
        If it cannot be written; the old file is then untouched.
    """
    target = FilePath(path)
    try:
        target = target.resolve()  # a link stays a link
        handle, name = tempfile.mkstemp(
            prefix=f".{target.name[:40]}.", dir=target.parent
        )
        beside = FilePath(name)
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="") as stream:
                stream.write(text)
                stream.flush()
                os.fsync(stream.fileno())
            beside.chmod(target.stat().st_mode & 0o7777 if target.exists() else 0o644)
            beside.replace(target)
        except BaseException:
            beside.unlink(missing_ok=True)
            raise
    except (OSError, ValueError) as error:
        _refuse(str(path), "", f"The file cannot be written ({error}).")
