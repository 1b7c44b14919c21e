"""A book whose bytes changed on the disk: a sentence, and never a silent change."""

import contextlib
import random
import sqlite3
from collections import Counter

import pytest

from bookkit import contents, fill, filled
from splinewise.book.care import verify
from splinewise.book.search import find
from splinewise.book.store import Book
from splinewise.errors import BookError


@pytest.fixture
def whole(tmp_path):
    """Return a book's bytes, all that it holds, and a place to put a damaged one."""
    path = tmp_path / "a.book"
    book, _ = filled(path)
    with book:
        held = all_of(book)
    return path.read_bytes(), held, tmp_path / "damaged.book"


def all_of(book):
    """Return all that can be asked of a book."""
    return contents(book), find(book, "e")


def looked_at(path):
    """Return all that a book shows, or the sentence that it gives instead."""
    try:
        with Book(path, timeout=1.0) as book:
            return all_of(book)
    except BookError as error:
        return str(error)


def verified(path):
    """Return whether `verify` finds the book sound."""
    try:
        return not verify(path, timeout=1.0).faults
    except BookError:
        return False


def judged(damaged, held, path):
    """Write a damaged book and return what became of it; fail on a silent change."""
    path.write_bytes(damaged)
    shown = looked_at(path)
    if isinstance(shown, str):
        assert shown.endswith(".")
        assert "Traceback" not in shown
        verdict = "sentence"
    else:
        assert shown == held, "the book shows something else and says nothing"
        verdict = "harmless"
    # To look is not to write, whatever is wrong.  Only a file that seems set to
    # another journal is set back: two bytes of the header, and what counts changes.
    now = path.read_bytes()
    assert len(now) == len(damaged)
    changed = {n for n in range(len(now)) if now[n] != damaged[n]}
    assert changed <= {18, 19, *range(24, 28), *range(92, 100)}
    return verdict


def places_to_flip(content, count, rng):
    """Return places of a file: two thirds where something stands, the rest anywhere."""
    held = [n for n, byte in enumerate(content) if byte]
    most = 2 * count // 3
    return [*rng.sample(held, most), *rng.sample(range(len(content)), count - most)]


@pytest.mark.parametrize("count", [120, pytest.param(1000, marks=pytest.mark.slow)])
def test_bytes_flipped(whole, capsys, count):
    """A byte changed, one at a time: a sentence, or no harm; never a silent change."""
    content, held, path = whole
    rng = random.Random(count)
    counts = Counter()
    for place in places_to_flip(content, count, rng):
        damaged = bytearray(content)
        damaged[place] ^= rng.randrange(1, 256)
        counts[judged(bytes(damaged), held, path)] += 1
    with capsys.disabled():
        print(  # noqa: T201  the counts are to be seen
            f"\n{count} bytes flipped of {len(content)}: {dict(counts)}"
        )

    assert sum(counts.values()) == count
    assert counts["sentence"] > count / 3


def test_bytes_flipped_in_the_header(whole):
    """Each byte of the file's own header in turn, which says how to read the rest."""
    content, held, path = whole
    for place in range(100):
        for change in (0x55, 0x80):
            damaged = bytearray(content)
            damaged[place] ^= change
            judged(bytes(damaged), held, path)
            assert sorted(path.parent.iterdir()) == [path.with_name("a.book"), path]


def test_verify_finds_what_is_not_as_it_was_written(whole):
    """Each entry, text and photo is flipped in turn, and each time it is found."""
    content, held, path = whole
    (_, entries) = next(iter(held[0].values()))
    found = []
    for entry, kept in entries:
        for piece in [entry.uid.encode(), *(k[5:25] for k in kept)]:
            damaged = bytearray(content)
            damaged[content.index(piece) + 3] ^= 1
            path.write_bytes(damaged)
            found.append(verified(path))

    assert len(found) == 14
    assert not any(found)
    path.write_bytes(content)
    assert verified(path)


def test_cut_short_anywhere(whole):
    """A book cut at any length is refused, or was cut where nothing stood."""
    content, held, path = whole
    rng = random.Random(8)
    lengths = [0, 1, 15, 16, 99, 100, 511, 512, 4095, 4096, len(content) - 1]
    lengths += [rng.randrange(len(content)) for _ in range(15)]

    for length in lengths:
        assert judged(content[:length], held, path) == "sentence"


def test_pages_of_another_book_are_not_taken_for_its_own(whole, tmp_path):
    """A page that was written elsewhere (a lost write, a bad copy) is noticed."""
    content, held, path = whole
    with Book.create(tmp_path / "b.book") as book:
        fill(book)
    other = (tmp_path / "b.book").read_bytes()
    size = 4096
    verdicts = Counter()
    for at in range(size, min(len(content), len(other)), size):
        damaged = content[:at] + other[at : at + size] + content[at + size :]
        if damaged != content:
            verdicts[judged(damaged, held, path)] += 1

    assert verdicts["sentence"] >= 3


LARGE = "splinewise.book.store.EXAMINED"


def test_a_large_book_notices_a_lost_entry_without_being_examined_whole(
    whole, monkeypatch
):
    """Where the file is not looked over at each opening, the tally still tells."""
    content, _, path = whole
    monkeypatch.setattr(LARGE, 0)
    path.write_bytes(content)
    with contextlib.closing(sqlite3.connect(path)) as db:
        db.execute("DROP TRIGGER entry_delete")
        db.execute("DELETE FROM entry WHERE kind = 'note'")
        db.execute("DELETE FROM entry WHERE kind = 'strike'")
        db.execute(
            "CREATE TRIGGER entry_delete BEFORE DELETE ON entry "
            "BEGIN SELECT RAISE(ABORT, 'the book only grows: a row of entry is never "
            "taken out'); END"
        )
        db.commit()

    with (
        Book(path) as book,
        pytest.raises(BookError, match="of 10 entries of this car"),
    ):
        contents(book)
    assert any("gone or changed" in fault for fault in verify(path, timeout=1.0).faults)


def test_a_large_book_with_flipped_bytes_says_so_too(whole, monkeypatch):
    """The same as for a small book, with nothing examined at opening."""
    content, held, path = whole
    monkeypatch.setattr(LARGE, -1)
    rng = random.Random(9)
    counts = Counter()
    for place in places_to_flip(content, 150, rng):
        damaged = bytearray(content)
        damaged[place] ^= rng.randrange(1, 256)
        path.write_bytes(damaged)
        try:
            with Book(path, timeout=1.0) as book:
                shown = contents(book)
        except BookError:
            counts["sentence"] += 1
        else:
            assert shown == held[0]
            counts["harmless"] += 1

    assert counts["sentence"] > 50


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entry SET record = replace(record, 'tourer', 'saloon')",
        "UPDATE entry SET sum = '0'",
        "DELETE FROM entry",
        """INSERT OR REPLACE INTO entry (id, record, sum)
        SELECT id, replace(record, 'tourer', 'saloon'), sum FROM entry""",
        "INSERT OR REPLACE INTO entry (record, sum) SELECT record, sum FROM entry",
        "UPDATE kept SET bytes = x'00'",
        "DELETE FROM kept",
        "INSERT OR REPLACE INTO kept SELECT sum, 1, x'00' FROM kept",
        "UPDATE migration SET program = 'another'",
        "DELETE FROM migration",
        "UPDATE tally SET entries = entries - 1",
        "UPDATE tally SET entries = entries + 1, step = 0",
        "DELETE FROM tally",
    ],
)
def test_the_file_itself_refuses_to_change_or_lose_a_row(whole, statement):
    """Whatever program opens it, the tables let rows in and nothing else."""
    content, held, path = whole
    path.write_bytes(content)
    with (
        contextlib.closing(sqlite3.connect(path)) as db,
        pytest.raises(sqlite3.IntegrityError, match="the book only grows"),
    ):
        db.execute(statement)

    assert looked_at(path) == held


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("not json", "malformed JSON|constraint failed"),
        ("{}", "NOT NULL"),
        ('{"uid":"a","car":"a","kind":"note","step":1}', "FOREIGN KEY"),
    ],
)
def test_the_tables_refuse_what_is_no_entry(whole, line, why):
    """What gets past the program still has the file's own rules before it."""
    content, _, path = whole
    path.write_bytes(content)
    with Book(path) as book, pytest.raises(sqlite3.DatabaseError, match=why):
        book.db.execute(
            "INSERT INTO entry (record, sum) VALUES (?, ?)", (line, "0" * 64)
        )
