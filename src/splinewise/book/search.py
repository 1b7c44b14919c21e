"""Looking for something in the whole book: cars, notes, readings."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from splinewise.book.entries import Entry, read_record
from splinewise.book.queries import CarRow, cars
from splinewise.book.store import Book
from splinewise.book.writing import checked_line, read_line

__all__ = ["Found", "find"]

# Every different thing that was read: from one to the next by the index, without
# walking through the readings themselves.
_THINGS = """
WITH RECURSIVE thing (of) AS (
    SELECT min(of) FROM entry WHERE of IS NOT NULL
    UNION ALL
    SELECT (SELECT min(of) FROM entry WHERE of > thing.of) FROM thing
    WHERE thing.of IS NOT NULL
)
SELECT of FROM thing WHERE of IS NOT NULL
"""


@dataclass(frozen=True, slots=True)
class Found:
    """What a search found.

    Attributes
    ----------
    cars : tuple of CarRow
        Cars whose name has the words.
    notes : tuple of Entry
        Notes that have them, newest first.
    readings : tuple of Entry
        Readings of a thing that has them in its name, newest first.
    counts : tuple of int
        How many there are of the three, before only the newest were taken.
    """

    cars: tuple[CarRow, ...]
    notes: tuple[Entry, ...]
    readings: tuple[Entry, ...]
    counts: tuple[int, int, int]


def find(book: Book, words: str, *, most: int = 20) -> Found:
    """Look for words in car names, notes and the names of what was read.

    Parameters
    ----------
    book : Book
        The book.
    words : str
        What to look for, whatever its capitals.
    most : int
        How many of each to return at most.

    Returns
    -------
    Found
        What was found; an entry that was corrected or struck since is among it.
    """
    wanted = words.casefold()
    by_name = [row for row in cars(book) if wanted in row.name.casefold()]
    with book.still():
        lines = book.db.execute(
            "SELECT id, record, sum FROM entry INDEXED BY entry_notes"
            " WHERE kind = 'note'"
        ).fetchall()
        notes = list(_notes(sorted(lines, reverse=True), wanted))
        things = [of for (of,) in book.db.execute(_THINGS).fetchall()]
        meant = [of for of in things if wanted in of.casefold()]
        newest: list[tuple[int, str, str]] = []
        count = 0
        for of in meant:
            ((many,),) = book.db.execute(
                "SELECT count(*) FROM entry WHERE of = ?", (of,)
            ).fetchall()
            count += many
            newest += book.db.execute(
                "SELECT id, record, sum FROM entry WHERE of = ?"
                " ORDER BY id DESC LIMIT ?",
                (of, most),
            ).fetchall()
    newest.sort(reverse=True)
    return Found(
        cars=tuple(by_name[:most]),
        notes=tuple(notes[:most]),
        readings=tuple(read_line(line, sum) for _, line, sum in newest[:most]),
        counts=(len(by_name), len(notes), count),
    )


def _notes(lines: Iterable[tuple[int, str, str]], wanted: str) -> Iterator[Entry]:
    # As the line writes it: only a line that may have the words is taken apart.  The
    # checksum is asked of every one, lest a damaged note go unfound in silence.
    written = json.dumps(wanted, ensure_ascii=False)[1:-1].casefold()
    for _, line, sum in lines:
        checked = checked_line(line, sum)
        if written in checked.casefold():
            entry = read_record(checked)
            if wanted in str(entry.content["words"]).casefold():
                yield entry
