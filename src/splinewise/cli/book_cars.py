"""The cars of a book: made, listed, put in, revised, written out again."""

from __future__ import annotations

from pathlib import Path

import click

from splinewise.book.place import book_place
from splinewise.cli.book_options import BOOK, BY, JSON, UID, kept, many, opened, tell

__all__ = ["add_car", "cars", "create", "revise", "text"]

_FILE = click.argument("file", type=click.Path(path_type=Path))


@click.command("create")
@BOOK
@JSON
def create(place: Path | None, as_json: bool) -> int:
    """Make an empty book.

    It is one file. Copy it to a stick, keep it where you keep your papers, and make
    backups of it by `splinewise book backup`.
    """
    from splinewise.book.store import Book

    where = book_place(place)
    Book.create(where).close()
    if as_json:
        tell({"schema": "splinewise/book/1", "book": str(where)})
    else:
        click.echo(f"Made an empty book: {where}")
        click.echo("Next: put a car in by splinewise book add-car FILE")
    return 0


@click.command("cars")
@BOOK
@JSON
def cars(place: Path | None, as_json: bool) -> int:
    """Which cars are in the book?"""
    from dataclasses import asdict

    from splinewise.book.queries import cars as of_book
    from splinewise.cli.report import Report

    with opened(place) as book:
        rows = of_book(book)
    if as_json:
        data = [asdict(row) for row in rows]
        tell({"schema": "splinewise/book-cars/1", "cars": data})
        return 0
    report = Report()
    report.answer(f"{many(len(rows), 'car')} in {book.path}.")
    report.table(
        [
            (
                row.uid[:8],
                str(row.entries),
                str(row.versions),
                row.name + (" [two versions: disputed]" if row.disputed else ""),
            )
            for row in rows
        ],
        head=("number", "entries", "versions", "car"),
        right=(1, 2),
    )
    report.next(
        "splinewise book show CAR tells what holds of one."
        if rows
        else "put a car in: splinewise book add-car FILE"
    )
    report.print()
    return 0


@click.command("add-car")
@_FILE
@click.option(
    "--name", metavar="TEXT", help="What the car is called, if not as it says."
)
@BY
@UID
@BOOK
@JSON
def add_car(
    file: Path,
    name: str | None,
    by: str,
    uid: str | None,
    place: Path | None,
    as_json: bool,
) -> int:
    """Put a car's file into the book, word for word.

    A file that is not finished is kept too; what is wrong with it is said.
    """
    from splinewise.book.new import car_entry
    from splinewise.book.queries import cars as of_book
    from splinewise.errors import BookError

    content = _read(file)
    entry = car_entry(content, name=name, by=by, uid=uid)
    with opened(place) as book:
        called = str(entry.content["name"])
        there = [r for r in of_book(book) if r.name.casefold() == called.casefold()]
        if there and uid is None:
            msg = (
                f"The book has a car {called!r} already ({there[0].uid[:8]}). Keep a new "
                "version by `splinewise book revise`, or give this one another --name."
            )
            raise BookError(msg)
        entry = book.add(entry, kept=[content])
    kept(entry, as_json=as_json, remarks=_faults(content, str(file)))
    return 0


@click.command("revise")
@click.argument("car")
@_FILE
@click.option("--why", required=True, metavar="TEXT", help="What changed, and why.")
@click.option(
    "--after", metavar="NUMBER", help="The version it follows; the latest if left out."
)
@BY
@UID
@BOOK
@JSON
def revise(
    car: str,
    file: Path,
    why: str,
    after: str | None,
    by: str,
    uid: str | None,
    place: Path | None,
    as_json: bool,
) -> int:
    """Keep a new version of a car's file; the older ones stay."""
    from splinewise.book.new import car_entry, name_in
    from splinewise.book.queries import entry_named, history, the_car
    from splinewise.book.writing import entry_of
    from splinewise.errors import BookError

    content = _read(file)
    with opened(place) as book:
        told = history(book, the_car(book, car).uid)
        held = told.of_kind("car")[0].holds if told.of_kind("car") else told.entries[:1]
        before = held[-1] if after is None else entry_named(book, after)
        again = entry_of(book.db, uid) if uid else None
        if again is not None and again.amends is not None:
            before = entry_named(book, again.amends)
        if before.kind != "car":
            msg = f"{before.short} is a {before.kind}, and no version of a file."
            raise click.UsageError(msg)
        name = name_in(content) or str(before.content["name"])
        entry = car_entry(content, name=name, after=before, why=why, by=by, uid=uid)
        if entry.content["text"] == before.content["text"]:
            msg = f"The file is word for word that of {before.short}: nothing to keep."
            raise BookError(msg)
        entry = book.add(entry, kept=[content])
    kept(entry, as_json=as_json, remarks=_faults(content, str(file)))
    return 0


@click.command("text")
@click.argument("car")
@click.option("--version", "number", metavar="NUMBER", help="An older version.")
@click.option(
    "--with-readings",
    is_flag=True,
    help="With the readings of the latest visit written into it.",
)
@BOOK
@JSON
def text(
    car: str,
    number: str | None,
    with_readings: bool,
    place: Path | None,
    as_json: bool,
) -> int:
    """Write a car's file out again, word for word.

    With --with-readings, what the tasks see for book:CAR.
    """
    from splinewise.book.car_text import car_text, latest_version
    from splinewise.book.queries import entry_named, history, the_car

    if number is not None and with_readings:
        msg = "--version and --with-readings do not go together."
        raise click.UsageError(msg)
    with opened(place) as book:
        uid = the_car(book, car).uid
        left_out: tuple[str, ...] = ()
        if with_readings:
            told = car_text(book, uid)
            version, left_out = told.version, told.left_out
            content = told.text.encode()
        else:
            version = (
                latest_version(history(book, uid))
                if number is None
                else entry_named(book, number)
            )
            if version.kind != "car":
                msg = f"{version.short} is a {version.kind}, and no version of a file."
                raise click.UsageError(msg)
            content = book.kept(str(version.content["text"]))
    if as_json:
        words = content.decode("utf-8-sig")
        data = {"version": version.uid, "text": words, "left_out": left_out}
        tell({"schema": "splinewise/book-text/1", **data})
        return 0
    click.echo(content, nl=False)
    for sentence in left_out:
        click.echo(sentence, err=True)
    return 0


def _read(file: Path) -> bytes:
    try:
        content = file.read_bytes()
    except OSError as error:
        msg = f"{file} cannot be read: {error.strerror}."
        raise click.UsageError(msg) from None
    if not content.strip():
        msg = f"{file} is empty."
        raise click.UsageError(msg)
    return content


def _faults(content: bytes, name: str) -> list[str]:
    """Return what is wrong with a car file that was kept all the same."""
    from splinewise.car.file import read_car
    from splinewise.errors import CarFileError

    try:
        read_car(content.decode("utf-8-sig"), file=name)
    except CarFileError as error:
        many = len(error.faults)
        things = "1 thing is" if many == 1 else f"{many} things are"
        first = error.faults[0]
        where = f"line {first.line}: " if first.line else ""
        return [f"It is kept, though {things} wrong with it yet; {where}{first.why}"]
    return []
