"""From an empty file to a book, and from an older book to one of now.

Each step is one transaction that holds the record of its having been taken.  An older
book is copied aside before it is lifted; a newer one is refused.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path

from splinewise.book import schema
from splinewise.book.beside import free, place_new, synced
from splinewise.book.connection import connect, speaking, whole
from splinewise.book.entries import new_uid, now
from splinewise.errors import BookError

__all__ = ["create", "lift", "program_version", "version_of"]


def create(path: Path, *, timeout: float) -> None:
    """Make an empty book where nothing is yet.

    It is made under another name and takes its own only when it is whole.

    Parameters
    ----------
    path : Path
        The file to make.
    timeout : float
        How long to wait for another program. [s]

    Raises
    ------
    BookError
        If something stands there, or the place cannot be written.
    """
    with speaking(path, "Making the book"):
        free(path)
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh = path.with_name(f".{path.name}.{new_uid()[:8]}")
        try:
            fresh.touch(exist_ok=False)
            db = connect(fresh, timeout=timeout)
            try:
                for number in range(1, len(schema.LADDER) + 1):
                    _take(db, number)
            finally:
                db.close()
            place_new(fresh, path)
        finally:
            fresh.unlink(missing_ok=True)


def version_of(db: sqlite3.Connection, path: Path) -> int:
    """Return a book's version, or say why this program cannot use it.

    Parameters
    ----------
    db : Connection
        The book.
    path : Path
        The same.

    Returns
    -------
    int
        How many steps of the ladder were taken.
    """
    (version,) = db.execute("PRAGMA user_version").fetchone()
    newest = len(schema.LADDER)
    if version > newest:
        msg = (
            f"{path} was written by a newer splinewise (book version {version}; this "
            f"program knows up to {newest}). Install that one; nothing was changed."
        )
        raise BookError(msg)
    found = set(db.execute("SELECT name, sql FROM sqlite_schema WHERE sql IS NOT NULL"))
    # Nothing in the file is run before its tables are known to be ours.
    ours = version > 0 and found == schema.expected(version)
    if not ours or _taken(db) != list(range(1, version + 1)):
        msg = (
            f"{path} is damaged: its tables are not those of a book of version "
            f"{version}. Do not write into it. Copy it aside and take the last backup."
        )
        raise BookError(msg)
    return int(version)


def _taken(db: sqlite3.Connection) -> list[int]:
    return [n for (n,) in db.execute("SELECT number FROM migration ORDER BY number")]


def lift(db: sqlite3.Connection, path: Path, version: int) -> Path | None:
    """Bring an older book to the newest version, after copying it aside.

    Parameters
    ----------
    db : Connection
        The book.
    path : Path
        The same.
    version : int
        Its version.

    Returns
    -------
    Path or None
        Where the older book was copied to; None if nothing had to be done.
    """
    if version == len(schema.LADDER):
        return None
    aside = _aside(db, path, version)
    for number in range(version + 1, len(schema.LADDER) + 1):
        _take(db, number)
    return aside


def _aside(db: sqlite3.Connection, path: Path, version: int) -> Path:
    fresh = path.with_name(f".{path.name}.{new_uid()[:8]}")
    try:
        copy = sqlite3.connect(fresh, isolation_level=None)
        try:
            db.backup(copy)
            sound = [row[0] for row in copy.execute("PRAGMA integrity_check")]
        finally:
            copy.close()
        if sound != ["ok"]:
            msg = f"{path} is damaged ({sound[0]}), so it was not lifted."
            raise BookError(msg)
        synced(fresh)
        number = 1
        while True:
            mark = f"-{number}" if number > 1 else ""
            aside = path.with_name(f"{path.name}.version-{version}{mark}")
            if not aside.exists():
                break
            number += 1
        place_new(fresh, aside)
    finally:
        fresh.unlink(missing_ok=True)
    return aside


def _take(db: sqlite3.Connection, number: int) -> None:
    """Take one step, unless another program has just taken it."""
    rung = schema.LADDER[number - 1]
    with whole(db):
        (version,) = db.execute("PRAGMA user_version").fetchone()
        if version >= number:
            return
        for statement in rung.statements:
            db.execute(statement)
        db.execute(
            "INSERT INTO migration VALUES (?, ?, ?, ?)",
            (number, rung.words, program_version(), now()),
        )
        db.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
        db.execute(f"PRAGMA user_version = {number}")


def program_version() -> str:
    """Return the version of this program."""
    from importlib import metadata

    try:
        return metadata.version("splinewise")
    except metadata.PackageNotFoundError:  # run from a bare source tree
        return "not installed"
