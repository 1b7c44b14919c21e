"""Files under names of their own: photos beside the book, copies and exports.

A file takes its name only when all of it is on the disk.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from splinewise.book.connection import sync_folder
from splinewise.book.entries import new_uid, sha256
from splinewise.book.place import photos_beside
from splinewise.errors import BookError

__all__ = ["free", "get_beside", "place_new", "put_beside", "synced", "write_whole"]


def free(path: Path) -> None:
    """Refuse a name that is taken.

    Parameters
    ----------
    path : Path
        The name.
    """
    if path.exists() or path.is_symlink():
        msg = f"{path} is there already; nothing was changed. Name another file."
        raise BookError(msg)


def place_new(fresh: Path, path: Path) -> None:
    """Give a finished file its name, unless something has that name.

    Parameters
    ----------
    fresh : Path
        The file, in the same folder.
    path : Path
        Its name to be.
    """
    try:
        os.link(fresh, path)
    except FileExistsError:
        free(path)
        raise  # it was there, and is gone again: whoever that was is still at it
    except OSError:
        # No second names on this file system (a stick); look once more, then move.
        free(path)
        fresh.replace(path)
    fresh.unlink(missing_ok=True)
    sync_folder(path.parent)


def synced(path: Path) -> None:
    """Wait until a file is on the disk.

    Parameters
    ----------
    path : Path
        The file.
    """
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def write_whole(path: Path, content: bytes) -> None:
    """Write a file that is not there yet, whole or not at all.

    Parameters
    ----------
    path : Path
        The file.
    content : bytes
        What shall stand in it.
    """
    free(path)
    fresh = path.with_name(f".{new_uid()}")
    try:
        with fresh.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        place_new(fresh, path)
    finally:
        fresh.unlink(missing_ok=True)


def put_beside(book: Path, contents: Mapping[str, bytes]) -> None:
    """Put files into the folder beside a book.

    Parameters
    ----------
    book : Path
        The book.
    contents : mapping of str to bytes
        The files by their SHA-256, which is their name.
    """
    folder = photos_beside(book)
    folder.mkdir(exist_ok=True)
    for sum in contents:
        file = folder / sum
        if not file.exists():
            write_whole(file, contents[sum])
        elif sha256(file.read_bytes()) != sum:
            msg = f"{file} is damaged. Take it away, then try again."
            raise BookError(msg)
    sync_folder(book.parent)


def get_beside(book: Path, sum: str) -> bytes:
    """Return a file from the folder beside a book.

    Parameters
    ----------
    book : Path
        The book.
    sum : str
        The file's SHA-256.

    Returns
    -------
    bytes
        What stands in it, unchecked.
    """
    file = photos_beside(book) / sum
    try:
        return file.read_bytes()
    except FileNotFoundError:
        msg = (
            f"{file} is gone. The folder {file.parent.name} belongs to the book: "
            "put it back beside it."
        )
        raise BookError(msg) from None
    except OSError as error:
        msg = f"{file} cannot be read ({error.strerror}). Look at the disk."
        raise BookError(msg) from error
