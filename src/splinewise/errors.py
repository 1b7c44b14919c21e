"""Every error that splinewise raises on purpose.

* SplinewiseError
  - QuantityError      a number that cannot be what it is said to be
  - TextError          text that cannot be read as the quantity it should be
  - CarFileError       a car file that cannot be used; one line per fault
  - ReachError         a pose, length or load that the mechanism cannot take
  - TaskError          a job that cannot be done with what is known
  - BookError          the record book cannot do what was asked

Each message is a sentence fit to show a user: what was read, where, what would do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

__all__ = [
    "BookError",
    "CarFileError",
    "Fault",
    "QuantityError",
    "ReachError",
    "SplinewiseError",
    "TaskError",
    "TextError",
]


class SplinewiseError(Exception):
    """Base of the errors that carry a sentence fit to show a user."""


class QuantityError(SplinewiseError, ValueError):
    """A number that cannot be what it is said to be.

    Attributes
    ----------
    name : str
        The argument, as the caller spells it; a form or a file reader uses it
        to point at the field to blame.
    value : float
        The first offending number. [unit]
    unit : str
        Unit of `value`.
    """

    def __init__(self, name: str, value: float, unit: str, rule: str) -> None:
        super().__init__(f"{name} must be {rule}; got {value:g} {unit}")
        self.name, self.value, self.unit = name, value, unit


class TextError(SplinewiseError, ValueError):
    """Text that cannot be read as the quantity it should be.

    Attributes
    ----------
    text : str
        What was read.
    why : str
        Why it cannot be.
    instead : str
        What would be right; empty where nothing can be offered.
    """

    def __init__(self, text: str, why: str, instead: str = "") -> None:
        super().__init__(f"{why} {instead}".strip())
        self.text, self.why, self.instead = text, why, instead


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a file.

    Attributes
    ----------
    line : int
        Line of the file, from 1; 0 where no line can be named.
    field : str
        The key's path, as `left.bar.diameter`.
    why : str
        What was read, why it cannot be, what would be right.
    """

    line: int
    field: str
    why: str


class CarFileError(SplinewiseError):
    """A car file that cannot be used.

    Attributes
    ----------
    file : str
        The file, as the user named it.
    faults : tuple of Fault
        All that was found wrong, in the file's order.
    """

    def __init__(self, file: str, faults: Sequence[Fault]) -> None:
        lines = [
            ":".join([file, *([str(f.line)] if f.line else [])])
            + (f": {f.field}" if f.field else "")
            + f": {f.why}"
            for f in faults
        ]
        super().__init__("\n".join(lines))
        self.file, self.faults = file, tuple(faults)


class ReachError(SplinewiseError):
    """A pose, length or load that the mechanism cannot take."""


class TaskError(SplinewiseError):
    """A job that cannot be done with what is known."""


class BookError(SplinewiseError):
    """The record book cannot do what was asked."""
