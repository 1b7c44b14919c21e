"""`splinewise book amend`: a correction beside what it corrects."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from splinewise.cli.book_options import BOOK, BY, JSON, UID, kept, opened

if TYPE_CHECKING:
    from splinewise.book.entries import Entry
    from splinewise.book.store import Book

__all__ = ["amend"]


@click.command("amend")
@click.argument("number")
@click.option("--why", required=True, metavar="TEXT", help="Why it is corrected.")
@click.option(
    "--set",
    "changes",
    multiple=True,
    metavar="FIELD=VALUE",
    help="What a field should say; give it again for more repeats or places.",
)
@click.option("--strike", is_flag=True, help="It should never have been entered.")
@BY
@UID
@BOOK
@JSON
def amend(
    number: str,
    why: str,
    changes: tuple[str, ...],
    strike: bool,
    by: str,
    uid: str | None,
    place: Path | None,
    as_json: bool,
) -> int:
    r"""Correct an entry, or strike it; the old one stays to be seen.

    NUMBER is the entry's, or the beginning of it. Fields are those that `splinewise
    book entry NUMBER` shows:

    \b
      splinewise book amend 3f2a9c01 --why "read the wrong edge of the tape"
          --set values="15 9/16 in"

    A number that was corrected before stands for what holds of it now. To strike one
    correction of several, give its own number; what it corrected then holds again, as
    does what a strike struck once that is struck itself.
    """
    from splinewise.book.new import amended, struck
    from splinewise.book.queries import entry_named

    if strike == bool(changes):
        msg = "Say either what it should be, by --set FIELD=VALUE, or --strike."
        raise click.UsageError(msg)
    given: dict[str, list[str]] = {}
    for change in changes:
        field, equals, value = change.partition("=")
        if not equals:
            msg = f"{change!r} has no = in it. Write --set FIELD=VALUE."
            raise click.UsageError(msg)
        given.setdefault(field.strip().replace("-", "_"), []).append(value)
    with opened(place) as book:
        old, first = _answers(book, entry_named(book, number), uid)
        entry = (
            struck(old, why=why, thing=first, by=by, uid=uid)
            if strike
            else amended(old, given, why=why, by=by, uid=uid)
        )
        entry = book.add(entry)
    kept(entry, as_json=as_json)
    return 0


def _answers(book: Book, named: Entry, uid: str | None) -> tuple[Entry, bool]:
    """Return the entry to answer, and whether the whole thing is meant."""
    from splinewise.book.queries import history, last_word
    from splinewise.book.writing import entry_of

    again = entry_of(book.db, uid) if uid else None
    if again is not None and again.amends is not None:
        # Entered a second time: answer what it answered, as it did.
        old = entry_of(book.db, again.amends)
        if old is not None:
            return old, again.content.get("scope") == "thing"
    if named.amends is not None:
        return named, False
    return last_word(history(book, named.car), named), True
