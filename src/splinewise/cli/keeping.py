"""What the task commands need of the book: `book:NAME` as a car, and `--keep`."""

from __future__ import annotations

import contextlib
import io
import json
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from splinewise.book.entries import Entry
    from splinewise.book.queries import CarRow
    from splinewise.book.store import Book
    from splinewise.car.model import Car

__all__ = ["BOOK_CAR", "KEEP", "as_typed", "keep_result", "open_book_car"]

BOOK_CAR = "book:"
"""What a car argument begins with where the car is in the book."""

KEEP = click.option(
    "--keep", is_flag=True, help="Put the result into the record book, to stay."
)


def open_book_car(name: str, place: Path | None = None) -> Car:
    """Read a car out of the book, with the readings of its latest visit.

    What of the book could not be put into the car is said on the error stream.

    Parameters
    ----------
    name : str
        The car's name, after `book:`.
    place : Path, optional
        The book.

    Returns
    -------
    Car
        The car; its `file` is `book:` and the name, its `text` what was read.
    """
    from splinewise.book.car_text import car_text
    from splinewise.book.place import book_place
    from splinewise.book.store import Book
    from splinewise.car.file import read_car

    with Book(book_place(place)) as book:
        told = car_text(book, name)
    for sentence in told.left_out:
        click.echo(f"Left out: {sentence}", err=True)
    return read_car(told.text, file=f"{BOOK_CAR}{name}")


def as_typed(options: Mapping[str, Any]) -> dict[str, Any]:
    """Return a command's options as they were typed, those that were given.

    Parameters
    ----------
    options : mapping
        `click.get_current_context().params`.

    Returns
    -------
    dict
        Plain data; a quantity is its text.
    """
    found = {}
    for name, value in options.items():
        plain = _plain(value)
        if plain not in (None, [], ()):
            found[name] = plain
    return found


def _plain(value: Any) -> Any:
    if isinstance(value, (list, tuple)):
        return [_plain(one) for one in value]
    if value is None or isinstance(value, (str, bool, int)):
        return value
    return getattr(value, "text", None) or str(value)


def keep_result(
    place: Path | None,
    car: Car,
    results: Sequence[object],
    *,
    inputs: Mapping[str, Any],
    show: Callable[[Any], None] | None = None,
    sheets: Sequence[bytes] = (),
    by: str = "",
) -> list[Entry]:
    """Put results into the book, with the car's file that they came from.

    A car that is not in the book yet is put in, and a file that has changed since is
    kept as its next version; both are said on the error stream.

    Parameters
    ----------
    place : Path or None
        The book.
    car : Car
        The car, as the task had it.
    results : sequence of dataclass instance
        What the task returned, one for each corner.
    inputs : mapping
        What was asked, from `as_typed`; `corner` is taken from each result.
    show : callable, optional
        Prints one result in words; what it prints is kept beside the numbers.
    sheets : sequence of bytes, optional
        The printed sheet of each result.
    by : str
        Who says so.

    Returns
    -------
    list of Entry
        As they stand in the book.
    """
    from splinewise.book.entries import Entry, sha256
    from splinewise.book.migrations import program_version
    from splinewise.book.place import book_place
    from splinewise.book.queries import history
    from splinewise.book.store import Book
    from splinewise.tasks.values import as_json

    text = car.text.encode()
    kept: list[Entry] = []
    with Book(book_place(place)) as book:
        version = _version(book, car, text)
        visits = history(book, version.car).of_kind("visit")
        entries, contents = [], [text, *sheets]
        for n, result in enumerate(results):
            data = as_json(result)
            corner = str(data.get("corner") or "")
            asked = {
                k: v
                for k, v in inputs.items()
                if k not in ("car", "keep", "as_json", "place", "first", "second")
            }
            content = {
                "task": str(data["schema"]).split("/")[1],
                "corner": corner,
                "shape": data["schema"],
                "result": json.dumps(data, ensure_ascii=False, indent=2),
                "shown": _shown(show, result) if show else "",
                "inputs": json.dumps(asked | {"corner": corner}, ensure_ascii=False),
                "text": sha256(text),
                "version": version.uid,
                "program": program_version(),
                "file": sha256(sheets[n]) if n < len(sheets) else "",
            }
            visit = visits[-1].first.uid if visits else None
            entries.append(Entry("result", version.car, content, by=by, visit=visit))
        kept = [entry for entry, _ in book.add_all(entries, kept=contents)]
    numbers = ", ".join(entry.short for entry in kept)
    click.echo(f"Kept in the book as {numbers}.", err=True)
    return kept


def _shown(show: Callable[[Any], None], result: object) -> str:
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        show(result)
    return said.getvalue()


def _version(book: Book, car: Car, text: bytes) -> Entry:
    """Return the entry of the file that a car was read from, kept now if need be."""
    from splinewise.book.car_text import car_text, latest_version
    from splinewise.book.entries import sha256
    from splinewise.book.new import car_entry
    from splinewise.book.queries import cars, history

    if car.file.startswith(BOOK_CAR):
        return car_text(book, car.file.removeprefix(BOOK_CAR)).version
    row = _row_of(cars(book), car.name)
    if row is None:
        entry = book.add(car_entry(text, name=car.name), kept=[text])
        click.echo(f"Put {car.name} into the book as {entry.car[:8]}.", err=True)
        return entry
    told = history(book, row.uid)
    same = [
        entry
        for entry in told.entries
        if entry.kind == "car" and entry.content["text"] == sha256(text)
    ]
    if same:
        return same[-1]
    before = latest_version(told)
    why = "the file that a kept result came from"
    entry = car_entry(text, name=car.name, after=before, why=why)
    entry = book.add(entry, kept=[text])
    click.echo(
        f"Kept the file of {car.name} as a new version, {entry.short}.", err=True
    )
    return entry


def _row_of(rows: Sequence[CarRow], name: str) -> CarRow | None:
    from splinewise.errors import BookError

    found = [row for row in rows if row.name.casefold() == name.casefold()]
    if len(found) > 1:
        which = ", ".join(row.uid[:8] for row in found)
        msg = (
            f"The book has more than one car called {name!r}: {which}. Use book:NUMBER "
            "for the car, so that it is known which is meant."
        )
        raise BookError(msg)
    return found[0] if found else None
