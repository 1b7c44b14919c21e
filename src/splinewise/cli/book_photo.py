"""`splinewise book photo`: a photo in the book, or written out of it again."""

from __future__ import annotations

from pathlib import Path

import click

from splinewise.book.kinds import KINDS
from splinewise.cli.book_options import (
    BOOK,
    BY,
    JSON,
    UID,
    VISIT,
    kept,
    opened,
    typed,
    visit_of,
)

__all__ = ["photo"]


@click.command("photo")
@click.argument("car")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--corner", metavar="CORNER", help=KINDS["photo"]["corner"].words)
@click.option("--words", metavar="TEXT", help=KINDS["photo"]["words"].words)
@click.option(
    "--taken",
    metavar="DATE",
    help="When; as the camera says if left out, where it does.",
)
@click.option(
    "--as-it-is", is_flag=True, help="Keep the file byte for byte, position and all."
)
@click.option(
    "--beside", is_flag=True, help="Keep it in the folder beside the book, not inside."
)
@VISIT
@BY
@UID
@BOOK
@JSON
def photo(
    car: str,
    file: Path,
    corner: str | None,
    words: str | None,
    taken: str | None,
    as_it_is: bool,
    beside: bool,
    visit_number: str | None,
    by: str,
    uid: str | None,
    place: Path | None,
    as_json: bool,
) -> int:
    """Keep a photo, without where it was taken.

    A camera writes its position and its number into the file. All that is not the
    picture is left out, the picture itself is kept dot for dot; your file stays as it
    is.
    """
    from splinewise.book.new import photo_entry
    from splinewise.book.photos import photo as bare
    from splinewise.book.queries import the_car

    try:
        content = file.read_bytes()
    except OSError as error:
        msg = f"{file} cannot be read: {error.strerror}."
        raise click.UsageError(msg) from None
    ready = bare(file.name, content, as_it_is=as_it_is)
    given = typed(corner=corner, words=words, taken=taken or ready.taken)
    with opened(place) as book:
        own = the_car(book, car).uid
        at = visit_of(book, own, visit_number, needed=False)
        entry = photo_entry(own, ready, given, visit=at, by=by, uid=uid)
        entry = book.add(entry, kept=[ready.content], beside=beside)
    remarks = (
        [f"Left out of it: {', '.join(ready.taken_out)}."] if ready.taken_out else []
    )
    if as_it_is:
        remarks = [
            "It is kept byte for byte; if it tells where it was taken, so does it."
        ]
    kept(entry, as_json=as_json, remarks=remarks)
    return 0
