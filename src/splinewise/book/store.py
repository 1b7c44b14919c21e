"""The book: one SQLite file that only ever grows, by whole entries."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Final, Self

from splinewise.book import migrations
from splinewise.book.beside import get_beside, put_beside
from splinewise.book.connection import connect, settle, speaking, sync_folder, whole
from splinewise.book.entries import Entry, checked, sha256
from splinewise.book.schema import NO_LINK, WHOLE_BOOK
from splinewise.book.writing import damaged, linked, read_line, write
from splinewise.errors import BookError

__all__ = ["EXAMINED", "TIMEOUT", "Book"]

TIMEOUT: Final = 10.0
"""How long another program may hold the book before we give up. [s]"""

EXAMINED: Final = 5_000
"""A book of up to so many entries is examined whole each time it is opened. [1]"""


class Book:
    """A record book, open.

    Parameters
    ----------
    path : str or Path
        The file; it must be there.
    timeout : float
        How long to wait for another program that holds it. [s]
    examine : bool
        Whether to look for damage before anything else is done.

    Attributes
    ----------
    path : Path
        The file.
    db : Connection
        The same, for those who read it.
    older : Path or None
        Where a book of an older version was copied to before it was lifted.
    """

    def __init__(
        self, path: str | Path, *, timeout: float = TIMEOUT, examine: bool = True
    ) -> None:
        self.path = Path(path)
        with speaking(self.path, "Opening the book"):
            _there(self.path)
            self.db = connect(self.path, timeout=timeout)
            try:
                settle(self.db, self.path)
                version = migrations.version_of(self.db, self.path)
                self.older = migrations.lift(self.db, self.path, version)
                if examine:
                    self._examine()
            except BaseException:
                self.db.close()
                raise

    @classmethod
    def create(cls, path: str | Path, *, timeout: float = TIMEOUT) -> Self:
        """Make an empty book where nothing is yet, and open it."""
        migrations.create(Path(path), timeout=timeout)
        return cls(path, timeout=timeout)

    def close(self) -> None:
        """Close the file."""
        self.db.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def add(
        self, entry: Entry, *, kept: Sequence[bytes] = (), beside: bool = False
    ) -> Entry:
        """Write an entry; when this returns, it is on the disk.

        Entering the same one twice is harmless.

        Parameters
        ----------
        entry : Entry
            The entry, with its identifier; the book gives it its step.
        kept : sequence of bytes
            The texts, photos and sheets that it names by their SHA-256.
        beside : bool
            Whether those are kept in the folder beside the book.

        Returns
        -------
        Entry
            As it stands in the book.

        Raises
        ------
        BookError
            If it cannot be written.  It may be there nevertheless if the disk failed
            at the very end: enter it again under the same identifier.
        """
        return self.add_all([entry], kept=kept, beside=beside)[0][0]

    def add_all(
        self,
        entries: Iterable[Entry],
        *,
        kept: Iterable[bytes] | Mapping[str, bytes] = (),
        beside: bool = False,
    ) -> list[tuple[Entry, bool]]:
        """Write entries together, all of them or none.

        Parameters
        ----------
        entries : iterable of Entry
            The entries, none before one that it names.
        kept : iterable of bytes, or mapping of str to bytes
            What they name by its SHA-256.
        beside : bool
            Whether that is kept in the folder beside the book.

        Returns
        -------
        list of tuple
            Each as it stands in the book, and whether it is new there.
        """
        found = [checked(entry) for entry in entries]
        what = f"{found[0].kind} {found[0].uid}" if len(found) == 1 else "entries"
        try:
            with speaking(self.path, f"Writing the {what}"):
                contents = kept if isinstance(kept, Mapping) else _by_sum(kept)
                if beside:
                    put_beside(self.path, contents)
                with whole(self.db):
                    done = [
                        write(self.db, entry, contents, beside=beside)
                        for entry in found
                    ]
                if not all(new for _, new in done):
                    # Who wrote it first may have died before the disk had it all.
                    sync_folder(self.path.parent)
        except BookError as error:
            if not isinstance(error.__cause__, sqlite3.Error):
                raise
            msg = f"{error} Enter it again under the same identifier: if it is there "
            msg += "already, it is not doubled."
            raise BookError(msg) from error.__cause__
        return done

    def entries(self, car: str) -> list[Entry]:
        """Return all entries of a car, each and all together against their checksums.

        Parameters
        ----------
        car : str
            The car's identifier.

        Returns
        -------
        list of Entry
            In order: by step, and by identifier where two devices made the same step.
        """
        with speaking(self.path, "Reading the history"):
            rows = self.db.execute(
                "SELECT record, sum, tally.entries, tally.link FROM tally"
                " LEFT JOIN entry USING (car) WHERE tally.car = ? ORDER BY entry.id",
                (car,),
            ).fetchall()
        link, count = NO_LINK, 0
        found: list[Entry] = []
        for line, sum, _, _ in rows:
            if line is not None:
                found.append(read_line(line, sum))
                link, count = linked(link, sum), count + 1
        if rows and (count, link) != rows[0][2:]:
            damaged(f"of {rows[0][2]} entries of this car, {count} are as made")
        return sorted(found, key=lambda entry: (entry.step, entry.uid))

    def kept(self, sum: str) -> bytes:
        """Return a text, photo or sheet by its SHA-256.

        Parameters
        ----------
        sum : str
            The SHA-256.

        Returns
        -------
        bytes
            Word for word.

        Raises
        ------
        BookError
            If it is gone or is not as it was.
        """
        with speaking(self.path, "Reading what is kept"):
            rows = self.db.execute(
                "SELECT size, bytes FROM kept WHERE sum = ?", (sum,)
            ).fetchall()
        if not rows:
            damaged(f"what was kept as {sum[:8]} is gone")
        ((size, content),) = rows
        if content is None:
            content = get_beside(self.path, sum)
        if len(content) != size or sha256(content) != sum:
            damaged(f"what was kept as {sum[:8]} is not as it was")
        return bytes(content)

    @contextmanager
    def still(self) -> Iterator[None]:
        """Hold the book still, so that all that is read inside fits together."""
        with speaking(self.path, "Reading the book"):
            try:
                self.db.execute("BEGIN")
                yield
            finally:
                self.db.rollback()

    def _examine(self) -> None:
        rows = self.db.execute("SELECT car, entries FROM tally").fetchall()
        tally = dict(rows)
        total = tally.pop(WHOLE_BOOK, None)
        if total is None or sum(tally.values()) != total:
            damaged("the count of its entries does not come out")
        if total <= EXAMINED:
            found = self.db.execute("PRAGMA integrity_check(1)").fetchall()
            if found != [("ok",)]:
                damaged(str(found[0][0]))


def _by_sum(kept: Iterable[bytes]) -> Mapping[str, bytes]:
    return {sha256(content): content for content in kept}


def _there(path: Path) -> None:
    if not path.exists():
        msg = (
            f"There is no book at {path}. Say where it is by --book, or make one by "
            "`splinewise book create`."
        )
        raise BookError(msg)
    if path.is_dir():
        msg = f"{path} is a folder. Name the book in it."
        raise BookError(msg)
    if path.stat().st_size == 0:
        msg = f"{path} is empty: it is no book, or was cut to nothing. Take the backup."
        raise BookError(msg)
