"""Books of every released version opened by this one, and books of versions to come.

`released/version-N.book` was made by the program that first wrote books of version N,
with `bookkit.fill`; `version-N.jsonl` holds its entries as that program exported them.
Neither is ever made again.
"""

import contextlib
import itertools
import json
import shutil
import sqlite3
from pathlib import Path

import pytest

from bookkit import contents, filled, raw, reading_of
from splinewise.book import migrations, schema
from splinewise.book.care import verify
from splinewise.book.connection import connect
from splinewise.book.entries import record
from splinewise.book.queries import cars, entry_named, history, latest_visit
from splinewise.book.schema import LADDER, Rung
from splinewise.book.store import Book
from splinewise.errors import BookError

RELEASED = Path(__file__).parent / "released"
VERSIONS = range(1, len(LADDER) + 1)

NEXT = Rung(
    "a step that is only for this test",
    (
        "CREATE TABLE more (at TEXT NOT NULL) STRICT",
        "INSERT INTO more VALUES ('one')",
        "CREATE INDEX more_at ON more (at)",
    ),
)


@pytest.fixture
def longer(monkeypatch):
    """Let the program know one more version than there is."""
    monkeypatch.setattr(schema, "LADDER", (*LADDER, NEXT))
    schema.expected.cache_clear()
    yield len(LADDER) + 1
    schema.expected.cache_clear()


@pytest.mark.parametrize("version", VERSIONS)
def test_a_released_book_opens_with_every_entry(tmp_path, version):
    path = tmp_path / "old.book"
    shutil.copy(RELEASED / f"version-{version}.book", path)
    lines = (RELEASED / f"version-{version}.jsonl").read_text("utf-8").splitlines()
    with Book(path) as book:
        (row,) = cars(book)
        told = history(book, row.uid)
        kept = [book.kept(sum) for entry in told.entries for sum in entry.sums]
        visit = latest_visit(told)
        book.add(reading_of(visit))

    assert [record(entry) for entry in told.entries] == lines
    assert row.name == "grey tourer"
    assert len(kept) == 4
    assert verify(path, timeout=1.0).faults == []


def test_there_is_a_book_of_every_version():
    names = {file.name for file in RELEASED.iterdir()}

    assert names == {
        f"version-{n}.{end}" for n in VERSIONS for end in ("book", "jsonl")
    }


def test_a_book_tells_how_it_came_to_be(tmp_path):
    with Book.create(tmp_path / "a.book") as book:
        rows = book.db.execute(
            "SELECT number, words, program FROM migration"
        ).fetchall()
        version = book.db.execute("PRAGMA user_version").fetchone()

    assert rows == [
        (n, rung.words, migrations.program_version())
        for n, rung in enumerate(LADDER, 1)
    ]
    assert version == (len(LADDER),)


def test_an_older_book_is_copied_aside_before_it_is_lifted(tmp_path, longer):
    path = tmp_path / "a.book"
    schema_now, schema.LADDER = schema.LADDER, LADDER
    filled(path)[0].close()
    old = path.read_bytes()
    schema.LADDER = schema_now
    (tmp_path / f"a.book.version-{longer - 1}").write_text("mine")

    with Book(path) as book:
        aside = book.older
        held = contents(book)
        assert book.db.execute("SELECT at FROM more").fetchall() == [("one",)]
        assert book.db.execute("PRAGMA user_version").fetchone() == (longer,)
        assert [n for (n,) in book.db.execute("SELECT number FROM migration")] == [
            *VERSIONS,
            longer,
        ]
    with Book(path) as book:
        assert book.older is None

    assert aside == tmp_path / f"a.book.version-{longer - 1}-2"
    assert raw(aside)[1] == [("ok",)]
    schema.LADDER = LADDER
    path.write_bytes(old)
    with Book(aside) as before, Book(path) as same:
        assert contents(before) == contents(same) == held
    schema.LADDER = schema_now
    assert len(list(tmp_path.iterdir())) == 3


def test_two_programs_that_lift_at_once_lift_once(tmp_path, longer, monkeypatch):
    """Who waits for the other finds the work done."""
    path = tmp_path / "a.book"
    monkeypatch.setattr(schema, "LADDER", LADDER)
    filled(path)[0].close()
    monkeypatch.setattr(schema, "LADDER", (*LADDER, NEXT))
    one, two = (connect(path, timeout=1.0) for _ in range(2))
    versions = [migrations.version_of(db, path) for db in (one, two)]
    for db, version in zip((one, two), versions, strict=True):
        migrations.lift(db, path, version)
        db.close()

    assert versions == [longer - 1] * 2
    with Book(path) as book:
        assert book.db.execute("SELECT count(*) FROM more").fetchall() == [(1,)]


@pytest.mark.parametrize("ever_after", [False, True], ids=["once", "ever after"])
def test_a_lift_stopped_anywhere_is_done_or_not_done(
    tmp_path, longer, monkeypatch, ever_after
):
    """At every step: a book of the one version or of the other, nothing between."""
    path = tmp_path / "a.book"
    monkeypatch.setattr(schema, "LADDER", LADDER)
    book, _ = filled(path)
    with book:
        held = contents(book)
    before = path.read_bytes()
    monkeypatch.setattr(schema, "LADDER", (*LADDER, NEXT))
    real = migrations.whole

    for step in itertools.count(1):
        path.write_bytes(before)
        seen = itertools.count(1)

        def stop(step=step, seen=seen):
            now = next(seen)
            return now >= step if ever_after else now == step

        @contextlib.contextmanager
        def whole(db, stop=stop):
            db.set_progress_handler(stop, 1)
            try:
                with real(db):
                    yield
            finally:
                db.set_progress_handler(None, 0)

        monkeypatch.setattr(migrations, "whole", whole)
        monkeypatch.setattr(migrations, "_aside", lambda *_: None)
        with contextlib.suppress(BookError):
            Book(path).close()
        with contextlib.closing(sqlite3.connect(path)) as db:
            (version,) = db.execute("PRAGMA user_version").fetchone()
            rows = db.execute("SELECT count(*) FROM migration").fetchone()
            there = db.execute(
                "SELECT count(*) FROM sqlite_schema WHERE name LIKE 'more%'"
            ).fetchone()
        assert rows == (version,)
        assert there == ((2,) if version == longer else (0,))
        if version == longer:
            break

    monkeypatch.setattr(migrations, "whole", real)
    with Book(path) as book:
        assert contents(book) == held
    assert step > 50


def test_a_damaged_book_is_not_lifted(tmp_path, longer, monkeypatch):
    path = tmp_path / "a.book"
    monkeypatch.setattr(schema, "LADDER", LADDER)
    filled(path)[0].close()
    content = bytearray(path.read_bytes())
    # The last page's header: how many cells it has.
    content[-4096 + 3] ^= 0xFF
    path.write_bytes(content)
    monkeypatch.setattr(schema, "LADDER", (*LADDER, NEXT))

    with pytest.raises(BookError, match="damaged"):
        Book(path)
    assert path.read_bytes() == content
    assert list(tmp_path.iterdir()) == [path]


def test_a_newer_book_is_refused_and_left_alone(tmp_path):
    path = tmp_path / "a.book"
    filled(path)[0].close()
    newer = len(LADDER) + 1
    with contextlib.closing(sqlite3.connect(path)) as db:
        db.execute(f"PRAGMA user_version = {newer}")
    before = path.read_bytes()

    with pytest.raises(
        BookError,
        match=rf"newer splinewise \(book version {newer}; this program knows up to",
    ):
        Book(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "change",
    [
        "PRAGMA user_version = 0",
        "PRAGMA user_version = -1",
        "DROP TRIGGER entry_delete",
        "DROP INDEX entry_of",
        "CREATE TABLE mine (a)",
        "DROP TABLE migration",
    ],
)
def test_a_book_whose_tables_were_changed_is_refused(tmp_path, change):
    path = tmp_path / "a.book"
    filled(path)[0].close()
    with contextlib.closing(sqlite3.connect(path)) as db:
        db.execute(change)

    with pytest.raises(BookError, match="its tables are not those of a book"):
        Book(path)


def test_a_number_of_the_release_is_known(tmp_path):
    """The entry that a person noted down in the released book is still there."""
    shutil.copy(RELEASED / "version-1.book", tmp_path / "a.book")
    line = (RELEASED / "version-1.jsonl").read_text("utf-8").splitlines()[2]
    with Book(tmp_path / "a.book") as book:
        found = entry_named(book, json.loads(line)["uid"][:8])

    assert found.kind == "reading"
    assert found.content["values"][0]["text"] == "15 5/8 in"
