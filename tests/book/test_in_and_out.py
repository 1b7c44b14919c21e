"""A history out of one book and into another: the same to the byte, never doubled."""

import csv
import hashlib
import io
import shutil
import subprocess
import tempfile
import threading
import zipfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bookkit import (
    CAR,
    JPEG,
    begin,
    contents,
    filled,
    note_content,
    reading_of,
    result_of,
)
from splinewise.book.care import backup, verify
from splinewise.book.entries import Entry
from splinewise.book.exporting import export
from splinewise.book.importing import import_history
from splinewise.book.new import amended, car_entry, photo_entry, struck
from splinewise.book.photos import PhotoKept
from splinewise.book.queries import cars, history
from splinewise.book.store import Book
from splinewise.errors import BookError


@pytest.fixture
def full(tmp_path):
    """Return an open book with an entry of every kind, its car, and a folder."""
    book, car = filled(tmp_path / "a.book")
    with book:
        yield book, car, tmp_path


def files(folder):
    """Return every file of a folder."""
    return {
        file.relative_to(folder).as_posix(): file.read_bytes()
        for file in folder.rglob("*")
        if file.is_file()
    }


@pytest.mark.parametrize("name", ["out", "out.zip"])
def test_out_and_in_gives_the_same_history_to_the_byte(full, name):
    book, car, folder = full
    count = export(book, car, folder / name)
    with Book.create(folder / "b.book") as other:
        done = import_history(other, folder / name)
        assert contents(other) == contents(book)
        export(other, car, folder / f"again-{name}")

    assert (count, len(done.new), done.known, done.cars) == (10, 10, 0, (car,))
    one, two = folder / name, folder / f"again-{name}"
    if name.endswith(".zip"):
        assert one.read_bytes() == two.read_bytes()
    else:
        assert files(one) == files(two)
    assert verify(folder / "b.book", timeout=1.0).faults == []


def test_the_folder_and_the_zip_hold_the_same(full):
    book, car, folder = full
    export(book, car, folder / "out")
    export(book, car, folder / "out.zip")
    with zipfile.ZipFile(folder / "out.zip") as whole:
        inside = {name: whole.read(name) for name in whole.namelist()}

    assert inside == files(folder / "out")


def test_importing_twice_changes_nothing(full):
    book, car, folder = full
    before = contents(book)
    export(book, car, folder / "out.zip")
    for _ in range(2):
        done = import_history(book, folder / "out.zip")
        assert (done.new, done.known) == ((), 10)

    assert contents(book) == before


def test_only_what_is_new_comes_in(full):
    """Entries made since on either side stand beside each other afterwards."""
    book, car, folder = full
    export(book, car, folder / "first.zip")
    with Book.create(folder / "b.book") as other:
        import_history(other, folder / "first.zip")
        there = other.add(Entry("note", car, note_content("there")))
        export(other, car, folder / "second.zip")
        here = book.add(Entry("note", car, note_content("here")))

        done = import_history(book, folder / "second.zip")
        assert (done.new, done.known) == ((there,), 10)
        export(book, car, folder / "third.zip")
        assert import_history(other, folder / "third.zip").new == (here,)
        assert history(other, car).entries == history(book, car).entries

    assert verify(folder / "a.book", timeout=1.0).faults == []
    assert verify(folder / "b.book", timeout=1.0).faults == []


def test_what_is_exported_needs_no_program(full):
    """Texts word for word, tables that open anywhere, sums that `sha256sum` checks."""
    book, car, folder = full
    export(book, car, folder / "out")
    found = files(folder / "out")
    rows = list(csv.DictReader(io.StringIO(found["readings.csv"].decode())))
    (visit,) = csv.DictReader(io.StringIO(found["visits.csv"].decode()))

    assert found["car.toml"] == f"{CAR}# bar measured\n".encode()
    assert sorted(found[n] for n in found if n.startswith("car/")) == [
        CAR.encode(),
        found["car.toml"],
    ]
    # The file that a result came from is there already, as a version of the car's.
    assert not [name for name in found if name.endswith("-car.toml")]
    assert [found[name] for name in found if name.startswith("photos/")] == [JPEG]
    assert [found[n] for n in found if n.endswith(".txt") and "results" in n] == [
        b"It will stand.\n"
    ]
    assert [(row["as typed"], row["value"], row["unit"]) for row in rows] == [
        ("15 9/16 in", "0.3952875", "m")
    ]
    assert visit["floor"] == "level within 2 mm\nnear the door"
    assert found["notes.csv"].decode().split("\n")[1].split(",")[1] == "struck"
    for line in found["manifest.sha256"].decode().splitlines():
        sum, name = line.split("  ", 1)
        assert hashlib.sha256(found.pop(name)).hexdigest() == sum
    assert list(found) == ["manifest.sha256"]


@pytest.mark.independent
@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="no coreutils here")
def test_another_program_finds_the_sums_right(full):
    """The manifest is in the form that GNU coreutils' `sha256sum -c` reads."""
    book, car, folder = full
    export(book, car, folder / "out")
    done = subprocess.run(
        ["sha256sum", "--strict", "-c", "manifest.sha256"],
        cwd=folder / "out",
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 0, done.stderr
    assert done.stdout.count(": OK") == len(files(folder / "out")) - 1


def test_a_zip_of_the_folder_made_by_hand_is_read_too(full):
    """Whoever zips the folder puts its name before every file, and presses them."""
    book, car, folder = full
    export(book, car, folder / "out")
    shutil.make_archive(str(folder / "hand"), "zip", folder, "out")
    with Book.create(folder / "b.book") as other:
        import_history(other, folder / "hand.zip")
        assert contents(other) == contents(book)


def test_files_beside_the_history_do_no_harm(full):
    book, car, folder = full
    export(book, car, folder / "out")
    (folder / "out" / ".folder-settings").write_bytes(b"\0")
    with Book.create(folder / "b.book") as other:
        import_history(other, folder / "out")
        assert contents(other) == contents(book)


def test_a_changed_or_missing_file_keeps_everything_out(full):
    """Each file in turn is changed, then taken away: a sentence, and nothing in."""
    book, car, folder = full
    export(book, car, folder / "out")
    with Book.create(folder / "b.book") as other:
        for name in files(folder / "out"):
            file = folder / "out" / name
            content = file.read_bytes()
            for how in ("changed", "cut", "taken away"):
                if how == "taken away":
                    file.unlink()
                elif how == "cut":
                    file.write_bytes(content[:-1])
                else:
                    file.write_bytes(content[:-2] + b"!" + content[-1:])
                with pytest.raises(BookError, match=r"imported|damaged|no history"):
                    import_history(other, folder / "out")
                file.write_bytes(content)
        assert cars(other) == []
        import_history(other, folder / "out")


def tampered(folder, change):
    """Change the lines of an exported history, and its manifest to fit."""
    file = folder / "history.jsonl"
    before = file.read_bytes()
    after = change(before)
    file.write_bytes(after)
    manifest = folder / "manifest.sha256"
    sums = (hashlib.sha256(x).hexdigest() for x in (before, after))
    manifest.write_text(manifest.read_text().replace(*sums))


def lines(change):
    """Return a change of the lines as a change of the bytes."""
    return lambda content: b"".join(change(content.splitlines(keepends=True)))


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (lines(lambda x: x[:3] + x[4:]), "are missing that came before"),
        (lines(lambda x: x[1:]), "no car .* to which this could belong"),
        (lines(lambda x: [x[1], x[0], *x[2:]]), "no car .* to which this could belong"),
        (lines(lambda x: [*x, x[-1].replace(b'"by":""', b'"by":"x"')]), "has another"),
        (lines(lambda x: [*x[:-1], x[-1][:-1]]), "its last line has no end"),
        (lines(lambda x: [*x, b"\n"]), r"history.jsonl:11: An entry is no JSON"),
        (
            lambda x: x.replace(b'"format":1', b'"format":2'),
            "newer splinewise may read",
        ),
        (lambda x: x.replace(b"front-left", b"front-\xff"), "it is not UTF-8 text"),
        (lambda _: b"", "has no entry in it"),
        (
            lambda x: x.replace(b'"name":"left.jpg"', b'"name":"a\\u0007"'),
            "does not show",
        ),
    ],
)
def test_a_history_that_cannot_be_is_kept_out_whole(full, change, why):
    """Though its checksums fit: nobody has to be clumsy for a file to be wrong."""
    book, car, folder = full
    export(book, car, folder / "out")
    tampered(folder / "out", change)
    with Book.create(folder / "b.book") as other:
        with pytest.raises(BookError, match=why):
            import_history(other, folder / "out")
        assert cars(other) == []


def test_what_is_no_history_is_told_apart(tmp_path):
    (tmp_path / "empty").mkdir()
    (tmp_path / "text.zip").write_text("no zip")
    with zipfile.ZipFile(tmp_path / "other.zip", "w") as whole:
        whole.writestr("a/b.txt", "c")
    with Book.create(tmp_path / "a.book") as book:
        for name, why in (
            ("none", "There is no folder or zip"),
            ("empty", "holds no history"),
            ("text.zip", "is no zip that can be read"),
            ("other.zip", "holds no history"),
        ):
            with pytest.raises(BookError, match=why):
                import_history(book, tmp_path / name)


def test_nothing_is_written_over(full):
    book, car, folder = full
    (folder / "out").mkdir()
    (folder / "out.zip").write_text("mine")
    before = files(folder)
    for name in ("out", "out.zip"):
        with pytest.raises(BookError, match="is there already"):
            export(book, car, folder / name)
        with pytest.raises(BookError, match="is there already"):
            backup(book, folder / name)

    assert files(folder) == before


def test_an_export_that_fails_leaves_nothing(full, monkeypatch):
    book, car, folder = full
    before = files(folder)

    def no_room(path):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("splinewise.book.exporting.synced", no_room)
    for name in ("out", "out.zip"):
        with pytest.raises(
            BookError, match="Exporting failed: No space left on device"
        ):
            export(book, car, folder / name)

    assert files(folder) == before


def test_a_backup_is_the_book(full):
    """While another writes, too: the copy is taken at one moment."""
    book, _, folder = full
    size = backup(book, folder / "copy.book")

    assert size == (folder / "copy.book").stat().st_size
    assert verify(folder / "copy.book", timeout=1.0).faults == []
    with Book(folder / "copy.book") as copy:
        assert contents(copy) == contents(book)


def test_a_backup_taken_while_another_writes_is_one_moment_of_the_book(full):
    """Each copy is sound, and holds the first so many entries and no others."""
    _, car, folder = full
    written, done = [], threading.Event()

    def write():
        with Book(folder / "a.book") as other:
            while not done.is_set():
                note = Entry("note", car, note_content(f"{len(written)}"))
                written.append(other.add(note))

    writer = threading.Thread(target=write)
    writer.start()
    try:
        with Book(folder / "a.book") as book:
            for n in range(8):
                backup(book, folder / f"{n}.book")
    finally:
        done.set()
        writer.join()
    with Book(folder / "a.book") as book:
        whole = book.entries(car)

    assert [e.uid for e in whole[10:]] == [e.uid for e in written]
    for n in range(8):
        assert verify(folder / f"{n}.book", timeout=1.0).faults == []
        with Book(folder / f"{n}.book") as copy:
            there = copy.entries(car)
        assert there == whole[: len(there)]


def test_a_name_that_is_taken_meanwhile_is_not_written_over(full, monkeypatch):
    """Between looking and writing, somebody else may have been there."""
    book, car, folder = full

    def meanwhile(path):
        (folder / "out.zip").write_text("theirs")

    monkeypatch.setattr("splinewise.book.exporting.synced", meanwhile)
    with pytest.raises(BookError, match="is there already"):
        export(book, car, folder / "out.zip")

    assert (folder / "out.zip").read_text() == "theirs"


def test_where_no_file_can_have_two_names_it_is_moved(full, monkeypatch):
    """Sticks are often formatted so; what is written is the same."""
    book, car, folder = full

    def no_links(*_):
        raise PermissionError(1, "Operation not permitted")

    export(book, car, folder / "one.zip")
    monkeypatch.setattr("splinewise.book.beside.os.link", no_links)
    export(book, car, folder / "two.zip")
    backup(book, folder / "two.book")
    Book.create(folder / "b.book").close()

    assert (folder / "one.zip").read_bytes() == (folder / "two.zip").read_bytes()
    assert verify(folder / "two.book", timeout=1.0).faults == []
    with pytest.raises(BookError, match="is there already"):
        export(book, car, folder / "one.zip")


def test_photos_beside_the_book_go_with_it(tmp_path):
    """Out, in and copied: a photo beside the book is the same photo."""
    with Book.create(tmp_path / "a.book") as book:
        _, visit = begin(book)
        kept = PhotoKept("left.jpg", "jpeg", JPEG)
        photo = photo_entry(visit.car, kept, {})
        photo = book.add(photo, kept=[JPEG], beside=True)
        (sum,) = photo.sums
        beside = tmp_path / "a.book.photos" / sum
        assert beside.read_bytes() == book.kept(sum) == JPEG
        assert book.db.execute(
            "SELECT count(*) FROM kept WHERE bytes IS NULL"
        ).fetchall() == [(1,)]

        export(book, visit.car, tmp_path / "out.zip")
        backup(book, tmp_path / "copy.book")
        with Book.create(tmp_path / "b.book") as other:
            import_history(other, tmp_path / "out.zip", beside=True)
            assert contents(other) == contents(book)
        with Book(tmp_path / "copy.book") as copy:
            assert contents(copy) == contents(book)

        beside.write_bytes(b"damaged")
        with pytest.raises(BookError, match="is not as it was"):
            book.kept(sum)
        again = photo_entry(visit.car, kept, {})
        with pytest.raises(BookError, match=r"is damaged. Take it away"):
            book.add(again, kept=[JPEG], beside=True)
        assert len(verify(tmp_path / "a.book", timeout=1.0).faults) == 1
        beside.unlink()
        with pytest.raises(BookError, match="belongs to the book: put it back"):
            book.kept(sum)


# --- any history

texts = st.text(st.characters(codec="utf-8", categories=["L", "N", "S"]), min_size=1)


@st.composite
def deeds(draw):
    """Draw what a person does next: which of two books, what, to which entry."""
    what = st.sampled_from(
        ["note", "reading", "amend", "strike", "photo", "revise", "result", "exchange"]
    )
    return draw(
        st.lists(
            st.tuples(st.integers(0, 1), what, st.integers(0, 10**6), texts),
            max_size=14,
        )
    )


def do(book, told, what, which, words):
    """Do one thing in a book."""
    entries = told.entries
    car = [e for e in entries if e.kind == "car"]
    visit = next(e for e in entries if e.kind == "visit")
    some = entries[which % len(entries)]
    words = words[:100]
    if what == "note":
        book.add(Entry("note", visit.car, note_content(words), by=words))
    elif what == "reading":
        book.add(reading_of(visit, [f"{which} mm", f"{which + 1} mm"], of=words))
    elif what == "amend" and some.kind in ("note", "reading"):
        field = "words"
        if some.content[field] != words:
            book.add(amended(some, {field: [words]}, why=words))
    elif what == "strike":
        thing = some.kind != "strike" and bool(which % 3)
        book.add(struck(some, why=words, thing=thing))
    elif what == "photo":
        content = words.encode()
        photo = photo_entry(visit.car, PhotoKept(words, "other", content), {})
        book.add(photo, kept=[content], beside=bool(which % 2))
    elif what == "revise":
        content = f"# {words}".encode()
        after = car[which % len(car)]
        book.add(car_entry(content, name=words, after=after, why=words), kept=[content])
    elif what == "result":
        content = words.encode()
        book.add(result_of(car[0], visit, content), kept=[content])


# Each is some forty files synced to the disk: a twelfth of what others search.
@settings(
    max_examples=max(1, settings.default.max_examples // 12),
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(deeds())
def test_any_history_of_two_books_comes_together(tmp_path, steps):
    """Whatever two people do, their books end alike, and so do their exports."""
    folder = Path(tempfile.mkdtemp(dir=tmp_path))
    with (
        Book.create(folder / "a.book") as one,
        Book.create(folder / "b.book") as two,
    ):
        _, visit = begin(one)
        car, both = visit.car, (one, two)
        export(one, car, folder / "0.zip")
        import_history(two, folder / "0.zip")
        for n, (whose, what, which, words) in enumerate(steps, 1):
            if what == "exchange":
                export(both[whose], car, folder / f"{n}.zip")
                import_history(both[1 - whose], folder / f"{n}.zip")
            else:
                do(both[whose], history(both[whose], car), what, which, words)
        export(one, car, folder / "x.zip")
        import_history(two, folder / "x.zip")
        export(two, car, folder / "y.zip")
        import_history(one, folder / "y.zip")
        export(one, car, folder / "z.zip")

        assert contents(one) == contents(two)
        assert (folder / "y.zip").read_bytes() == (folder / "z.zip").read_bytes()
        with Book.create(folder / "c.book") as third:
            import_history(third, folder / "z.zip")
            assert contents(third) == contents(one)
        for name in "abc":
            assert verify(folder / f"{name}.book", timeout=1.0).faults == []
    shutil.rmtree(folder)
