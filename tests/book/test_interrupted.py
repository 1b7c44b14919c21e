"""An entry is in the book whole or not at all, whatever stops the writing."""

import contextlib
import itertools
import sqlite3

import pytest

from bookkit import JPEG, begin, contents, filled, raw, reading_of
from splinewise.book import connection, migrations
from splinewise.book.care import backup
from splinewise.book.exporting import export
from splinewise.book.importing import import_history
from splinewise.book.new import photo_entry
from splinewise.book.photos import PhotoKept
from splinewise.book.queries import cars
from splinewise.book.store import Book
from splinewise.errors import BookError

BOTH = pytest.mark.parametrize("ever_after", [False, True], ids=["once", "ever after"])


def stopper(step, ever_after):
    """Return what stops SQLite's machine at one step, or from it on."""
    seen = itertools.count(1)

    def stop():
        now = next(seen)
        return now >= step if ever_after else now == step

    return stop


def big_photo(visit):
    """Return a photo that needs several pages, and its content."""
    content = JPEG * 200
    kept = PhotoKept("left.jpg", "other", content)
    return photo_entry(visit.car, kept, {}, visit=visit.uid), content


@BOTH
@pytest.mark.parametrize("what", ["reading", "photo"])
def test_stopped_at_every_step(tmp_path, ever_after, what):
    """Fail at the 1st step, then the 2nd, ... until the write gets through."""
    path = tmp_path / "a.book"
    with Book.create(path) as book:
        _, visit = begin(book)
    before, sound, count = raw(path)
    entry, kept = (
        (reading_of(visit), []) if what == "reading" else _with_list(big_photo(visit))
    )

    book = Book(path)
    for step in itertools.count(1):
        book.db.set_progress_handler(stopper(step, ever_after), 1)
        acknowledged = False
        with contextlib.suppress(BookError):
            book.add(entry, kept=kept)
            acknowledged = True
        book.db.set_progress_handler(None, 0)
        if ever_after:
            # The very rollback was stopped; closing does it.
            book.close()
            book = Book(path)
        assert not book.db.in_transaction

        rows, verdict, tally = raw(path)
        assert verdict == sound == [("ok",)]
        assert tally == [(len(rows),)]
        if rows != before:  # an error out of COMMIT may come after the deed
            break
        assert not acknowledged
    # Entering it again is harmless, whatever was said of the first time.
    assert book.add(entry, kept=kept) == book.entries(entry.car)[-1]
    book.close()

    after, verdict, tally = raw(path)
    assert verdict == [("ok",)]
    assert after[:-1] == before
    assert entry.uid in after[-1][0]
    assert after[-1][1] == (len(kept[0]) if kept else None)
    assert tally == [(count[0][0] + 1,)]
    assert step > 200


def _with_list(pair):
    return pair[0], [pair[1]]


@BOTH
def test_a_book_that_was_not_made_whole_is_not_there(tmp_path, monkeypatch, ever_after):
    """Making a book is stopped at every nineteenth step: no file, or a whole book."""
    path, real = tmp_path / "a.book", connection.connect

    for step in itertools.count(1, 19):

        def connect(path, *, timeout, step=step):
            db = real(path, timeout=timeout)
            db.set_progress_handler(stopper(step, ever_after), 1)
            return db

        monkeypatch.setattr(migrations, "connect", connect)
        with contextlib.suppress(BookError):
            migrations.create(path, timeout=1.0)
            break
        assert list(tmp_path.iterdir()) == []

    with Book(path) as book:
        assert cars(book) == []
    assert step > 100


@BOTH
def test_an_import_stopped_anywhere_leaves_nothing(tmp_path, ever_after):
    """An import of a whole history is one deed: all of it or none."""
    book, car = filled(tmp_path / "a.book")
    with book:
        export(book, car, tmp_path / "a.zip")
        whole = contents(book)
    path = tmp_path / "b.book"
    Book.create(path).close()

    for step in itertools.count(1, 97):
        with Book(path) as book:
            book.db.set_progress_handler(stopper(step, ever_after), 1)
            with contextlib.suppress(BookError):
                import_history(book, tmp_path / "a.zip")
            book.db.set_progress_handler(None, 0)
        with Book(path) as book:
            found = contents(book)
        assert found in ({}, whole)
        if found:
            break

    assert step > 2000


def test_a_backup_that_fails_leaves_no_file(tmp_path, monkeypatch):
    """A copy that cannot be finished is taken away again."""
    with filled(tmp_path / "a.book")[0] as book:
        names = sorted(file.name for file in tmp_path.iterdir())

        def full(path):
            raise OSError(28, "No space left on device")

        monkeypatch.setattr("splinewise.book.care.synced", full)
        with pytest.raises(BookError, match="No space left on device"):
            backup(book, tmp_path / "copy.book")

    assert sorted(file.name for file in tmp_path.iterdir()) == names


def test_writings_do_not_nest(tmp_path):
    """A writing begun inside another is refused, and the outer one stands."""
    with Book.create(tmp_path / "a.book") as book:
        _, visit = begin(book)
        with connection.whole(book.db):
            with pytest.raises(BookError, match="already in the middle"):
                book.add(reading_of(visit))
            book.db.execute("INSERT INTO kept VALUES (?, 1, ?)", ("0" * 64, b"x"))

        assert book.db.execute("SELECT count(*) FROM kept").fetchall() == [(2,)]
        assert len(book.entries(visit.car)) == 2


def test_an_error_between_begin_and_commit_undoes_all(tmp_path):
    """What is no matter of SQLite undoes the writing too."""
    with Book.create(tmp_path / "a.book") as book:
        begin(book)

        def interrupted():
            with connection.whole(book.db):
                book.db.execute("INSERT INTO kept VALUES (?, 1, ?)", ("0" * 64, b"x"))
                raise KeyboardInterrupt

        with pytest.raises(KeyboardInterrupt):
            interrupted()

        assert not book.db.in_transaction
        assert book.db.execute("SELECT count(*) FROM kept").fetchall() == [(1,)]


def test_a_full_disk_refuses_the_entry_and_keeps_the_rest(tmp_path):
    """When the file may not grow, nothing of the entry is there."""
    path = tmp_path / "a.book"
    with Book.create(path) as book:
        _, visit = begin(book)
        before = raw(path)
        (pages,) = book.db.execute("PRAGMA page_count").fetchone()
        book.db.execute(f"PRAGMA max_page_count = {pages}")
        photo, content = big_photo(visit)

        with pytest.raises(BookError, match=r"photo .* failed: the disk is full"):
            book.add(photo, kept=[content])
        assert raw(path) == before

        book.db.execute("PRAGMA max_page_count = 100000")
        assert book.add(photo, kept=[content]).step == 3


def test_the_whole_table_of_what_sqlite_says_becomes_sentences():
    """Whatever SQLite names, the person reads why and what to do."""
    for name in (
        "SQLITE_FULL",
        "SQLITE_BUSY_RECOVERY",
        "SQLITE_IOERR_FSYNC",
        "SQLITE_READONLY_DBMOVED",
        "SQLITE_CORRUPT_INDEX",
        "SQLITE_ERROR",
    ):
        error = sqlite3.OperationalError("said in English")
        error.sqlite_errorname = name
        with (
            pytest.raises(BookError) as caught,
            connection.speaking("a.book", "Writing"),
        ):
            raise error

        text = str(caught.value)
        assert text.startswith("Writing failed: ")
        assert text.endswith(".")
        assert "SQLITE" not in text
        assert text.count(".") >= 2
