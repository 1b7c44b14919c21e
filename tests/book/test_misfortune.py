"""Disks that fill, are locked, vanish or may not be written; writers that are killed."""

import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import textwrap
from pathlib import Path

import pytest

from bookkit import begin, contents, filled, raw, reading_of
from splinewise.book.care import verify
from splinewise.book.store import Book
from splinewise.errors import BookError


def run(script, *words, **more):
    """Run a script in another process; return what it printed."""
    paths = os.pathsep.join([str(Path(__file__).parent.parent), *sys.path])
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(script), *map(str, words)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": paths, "PYTHONDONTWRITEBYTECODE": "1"},
        **more,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


# The writer says "kept NUMBER" once the book has acknowledged an entry, and nothing
# before.  Three at once: two go on, one is killed again and again.
KILLING = """
    import json, os, random, select, signal, sys, time
    from bookkit import JPEG, reading_of
    from splinewise.book.new import photo_entry
    from splinewise.book.photos import PhotoKept
    from splinewise.book.queries import entry_named
    from splinewise.book.store import Book

    path, visit_uid, kills, seed = sys.argv[1:]
    rng = random.Random(int(seed))
    with Book(path) as book:
        visit = entry_named(book, visit_uid)

    def write(out, pause):
        n = 0
        with Book(path, timeout=60.0) as book:
            while True:
                n += 1
                if n % 3:
                    entry, kept = reading_of(visit, [f"{n} mm"] * 5), []
                else:
                    content = JPEG * 400 + os.urandom(8)
                    photo = PhotoKept("left.jpg", "other", content)
                    entry = photo_entry(visit.car, photo, {}, visit=visit.uid)
                    kept = [content]
                book.add(entry, kept=kept)
                os.write(out, f"{entry.uid}\\n".encode())
                time.sleep(pause)

    def begin(pause):
        told, out = os.pipe()
        child = os.fork()
        if not child:
            os.close(told)
            try:
                write(out, pause)
            finally:
                os._exit(1)
        os.close(out)
        return child, told

    acknowledged, by_victims, in_the_middle = set(), 0, 0

    def hear(told):
        found = b""
        while part := os.read(told, 65536):
            found += part
        os.close(told)
        return [uid.decode() for uid in found.split(b"\\n")[:-1]]

    others = [begin(0.02) for _ in range(2)]
    for _ in range(int(kills)):
        child, told = begin(0.0)
        time.sleep(rng.uniform(0.002, 0.06))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        in_the_middle += os.path.exists(path + "-journal")
        heard = hear(told)
        by_victims += len(heard)
        acknowledged.update(heard)
        for _, other in others:  # lest their pipes fill
            while select.select([other], [], [], 0)[0]:
                part = os.read(other, 65536)
                if not part:
                    sys.exit("a writer that nobody killed has died")
                acknowledged.update(part.decode().split())
    for child, told in others:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        acknowledged.update(hear(told))
    print(json.dumps({
        "uids": sorted(acknowledged),
        "by_victims": by_victims,
        "in_the_middle": in_the_middle,
    }))
"""


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="Windows cannot fork a writer")
def test_killed_at_500_moments_beside_two_other_writers(tmp_path, capsys):
    """What was acknowledged is there whole, and nothing is there by half.

    A killed process is not a lost supply: what the system had not yet written survives
    the one and not the other.  Against the other stands `synchronous=EXTRA`, untested.
    """
    path, kills = tmp_path / "a.book", 500
    with Book.create(path) as book:
        _, visit = begin(book)
    told = json.loads(run(KILLING, path, visit.uid, kills, 20240518, timeout=300))

    found = verify(path, timeout=10.0)
    with Book(path) as book:
        there = {entry.uid: entry for entry in book.entries(visit.car)}
        for entry in there.values():
            for sum in entry.sums:
                book.kept(sum)
    lost = [uid for uid in told["uids"] if uid not in there]
    with capsys.disabled():
        print(  # noqa: T201  the counts are to be seen
            f"\n{kills} kills: {len(told['uids'])} entries acknowledged "
            f"({told['by_victims']} by those killed; after {told['in_the_middle']} kills "
            f"somebody was in the middle of writing), {len(lost)} lost, "
            f"{len(found.faults)} faults among {len(there)} in the book"
        )

    assert found.faults == []
    assert lost == []
    assert told["by_victims"] > kills / 10
    assert told["in_the_middle"] > kills / 10
    assert [e.step for e in there.values()] == list(range(1, len(there) + 1))


GROW = """
    import resource, signal, sys
    from bookkit import JPEG
    from splinewise.book.new import entered, photo_entry
    from splinewise.book.photos import PhotoKept
    from splinewise.book.queries import cars, latest_visit, history
    from splinewise.book.store import Book
    from splinewise.errors import BookError

    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    path, size = sys.argv[1], int(sys.argv[2])
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
    with Book(path) as book:
        visit = latest_visit(history(book, cars(book)[0].uid))
        content = JPEG * 2000
        photo = PhotoKept("left.jpg", "other", content)
        try:
            book.add(photo_entry(visit.car, photo, {}), kept=[content])
        except BookError as error:
            print(error)
"""


@pytest.mark.skipif(os.name == "nt", reason="Windows has no limit on a file's size")
def test_a_file_that_may_not_grow_keeps_what_it_has(tmp_path):
    """The system refuses to let the file grow: a sentence, and the book as it was."""
    path = tmp_path / "a.book"
    filled(path)[0].close()
    before = raw(path)

    said = run(GROW, path, path.stat().st_size + 20_000)

    assert "failed: the disk" in said
    assert "Enter it again under the same identifier" in said
    assert raw(path) == before


WRITE = """
    import os, sys
    from splinewise.book.entries import Entry
    from splinewise.book.queries import cars, history
    from splinewise.book.store import Book
    from splinewise.errors import BookError

    if os.geteuid() == 0:  # root may write anywhere: be somebody who may not
        os.setgroups([])
        os.setgid(65534)
        os.setuid(65534)
    try:
        with Book(sys.argv[1]) as book:
            car = cars(book)[0]
            print(len(history(book, car.uid).entries))
            book.add(Entry("note", car.uid, {"words": "late"}))
    except BookError as error:
        print(error)
"""


@pytest.mark.skipif(os.name == "nt", reason="folders have other rights on Windows")
def test_what_may_only_be_read_is_read_and_not_written():
    """On a disk that is write-protected the book can be looked at."""
    folder = Path(tempfile.mkdtemp())
    try:
        filled(folder / "a.book")[0].close()
        before = raw(folder / "a.book")
        (folder / "a.book").chmod(0o444)
        folder.chmod(0o555)

        said = run(WRITE, folder / "a.book").splitlines()

        assert said[0] == str(len(before[0]))
        assert "failed: the book may not be written here" in said[1]
        assert raw(folder / "a.book") == before
    finally:
        folder.chmod(0o755)
        shutil.rmtree(folder)


def test_a_book_that_another_program_holds_is_waited_for_then_refused(tmp_path):
    """A lock is said, and once it is gone the same entry goes in."""
    path = tmp_path / "a.book"
    with Book.create(path) as book:
        _, visit = begin(book)
    entry, before = reading_of(visit), raw(path)
    other = sqlite3.connect(path, isolation_level=None)
    with Book(path, timeout=0.05) as book:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(BookError, match="another program holds the book"):
            book.add(entry)
        other.rollback()
        assert raw(path) == before

        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(BookError, match="another program holds the book"):
            book.entries(visit.car)
        with pytest.raises(BookError, match="another program holds the book"):
            Book(path, timeout=0.05)
        other.rollback()

        assert book.add(entry).step == 3
    other.close()


def test_a_reader_that_stays_keeps_the_entry_out_whole(tmp_path):
    """COMMIT itself finds the lock: a sentence, and the entry goes in afterwards."""
    path = tmp_path / "a.book"
    with Book.create(path) as book:
        _, visit = begin(book)
    entry, before = reading_of(visit), raw(path)
    reader = sqlite3.connect(path, isolation_level=None)
    reader.execute("BEGIN")
    reader.execute("SELECT * FROM entry").fetchone()
    with Book(path, timeout=0.05) as book:
        with pytest.raises(BookError, match="another program holds the book"):
            book.add(entry)
        assert not book.db.in_transaction
        reader.rollback()
        assert raw(path) == before
        assert book.add(entry).step == 3
    reader.close()


@pytest.mark.parametrize("how", ["taken away", "replaced"])
def test_a_book_that_went_while_open_acknowledges_nothing(tmp_path, how):
    """An entry into a file that is no more under its name would be lost: refused."""
    path = tmp_path / "a.book"
    with Book.create(path) as book:
        _, visit = begin(book)
        path.rename(tmp_path / "moved.book")
        if how == "replaced":
            shutil.copy(tmp_path / "moved.book", path)

        with pytest.raises(BookError, match="the file was taken away or replaced"):
            book.add(reading_of(visit))
    for left in tmp_path.glob("*.book"):
        assert len(raw(left)[0]) == 2


def test_no_book_an_empty_file_and_a_folder_are_told_apart(tmp_path):
    """Each is refused with what would do, and none is made a book."""
    (tmp_path / "empty.book").touch()
    (tmp_path / "text.book").write_text(
        "no book, though long enough to look like one\n"
    )
    with sqlite3.connect(tmp_path / "other.book") as other:
        other.execute("CREATE TABLE anything (at TEXT)")
    other.close()

    for name, words in (
        ("none.book", "There is no book at .* Make|There is no book at"),
        ("empty.book", "is empty: it is no book, or was cut to nothing"),
        ("text.book", "damaged, or is no book"),
        ("other.book", "is no record book of splinewise"),
        (".", "is a folder"),
    ):
        with pytest.raises(BookError, match=words):
            Book(tmp_path / name)
    assert not (tmp_path / "none.book").exists()
    assert (tmp_path / "empty.book").stat().st_size == 0


def test_a_book_is_never_made_over_a_file(tmp_path):
    """Neither a book nor anything else is written over."""
    with filled(tmp_path / "a.book")[0] as book:
        before = contents(book)
    (tmp_path / "b.book").touch()

    for name in ("a.book", "b.book"):
        with pytest.raises(BookError, match="is there already"):
            Book.create(tmp_path / name)

    with Book(tmp_path / "a.book") as book:
        assert contents(book) == before
    assert len(list(tmp_path.iterdir())) == 2


def test_a_book_that_was_set_to_another_journal_is_set_back(tmp_path):
    """With WAL, a copy of the one file can be useless; ours never stays so."""
    path = tmp_path / "a.book"
    with filled(path)[0] as book:
        before = contents(book)
    other = sqlite3.connect(path)
    assert other.execute("PRAGMA journal_mode = WAL").fetchone() == ("wal",)
    other.execute("SELECT count(*) FROM entry").fetchall()
    with pytest.raises(BookError, match=r"holds the book|another journal"):
        Book(path, timeout=0.05)
    other.close()

    with Book(path) as book:
        assert book.db.execute("PRAGMA journal_mode").fetchone() == ("delete",)
        assert contents(book) == before
    assert [file.name for file in tmp_path.iterdir()] == ["a.book"]


def test_what_an_acknowledgement_means(tmp_path):
    """The settings that it rests on, read back from the open book."""
    with Book.create(tmp_path / "a.book") as book:
        for name, value in (
            ("journal_mode", "delete"),
            ("synchronous", 3),  # EXTRA
            ("foreign_keys", 1),
            ("application_id", 0x53706C42),
        ):
            assert book.db.execute(f"PRAGMA {name}").fetchone() == (value,)
        tables = book.db.execute(
            "SELECT name, strict FROM pragma_table_list"
            " WHERE type = 'table' AND name NOT LIKE 'sqlite%'"
        ).fetchall()

    assert len(tables) == 4
    assert all(strict for _, strict in tables)
