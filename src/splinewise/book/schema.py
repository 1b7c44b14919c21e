"""The tables of a book, as numbered steps from an empty file to now.

A step that was released is never edited; a change is a new step at the end.  No step
touches an entry: an entry's line stands as it was written, whatever is built round it.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from functools import cache
from typing import Final, NamedTuple

__all__ = ["APPLICATION_ID", "LADDER", "NO_LINK", "WHOLE_BOOK", "Rung", "expected"]

APPLICATION_ID: Final = 0x53706C42
"""Marks an SQLite file as a book of splinewise: "SplB"."""

WHOLE_BOOK: Final = ""
"""The tally's row for all cars together."""

NO_LINK: Final = "0" * 64
"""Where the chain of checksums begins."""


class Rung(NamedTuple):
    """One step of the ladder: what it is for, and its statements."""

    words: str
    statements: tuple[str, ...]


def _refuse(table: str, event: str, when: str, why: str) -> str:
    condition = f" WHEN {when}" if when else ""
    name = f"{table}_{event.lower()}"
    return (
        f"CREATE TRIGGER {name} BEFORE {event} ON {table}{condition} "
        f"BEGIN SELECT RAISE(ABORT, '{why}'); END"
    )


def _grows_only(table: str, known: str) -> Iterable[str]:
    """Return the triggers that let a table grow and do nothing else."""
    why = f"the book only grows: a row of {table} is never"
    yield _refuse(table, "UPDATE", "", f"{why} changed")
    yield _refuse(table, "DELETE", "", f"{why} taken out")
    # Without this, INSERT OR REPLACE would take a row out unseen by the one above.
    yield _refuse(
        table, "INSERT", f"EXISTS (SELECT 1 FROM {table} WHERE {known})", f"{why} twice"
    )


def _view(name: str, kind: str, *fields: str) -> str:
    columns = ", ".join(
        f"json_extract(record, '$.{f}') AS \"{f}\"" for f in ("made", "by", *fields)
    )
    return (
        f"CREATE VIEW {name} AS SELECT uid, car, step, visit, amends, {columns}, "
        f"json_extract(record, '$.why') AS why FROM entry WHERE kind = '{kind}'"
    )


_READINGS = (
    "CREATE VIEW readings AS SELECT entry.uid, car, step, visit, amends,"
    " json_extract(record, '$.made') AS made, json_extract(record, '$.by') AS \"by\","
    " json_extract(record, '$.corner') AS corner, of, json_extract(one.value, '$.text') AS typed,"
    " json_extract(one.value, '$.value') AS value, json_extract(one.value, '$.unit') AS unit,"
    " json_extract(record, '$.state') AS state, json_extract(record, '$.instrument') AS instrument,"
    " json_extract(record, '$.taken') AS taken, json_extract(record, '$.why') AS why"
    " FROM entry, json_each(record, '$.values') AS one WHERE kind = 'reading'"
)

_FIRST = Rung(
    "the first book",
    (
        # Which steps were taken, when, and by which program.
        """CREATE TABLE migration (
            number INTEGER PRIMARY KEY,
            words TEXT NOT NULL,
            program TEXT NOT NULL,
            made TEXT NOT NULL
        ) STRICT""",
        # Texts, photos and sheets by their SHA-256; bytes is NULL for one that
        # stands in the folder beside the book.
        """CREATE TABLE kept (
            sum TEXT NOT NULL PRIMARY KEY CHECK (length(sum) = 64),
            size INTEGER NOT NULL CHECK (size > 0),
            bytes BLOB CHECK (bytes IS NULL OR length(bytes) = size)
        ) STRICT""",
        # How many entries each car has, and the SHA-256 of all of them in order of
        # arrival: what shows that one is gone.
        """CREATE TABLE tally (
            car TEXT NOT NULL PRIMARY KEY,
            entries INTEGER NOT NULL,
            step INTEGER NOT NULL,
            link TEXT NOT NULL CHECK (length(link) = 64)
        ) STRICT, WITHOUT ROWID""",
        # One line for each entry; the other columns are parts of that same line.
        """CREATE TABLE entry (
            id INTEGER PRIMARY KEY,
            record TEXT NOT NULL CHECK (json_valid(record)),
            sum TEXT NOT NULL CHECK (length(sum) = 64),
            uid TEXT GENERATED ALWAYS AS (json_extract(record, '$.uid')) VIRTUAL NOT NULL UNIQUE,
            car TEXT GENERATED ALWAYS AS (json_extract(record, '$.car')) VIRTUAL NOT NULL
                REFERENCES tally (car),
            kind TEXT GENERATED ALWAYS AS (json_extract(record, '$.kind')) VIRTUAL NOT NULL,
            step INTEGER GENERATED ALWAYS AS (json_extract(record, '$.step')) VIRTUAL NOT NULL,
            visit TEXT GENERATED ALWAYS AS (json_extract(record, '$.visit')) VIRTUAL
                REFERENCES entry (uid),
            amends TEXT GENERATED ALWAYS AS (json_extract(record, '$.amends')) VIRTUAL
                REFERENCES entry (uid),
            text TEXT GENERATED ALWAYS AS (nullif(json_extract(record, '$.text'), '')) VIRTUAL
                REFERENCES kept (sum),
            file TEXT GENERATED ALWAYS AS (nullif(json_extract(record, '$.file'), '')) VIRTUAL
                REFERENCES kept (sum),
            of TEXT GENERATED ALWAYS AS (json_extract(record, '$.of')) VIRTUAL
        ) STRICT""",
        "CREATE INDEX entry_car ON entry (car, step)",
        "CREATE INDEX entry_of ON entry (of) WHERE of IS NOT NULL",
        "CREATE INDEX entry_names ON entry (car) WHERE kind IN ('car', 'strike')",
        "CREATE INDEX entry_notes ON entry (car) WHERE kind = 'note'",
        f"INSERT INTO tally VALUES ('{WHOLE_BOOK}', 0, 0, '{NO_LINK}')",
        *_grows_only(
            "entry", "id = NEW.id OR uid = (json_extract(NEW.record, '$.uid'))"
        ),
        *_grows_only("kept", "sum = NEW.sum"),
        *_grows_only("migration", "number = NEW.number"),
        _refuse("tally", "DELETE", "", "the book only grows: a tally stays"),
        _refuse(
            "tally",
            "UPDATE",
            "NEW.car IS NOT OLD.car OR NEW.entries IS NOT OLD.entries + 1"
            " OR NEW.step < OLD.step",
            "the book only grows: a tally counts up by one",
        ),
        _view("car_texts", "car", "name", "text"),
        _view("visits", "visit", "occasion", "date", "floor", "fuel", "tyres", "words"),
        _READINGS,
        _view("moves", "move", "corner", "arm_teeth", "anchor_teeth", "words"),
        _view("results", "result", "task", "corner", "shape", "result", "program"),
        _view("photos", "photo", "name", "file", "corner", "taken", "words"),
        _view("notes", "note", "words"),
    ),
)

LADDER: Final[tuple[Rung, ...]] = (_FIRST,)
"""The steps; the version of a book is how many of them were taken."""


@cache
def expected(version: int) -> frozenset[tuple[str, str]]:
    """Return the name and the text of every table, index, trigger and view.

    Parameters
    ----------
    version : int
        Version of a book.

    Returns
    -------
    frozenset of tuple
        What its file must hold, neither more nor less.
    """
    db = sqlite3.connect(":memory:")
    try:
        for rung in LADDER[:version]:
            for statement in rung.statements:
                db.execute(statement)
        return frozenset(
            db.execute("SELECT name, sql FROM sqlite_schema WHERE sql IS NOT NULL")
        )
    finally:
        db.close()
