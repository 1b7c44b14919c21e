"""What a terminal can show: other signs where its encoding lacks ours, and errors."""

from __future__ import annotations

import codecs
import io
import re
import sys
import unicodedata
from collections.abc import Iterator

import click

__all__ = [
    "WIDTH",
    "clean",
    "complain",
    "cut",
    "glued",
    "make_ready",
    "speaks",
    "wide",
    "wrapped",
]

WIDTH = 80
"""Columns that a result keeps to. [1]"""

_HOLD = "\N{NO-BREAK SPACE}"

# A number stays on one line with its unit, and with its ±.
_GLUE = re.compile(
    r"(?<=\d) (?=\d+/\d|(?:in|mm|°|psi|MPa|N|N/mm|N·m|lbf|lb|ft|kg|J|Hz|%|teeth|tooth|"
    r"turns?|holes?|index)(?![a-z]))| (?=± \d)|(?<=±) (?=\d)"
)

# As wide as the sign itself where pictures and tables are drawn with it.
_INSTEAD = {
    "─": "-",
    "│": "|",
    "┌": "+",
    "┐": "+",
    "└": "+",
    "┘": "+",
    "├": "|",
    "┤": "|",
    "┼": "+",
    "●": "o",
    "⊕": "o",
    "▲": "^",
    "△": "A",
    "→": ">",
    "←": "<",
    "°": "*",
    "·": ".",
    "−": "-",
    "–": "-",
    "…": "~",
    "±": "+/-",
    "“": '"',
    "”": '"',
    "’": "'",
    "²": "2",
    "³": "3",
    "µ": "u",
}


def make_ready() -> None:
    """Let the streams write what they cannot encode by the nearest sign they can."""
    codecs.register_error("splinewise", _nearest)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="splinewise")


def _nearest(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    text = error.object[error.start : error.end]
    return "".join(_INSTEAD.get(sign, "?") for sign in text), error.end


def speaks(text: str) -> bool:
    """Whether standard output can write a text as it is.

    Parameters
    ----------
    text : str
        The text.

    Returns
    -------
    bool
        False where signs would be replaced.
    """
    try:
        text.encode(getattr(sys.stdout, "encoding", None) or "utf-8")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def clean(text: str) -> str:
    """Return a text without control characters, which a car's name may hold.

    Parameters
    ----------
    text : str
        One line of text.

    Returns
    -------
    str
        The line, with a question mark in place of each.
    """
    if text.isprintable():
        return text
    return "".join("?" if unicodedata.category(c) == "Cc" else c for c in text)


def glued(text: str) -> str:
    """Return a text in which numbers hold to their units, and to their ±.

    Parameters
    ----------
    text : str
        One line of text.

    Returns
    -------
    str
        The line, with no-break spaces.
    """
    return _GLUE.sub(_HOLD, text)


def wide(text: str) -> int:
    """Return how many columns a text takes on a terminal.

    Parameters
    ----------
    text : str
        One line of text.

    Returns
    -------
    int
        Columns.
    """
    if text.isascii():
        return len(text)
    return sum(
        0
        if unicodedata.combining(c)
        else 2
        if unicodedata.east_asian_width(c) in "WF"
        else 1
        for c in text
    )


def cut(text: str, width: int) -> str:
    """Return a text shortened to a width, with … in place of what is gone.

    Parameters
    ----------
    text : str
        One line of text.
    width : int
        Columns at most. [1]

    Returns
    -------
    str
        The text, whole where it fits.
    """
    if wide(text) <= width:
        return text
    end = len(text)
    while end and wide(text[:end]) > width - 1:
        end -= 1
    return text[:end] + "…"


def wrapped(
    text: str, width: int, *, first: str = "", rest: str = "", whole: bool = False
) -> list[str]:
    """Break a text between words, and inside one only where it is too long for a line.

    Parameters
    ----------
    text : str
        Words; a no-break space holds two together where they fit on one line.
    width : int
        Columns of a line. [1]
    first, rest : str
        What the first and the other lines begin with.
    whole : bool
        Whether a word too long for a line runs over instead of being broken.

    Returns
    -------
    list of str
        At least one line.
    """
    lines, line, empty = [], first, True
    room = width - max(wide(first), wide(rest))
    for word in _words(text, room, whole=whole):
        space = "" if empty else " "
        if not empty and wide(line) + 1 + wide(word) > width:
            lines.append(line)
            line, space = rest, ""
        line, empty = f"{line}{space}{word}", False
    return [*lines, line.rstrip()]


def _words(text: str, room: int, *, whole: bool) -> Iterator[str]:
    """Yield words no wider than `room`."""
    for glued in text.split(" "):
        # What is held together comes apart where it would not fit anyway.
        word = glued.replace(_HOLD, " ")
        for part in [word] if wide(word) <= room else word.split():
            if whole or wide(part) <= room:
                yield part
                continue
            start = 0
            for end in range(1, len(part) + 1):
                if end == len(part) or wide(part[start : end + 1]) > room:
                    yield part[start:end]
                    start = end


def complain(message: str) -> None:
    """Write an error, wrapped to the width.

    Parameters
    ----------
    message : str
        Sentences; each of its lines begins a new one.
    """
    lines = [
        row
        for line in message.split("\n")
        for row in wrapped(glued(clean(line)), WIDTH, rest="  ", whole=True)
    ]
    click.echo("\n".join(lines), err=True)
