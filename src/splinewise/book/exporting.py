"""A car's whole history as plain files, in a folder or a zip.

The same history always gives the same bytes: nothing in it tells when, where or by
which program it was exported.
"""

from __future__ import annotations

import re
import shutil
import zipfile
from collections.abc import Iterator
from pathlib import Path, PurePosixPath
from typing import Final

from splinewise.book.beside import free, place_new, synced
from splinewise.book.connection import speaking, sync_folder
from splinewise.book.entries import Entry, new_uid, record, sha256
from splinewise.book.queries import History, history
from splinewise.book.store import Book
from splinewise.book.tables import tables

__all__ = ["HISTORY", "MANIFEST", "export"]

HISTORY: Final = "history.jsonl"
MANIFEST: Final = "manifest.sha256"

_MOMENT: Final = (1980, 1, 1, 0, 0, 0)
"""The time that every file in a zip bears: the earliest that a zip can say."""

_READ_ME: Final = """\
The history of one car, exported from a Splinewise record book.

history.jsonl     every entry ever made, a line of JSON each, in order; it is what
                  `splinewise book import` reads
manifest.sha256   SHA-256 of every file here; `sha256sum -c manifest.sha256` checks them
car.toml          the car's file as it is now, if it is not disputed
car/              every version of it, word for word
results/          results as they were shown, and the car files that they came from
photos/           the photos
*.csv             visits, readings, moves, results, photos and notes as they hold now,
                  for a spreadsheet; values are SI, and as they were typed

Nothing here needs Splinewise to be read.
"""


def export(book: Book, uid: str, path: Path) -> int:
    """Write a car's whole history to a folder, or to a zip where the name says so.

    Parameters
    ----------
    book : Book
        The book.
    uid : str
        The car's identifier.
    path : Path
        The folder or the zip; it must not be there yet.

    Returns
    -------
    int
        How many entries were written.

    Raises
    ------
    BookError
        If it cannot be written whole; then nothing of it stays.
    """
    told = history(book, uid)
    with speaking(path, "Exporting"):
        free(path)
        fresh = path.with_name(f".{path.name}.{new_uid()[:8]}")
        try:
            if path.suffix.lower() == ".zip":
                _to_zip(_files(book, told), fresh)
                synced(fresh)
                place_new(fresh, path)
            else:
                _to_folder(_files(book, told), fresh)
                free(path)
                fresh.rename(path)
                sync_folder(path.parent)
        finally:
            if fresh.is_dir():
                shutil.rmtree(fresh)
            fresh.unlink(missing_ok=True)
    return len(told.entries)


def _to_zip(files: Iterator[tuple[str, bytes]], path: Path) -> None:
    # Stored, not pressed: what presses differs from one Python to the next.
    with zipfile.ZipFile(path, "x", zipfile.ZIP_STORED) as whole:
        for name, content in files:
            about = zipfile.ZipInfo(name, _MOMENT)
            about.create_system = 3
            about.external_attr = 0o644 << 16
            whole.writestr(about, content)


def _to_folder(files: Iterator[tuple[str, bytes]], path: Path) -> None:
    path.mkdir()
    for name, content in files:
        file = path.joinpath(*PurePosixPath(name).parts)
        file.parent.mkdir(exist_ok=True)
        file.write_bytes(content)
        synced(file)


def _files(book: Book, told: History) -> Iterator[tuple[str, bytes]]:
    """Give the files in turn, the manifest at the end."""
    lines = []
    for name, content in _contents(book, told):
        lines.append(f"{sha256(content)}  {name}\n")
        yield name, content
    yield MANIFEST, "".join(lines).encode()


def _contents(book: Book, told: History) -> Iterator[tuple[str, bytes]]:
    yield "README.txt", _READ_ME.encode()
    yield HISTORY, "".join(f"{record(entry)}\n" for entry in told.entries).encode()
    for name, text in sorted(tables(told).items()):
        yield name, text.encode()
    (whole,) = [m for m in told.matters if m.first.kind == "car"]
    if whole.verdict == "holds":
        yield "car.toml", book.kept(whole.now.content["text"])
    written: set[str] = set()
    for entry in told.entries:
        if entry.kind == "result":
            start = f"results/{entry.uid}-{_safe(str(entry.content['task']))}"
            yield f"{start}.json", str(entry.content["result"]).encode()
            if entry.content["shown"]:
                yield f"{start}.txt", str(entry.content["shown"]).encode()
        for name, sum in _kept_names(entry):
            if sum not in written:
                written.add(sum)
                yield name, book.kept(sum)


def _kept_names(entry: Entry) -> Iterator[tuple[str, str]]:
    content = entry.content
    if entry.kind == "car":
        yield f"car/{entry.step:06d}-{entry.uid}.toml", content["text"]
    elif entry.kind == "result":
        yield f"results/{entry.uid}-car.toml", content["text"]
        if content["file"]:
            yield f"results/{entry.uid}-sheet", content["file"]
    elif entry.kind == "photo":
        yield f"photos/{entry.uid}-{_safe(content['name'])}", content["file"]


def _safe(name: str) -> str:
    """Return a name that every system can bear."""
    return re.sub(r"[^A-Za-z0-9._-]+", "-", name)[-60:].strip("-.") or "file"
