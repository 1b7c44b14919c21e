"""What an acknowledged reading costs, and whether a large book answers at once.

Appending is set beside the least that a durable insert can be: one row of the same
length into one SQLite table, with the same journal and the same waiting for the disk.
"""

from __future__ import annotations

import contextlib
import dataclasses
import os
import shutil
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from measure import Times, alternate, compare, milliseconds, report, table, where

from splinewise.book.entries import Entry, new_uid, record, sha256
from splinewise.book.kinds import from_typed
from splinewise.book.new import car_entry, entered
from splinewise.book.queries import cars, entry_named, history, the_car
from splinewise.book.schema import NO_LINK, WHOLE_BOOK
from splinewise.book.search import find
from splinewise.book.store import Book
from splinewise.book.writing import linked

APPENDS = 300
RATIO = 2.0
LONGEST = 0.015
"""Median of an append that will do. [s]"""

CARS, READINGS, NOTES = 1_000, 1_000_000, 10
ASKED = 9
AT_ONCE = 0.25
"""A listing or a search that takes longer is felt. [s]"""


def main() -> int:
    """Time both; return 1 where a bar is missed."""
    print(where("splinewise"))
    print(f"SQLite {sqlite3.sqlite_version}\n")
    folder = Path(tempfile.mkdtemp(prefix="splinewise-bench-"))
    try:
        return append(folder) | ask(folder)
    finally:
        shutil.rmtree(folder)


def append(folder: Path) -> int:
    """Time the append of one reading beside a bare insert."""
    with Book.create(folder / "append.book") as book:
        visit = begin(book, "grey tourer")
        reading = one_reading(visit)
        line = record(dataclasses.replace(reading, step=1))
        bare = sqlite3.connect(folder / "bare.db", isolation_level=None)
        bare.execute("PRAGMA journal_mode = DELETE")
        bare.execute("PRAGMA synchronous = EXTRA")
        bare.execute("CREATE TABLE reading (id INTEGER PRIMARY KEY, line TEXT) STRICT")
        names = ("append of one reading", "one bare durable insert")
        subjects: dict[str, Callable[[], object]] = {
            names[0]: lambda: book.add(dataclasses.replace(reading, uid=new_uid())),
            names[1]: lambda: bare.execute(
                "INSERT INTO reading (line) VALUES (?)", (line,)
            ),
        }
        times = alternate(subjects, runs=APPENDS)
        bare.close()
    code = report([compare(*names, times, bar=RATIO)], runs=APPENDS)
    median = times[names[0]].median
    good = median <= LONGEST
    print(
        f"append of one reading: {milliseconds(median)} ms, "
        f"{'within' if good else 'OVER'} the bar of {milliseconds(LONGEST)} ms.\n"
    )
    return code | (not good)


def begin(book: Book, name: str) -> Entry:
    """Put a car and a visit into a book; return the visit."""
    text = f'[car]\nname = "{name}"\n'.encode()
    car = book.add(car_entry(text), kept=[text])
    given = {"occasion": ["as found"], "date": ["2024-05-18"]}
    return book.add(entered("visit", car.car, given))


def one_reading(visit: Entry, of: str = "setting length") -> Entry:
    """Return a reading that could have been typed."""
    given = {
        "of": [of],
        "values": ["15 5/8 in", "15 21/32 in"],
        "corner": ["front-left"],
        "state": ["bare arm"],
        "instrument": ["tape-2"],
    }
    content = from_typed("reading", given)
    return Entry("reading", visit.car, content, by="me", visit=visit.uid)


def ask(folder: Path) -> int:
    """Time what is asked of a book of a thousand cars and a million readings."""
    path = folder / "large.book"
    start = time.perf_counter()
    fill(path)
    size = path.stat().st_size / 1e6
    print(
        f"A book of {CARS} cars, {READINGS} readings and {CARS * NOTES} notes, "
        f"{size:.0f} MB, made in {time.perf_counter() - start:.0f} s."
    )
    # What has just been written must not be waited for in what is timed next.
    os.sync()
    with Book(path) as book:
        name = "car 500"
        uid = the_car(book, name).uid
        some = history(book, uid).entries[700].uid[:10]
        visit = next(e for e in history(book, uid).entries if e.kind == "visit")
        questions: dict[str, Callable[[], object]] = {
            "open the book": lambda: Book(path).close(),
            "list the cars": lambda: cars(book),
            "find a car by name": lambda: the_car(book, name),
            "all of one car": lambda: history(book, uid),
            "an entry by its number": lambda: entry_named(book, some),
            "search: a rare thing": lambda: find(book, "camber"),
            "search: a common thing": lambda: find(book, "setting"),
            "search: a word of a note": lambda: find(book, "paint marks"),
            "append of one reading": lambda: book.add(one_reading(visit)),
        }
        times = alternate(questions, runs=ASKED)
    rows = [["", "median ms", "slowest ms", "bar ms"]]
    for question, took in times.items():
        rows.append([question, *_shown(took), milliseconds(AT_ONCE)])
    print(table(rows))
    late = [q for q, took in times.items() if took.median > AT_ONCE]
    print(f"Over the bar: {', '.join(late) or 'none'}.")
    return int(bool(late))


def _shown(took: Times) -> list[str]:
    return [milliseconds(took.median), milliseconds(max(took.seconds))]


def fill(path: Path) -> None:
    """Make a large book: the lines that the program writes, without waiting each time."""
    with Book.create(path) as book:
        db = book.db
        db.execute("PRAGMA synchronous = OFF")
        with _together(db):
            whole, count = NO_LINK, 0
            for number in range(CARS):
                link, own = NO_LINK, list(_entries(number))
                db.execute(
                    "INSERT INTO tally VALUES (?, 0, 0, ?)", (own[0].car, NO_LINK)
                )
                lines = [record(entry) for entry in own]
                sums = [sha256(line.encode()) for line in lines]
                text = b"# car"
                if not number:
                    kept = (sha256(text), len(text), text)
                    db.execute("INSERT INTO kept VALUES (?, ?, ?)", kept)
                db.executemany(
                    "INSERT INTO entry (record, sum) VALUES (?, ?)",
                    zip(lines, sums, strict=True),
                )
                for sum in sums:
                    link, whole = linked(link, sum), linked(whole, sum)
                count += len(own)
                _tally(db, own[0].car, len(own), link)
            _tally(db, WHOLE_BOOK, count, whole)


def _tally(db: sqlite3.Connection, car: str, count: int, link: str) -> None:
    # The guard lets a tally count up by one only; here it is made at its end.
    ((guard,),) = db.execute(
        "SELECT sql FROM sqlite_schema WHERE name = 'tally_update'"
    ).fetchall()
    db.execute("DROP TRIGGER tally_update")
    step = 0 if car == WHOLE_BOOK else count
    db.execute(
        "UPDATE tally SET entries = ?, step = ?, link = ? WHERE car = ?",
        (count, step, link, car),
    )
    db.execute(guard)


@contextlib.contextmanager
def _together(db: sqlite3.Connection) -> Iterator[None]:
    db.execute("BEGIN")
    yield
    db.execute("COMMIT")


def _entries(number: int) -> Iterator[Entry]:
    car = car_entry(b"# car", name=f"car {number}")
    yield dataclasses.replace(car, step=1)
    given = {"occasion": ["as found"], "date": ["2024-05-18"]}
    visit = entered("visit", car.car, given)
    yield dataclasses.replace(visit, step=2)
    step = 2
    for n in range(NOTES):
        step += 1
        words = "Two paint marks" if n == 0 and number % 100 == 0 else f"Looked at {n}"
        note = entered("note", car.car, {"words": [words]})
        yield dataclasses.replace(note, step=step)
    things = [one_reading(visit), one_reading(visit, "ride height of the body")]
    rare = entered(
        "reading",
        car.car,
        {"of": ["camber"], "values": ["30'"], "corner": ["front-left"]},
        visit=visit.uid,
    )
    for n in range(READINGS // CARS):
        step += 1
        model = rare if n == 0 else things[n % 2]
        yield dataclasses.replace(model, uid=new_uid(), step=step)


if __name__ == "__main__":
    sys.exit(main())
