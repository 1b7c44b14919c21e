"""One number with its unit, and how text is shown back."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

__all__ = ["Part", "printable"]


class Part(NamedTuple):
    """One number and its unit, as in `15 5/8 in`."""

    number: str  # as typed
    typed: str  # the unit as typed
    unit: str  # the unit as the table spells it
    value: Fraction
    step: Fraction  # smallest that the number shows
    whole: int = 0
    over: int = 0
    under: int | None = None  # None where there is no fraction

    @property
    def shown(self) -> str:
        """The number and its unit, fit to be shown."""
        tight = "" if self.typed[:1] in ("'", '"', "°") else " "
        return printable(f"{self.number}{tight}{self.typed}".strip())


def printable(text: str) -> str:
    """Make `text` fit to stand in a message: one line, not long, nothing invisible."""
    line = "".join(c if c.isprintable() else "�" for c in " ".join(text.split()))
    return line if len(line) <= 60 else line[:57] + "..."
