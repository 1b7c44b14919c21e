"""The book itself: out, in, copied, looked over, computed again."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from splinewise.book.place import book_place
from splinewise.cli.book_options import BOOK, JSON, in_words, many, opened, tell

if TYPE_CHECKING:
    from splinewise.book.care import Soundness
    from splinewise.book.recheck import Difference, Rechecked
    from splinewise.book.store import Book

__all__ = ["backup_book", "export_car", "import_car", "recheck_car", "verify_book"]

_PATH = click.argument("path", type=click.Path(path_type=Path))


@click.command("export")
@click.argument("car")
@_PATH
@BOOK
@JSON
def export_car(car: str, path: Path, place: Path | None, as_json: bool) -> int:
    """Write a car's whole history as plain files that need no program.

    PATH is the folder to make, or a zip where it ends in .zip. Give it to the next
    owner with the car.
    """
    from splinewise.book.exporting import export
    from splinewise.book.queries import the_car

    with opened(place) as book:
        found = the_car(book, car)
        count = export(book, found.uid, path)
    if as_json:
        data = {"car": found.uid, "path": str(path), "entries": count}
        tell({"schema": "splinewise/book-export/1", **data})
    else:
        click.echo(f"Wrote {path}: {many(count, 'entry', 'entries')} of {found.name}.")
    return 0


@click.command("import")
@_PATH
@click.option(
    "--beside", is_flag=True, help="Photos go into the folder beside the book."
)
@BOOK
@JSON
def import_car(path: Path, beside: bool, place: Path | None, as_json: bool) -> int:
    """Bring a history in that was exported from this or another book.

    What the book has already is not doubled. If anything in it is missing or changed,
    nothing is imported.
    """
    from splinewise.book.importing import import_history
    from splinewise.book.queries import history

    with opened(place) as book:
        done = import_history(book, path, beside=beside)
        told = [history(book, uid) for uid in done.cars]
    disputed = [m for one in told for m in one.matters if m.verdict == "disputed"]
    if as_json:
        data = {
            "cars": done.cars,
            "new": [entry.uid for entry in done.new],
            "known": done.known,
            "disputed": [m.first.uid for m in disputed],
        }
        tell({"schema": "splinewise/book-import/1", **data})
        return 0
    from splinewise.cli.report import Report

    names = ", ".join(one.car.name for one in told)
    report = Report()
    report.answer(
        f"{names}: {many(len(done.new), 'new entry', 'new entries')}, {done.known} known."
    )
    report.points(
        "Watch",
        (f"{m.first.short} is disputed now: {in_words(m.first)}." for m in disputed),
    )
    report.next("splinewise book show CAR tells what holds now.")
    report.print()
    return 0


@click.command("backup")
@_PATH
@BOOK
@JSON
def backup_book(path: Path, place: Path | None, as_json: bool) -> int:
    """Copy the whole book while it is in use.

    PATH is the copy, which must not be there yet. A copy made by other means while
    something is being written may be half of it.
    """
    from splinewise.book.care import backup

    with opened(place) as book:
        size = backup(book, path)
    if as_json:
        data = {"path": str(path), "bytes": size}
        tell({"schema": "splinewise/book-backup/1", **data})
    else:
        click.echo(f"Copied the book to {path}: {size} bytes, looked over and sound.")
    return 0


@click.command("verify")
@click.option(
    "--without-results", is_flag=True, help="Do not compute the kept results again."
)
@BOOK
@JSON
def verify_book(without_results: bool, place: Path | None, as_json: bool) -> int:
    """Is the book sound, to the last byte?

    The file's own structure, every checksum, every reference, and every kept result
    computed again from the car file that it came from.

    Exit code 1: something is damaged.
    """
    from splinewise.book.care import verify
    from splinewise.book.store import TIMEOUT

    where = book_place(place)
    found = verify(where, timeout=TIMEOUT)
    results: list[Rechecked] = []
    if not without_results and not found.faults:
        with opened(place) as book:
            results = _recheck_all(book, None)
    others = [r for r in results if r.verdict in ("disagrees", "cannot tell")]
    if as_json:
        data = {
            "sound": not found.faults,
            "entries": found.entries,
            "cars": found.cars,
            "kept": found.kept,
            "faults": found.faults,
            "remarks": found.remarks,
            "results": [_data(r) for r in results],
        }
        tell({"schema": "splinewise/book-verify/1", **data})
    else:
        _print_verify(where, found, results, others)
    return 1 if found.faults else 0


def _print_verify(
    where: Path, found: Soundness, results: list[Rechecked], others: list[Rechecked]
) -> None:
    from splinewise.cli.report import Report

    report = Report()
    looked = (
        f"{many(found.entries, 'entry', 'entries')} of {many(found.cars, 'car')}, "
        f"{many(found.kept, 'text or photo', 'texts or photos')}"
    )
    report.answer(
        f"{where} is DAMAGED: {many(len(found.faults), 'fault')} in {looked}."
        if found.faults
        else f"{where} is sound: {looked}, each as it was written."
    )
    if results:
        report.answer(
            f"{len(results) - len(others)} of {len(results)} kept results come out the "
            "same with this version."
        )
    report.points("Faults", found.faults)
    report.points("Worth knowing", found.remarks)
    if found.faults:
        report.next("copy the file aside, then put the last backup in its place.")
    elif others:
        report.next("splinewise book recheck tells which differ, and by how much.")
    report.print()


@click.command("recheck")
@click.argument("car", required=False)
@BOOK
@JSON
def recheck_car(car: str | None, place: Path | None, as_json: bool) -> int:
    """Do kept results come out the same with this version, and if not, by how much?

    CAR is one car's name; all cars if left out. What is kept does not change.

    Exit code 1: a number or a verdict differs, or it cannot be told.
    """
    with opened(place) as book:
        results = _recheck_all(book, car)
    differ = [r for r in results if r.verdict in ("disagrees", "cannot tell")]
    if as_json:
        data = [_data(r) for r in results]
        tell({"schema": "splinewise/book-recheck/1", "results": data})
    else:
        _print_recheck(results)
    return 1 if differ else 0


def _recheck_all(book: Book, car: str | None) -> list[Rechecked]:
    from splinewise.book.queries import cars, the_car
    from splinewise.book.recheck import recheck

    rows = cars(book) if car is None else [the_car(book, car)]
    return [one for row in rows for one in recheck(book, row.uid)]


def _print_recheck(results: list[Rechecked]) -> None:
    from splinewise.cli.report import Report

    report = Report()
    same = sum(r.verdict in ("agrees", "other words") for r in results)
    report.answer(
        f"{same} of {len(results)} kept results come out the same with this version."
        if results
        else "No result is kept yet: add --keep to a task."
    )
    report.table(
        [(r.entry.short, in_words(r.entry), r.verdict) for r in results],
        head=("number", "result", "verdict"),
    )
    for r in results:
        if r.verdict == "cannot tell":
            report.points(f"{r.entry.short}, {in_words(r.entry)}", [r.why])
        elif r.differences:
            report.points(
                f"{r.entry.short}, {in_words(r.entry)}",
                [_words(d) for d in _largest_first(r)[:10]],
            )
    report.print()


def _largest_first(result: Rechecked) -> list[Difference]:
    """Return the differences, numbers first and among them the largest share."""

    def key(d: Difference) -> tuple[bool, float]:
        return (math.isnan(d.share), 0.0 if math.isnan(d.share) else -d.share)

    return sorted(result.differences, key=key)


def _words(d: Difference) -> str:
    if math.isnan(d.change):
        return f"{d.where}: was {d.before!r}, is {d.after!r}"
    unit = f" {d.unit}" if d.unit and d.unit != "1" else ""
    share = f" ({100.0 * d.share:.2g} %)" if math.isfinite(d.share) else ""
    return (
        f"{d.where}: was {d.before:.9g}{unit}, is {d.after:.9g}{unit}, "
        f"{d.change:+.3g}{unit}{share}"
    )


def _data(result: Rechecked) -> dict[str, Any]:
    return {
        "entry": result.entry.uid,
        "task": result.entry.content["task"],
        "corner": result.entry.content["corner"],
        "program": result.entry.content["program"],
        "verdict": result.verdict,
        "why": result.why,
        "differences": [
            {
                "where": d.where,
                "before": d.before,
                "after": d.after,
                "unit": d.unit,
                "change": None if math.isnan(d.change) else d.change,
            }
            for d in result.differences
        ],
    }
