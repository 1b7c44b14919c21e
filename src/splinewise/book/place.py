"""Where the book is: where you say, or where the system keeps such things."""

from __future__ import annotations

import os
import sys
from pathlib import Path

__all__ = ["VARIABLE", "book_place", "default_place", "photos_beside"]

VARIABLE = "SPLINEWISE_BOOK"
"""Names the book where no option does."""

_NAME = "splinewise.book"


def book_place(given: str | Path | None = None) -> Path:
    """Return the place of the book.

    Parameters
    ----------
    given : str or Path, optional
        As the person says; else the environment's SPLINEWISE_BOOK, else the default.

    Returns
    -------
    Path
        The file, which need not be there.
    """
    named = given or os.environ.get(VARIABLE)
    return Path(named).expanduser() if named else default_place()


def default_place() -> Path:
    """Return the place that the system's convention gives.

    Returns
    -------
    Path
        Under %LOCALAPPDATA% on Windows, ~/Library/Application Support on macOS, else
        under $XDG_DATA_HOME or ~/.local/share (XDG Base Directory Specification, from
        memory: a path that is not absolute is to be ignored).
    """
    home = Path.home()
    if sys.platform == "win32":
        named = os.environ.get("LOCALAPPDATA")
        base = Path(named) if named else home / "AppData" / "Local"
    elif sys.platform == "darwin":
        base = home / "Library" / "Application Support"
    else:
        named = os.environ.get("XDG_DATA_HOME")
        base = home / ".local" / "share"
        if named and Path(named).is_absolute():
            base = Path(named)
    return base / "splinewise" / _NAME


def photos_beside(book: Path) -> Path:
    """Return the folder of photos that are kept beside a book.

    Parameters
    ----------
    book : Path
        The book.

    Returns
    -------
    Path
        The folder, which need not be there.
    """
    return book.with_name(f"{book.name}.photos")
