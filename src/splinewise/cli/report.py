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
        """Lay rows out in columns; the last column wraps to the width."""
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
        last = max(WIDTH - 2 - sum(widths[:-1]) - 2 * (count - 1), 16)
        for row in everything:
            cells = [
                " " * (widths[i] - wide(c)) + c
                if i in right
                else c + " " * (widths[i] - wide(c))
                for i, c in enumerate(row[:-1])
            ]
            lead = "  " + "".join(c + "  " for c in cells)
            tail = textwrap.wrap(row[-1], last) or [""]
            if count - 1 in right and len(tail) == 1:
                tail = [" " * max(widths[-1] - wide(tail[0]), 0) + tail[0]]
            self.lines.append((lead + tail[0]).rstrip())
            self.lines += [" " * wide(lead) + more for more in tail[1:]]
            if row is everything[0] and head:
                self.lines.append(
                    "  " + "─" * min(sum(widths) + 2 * count - 2, WIDTH - 2)
                )

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
