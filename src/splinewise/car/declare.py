"""How a table of the file is declared: its keys, their words, what a value may be.

The declarations themselves are plain Python.  `splinewise.car.plain` reads a faultless
table by them; `splinewise.car.models` makes them into pydantic's models, which tell
what is wrong with the others, and from which the schema is published.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, NoReturn, get_args, get_origin

__all__ = [
    "Decimal",
    "Key",
    "Reader",
    "RefusedError",
    "Table",
    "Tagged",
    "Text",
    "Whole",
    "key",
    "refuse",
]

_NEEDED: Any = ...


class RefusedError(ValueError):
    """A value that cannot be read; the text is one fault of the file."""


def refuse(why: str) -> NoReturn:
    """Raise the error that makes `why` one fault of the file."""
    raise RefusedError(why)


@dataclass(frozen=True, slots=True)
class Reader:
    """Reads one value: a base for what stands in an annotation."""

    def read(self, given: object, data: Mapping[str, Any]) -> Any:
        """Return the value, or refuse; `data` holds the table's keys before it."""
        raise NotImplementedError

    def published(self) -> dict[str, Any]:
        """Return what the JSON Schema says of it."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True)
class Text:
    """What text may be; lengths in characters."""

    shortest: int | None = None
    longest: int | None = None
    pattern: str | None = None
    check: Callable[[str], str] | None = None

    def allows(self, given: str) -> bool:
        """Return whether the length and the pattern are right."""
        return (
            (self.shortest is None or len(given) >= self.shortest)
            and (self.longest is None or len(given) <= self.longest)
            # Python's $ would let a line end through.
            and (self.pattern is None or bool(re.fullmatch(self.pattern, given)))
            and not (self.pattern and given.endswith("\n"))
        )


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number within limits, both allowed."""

    low: int
    high: int


@dataclass(frozen=True, slots=True)
class Decimal:
    """A number within limits, both allowed."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Tagged:
    """Marks a choice of tables that one of their keys tells apart."""

    key: str


@dataclass(slots=True)
class Key:
    """One key of a table.

    Attributes
    ----------
    default : object
        What it is where the file does not say; an ellipsis where it must. [1]
    description : str
        What it means. [1]
    examples : list
        One value as it may be written. [1]
    alias : str or None
        How the file spells it, where that is no name in Python. [1]
    min_length, max_length : int or None
        How many items a list may have. [1]
    annotation : object
        What it may be, without what `metadata` holds. [1]
    metadata : tuple
        What its annotation was annotated with. [1]
    """

    default: Any
    description: str
    examples: list[Any]
    alias: str | None = None
    min_length: int | None = None
    max_length: int | None = None
    annotation: Any = None
    metadata: tuple[Any, ...] = ()

    def is_required(self) -> bool:
        """Return whether the file must say it."""
        return self.default is _NEEDED

    def get_default(self) -> Any:
        """Return its default, a list or a table of its own each time."""
        if self.is_required():
            return None
        given = self.default
        return given.copy() if isinstance(given, (list, dict)) else given


def key(words: str, example: object, default: object = ..., **more: Any) -> Any:
    """Return a key with its words and an example; it is required without a default."""
    return Key(default, words, [example], **more)


class _Keys:
    """The keys of a table, found when they are first asked for."""

    def __get__(self, _: object, table: type[Table]) -> dict[str, Key]:
        own: dict[str, Key] | None = table.__dict__.get("_own_keys")
        if own is None:
            own = _declared(table)
            table._own_keys = own
        return own


class Table:
    """A table of the file: nothing is converted, nothing unknown is let through."""

    also: ClassVar[tuple[str, ...]] = ()
    """Keys that are dealt with before the table is read."""

    _own_keys: ClassVar[dict[str, Key]]

    model_fields = _Keys()
    """Every key by its name in Python, those of the bases first."""


def _declared(table: type[Table]) -> dict[str, Key]:
    keys: dict[str, Key] = {}
    for each in reversed(table.__mro__[:-1]):
        names = vars(sys.modules[each.__module__])
        for name, said in each.__annotations__.items():
            if each is Table or str(said).startswith("ClassVar"):
                continue
            # The words are this package's own source, as `typing.get_type_hints` has it.
            kind = eval(said, names) if isinstance(said, str) else said
            found = each.__dict__.get(name, Key(..., "", []))
            annotation, metadata = kind, ()
            if get_origin(kind) is Annotated:
                annotation, *rest = get_args(kind)
                metadata = tuple(rest)
            keys[name] = Key(
                found.default,
                found.description,
                found.examples,
                found.alias,
                found.min_length,
                found.max_length,
                annotation,
                metadata,
            )
    return keys
