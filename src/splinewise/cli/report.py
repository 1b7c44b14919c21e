"""One result on a terminal: answer first, picture, figures, caution, what next."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterable, Sequence

import click

__all__ = ["WIDTH", "Report", "wide"]

WIDTH = 80
"""Columns that a result keeps to. [1]"""


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
    return sum(
        0
        if unicodedata.combining(c)
        else 2
        if unicodedata.east_asian_width(c) in "WF"
        else 1
        for c in text
    )


_LEAST_COLUMN = 12


class Report:
    """Lines of a result, in the order in which they are read.

    Attributes
    ----------
    lines : list of str
        What has been written so far.
    """

    def __init__(self) -> None:
        self.lines: list[str] = []

    def title(self, text: str) -> None:
        """Head the result with the question that it answers."""
        self._gap()
        self.lines += [text, "─" * min(wide(text), WIDTH)]

    def answer(self, text: str) -> None:
        """Say the answer."""
        self._gap()
        self._wrapped(text)

    def picture(self, lines: Iterable[str]) -> None:
        """Show a picture made of characters."""
        self._gap()
        self.lines += [line.rstrip() for line in lines]

    def table(
        self,
        rows: Sequence[Sequence[str]],
        *,
        head: Sequence[str] = (),
        title: str = "",
        right: Sequence[int] = (),
    ) -> None:
        """Lay rows out in columns; what is too wide wraps within its column."""
        if not rows:
            return
        self._gap()
        if title:
            self.lines.append(title)
        everything = [list(head), *map(list, rows)] if head else [list(r) for r in rows]
        count = max(map(len, everything))
        widths = [
            max(wide(r[i]) if i < len(r) else 0 for r in everything)
            for i in range(count)
        ]
        # The widest column gives way until all stand within the width.
        while sum(widths) + 2 * count > WIDTH and max(widths) > _LEAST_COLUMN:
            widths[widths.index(max(widths))] -= 1
        for row in everything:
            padded = [*row, *[""] * (count - len(row))]
            cells = [
                textwrap.wrap(cell, widths[i]) or [""] for i, cell in enumerate(padded)
            ]
            for k in range(max(map(len, cells))):
                line = "  ".join(
                    _set(cell[k] if k < len(cell) else "", widths[i], right=i in right)
                    for i, cell in enumerate(cells)
                )
                self.lines.append(f"  {line}".rstrip())
            if row is everything[0] and head:
                self.lines.append("  " + "─" * (sum(widths) + 2 * (count - 1)))

    def points(self, title: str, items: Iterable[str]) -> None:
        """List sentences under a title; nothing if there are none."""
        found = list(items)
        if not found:
            return
        self._gap()
        self.lines.append(title)
        for item in found:
            self._wrapped(item, first="  - ", rest="    ")

    def next(self, text: str) -> None:
        """Say what to do next, one thing."""
        self._gap()
        self._wrapped(text, first="Next: ", rest="      ")

    def print(self) -> None:
        """Write it out."""
        click.echo("\n".join(self.lines))

    def _gap(self) -> None:
        if self.lines and self.lines[-1]:
            self.lines.append("")

    def _wrapped(self, text: str, *, first: str = "", rest: str = "") -> None:
        self.lines += textwrap.wrap(
            text, WIDTH, initial_indent=first, subsequent_indent=rest
        ) or [first]


def _set(cell: str, width: int, *, right: bool) -> str:
    space = " " * max(width - wide(cell), 0)
    return space + cell if right else cell + space
