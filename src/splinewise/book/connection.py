"""The way to the file: opened with care, written whole or not at all.

Whatever SQLite or the system says on the way becomes a sentence.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from splinewise.book.schema import APPLICATION_ID
from splinewise.errors import BookError

__all__ = ["LEAST_SQLITE", "connect", "settle", "speaking", "sync_folder", "whole"]

LEAST_SQLITE = (3, 38, 0)
"""STRICT tables came with 3.37; JSON is always there from 3.38. [1]"""

_SETTINGS = (
    "foreign_keys = ON",
    # EXTRA also waits for the folder once the journal is gone: what is acknowledged
    # stays when the supply fails.
    "synchronous = EXTRA",
    "cell_size_check = ON",
    # The columns made from an entry's line use JSON, which some builds would refuse;
    # the schema is compared with ours, word for word, before anything in it is run.
    "trusted_schema = ON",
    "mmap_size = 0",
)


def connect(path: Path, *, timeout: float) -> sqlite3.Connection:
    """Open a file that is there; nothing is made or changed.

    Parameters
    ----------
    path : Path
        The file.
    timeout : float
        How long to wait for another program that holds it. [s]

    Returns
    -------
    Connection
        In autocommit: no transaction opens or commits behind anybody's back.
    """
    if sqlite3.sqlite_version_info < LEAST_SQLITE:
        msg = (
            f"This Python has SQLite {sqlite3.sqlite_version}; a book needs "
            f"{'.'.join(map(str, LEAST_SQLITE))} or newer. Install a newer Python."
        )
        raise BookError(msg)
    db = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode=rw",
        uri=True,
        isolation_level=None,
        timeout=timeout,
        check_same_thread=False,
    )
    try:
        for setting in _SETTINGS:
            db.execute(f"PRAGMA {setting}")
    except BaseException:
        db.close()
        raise
    return db


def settle(db: sqlite3.Connection, path: Path) -> None:
    """See that the file is a book, and that its journal is the one that we rely on.

    Parameters
    ----------
    db : Connection
        The file, open.
    path : Path
        The same.

    Raises
    ------
    BookError
        If it is none, or another program holds it in another mode.
    """
    (mark,) = db.execute("PRAGMA application_id").fetchone()
    if mark != APPLICATION_ID:
        msg = f"{path} is no record book of splinewise. Look at its name."
        raise BookError(msg)
    # With WAL, a copy of the one file taken while a program ran can be useless.
    (mode,) = db.execute("PRAGMA journal_mode").fetchone()
    if mode != "delete":
        (mode,) = db.execute("PRAGMA journal_mode = DELETE").fetchone()
    if mode != "delete":
        msg = (
            f"{path} was set to another journal ({mode}) by another program, and "
            "cannot be set back. Close that program, then try again."
        )
        raise BookError(msg)


@contextmanager
def whole(db: sqlite3.Connection) -> Iterator[None]:
    """Commit all that happens inside, or nothing.  Does not nest.

    Parameters
    ----------
    db : Connection
        The book.
    """
    if db.in_transaction:
        msg = "The book is already in the middle of writing."
        raise BookError(msg)
    try:
        db.execute("BEGIN IMMEDIATE")
        yield
        db.execute("COMMIT")
    except BaseException:
        # BEGIN and COMMIT can raise and leave the transaction open; an error in
        # between may have ended it already, and then this does nothing.
        db.rollback()
        raise


@contextmanager
def speaking(path: Path, doing: str) -> Iterator[None]:
    """Turn whatever goes wrong with the file into a sentence.

    Parameters
    ----------
    path : Path
        The book.
    doing : str
        What was being done, as "Reading the history".
    """
    try:
        yield
    except sqlite3.Error as error:
        why, instead = _words(error)
        msg = f"{doing} failed: {why} ({path}). {instead}"
        raise BookError(msg) from error
    except UnicodeError as error:
        # What SQLite says of a damaged schema may itself be no text any more.
        msg = f"{doing} failed: the file is damaged ({path}). {_DAMAGED}."
        raise BookError(msg) from error
    except (OSError, MemoryError, OverflowError) as error:
        why = getattr(error, "strerror", None) or type(error).__name__
        msg = f"{doing} failed: {why} ({path}). Look at the disk, then try again."
        raise BookError(msg) from error


_DAMAGED = (
    "Do not write into it. Copy it aside, look with `splinewise book verify`, and take "
    "the last backup"
)

# What SQLite calls it -> why, and what would do.
_KNOWN = (
    ("SQLITE_FULL", "the disk is full", "Make room, then try again."),
    (
        "SQLITE_BUSY",
        "another program holds the book",
        "Wait until it has finished, or close it; then try again.",
    ),
    (
        "SQLITE_LOCKED",
        "another program holds the book",
        "Wait until it has finished, or close it; then try again.",
    ),
    (
        "SQLITE_READONLY_DBMOVED",
        "the file was taken away or replaced while it was open",
        "Put it back, then try again.",
    ),
    (
        "SQLITE_READONLY",
        "the book may not be written here",
        "Look whether the file, its folder or the disk is write-protected.",
    ),
    ("SQLITE_CANTOPEN", "the file cannot be opened", "Look at it and at its folder."),
    ("SQLITE_CORRUPT", "the file is damaged", f"{_DAMAGED}."),
    ("SQLITE_NOTADB", "the file is damaged, or is no book", f"{_DAMAGED}."),
    ("SQLITE_IOERR", "the disk failed", "Look at the disk, then try again."),
    ("SQLITE_INTERRUPT", "it was stopped", "Try again."),
    ("SQLITE_NOMEM", "there is not enough memory", "Close something; try again."),
    ("SQLITE_TOOBIG", "it is too large for a book", "Make it smaller."),
)


def _words(error: sqlite3.Error) -> tuple[str, str]:
    name = getattr(error, "sqlite_errorname", "") or ""
    for start, why, instead in _KNOWN:
        if name.startswith(start):
            return why, instead
    # What is left (no such column, malformed schema, text that is not UTF-8) comes
    # of a file that is not as we left it.
    return f"SQLite says: {error}", f"{_DAMAGED}."


def sync_folder(folder: Path) -> None:
    """Wait until a folder's list of files is on the disk, where the system can.

    Parameters
    ----------
    folder : Path
        The folder.
    """
    if os.name == "nt":
        return  # a folder cannot be opened there, nor need it be
    number = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)
