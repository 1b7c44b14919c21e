"""Keeping the book itself: a copy of it while it is in use, and whether it is sound."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from splinewise.book.beside import free, place_new, synced, write_whole
from splinewise.book.connection import speaking, sync_folder
from splinewise.book.entries import Entry, new_uid
from splinewise.book.place import photos_beside
from splinewise.book.schema import NO_LINK, WHOLE_BOOK
from splinewise.book.store import Book
from splinewise.book.writing import linked, read_line
from splinewise.errors import BookError

__all__ = ["Soundness", "backup", "verify"]

_MANY = 100


@dataclass(slots=True)
class Soundness:
    """Whether a book is sound.

    Attributes
    ----------
    entries, cars, kept : int
        What was looked at.
    faults : list of str
        What is wrong; sentences.
    remarks : list of str
        What is worth knowing, and no damage.
    """

    entries: int = 0
    cars: int = 0
    kept: int = 0
    faults: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)


def backup(book: Book, path: Path) -> int:
    """Copy the book whole, though others may be writing into it.

    Parameters
    ----------
    book : Book
        The book.
    path : Path
        The copy; it must not be there yet.

    Returns
    -------
    int
        How many bytes it has.

    Raises
    ------
    BookError
        If it cannot be written whole, or the copy is not sound; then nothing stays.
    """
    with speaking(path, "Copying the book"):
        free(path)
        fresh = path.with_name(f".{path.name}.{new_uid()[:8]}")
        try:
            copy = sqlite3.connect(fresh, isolation_level=None)
            try:
                book.db.backup(copy)
                sound = copy.execute("PRAGMA integrity_check(1)").fetchall()
            finally:
                copy.close()
            if sound != [("ok",)]:
                msg = f"The book is damaged ({sound[0][0]}), and so would be its copy."
                raise BookError(msg)
            synced(fresh)
            _copy_beside(book, path)
            size = fresh.stat().st_size
            place_new(fresh, path)
        finally:
            fresh.unlink(missing_ok=True)
    return size


def _copy_beside(book: Book, path: Path) -> None:
    rows = book.db.execute("SELECT sum FROM kept WHERE bytes IS NULL").fetchall()
    if not rows:
        return
    folder = photos_beside(path)
    folder.mkdir(exist_ok=True)
    for (sum,) in rows:
        if not (folder / sum).exists():
            write_whole(folder / sum, book.kept(sum))
    sync_folder(path.parent)


def verify(path: Path, *, timeout: float) -> Soundness:
    """Look at everything in a book: the file, its tables, and every checksum.

    Parameters
    ----------
    path : Path
        The book.
    timeout : float
        How long to wait for another program that holds it. [s]

    Returns
    -------
    Soundness
        What was found.

    Raises
    ------
    BookError
        If the file cannot even be opened as a book.
    """
    found = Soundness()
    with Book(path, timeout=timeout, examine=False) as book, book.still():
        for (line,) in book.db.execute(f"PRAGMA integrity_check({_MANY})").fetchall():
            if line != "ok":
                found.faults.append(f"The file: {line}.")
        for row in book.db.execute("PRAGMA foreign_key_check").fetchmany(_MANY):
            found.faults.append(
                f"Row {row[1]} of {row[0]} names a {row[2]} that is not."
            )
        _entries(book, found)
        _kept(book, found)
    return found


def _entries(book: Book, found: Soundness) -> None:
    tally = {
        car: (entries, step, link)
        for car, entries, step, link in book.db.execute(
            "SELECT * FROM tally"
        ).fetchall()
    }
    counted: dict[str, tuple[int, int, str]] = {}
    seen: dict[str, tuple[str, str, int]] = {}
    steps: dict[str, set[int]] = {}
    back = 0
    before: dict[str, Entry] = {}
    for number, entry, sum in _lines(book, found):
        found.entries += 1
        for car in (entry.car, WHOLE_BOOK):
            count, step, link = counted.get(car, (0, 0, NO_LINK))
            step = max(step, entry.step) if car else 0
            counted[car] = (count + 1, step, linked(link, sum))
        steps.setdefault(entry.car, set()).add(entry.step)
        for uid, name in ((entry.visit, "visit"), (entry.amends, entry.kind)):
            named = seen.get(uid or "")
            if uid is not None and (named is None or not _fits(entry, name, named)):
                found.faults.append(f"Entry {number} names {uid[:8]} wrongly.")
        seen[entry.uid] = (entry.car, entry.kind, entry.step)
        back += entry.moment < before.get(entry.car, entry).moment
        before[entry.car] = entry
    found.cars = len(steps)
    counted.setdefault(WHOLE_BOOK, (0, 0, NO_LINK))
    if counted != tally:
        wrong = [c for c in {*tally, *counted} if tally.get(c) != counted.get(c)]
        cars = ", ".join(sorted(c[:8] or "the whole book" for c in wrong)[:10])
        found.faults.append(f"Entries are gone or changed, or their tally is: {cars}.")
    for car, own in steps.items():
        if own != set(range(1, len(own) + 1)):
            found.faults.append(f"Entries of the car {car[:8]} are missing in between.")
    if back:
        found.remarks.append(
            f"{back} entries bear a time before that of the entry before them: a clock "
            "was set back, or another device's differs. Their order does not rest on it."
        )


def _fits(entry: Entry, kind: str, named: tuple[str, str, int]) -> bool:
    car, its, step = named
    right = its == kind or (entry.kind == "strike" and kind == "strike")
    return car == entry.car and step < entry.step and right


def _lines(book: Book, found: Soundness) -> Iterator[tuple[int, Entry, str]]:
    """Give each entry that can be read, in order of arrival."""
    rows = book.db.execute("SELECT id, record, sum FROM entry ORDER BY id")
    while True:
        try:
            row = rows.fetchone()
        except (sqlite3.Error, OverflowError) as error:
            found.faults.append(f"No entry can be read from here on: {error}.")
            return
        if row is None:
            return
        number, line, sum = row
        try:
            yield number, read_line(line, sum), sum
        except BookError:
            found.faults.append(f"Entry {number} is not as it was written.")


def _kept(book: Book, found: Soundness) -> None:
    sums = book.db.execute("SELECT sum FROM kept").fetchall()
    named = {
        sum
        for column in ("text", "file")
        for (sum,) in book.db.execute(f"SELECT {column} FROM entry").fetchall()
    }
    for (sum,) in sums:
        found.kept += 1
        try:
            book.kept(sum)
        except BookError as error:
            found.faults.append(str(error))
    loose = len({sum for (sum,) in sums} - named)
    if loose:
        found.remarks.append(f"{loose} texts or photos are kept that no entry names.")
