"""What people ask of a book: which cars, what of this one, where was that."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from splinewise.book.connection import speaking
from splinewise.book.entries import Entry
from splinewise.book.schema import WHOLE_BOOK
from splinewise.book.standing import Matter, matters
from splinewise.book.store import Book
from splinewise.book.writing import damaged, read_line
from splinewise.errors import BookError

__all__ = [
    "CarRow",
    "History",
    "cars",
    "entry_named",
    "history",
    "last_word",
    "latest_visit",
    "the_car",
]

_SHORTEST = 4


@dataclass(frozen=True, slots=True)
class CarRow:
    """One car of a book.

    Attributes
    ----------
    uid : str
        Its identifier.
    name : str
        What its file calls it now.
    entries : int
        How many entries it has.
    versions : int
        How many versions of its file.
    disputed : bool
        Whether two versions stand side by side.
    """

    uid: str
    name: str
    entries: int
    versions: int
    disputed: bool


@dataclass(frozen=True, slots=True)
class History:
    """All of a car.

    Attributes
    ----------
    car : CarRow
        The car.
    entries : tuple of Entry
        Every entry, in order.
    matters : tuple of Matter
        The same, each thing with what holds of it now.
    """

    car: CarRow
    entries: tuple[Entry, ...]
    matters: tuple[Matter, ...]

    def of_kind(self, kind: str) -> list[Matter]:
        """Return the things of one kind that are not struck."""
        return [
            m for m in self.matters if m.first.kind == kind and m.verdict != "struck"
        ]


def cars(book: Book) -> list[CarRow]:
    """Return the cars of a book by name.

    Parameters
    ----------
    book : Book
        The book.

    Returns
    -------
    list of CarRow
        The cars.
    """
    with book.still():
        tally = book.db.execute(
            "SELECT car, entries FROM tally WHERE car <> ?", (WHOLE_BOOK,)
        ).fetchall()
        lines = book.db.execute(
            "SELECT record, sum FROM entry INDEXED BY entry_names"
            " WHERE kind IN ('car', 'strike')"
        ).fetchall()
    of_car: dict[str, list[Entry]] = {}
    for line, sum in lines:
        entry = read_line(line, sum)
        of_car.setdefault(entry.car, []).append(entry)
    found = []
    for uid, count in tally:
        named = of_car.get(uid)
        if not named:
            damaged(f"the car {uid[:8]} has no name")
        found.append(_row(uid, count, named))
    return sorted(found, key=lambda row: (row.name.casefold(), row.uid))


def history(book: Book, uid: str) -> History:
    """Return all of a car.

    Parameters
    ----------
    book : Book
        The book.
    uid : str
        The car's identifier.

    Returns
    -------
    History
        Its entries, in order, and what holds of them.
    """
    entries = book.entries(uid)
    if not entries:
        msg = f"The book has no car {uid[:8]}."
        raise BookError(msg)
    return History(
        _row(uid, len(entries), entries), tuple(entries), tuple(matters(entries))
    )


def the_car(book: Book, name: str) -> CarRow:
    """Return a car by its name, or by the beginning of its identifier.

    Parameters
    ----------
    book : Book
        The book.
    name : str
        The name, whatever its capitals, or four digits and more of the identifier.

    Returns
    -------
    CarRow
        The car.

    Raises
    ------
    BookError
        If there is none, or more than one.
    """
    known = cars(book)
    wanted = name.casefold()
    found = [row for row in known if row.name.casefold() == wanted]
    if not found and re.fullmatch(rf"[0-9a-f]{{{_SHORTEST},32}}", wanted):
        found = [row for row in known if row.uid.startswith(wanted)]
    if len(found) == 1:
        return found[0]
    if found:
        which = ", ".join(f"{row.uid[:8]} ({row.name})" for row in found)
        msg = (
            f"More than one car is meant by {name!r}: {which}. Name one by its number."
        )
        raise BookError(msg)
    names = ", ".join(row.name for row in known[:20]) or "none yet"
    more = f" and {len(known) - 20} more" if len(known) > 20 else ""
    msg = f"The book has no car {name!r}. It has: {names}{more}."
    raise BookError(msg)


def entry_named(book: Book, start: str) -> Entry:
    """Return an entry by the beginning of its identifier.

    Parameters
    ----------
    book : Book
        The book.
    start : str
        Four digits and more.

    Returns
    -------
    Entry
        The entry.

    Raises
    ------
    BookError
        If there is none, or more than one.
    """
    text = start.strip().lower()
    if not re.fullmatch(rf"[0-9a-f]{{{_SHORTEST},32}}", text):
        msg = f"{start!r} names no entry. Write at least {_SHORTEST} of its digits."
        raise BookError(msg)
    with speaking(book.path, "Looking for the entry"):
        rows = book.db.execute(
            "SELECT record, sum FROM entry WHERE uid BETWEEN ? AND ? LIMIT 5",
            (text, f"{text}g"),
        ).fetchall()
    found = [read_line(line, sum) for line, sum in rows]
    if len(found) == 1:
        return found[0]
    if found:
        which = ", ".join(f"{entry.uid[:12]} ({entry.kind})" for entry in found)
        msg = f"More than one entry begins with {text}: {which}. Write more digits."
        raise BookError(msg)
    msg = f"The book has no entry {text}."
    raise BookError(msg)


def latest_visit(told: History) -> Entry:
    """Return a car's latest visit, as it holds now.

    Parameters
    ----------
    told : History
        All of the car.

    Returns
    -------
    Entry
        The visit, under the identifier that it was entered with first.

    Raises
    ------
    BookError
        If there is none.
    """
    visits = told.of_kind("visit")
    if not visits:
        msg = (
            f"There is no visit of {told.car.name} yet. Begin one by "
            f"`splinewise book visit {told.car.name!r}`."
        )
        raise BookError(msg)
    return visits[-1].first


def last_word(told: History, entry: Entry) -> Entry:
    """Return what holds of the thing that an entry is about.

    Parameters
    ----------
    told : History
        All of the car.
    entry : Entry
        Any entry about it.

    Returns
    -------
    Entry
        The entry to answer, so that nothing comes to be disputed that is not.

    Raises
    ------
    BookError
        If it is disputed which that is.
    """
    (matter,) = [m for m in told.matters if entry in m.said]
    if matter.verdict == "disputed":
        which = " and ".join(one.short for one in matter.holds)
        msg = (
            f"It is disputed what {matter.first.short} says: {which} stand side by side. "
            "Answer one of these by its own number."
        )
        raise BookError(msg)
    return matter.now


def _row(uid: str, count: int, entries: Sequence[Entry]) -> CarRow:
    ordered = sorted(entries, key=lambda entry: (entry.step, entry.uid))
    texts = [entry for entry in ordered if entry.kind == "car"]
    if not texts:
        damaged(f"the car {uid[:8]} has no name")
    names = {entry.uid for entry in texts}
    about = list(texts)
    for entry in ordered:
        if entry.kind == "strike" and entry.amends in names:
            about.append(entry)
            names.add(entry.uid)
    ours = matters(sorted(about, key=lambda entry: (entry.step, entry.uid)))
    holds = [e for m in ours for e in m.holds if e.kind == "car"]
    latest = holds[-1] if holds else texts[-1]
    return CarRow(uid, str(latest.content["name"]), count, len(texts), len(holds) > 1)
