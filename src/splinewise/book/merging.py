"""Readings of the book as rows of a car file, and the file with them in it."""

from __future__ import annotations

import copy
import json
import math
import re
import tomllib
from collections.abc import Iterable, Mapping
from typing import Any

from splinewise.book.entries import Entry
from splinewise.book.typed import kinds_of
from splinewise.errors import BookError
from splinewise.units import read_any, scale

__all__ = ["Rows", "merged", "row_of"]

Rows = dict[str, list[dict[str, Any]]]
"""Rows by corner."""


def row_of(reading: Entry, visit: Entry) -> dict[str, Any]:
    """Return a reading as a row of a car file.

    Parameters
    ----------
    reading : Entry
        The reading.
    visit : Entry
        The visit that it belongs to.

    Returns
    -------
    dict
        Keys and values of the row.
    """
    content = reading.content
    values = content["values"]
    row = {
        "of": content["of"],
        "value": values[0]["text"] if len(values) == 1 else _mean(content),
        "state": content["state"],
        "name": f"mean of {len(values)}, {content['of']}" if len(values) > 1 else "",
        "instrument": content["instrument"],
        "taken": content["taken"] or visit.content["date"],
        "by": reading.by,
        "of_gap": content["of_gap"],
        "gauge": content["gauge"]["text"] if content["gauge"] else "",
        "opens": content["opens"],
    }
    return {key: value for key, value in row.items() if value}


def _mean(content: Mapping[str, Any]) -> str:
    """Return the mean of repeats as text, with the half-width of its doubt.

    Of n repeats with spread s the mean's standard doubt is s/√n (JCGM 100:2008, 4.2.3,
    from memory); what is typed after ±, or the step that is read, bounds each by a
    rectangle and is common to all.  The half-width is √3 times both together.
    """
    values = content["values"]
    numbers = [one["value"] for one in values]
    n = len(numbers)
    mean = math.fsum(numbers) / n
    spread = math.sqrt(math.fsum((x - mean) ** 2 for x in numbers) / (n - 1))
    doubts = [one["doubt"] for one in values if one["doubt"]]
    common = (
        max(doubts) / math.sqrt(3.0)
        if doubts
        else max(one["step"] for one in values) / math.sqrt(12.0)
    )
    half = math.sqrt(3.0) * math.hypot(spread / math.sqrt(n), common)
    first = read_any(values[0]["text"], kinds_of(content["of"]))
    if first.kind == "temperature":
        return str(values[0]["text"])
    size = scale(first.unit, first.kind)
    return f"{_plain(mean / size)} {first.unit} ± {_plain(half / size)} {first.unit}"


def _plain(number: float) -> str:
    """Write a number without an exponent, to eight digits and no trailing zeros."""
    digits = max(0, 7 - math.floor(math.log10(abs(number)))) if number else 1
    text = f"{number:.{min(digits, 12)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def merged(text: str, rows: Rows, stale: set[str]) -> str:
    """Return a car file with more readings in it, all else word for word.

    Parameters
    ----------
    text : str
        The file.
    rows : mapping
        Rows by corner; one takes the place of the file's row of the same thing in the
        same state.
    stale : set of str
        Corners whose rows in the file are older than the last move there, and go.

    Returns
    -------
    str
        The file.
    """
    if not rows and not stale:
        return text
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    wanted = _expected(tomllib.loads(text), rows, stale)
    try:
        document: Any = tomlkit.parse(text)
        inline: Rows = {}
        for corner in {*rows, *stale}:
            table = document["corner"][corner]
            own = table.get("reading")
            if own is None:
                continue
            keep = _keep(own, rows.get(corner, []), stale=corner in stale)
            for n in reversed(range(len(own))):
                if n not in keep:
                    del own[n]
            if not len(own):
                del table["reading"]
            elif not isinstance(own, tomlkit.items.AoT):
                inline[corner] = rows.get(corner, [])
                for row in inline[corner]:
                    own.append(_inline(row))
        whole = tomlkit.dumps(document)
        added = {c: r for c, r in rows.items() if c not in inline}
        whole += _blocks(added)
        if tomllib.loads(whole) == wanted:
            return whole
    except (TOMLKitError, tomllib.TOMLDecodeError, TypeError, ValueError, KeyError):
        pass
    msg = (
        "The readings of the book cannot be written into this file. Write its readings "
        "as [[corner.NAME.reading]] tables, or leave them to the book."
    )
    raise BookError(msg)


def _keep(
    own: Iterable[Mapping[str, Any]], rows: list[dict[str, Any]], *, stale: bool
) -> set[int]:
    """Return which of the file's rows stay."""
    if stale:
        return set()
    taken = {_thing(row) for row in rows}
    return {n for n, row in enumerate(own) if _thing(row) not in taken}


def _thing(row: Mapping[str, Any]) -> tuple[str, str, str]:
    return tuple(str(row.get(k, "")) for k in ("of", "state", "of_gap"))  # type: ignore[return-value]


def _expected(data: dict[str, Any], rows: Rows, stale: set[str]) -> dict[str, Any]:
    """Return what the file must say once the rows are in it."""
    wanted = copy.deepcopy(data)
    for corner in {*rows, *stale}:
        table, new = wanted["corner"][corner], rows.get(corner, [])
        own = table.pop("reading", [])
        keep = _keep(own, new, stale=corner in stale)
        found = [row for n, row in enumerate(own) if n in keep] + new
        if found:
            table["reading"] = found
    return wanted


def _blocks(rows: Rows) -> str:
    """Return rows as tables at the end of a file."""
    text = "\n"
    for corner, own in rows.items():
        for row in own:
            text += f"\n[[corner.{_key(corner)}.reading]]\n"
            text += "".join(f"{k} = {_quoted(v)}\n" for k, v in row.items())
    return text if text.strip() else ""


def _key(name: str) -> str:
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name, re.ASCII) else _quoted(name)


def _quoted(text: str) -> str:
    # Printable text needs no escapes in TOML but those that JSON has too.
    return json.dumps(text, ensure_ascii=False)


def _inline(row: Mapping[str, Any]) -> Any:
    import tomlkit

    table = tomlkit.inline_table()
    table.update(row)
    return table
