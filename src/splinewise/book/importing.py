"""A car's history from a folder or a zip into the book, without doubling.

Every file is checked against the manifest before anything is written, and all that is
new is written together or not at all.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Final

from splinewise.book.connection import speaking
from splinewise.book.entries import Entry, read_record, sha256
from splinewise.book.exporting import HISTORY, MANIFEST
from splinewise.book.store import Book
from splinewise.errors import BookError

__all__ = ["Imported", "import_history"]

_LARGEST: Final = 1_000_000_000
"""No file of a history is larger. [byte]"""


@dataclass(frozen=True, slots=True)
class Imported:
    """What came in.

    Attributes
    ----------
    cars : tuple of str
        Identifiers of the cars.
    new : tuple of Entry
        Entries that the book did not have.
    known : int
        How many it had already.
    """

    cars: tuple[str, ...]
    new: tuple[Entry, ...]
    known: int


class _Contents(Mapping[str, bytes]):
    """Files by their SHA-256, read when they are asked for."""

    def __init__(self, names: Mapping[str, str], read: Callable[[str], bytes]) -> None:
        self._names, self._read = names, read

    def __getitem__(self, sum: str) -> bytes:
        content = self._read(self._names[sum])
        if sha256(content) != sum:
            msg = f"{self._names[sum]} changed while it was read. Try again."
            raise BookError(msg)
        return content

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)


def import_history(book: Book, path: Path, *, beside: bool = False) -> Imported:
    """Bring a history that was exported into the book.

    Parameters
    ----------
    book : Book
        The book.
    path : Path
        The folder or the zip.
    beside : bool
        Whether photos go into the folder beside the book.

    Returns
    -------
    Imported
        What was new, and how much was known.

    Raises
    ------
    BookError
        If a file is missing or changed, or an entry cannot stand; nothing is written.
    """
    with speaking(path, "Importing"), _opened(path) as (names, read):
        sums = _manifest(names, read)
        entries = _entries(read(HISTORY))
        needed = {sum for entry in entries for sum in entry.sums}
        lost = needed - set(sums)
        if lost:
            msg = f"{path} lacks {len(lost)} of the texts and photos that it names."
            raise BookError(msg)
        contents = _Contents({sum: sums[sum] for sum in needed}, read)
        done = book.add_all(entries, kept=contents, beside=beside)
    new = tuple(entry for entry, is_new in done if is_new)
    cars = tuple(dict.fromkeys(entry.car for entry in entries))
    return Imported(cars, new, len(done) - len(new))


def _manifest(names: frozenset[str], read: Callable[[str], bytes]) -> Mapping[str, str]:
    """Return the name of a file by its SHA-256, after seeing that all are right."""
    sums: dict[str, str] = {}
    faults = []
    listed = set()
    for line in _lines(read(MANIFEST), MANIFEST):
        found = re.fullmatch(r"([0-9a-f]{64})  (\S.*)", line)
        if found is None:
            msg = f"{MANIFEST} is damaged: {line[:80]!r} is no line of it."
            raise BookError(msg)
        sum, name = found.groups()
        listed.add(name)
        if name not in names:
            faults.append(f"{name} is missing")
        elif sha256(read(name)) != sum:
            faults.append(f"{name} is not as it was exported")
        sums[sum] = name
    if HISTORY not in listed:
        faults.append(f"{MANIFEST} does not name {HISTORY}")
    if faults:
        more = f" and {len(faults) - 5} more" if len(faults) > 5 else ""
        msg = f"Nothing was imported: {'; '.join(faults[:5])}{more}."
        raise BookError(msg)
    return sums


def _entries(content: bytes) -> list[Entry]:
    found = []
    for number, line in enumerate(_lines(content, HISTORY), 1):
        try:
            found.append(read_record(line))
        except BookError as error:
            msg = f"{HISTORY}:{number}: {error}"
            raise BookError(msg) from error
    if not found:
        msg = f"{HISTORY} has no entry in it."
        raise BookError(msg)
    return found


def _lines(content: bytes, name: str) -> list[str]:
    try:
        # Not splitlines: a line of an entry may hold other characters that end lines.
        *lines, rest = content.decode().split("\n")
    except UnicodeDecodeError:
        msg = f"{name} is damaged: it is not UTF-8 text."
        raise BookError(msg) from None
    if rest:
        msg = f"{name} is cut short or damaged: its last line has no end."
        raise BookError(msg)
    return lines


Opened = tuple[frozenset[str], Callable[[str], bytes]]


@contextmanager
def _opened(path: Path) -> Iterator[Opened]:
    """Give the names of a history's files, and what reads one."""
    if path.is_dir():
        yield _folder(path)
    elif path.is_file():
        try:
            with zipfile.ZipFile(path) as whole:
                yield _zip(whole, path)
        except (zipfile.BadZipFile, NotImplementedError, EOFError) as error:
            msg = f"{path} is no zip that can be read ({error}). Copy it once more."
            raise BookError(msg) from error
    else:
        msg = f"There is no folder or zip {path}. Look at its name."
        raise BookError(msg)


def _folder(path: Path) -> Opened:
    if not (path / MANIFEST).is_file():
        raise _no_history(path)
    found = {
        file.relative_to(path).as_posix(): file
        for file in path.rglob("*")
        if file.is_file()
    }

    def read(name: str) -> bytes:
        if name not in found:
            raise _no_history(path)
        if found[name].stat().st_size > _LARGEST:
            raise _too_large(name)
        return found[name].read_bytes()

    return frozenset(found), read


def _zip(whole: zipfile.ZipFile, path: Path) -> Opened:
    # Whoever zips the folder again puts it into the zip with its own name.
    marks = [PurePosixPath(n) for n in whole.namelist()]
    tops = sorted((m for m in marks if m.name == MANIFEST), key=lambda m: len(m.parts))
    if not tops:
        raise _no_history(path)
    top = tops[0].parent
    found = {
        PurePosixPath(info.filename).relative_to(top).as_posix(): info
        for info in whole.infolist()
        if not info.is_dir() and PurePosixPath(info.filename).is_relative_to(top)
    }

    def read(name: str) -> bytes:
        if name not in found:
            raise _no_history(path)
        if found[name].file_size > _LARGEST:
            raise _too_large(name)
        try:
            return whole.read(found[name])
        except RuntimeError as error:  # a password, which zipfile has no name for
            msg = f"{name} in {path} cannot be read ({error})."
            raise BookError(msg) from error

    return frozenset(found), read


def _no_history(path: Path) -> BookError:
    return BookError(
        f"{path} holds no history: there is no {MANIFEST} and {HISTORY} in it."
    )


def _too_large(name: str) -> BookError:
    return BookError(f"{name} is larger than any file of a history.")
