"""Writing one entry, inside a transaction that somebody else has begun."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Mapping
from dataclasses import replace
from typing import Final, NoReturn

from splinewise.book.entries import Entry, read_record, record, same, sha256
from splinewise.book.schema import NO_LINK, WHOLE_BOOK
from splinewise.errors import BookError

__all__ = [
    "LARGEST",
    "checked_line",
    "damaged",
    "entry_of",
    "linked",
    "read_line",
    "write",
]

LARGEST: Final = 64_000_000
"""A text, photo or sheet larger than this is not kept. [byte]"""


def damaged(why: str) -> NoReturn:
    """Say that the book is not as it was written.

    Parameters
    ----------
    why : str
        What shows it.

    Raises
    ------
    BookError
        Always.
    """
    msg = (
        f"The book is damaged: {why}. Do not write into it. Copy it aside, look with "
        "`splinewise book verify`, and take the last backup."
    )
    raise BookError(msg)


def linked(link: str, sum: str) -> str:
    """Return the chain of checksums with one more at its end.

    Parameters
    ----------
    link : str
        The chain up to there.
    sum : str
        SHA-256 of the next entry.

    Returns
    -------
    str
        SHA-256 of the two together.
    """
    return hashlib.sha256(f"{link}{sum}".encode()).hexdigest()


def read_line(line: str, sum: str) -> Entry:
    """Return the entry of a line of the file, if its checksum is right.

    Parameters
    ----------
    line : str
        The line.
    sum : str
        SHA-256 that was kept with it.

    Returns
    -------
    Entry
        The entry.
    """
    return read_record(checked_line(line, sum))


def checked_line(line: str, sum: str) -> str:
    """Return a line of the file, if its checksum is right.

    Parameters
    ----------
    line : str
        The line.
    sum : str
        SHA-256 that was kept with it.

    Returns
    -------
    str
        The line.
    """
    if sha256(line.encode()) != sum:
        damaged("an entry is not as it was written")
    return line


def write(
    db: sqlite3.Connection, entry: Entry, contents: Mapping[str, bytes], *, beside: bool
) -> tuple[Entry, bool]:
    """Write an entry, unless the book has it already.

    Parameters
    ----------
    db : Connection
        The book, in a transaction.
    entry : Entry
        The entry, checked.
    contents : mapping of str to bytes
        What it names by its SHA-256.
    beside : bool
        Whether that stands in the folder beside the book.

    Returns
    -------
    tuple of Entry and bool
        As it stands in the book, and whether it is new there.
    """
    before = entry_of(db, entry.uid)
    if before is not None:
        if same(before, entry):
            return before, False
        msg = (
            f"The book has another entry under the identifier {entry.uid}: a "
            f"{before.kind} made {before.made}. Nothing was written; enter yours "
            "under an identifier of its own."
        )
        raise BookError(msg)
    step, count, link = _tally(db, entry)
    if entry.step > step + 1:
        msg = f"Entries of this car are missing that came before {entry.short}."
        raise BookError(msg)
    _refers(db, entry)
    for sum in entry.sums:
        _keep(db, sum, contents, beside=beside)
    placed = replace(entry, step=entry.step or step + 1)
    line = record(placed)
    own = sha256(line.encode())
    db.execute("INSERT INTO entry (record, sum) VALUES (?, ?)", (line, own))
    db.execute(
        "UPDATE tally SET entries = ?, step = ?, link = ? WHERE car = ?",
        (count + 1, max(step, placed.step), linked(link, own), entry.car),
    )
    ((count, link),) = db.execute(
        "SELECT entries, link FROM tally WHERE car = ?", (WHOLE_BOOK,)
    ).fetchall()
    db.execute(
        "UPDATE tally SET entries = ?, link = ? WHERE car = ?",
        (count + 1, linked(link, own), WHOLE_BOOK),
    )
    return placed, True


def entry_of(db: sqlite3.Connection, uid: str) -> Entry | None:
    """Return the entry of an identifier, if there is one.

    Parameters
    ----------
    db : Connection
        The book.
    uid : str
        The identifier.

    Returns
    -------
    Entry or None
        The entry.
    """
    rows = db.execute("SELECT record, sum FROM entry WHERE uid = ?", (uid,)).fetchall()
    return read_line(*rows[0]) if rows else None


def _tally(db: sqlite3.Connection, entry: Entry) -> tuple[int, int, str]:
    rows = db.execute(
        "SELECT step, entries, link FROM tally WHERE car = ?", (entry.car,)
    ).fetchall()
    if rows:
        if entry.kind == "car" and entry.amends is None:
            msg = "The car is in the book; a new version must name the one before."
            raise BookError(msg)
        step, count, link = rows[0]
        return step, count, link
    if entry.kind != "car":
        msg = f"The book has no car {entry.car[:8]} to which this could belong."
        raise BookError(msg)
    db.execute("INSERT INTO tally VALUES (?, 0, 0, ?)", (entry.car, NO_LINK))
    return 0, 0, NO_LINK


def _refers(db: sqlite3.Connection, entry: Entry) -> None:
    """See that the entries it names are there and are what they should be."""
    for uid, kinds in (
        (entry.visit, ("visit",)),
        (entry.amends, None if entry.kind == "strike" else (entry.kind,)),
    ):
        if uid is None:
            continue
        named = entry_of(db, uid)
        if named is None or named.car != entry.car:
            msg = f"This car has no entry {uid}, which the new one names."
            raise BookError(msg)
        if kinds and named.kind not in kinds:
            msg = f"{uid[:8]} is a {named.kind}, and must be a {kinds[0]}."
            raise BookError(msg)
        if entry.step and entry.step <= named.step:
            msg = f"{entry.short} names {uid[:8]}, which came after it."
            raise BookError(msg)


def _keep(
    db: sqlite3.Connection, sum: str, contents: Mapping[str, bytes], *, beside: bool
) -> None:
    if db.execute("SELECT 1 FROM kept WHERE sum = ?", (sum,)).fetchall():
        return
    if sum not in contents:
        msg = f"The entry names {sum[:8]}, which was not given with it."
        raise BookError(msg)
    content = contents[sum]
    if not 0 < len(content) <= LARGEST:
        msg = f"What is kept has {len(content)} bytes; from 1 to {LARGEST} can be."
        raise BookError(msg)
    db.execute(
        "INSERT INTO kept VALUES (?, ?, ?)",
        (sum, len(content), None if beside else content),
    )
