"""One result on a terminal: answer first, picture, figures, caution, what next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import click

from splinewise.cli.terminal import WIDTH, clean, glued, wide, wrapped

__all__ = ["Report"]

_LEAST_COLUMN = 10
_MARGIN = 2
_AS_IS = " " * 6


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
        lines = wrapped(clean(text), WIDTH)
        self.lines += [*lines, "─" * max(map(wide, lines))]

    def answer(self, text: str, *, whole: bool = False) -> None:
        """Say the answer; `whole` lets a path run over rather than break it."""
        self._gap()
        self.lines += wrapped(glued(clean(text)), WIDTH, whole=whole)

    def picture(self, lines: Iterable[str]) -> None:
        """Show a picture made of characters; nothing if there is none."""
        found = [clean(line).rstrip() for line in lines]
        if found:
            self._gap()
            self.lines += found

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
        everything = [[clean(c) for c in r] for r in ([head, *rows] if head else rows)]
        count = max(map(len, everything))
        everything = [[*row, *[""] * (count - len(row))] for row in everything]
        widths = [max(wide(row[i]) for row in everything) for i in range(count)]
        # The widest column gives way until all stand within the width.
        room = WIDTH - _MARGIN * count
        while sum(widths) > room and max(widths) > _LEAST_COLUMN:
            widths[widths.index(max(widths))] -= 1
        for row in everything:
            self._row(row, widths, right)
            if head and row is everything[0]:
                length = sum(widths) + _MARGIN * (count - 1)
                self.lines.append(" " * _MARGIN + "─" * length)

    def _row(
        self, row: Sequence[str], widths: Sequence[int], right: Sequence[int]
    ) -> None:
        cells = [
            wrapped(glued(cell), width) for cell, width in zip(row, widths, strict=True)
        ]
        for k in range(max(map(len, cells))):
            line = (" " * _MARGIN).join(
                _set(
                    cell[k] if k < len(cell) else "",
                    widths[i],
                    right=i in right,
                )
                for i, cell in enumerate(cells)
            )
            self.lines.append(f"{' ' * _MARGIN}{line}".rstrip())

    def points(self, title: str, items: Iterable[str]) -> None:
        """List sentences under a title; nothing if there are none."""
        found = list(items)
        if not found:
            return
        self._gap()
        self.lines += wrapped(clean(title), WIDTH)
        for item in found:
            self._prose(item, first="  - ", rest="    ")

    def next(self, text: str, command: str = "") -> None:
        """Say what to do next, one thing, and the command for it if there is one."""
        self._gap()
        self._prose(text, first="Next: ", rest="      ")
        if command:
            self.lines += wrapped(
                clean(command), WIDTH, first=_AS_IS, rest=_AS_IS, whole=True
            )

    def print(self) -> None:
        """Write it out."""
        click.echo("\n".join(self.lines))

    def _gap(self) -> None:
        if self.lines and self.lines[-1]:
            self.lines.append("")

    def _prose(self, text: str, *, first: str = "", rest: str = "") -> None:
        self.lines += wrapped(glued(clean(text)), WIDTH, first=first, rest=rest)


def _set(cell: str, width: int, *, right: bool) -> str:
    space = " " * max(width - wide(cell), 0)
    return space + cell if right else cell + space
