"""What the commands of the book share: where it is, who speaks, entries in words."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from splinewise.book.place import VARIABLE, book_place

if TYPE_CHECKING:
    from splinewise.book.entries import Entry
    from splinewise.book.standing import Matter
    from splinewise.book.store import Book

__all__ = [
    "BOOK",
    "BY",
    "JSON",
    "UID",
    "VISIT",
    "as_data",
    "in_words",
    "kept",
    "many",
    "opened",
    "tell",
    "typed",
    "visit_of",
]

BOOK = click.option(
    "--book",
    "place",
    type=click.Path(path_type=Path),
    metavar="PATH",
    help=f"The book; else {VARIABLE}, else your system's place for it.",
)
BY = click.option("--by", default="", metavar="NAME", help="Who says so.")
UID = click.option(
    "--uid",
    metavar="DIGITS",
    help="Identifier made before: 32 hexadecimal digits. Entering it twice is harmless.",
)
VISIT = click.option(
    "--visit",
    "visit_number",
    metavar="NUMBER",
    help="The visit; the latest if left out.",
)
JSON = click.option(
    "--json", "as_json", is_flag=True, help="Write the result as JSON, for machines."
)


def opened(place: Path | None) -> Book:
    """Open the book, and say so where an older one was lifted.

    Parameters
    ----------
    place : Path or None
        As the option says.

    Returns
    -------
    Book
        The book.
    """
    from splinewise.book.store import Book

    book = Book(book_place(place))
    if book.older is not None:
        click.echo(
            f"The book was of an older version. It was copied to {book.older} before "
            "it was brought up to date.",
            err=True,
        )
    return book


def typed(**options: str | int | Sequence[str] | None) -> dict[str, list[str]]:
    """Return options as fields of an entry, those that were given."""
    found: dict[str, list[str]] = {}
    for name, value in options.items():
        texts = [value] if isinstance(value, (str, int)) else list(value or ())
        if texts and texts != [""]:
            found[name] = [str(text) for text in texts]
    return found


def visit_of(book: Book, car: str, number: str | None, *, needed: bool) -> str | None:
    """Return the visit that an entry belongs to: the one named, or the latest.

    Parameters
    ----------
    book : Book
        The book.
    car : str
        The car's identifier.
    number : str or None
        The visit's number, or the beginning of it.
    needed : bool
        Whether there must be one.

    Returns
    -------
    str or None
        The visit's identifier.
    """
    from splinewise.book.queries import entry_named, history, latest_visit

    if number is not None:
        return entry_named(book, number).uid
    told = history(book, car)
    if not needed and not told.of_kind("visit"):
        return None
    return latest_visit(told).uid


def as_data(entry: Entry) -> dict[str, Any]:
    """Return an entry as plain data, its JSON opened."""
    from splinewise.book.entries import record

    data: dict[str, Any] = json.loads(record(entry))
    for name in ("result", "inputs"):
        if name in data:
            data[name] = json.loads(data[name])
    return {"schema": "splinewise/book-entry/1", **data}


def many(count: int, thing: str, things: str = "") -> str:
    """Return a count of things in words."""
    return f"{count} {thing if count == 1 else things or f'{thing}s'}"


def tell(data: object) -> None:
    """Write plain data as JSON."""
    click.echo(json.dumps(data, ensure_ascii=False, indent=2))


def kept(entry: Entry, *, as_json: bool, remarks: Iterable[str] = ()) -> None:
    """Say that an entry is in the book.

    Parameters
    ----------
    entry : Entry
        As it stands there.
    as_json : bool
        Whether to write JSON.
    remarks : iterable of str
        What else to say; sentences.
    """
    if as_json:
        tell(as_data(entry))
        for remark in remarks:
            click.echo(remark, err=True)
        return
    from splinewise.cli.report import Report

    report = Report()
    report.answer(f"Kept as {entry.short}: {in_words(entry)}.")
    report.points("Watch", remarks)
    report.print()


def in_words(entry: Entry, matter: Matter | None = None) -> str:
    """Return an entry in one line.

    Parameters
    ----------
    entry : Entry
        The entry.
    matter : Matter, optional
        What has become of it, to be said too.

    Returns
    -------
    str
        The line.
    """
    content = entry.content
    words = _WORDS[entry.kind](content)
    if entry.amends is not None and entry.kind != "strike":
        answers = "follows" if entry.kind == "car" else "corrects"
        words += f" ({answers} {entry.amends[:8]}: {entry.why})"
    elif entry.kind == "strike":
        words = f"struck {str(entry.amends)[:8]}: {entry.why}"
    if matter is not None and matter.verdict == "disputed":
        words += " [disputed]"
    return words


def _amounts(places: dict[str, Any]) -> list[str]:
    return [f"{place} {amount['text']}" for place, amount in places.items()]


def _joined(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


def _quantity(value: dict[str, Any] | None) -> str:
    return str(value["text"]) if value else ""


def _short(words: str) -> str:
    line = " ".join(words.split())
    return line if len(line) <= 100 else line[:97] + "..."


def _visit(c: Any) -> str:
    return _joined(
        c["occasion"], c["date"], _quantity(c["odometer"]), _quantity(c["temperature"])
    )


def _reading(c: Any) -> str:
    values = " | ".join(one["text"] for one in c["values"])
    where = f"{c['corner']} " if c["corner"] else ""
    gap = ""
    if c["of_gap"]:
        gauge = _quantity(c["gauge"])
        gap = f"to the gauge of {c['of_gap']} ({gauge}), {c['opens']}"
    return _joined(f"{where}{c['of']} {values}", gap, c["state"], c["instrument"])


def _move(c: Any) -> str:
    teeth = [
        f"{count:+d} at the {end}".replace("-", "−")
        for end, count in (("arm", c["arm_teeth"]), ("anchor", c["anchor_teeth"]))
        if count
    ]
    adjuster = f"adjuster {_quantity(c['adjuster'])}" if c["adjuster"] else ""
    shims = [f"shim {words}" for words in _amounts(c["shims"])]
    rods = [f"rod {words}" for words in _amounts(c["rods"])]
    return f"{c['corner']}: {_joined(*teeth, adjuster, *shims, *rods)}"


_WORDS: dict[str, Callable[[Any], str]] = {
    "car": lambda c: f"file of {c['name']}",
    "visit": _visit,
    "reading": _reading,
    "move": _move,
    "result": lambda c: _joined(
        f"{c['task']} {c['corner']}".strip(), f"by splinewise {c['program']}"
    ),
    "photo": lambda c: _joined(f"photo {c['name']}", c["corner"], _short(c["words"])),
    "note": lambda c: _short(c["words"]),
    "strike": lambda _: "struck",
}
