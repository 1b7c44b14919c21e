"""On which line of a TOML text a key stands.

The text has been read by `tomllib` before, so it is known to be good TOML, and only
as much of the grammar is followed as tells where keys, rows and items begin.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Mapping

__all__ = ["Path", "find_lines", "line_of"]

Path = tuple[str | int, ...]
"""Keys and, for rows and items, counts from 0."""

_SPACE = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_KEY = re.compile(r"""[ \t]*("(?:[^"\\\n]|\\.)*"|'[^'\n]*'|[A-Za-z0-9_-]+)[ \t]*""")
_STRING = re.compile(
    r'''"""(?:[^"\\]|\\.|"{1,2}(?!"))*"{3,5}'''
    r"""|'''(?:[^']|'{1,2}(?!'))*'{3,5}"""
    r"""|"(?:[^"\\\n]|\\.)*"|'[^'\n]*\'""",
    re.DOTALL,
)
_BARE = re.compile(r"[^,\]}\n#]*")


def find_lines(text: str) -> dict[Path, int]:
    """Return the line, from 1, of every key, row and item of a TOML text."""
    return _Scan(text).lines


def line_of(lines: Mapping[Path, int], path: Path) -> int:
    """Return the line of a path or of the nearest thing that holds it; 0 if none."""
    for n in range(len(path), 0, -1):
        if path[:n] in lines:
            return lines[path[:n]]
    return 0


class _Scan:
    """One walk through a text from top to bottom."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.breaks = [m.start() for m in re.finditer("\n", text)]
        self.lines: dict[Path, int] = {}
        self.rows: dict[Path, int] = {}  # how many rows each array of tables has
        table: Path = ()
        while self._skip() < len(text):
            if text[self.at] == "[":
                table = self._header()
            else:
                self._entry(table)

    def _skip(self) -> int:
        match = _SPACE.match(self.text, self.at)
        self.at = match.end() if match else self.at
        return self.at

    def _here(self) -> int:
        return bisect_right(self.breaks, self.at - 1) + 1

    def _keys(self) -> list[str]:
        """Take a key, dotted or not, its parts bare or quoted."""
        parts: list[str] = []
        while match := _KEY.match(self.text, self.at):
            self.at = match.end()
            parts.append(_unquoted(match[1]))
            if self.text[self.at : self.at + 1] != ".":
                break
            self.at += 1
        return parts

    def _header(self) -> Path:
        line = self._here()
        row = self.text.startswith("[[", self.at)
        self.at += 2 if row else 1
        parts = self._keys()
        self.at += 2 if row else 1
        path: Path = ()
        for n, part in enumerate(parts, 1):
            path = (*path, part)
            if n == len(parts) and row:
                self.lines.setdefault(path, line)
                self.rows[path] = self.rows.get(path, 0) + 1
            elif n < len(parts):
                self.lines.setdefault(path, line)
            if path in self.rows:
                path = (*path, self.rows[path] - 1)
        # A header says where its table is better than a key that only implied it.
        self.lines[path] = line
        return path

    def _entry(self, table: Path) -> None:
        line = self._here()
        path = table
        for part in self._keys():
            path = (*path, part)
            self.lines.setdefault(path, line)
        self.at += 1  # the equals sign
        self._skip()
        self._value(path)

    def _value(self, path: Path) -> None:
        opening = self.text[self.at : self.at + 1]
        if opening == "[":
            self.at += 1
            self._items(path)
        elif opening == "{":
            self.at += 1
            while self._skip() < len(self.text) and self.text[self.at] != "}":
                self._entry(path)
                self._comma()
            self.at += 1
        else:
            kind = _STRING if opening in ('"', "'") else _BARE
            match = kind.match(self.text, self.at)
            # Never stand still: a text that is no TOML must not hang the walk.
            self.at = max(match.end() if match else 0, self.at + 1)

    def _items(self, path: Path) -> None:
        n = 0
        while self._skip() < len(self.text) and self.text[self.at] != "]":
            self.lines[(*path, n)] = self._here()
            self._value((*path, n))
            self._comma()
            n += 1
        self.at += 1

    def _comma(self) -> None:
        if self._skip() < len(self.text) and self.text[self.at] == ",":
            self.at += 1


def _unquoted(key: str) -> str:
    if key[0] not in "\"'":
        return key
    try:
        return str(tomllib.loads(f"k = {key}")["k"])
    except tomllib.TOMLDecodeError:  # no TOML, which is told elsewhere
        return key
