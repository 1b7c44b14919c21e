"""What stands in the book: of a car now, of a car ever, one entry, anywhere."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from splinewise.cli.book_options import (
    BOOK,
    JSON,
    as_data,
    in_words,
    many,
    opened,
    tell,
)

if TYPE_CHECKING:
    from splinewise.book.entries import Entry
    from splinewise.book.queries import History
    from splinewise.book.standing import Matter
    from splinewise.book.store import Book

__all__ = ["entry", "find_words", "history_of", "show"]


@click.command("show")
@click.argument("car")
@BOOK
@JSON
def show(car: str, place: Path | None, as_json: bool) -> int:
    """What holds of this car now?

    Every visit with what belongs to it, corrections followed and struck entries left
    out. CAR is its name, or the beginning of its number.

    Exit code 1: something is disputed.
    """
    from splinewise.book.queries import history, the_car

    with opened(place) as book:
        told = history(book, the_car(book, car).uid)
    disputed = [m for m in told.matters if m.verdict == "disputed"]
    if as_json:
        holding = [_matter(m) for m in told.matters if m.verdict != "struck"]
        tell({"schema": "splinewise/book-show/1", **_car(told), "entries": holding})
    else:
        _print_show(told, disputed)
    return 1 if disputed else 0


def _print_show(told: History, disputed: Sequence[Matter]) -> None:
    from splinewise.cli.report import Report

    report = Report()
    report.title(f"{told.car.name}: what holds now?")
    visits = told.of_kind("visit")
    report.answer(
        f"{many(len(visits), 'visit')}, {many(told.car.versions, 'version')} of the "
        f"file, {many(told.car.entries, 'entry', 'entries')} in all; the car's number is "
        f"{told.car.uid[:8]}."
    )
    loose = [
        m
        for m in told.matters
        if m.first.visit is None and m.first.kind not in ("visit", "strike")
    ]
    report.table(_rows(loose), title="Of the car as a whole")
    for visit in visits:
        own = [m for m in told.matters if m.first.visit == visit.first.uid]
        title = f"{visit.first.short}  {in_words(visit.now)}"
        rows = _rows(own) or [("", "nothing yet")]
        report.table(rows, title=title)
    report.points(
        "Disputed",
        (
            f"{m.first.short}: "
            + " or ".join(f"{e.short}, {in_words(e)}" for e in m.holds)
            for m in disputed
        ),
    )
    report.next(
        "strike the one that is wrong: splinewise book amend NUMBER --strike --why TEXT"
        if disputed
        else f'splinewise check "book:{told.car.name}" lays the readings side by side.'
    )
    report.print()


def _rows(matters: Iterable[Matter]) -> list[tuple[str, str]]:
    return [
        (m.first.short, f"{m.first.kind}: {in_words(m.now, m)}")
        for m in matters
        if m.verdict != "struck"
    ]


@click.command("history")
@click.argument("car")
@BOOK
@JSON
def history_of(car: str, place: Path | None, as_json: bool) -> int:
    """All that was ever entered of a car, in order.

    The order is that in which the book, or the books it was brought together from,
    came to know it; a clock that was set back does not change it.
    """
    from splinewise.book.queries import history, the_car
    from splinewise.cli.report import Report

    with opened(place) as book:
        told = history(book, the_car(book, car).uid)
    becomes = {e.uid: _becomes(e, m) for m in told.matters for e in m.said}
    if as_json:
        entries = [as_data(e) | {"becomes": becomes[e.uid]} for e in told.entries]
        tell({"schema": "splinewise/book-history/1", **_car(told), "entries": entries})
        return 0
    report = Report()
    report.title(f"{told.car.name}: all that was entered")
    report.table(
        [
            (
                e.short,
                e.made[:16].replace("T", " "),
                e.by,
                f"{e.kind}: {in_words(e)}"
                + (f" [{becomes[e.uid]}]" if becomes[e.uid] != "holds" else ""),
            )
            for e in told.entries
        ],
        head=("number", "entered", "by", "what"),
    )
    report.points(
        "Clocks",
        (
            f"{e.short} bears a time before that of the entry before it."
            for before, e in pairwise(told.entries)
            if e.moment < before.moment
        ),
    )
    report.next("splinewise book entry NUMBER tells one of them in full.")
    report.print()
    return 0


def _becomes(entry: Entry, matter: Matter) -> str:
    if entry in matter.holds:
        return "disputed" if matter.verdict == "disputed" else "holds"
    answers = [e for e in matter.said if e.amends == entry.uid]
    if any(answer.kind == "strike" for answer in answers):
        return "struck"
    return "corrected"


@click.command("entry")
@click.argument("number")
@BOOK
@JSON
def entry(number: str, place: Path | None, as_json: bool) -> int:
    """One entry in full: a result as it was shown, a file with what changed in it.

    NUMBER is the entry's, or the beginning of it.
    """
    from splinewise.book.queries import entry_named

    with opened(place) as book:
        found = entry_named(book, number)
        if as_json:
            tell(as_data(found))
            return 0
        if found.kind == "result" and found.content["shown"]:
            click.echo(found.content["shown"], nl=False)
            return 0
        _print_entry(book, found)
    return 0


def _print_entry(book: Book, found: Entry) -> None:
    from splinewise.book.kinds import KINDS, as_typed
    from splinewise.cli.report import Report

    report = Report()
    report.title(f"{found.kind} {found.uid}")
    report.answer(f"{in_words(found)}.")
    told = as_typed(found.kind, found.content)
    rows = [
        ("entered", found.made, ""),
        ("by", found.by, ""),
        ("visit", found.visit or "", ""),
        ("corrects", found.amends or "", found.why),
    ]
    rows += [(n, " | ".join(t), KINDS[found.kind][n].words) for n, t in told.items()]
    report.table([(name, said) for name, said, _ in rows if said], title="Fields")
    report.print()
    if found.kind == "car":
        click.echo("\n" + _changes(book, found), nl=False)
    elif found.kind == "result":
        click.echo("\n" + str(found.content["result"]))


def _changes(book: Book, found: Entry) -> str:
    """Return what changed in a file since the version before, as a diff."""
    import difflib

    from splinewise.book.car_text import version_text
    from splinewise.book.queries import entry_named

    new = version_text(book, found)
    if found.amends is None:
        return new if new.endswith("\n") else new + "\n"
    before = entry_named(book, found.amends)
    lines = difflib.unified_diff(
        version_text(book, before).splitlines(),
        new.splitlines(),
        f"{before.short}, {before.made}",
        f"{found.short}, {found.made}",
        lineterm="",
    )
    return "".join(f"{line}\n" for line in lines)


@click.command("find")
@click.argument("words")
@click.option(
    "--most",
    type=click.IntRange(1, 1000),
    default=20,
    help="Show at most so many each.",
)
@BOOK
@JSON
def find_words(words: str, most: int, place: Path | None, as_json: bool) -> int:
    """Where in the book was that?

    Looks for WORDS in the names of cars, in notes, and in what was read ("camber").

    Exit code 1: it was found nowhere.
    """
    from dataclasses import asdict

    from splinewise.book.queries import cars
    from splinewise.book.search import find
    from splinewise.cli.report import Report

    with opened(place) as book:
        found = find(book, words, most=most)
        names = {row.uid: row.name for row in cars(book)}
    if as_json:
        data: dict[str, Any] = {"schema": "splinewise/book-find/1"}
        data["cars"] = [asdict(row) for row in found.cars]
        data["notes"] = [as_data(e) for e in found.notes]
        data["readings"] = [as_data(e) for e in found.readings]
        data["counts"] = dict(
            zip(("cars", "notes", "readings"), found.counts, strict=True)
        )
        tell(data)
        return 0 if any(found.counts) else 1
    report = Report()
    of_cars, of_notes, of_readings = found.counts
    report.answer(
        f"{many(of_cars, 'car')}, {many(of_notes, 'note')}, "
        f"{many(of_readings, 'reading')}."
    )
    report.table([(row.uid[:8], row.name) for row in found.cars], title="Cars")
    for title, entries in (("Notes", found.notes), ("Readings", found.readings)):
        rows = [(e.short, names[e.car], in_words(e)) for e in entries]
        report.table(rows, title=f"{title}, newest first")
    report.print()
    return 0 if any(found.counts) else 1


def _car(told: History) -> dict[str, Any]:
    from dataclasses import asdict

    return {"car": asdict(told.car)}


def _matter(matter: Matter) -> dict[str, Any]:
    return {
        "first": matter.first.uid,
        "verdict": matter.verdict,
        "holds": [as_data(entry) for entry in matter.holds],
        "said": [entry.uid for entry in matter.said],
    }
