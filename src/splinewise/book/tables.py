"""A car's history as tables that any spreadsheet opens."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from splinewise.book.entries import Entry
from splinewise.book.kinds import KINDS, as_typed
from splinewise.book.queries import History
from splinewise.book.standing import Matter

__all__ = ["tables"]

_HEAD = ("number", "verdict", "entered", "by", "visit")
_LEFT_OUT = ("result", "shown", "inputs", "text", "version", "file", "values")


def tables(told: History) -> dict[str, str]:
    """Return a car's history as CSV, a table for each kind of entry.

    What stands there is what holds now; all that was ever entered stands in
    history.jsonl.

    Parameters
    ----------
    told : History
        All of a car.

    Returns
    -------
    dict
        Text of each file by its name.
    """
    found = {}
    for kind in ("visit", "move", "result", "photo", "note"):
        names = [name for name in KINDS[kind] if name not in _LEFT_OUT]
        rows = [
            [*_header(matter, entry), *_cells(entry, names)]
            for matter, entry in _holding(told, kind)
        ]
        found[f"{kind}s.csv"] = _csv([*_HEAD, *names], rows)
    found["readings.csv"] = _csv(*_readings(told))
    return found


def _readings(told: History) -> tuple[list[str], list[list[str]]]:
    names = [name for name in KINDS["reading"] if name != "values"]
    rows = [
        [
            *_header(matter, entry),
            str(n),
            one["text"],
            repr(one["value"]),
            one["unit"],
            "" if one["doubt"] is None else repr(one["doubt"]),
            *_cells(entry, names),
        ]
        for matter, entry in _holding(told, "reading")
        for n, one in enumerate(entry.content["values"], 1)
    ]
    return [*_HEAD, "repeat", "as typed", "value", "unit", "doubt", *names], rows


def _holding(told: History, kind: str) -> Iterable[tuple[Matter, Entry]]:
    for matter in told.matters:
        if matter.first.kind == kind:
            for entry in matter.holds:
                if entry.kind == kind:
                    yield matter, entry
            if matter.verdict == "struck":
                yield matter, matter.first


def _header(matter: Matter, entry: Entry) -> list[str]:
    visit = entry.visit or ""
    return [entry.uid, matter.verdict, entry.made, entry.by, visit]


def _cells(entry: Entry, names: Sequence[str]) -> list[str]:
    told: Mapping[str, Sequence[Any]] = as_typed(entry.kind, entry.content)
    return ["; ".join(told.get(name, ())) for name in names]


def _csv(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(rows)
    return text.getvalue()
