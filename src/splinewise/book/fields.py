"""The doors of an entry's fields: text in, what is kept, and text again.

Each door reads what a person typed, says what is wrong with a kept value (one that
came in from another book may be anything), and gives the text back for a correction.
"""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, Protocol

from splinewise.errors import BookError

__all__ = [
    "Choice",
    "Count",
    "Day",
    "Door",
    "Line",
    "Lines",
    "Made",
    "Words",
    "not_text",
    "one_text",
]

_LINE: Final = 500
_WORDS: Final = 20_000
_MANY: Final = 200


class Door(Protocol):
    """How one field is read, checked and shown."""

    def read(self, texts: Sequence[str]) -> Any:
        """Return the value of what was typed."""

    def fault(self, value: Any) -> str:
        """Return what is wrong with a value, or nothing."""

    def texts(self, value: Any) -> list[str]:
        """Return a value as it was typed."""


def one_text(texts: Sequence[str]) -> str:
    """Return the text of a field that can be said once only."""
    if len(texts) > 1:
        msg = f"This can be said once only; got {len(texts)} of it."
        raise BookError(msg)
    return texts[0].strip() if texts else ""


def not_text(value: Any, longest: int, *, lines: bool) -> str:
    """Return why a value is no text that shows, or nothing."""
    if not isinstance(value, str):
        return f"must be text; got {type(value).__name__}"
    if len(value) > longest:
        return f"is {len(value)} characters long; {longest} are the most"
    plain = value.replace("\n", "").replace("\t", "") if lines else value
    if not plain.isprintable():
        return "has a character in it that does not show"
    try:
        value.encode()
    except UnicodeEncodeError:
        return "has something in it that is no text"
    return ""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of text.

    Attributes
    ----------
    needed : bool
        Whether it may not be empty.
    """

    needed: bool = False

    def read(self, texts: Sequence[str]) -> str:
        """Return the line."""
        return one_text(texts)

    def fault(self, value: Any) -> str:
        """Return what is wrong with it."""
        if value == "" and self.needed:
            return "is missing"
        return not_text(value, _LINE, lines=False)

    def texts(self, value: Any) -> list[str]:
        """Return it as typed."""
        return [value] if value else []


@dataclass(frozen=True, slots=True)
class Words:
    """Text of any number of lines."""

    needed: bool = False

    def read(self, texts: Sequence[str]) -> str:
        """Return the text."""
        return "\n".join(texts).replace("\r\n", "\n").strip()

    def fault(self, value: Any) -> str:
        """Return what is wrong with it."""
        if value == "" and self.needed:
            return "is missing"
        return not_text(value, _WORDS, lines=True)

    def texts(self, value: Any) -> list[str]:
        """Return it as typed."""
        return [value] if value else []


@dataclass(frozen=True, slots=True)
class Lines:
    """Several lines, each of its own."""

    def read(self, texts: Sequence[str]) -> list[str]:
        """Return the lines."""
        return [text.strip() for text in texts if text.strip()]

    def fault(self, value: Any) -> str:
        """Return what is wrong with them."""
        if not isinstance(value, list) or len(value) > _MANY:
            return f"must be a list of at most {_MANY} lines"
        faults = (Line(needed=True).fault(line) for line in value)
        return next((fault for fault in faults if fault), "")

    def texts(self, value: Any) -> list[str]:
        """Return them as typed."""
        return list(value)


@dataclass(frozen=True, slots=True)
class Choice:
    """One of a few words.

    Attributes
    ----------
    of : tuple of str
        The words; the empty one where it may be left out.
    """

    of: tuple[str, ...]

    def read(self, texts: Sequence[str]) -> str:
        """Return the word, or say which there are."""
        word = one_text(texts)
        fault = self.fault(word)
        if fault:
            msg = f"{word!r} {fault}."
            raise BookError(msg)
        return word

    def fault(self, value: Any) -> str:
        """Return what is wrong with it."""
        if isinstance(value, str) and value in self.of:
            return ""
        known = ", ".join(repr(word) for word in self.of if word)
        return f"must be one of {known}"

    def texts(self, value: Any) -> list[str]:
        """Return it as typed."""
        return [value] if value else []


@dataclass(frozen=True, slots=True)
class Day:
    """A date, maybe with a time, as ISO 8601 writes it."""

    needed: bool = False

    def read(self, texts: Sequence[str]) -> str:
        """Return the date, or say how it is written."""
        text = one_text(texts)
        fault = self.fault(text)
        if fault:
            msg = f"{text!r} {fault}."
            raise BookError(msg)
        return text

    def fault(self, value: Any) -> str:
        """Return what is wrong with it."""
        if value == "":
            return "is missing; write it as 2024-05-18" if self.needed else ""
        if not isinstance(value, str) or not re.fullmatch(
            r"\d{4}-\d\d-\d\d([T ]\d\d:\d\d(:\d\d)?)?", value, re.ASCII
        ):
            return "is no date; write it as 2024-05-18 or 2024-05-18 14:30"
        try:
            datetime.datetime.fromisoformat(value)
        except ValueError:
            return "is no day that there is; write it as 2024-05-18"
        return ""

    def texts(self, value: Any) -> list[str]:
        """Return it as typed."""
        return [value] if value else []


@dataclass(frozen=True, slots=True)
class Count:
    """A whole number, of either sign; 0 where nothing is said."""

    def read(self, texts: Sequence[str]) -> int:
        """Return the number."""
        text = one_text(texts).replace("−", "-")
        if not text:
            return 0
        if not re.fullmatch(r"[+-]?\d{1,6}", text, re.ASCII):
            msg = f"{text!r} is no whole number. Write it as 3 or -12."
            raise BookError(msg)
        return int(text)

    def fault(self, value: Any) -> str:
        """Return what is wrong with it."""
        whole = isinstance(value, int) and not isinstance(value, bool)
        return "" if whole and abs(value) < 10**6 else "must be a whole number"

    def texts(self, value: Any) -> list[str]:
        """Return it as typed."""
        return [str(value)] if value else []


@dataclass(frozen=True, slots=True)
class Made:
    """What the program makes and no person types: a checksum, a version, JSON.

    Attributes
    ----------
    form : str
        "sum", "json", "text" or "lines".
    needed : bool
        Whether it may not be empty.
    """

    form: str
    needed: bool = True

    def read(self, texts: Sequence[str]) -> Any:
        """Refuse: there is nothing to type."""
        del texts
        msg = "This is made by the program and cannot be typed."
        raise BookError(msg)

    def fault(self, value: Any) -> str:
        """Return what is wrong with it."""
        if not value and not self.needed:
            return ""
        if self.form == "json":
            return _json_fault(value)
        if not isinstance(value, str) or not value:
            return "must be text"
        if self.form == "sum":
            return "" if re.fullmatch(r"[0-9a-f]{64}", value) else "must be a SHA-256"
        return not_text(value, 10**7, lines=True)

    def texts(self, value: Any) -> list[str]:
        """Return it as it is."""
        return [value if isinstance(value, str) else json.dumps(value)] if value else []


def _json_fault(value: Any) -> str:
    """Return what is wrong with text that should be JSON."""
    if not isinstance(value, str):
        return "must be JSON as text"
    try:
        value.encode()
        json.loads(value)
    except (ValueError, RecursionError):
        return "must be JSON"
    return ""
