"""One entry of the book: who, when, of which car, and what; a line of JSON.

The line is kept word for word for ever, and its SHA-256 beside it.  What orders the
entries of a car is not the clock, which may be wrong, but the step: one more than the
highest that the book held when the entry was made (Lamport's logical clock).
"""

from __future__ import annotations

import datetime
import hashlib
import json
import re
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final

from splinewise.book.fields import Line, Words
from splinewise.book.kinds import FORMAT, KINDS, faults
from splinewise.errors import BookError

__all__ = [
    "Entry",
    "checked",
    "new_uid",
    "now",
    "read_record",
    "record",
    "same",
    "sha256",
]

_UID: Final = re.compile(r"[0-9a-f]{32}")
_MOST_STEPS: Final = 10**12
_HEADER: Final = (
    "format",
    "uid",
    "car",
    "kind",
    "step",
    "made",
    "by",
    "visit",
    "amends",
    "why",
)


def new_uid() -> str:
    """Return an identifier that nobody else will ever make: 128 random bits."""
    return secrets.token_hex(16)


def now() -> str:
    """Return this device's time, with its distance from UTC."""
    return (
        datetime.datetime.now(datetime.UTC).astimezone().isoformat(timespec="seconds")
    )


def sha256(content: bytes) -> str:
    """Return the SHA-256 of some bytes, as 64 hexadecimal digits."""
    return hashlib.sha256(content).hexdigest()


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry.

    Attributes
    ----------
    kind : str
        One of `splinewise.book.kinds.KINDS`.
    car : str
        The car's identifier.
    content : mapping
        What it says, field by field.
    uid : str
        Its own identifier, made before it is written.
    made : str
        When the device says that it was made.
    by : str
        Who says it; may be empty.
    visit : str or None
        The visit that it belongs to.
    amends : str or None
        The entry that it corrects.
    why : str
        Why it corrects it.
    step : int
        Place among the car's entries; 0 until the book has given it one.
    format : int
        Format of the entry.
    """

    kind: str
    car: str
    content: Mapping[str, Any]
    uid: str = field(default_factory=new_uid)
    made: str = field(default_factory=now)
    by: str = ""
    visit: str | None = None
    amends: str | None = None
    why: str = ""
    step: int = 0
    format: int = FORMAT

    @property
    def short(self) -> str:
        """As much of the identifier as people need to type."""
        return self.uid[:8]

    @property
    def moment(self) -> datetime.datetime:
        """When it was made, to be compared."""
        return datetime.datetime.fromisoformat(self.made)

    @property
    def sums(self) -> tuple[str, ...]:
        """The SHA-256 of each text, photo or sheet that it needs."""
        found = (self.content.get(key) for key in ("text", "file"))
        return tuple(sum for sum in found if sum)


def record(entry: Entry) -> str:
    """Return an entry as its line of JSON.

    Parameters
    ----------
    entry : Entry
        The entry.

    Returns
    -------
    str
        The line, always the same for the same entry.
    """
    whole = {name: getattr(entry, name) for name in _HEADER} | dict(entry.content)
    return json.dumps(whole, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def read_record(line: str) -> Entry:
    """Return the entry of a line of JSON.

    Parameters
    ----------
    line : str
        As `record` writes it.

    Returns
    -------
    Entry
        The entry.

    Raises
    ------
    BookError
        If it is no entry, or is not written as the book writes it.
    """
    try:
        whole = json.loads(line)
    except (ValueError, RecursionError):
        msg = "An entry is no JSON."
        raise BookError(msg) from None
    if not isinstance(whole, dict) or tuple(whole)[: len(_HEADER)] != _HEADER:
        msg = f"An entry must begin with {', '.join(_HEADER)}."
        raise BookError(msg)
    header = {name: whole.pop(name) for name in _HEADER}
    entry = checked(Entry(content=whole, **header), step_known=True)
    if record(entry) != line:
        msg = f"The entry {entry.short} is not written as a book writes it."
        raise BookError(msg)
    return entry


def checked(entry: Entry, *, step_known: bool = False) -> Entry:
    """Return an entry that can stand in a book, or say why it cannot.

    Parameters
    ----------
    entry : Entry
        The entry.
    step_known : bool
        Whether its step must be given already.

    Returns
    -------
    Entry
        The same.

    Raises
    ------
    BookError
        With everything that is wrong with it.
    """
    found = _header_faults(entry, step_known=step_known)
    if not found:
        found = faults(entry.kind, entry.content)
    if found:
        what = entry.kind if entry.kind in KINDS else "entry"
        msg = f"This {what} cannot stand in a book: {'; '.join(found)}."
        raise BookError(msg)
    return entry


def same(one: Entry, other: Entry) -> bool:
    """Return whether two entries are one, entered twice.

    Parameters
    ----------
    one, other : Entry
        The entries; the step, which the book gives, and the time at which it was
        tried do not count.

    Returns
    -------
    bool
        Whether all else is equal.
    """
    return record(replace(one, step=0, made="")) == record(
        replace(other, step=0, made="")
    )


def _header_faults(entry: Entry, *, step_known: bool) -> list[str]:
    if not _whole(entry.format) or entry.format != FORMAT:
        known = f"this program knows {FORMAT}; a newer splinewise may read it"
        return [f"its format is {str(entry.format)[:20]!r}, and {known}"]
    if str(entry.kind) not in KINDS:
        return [f"its kind must be one of {', '.join(KINDS)}"]
    found = []
    for name in ("uid", "car", "visit", "amends"):
        value = getattr(entry, name)
        if value is None and name in ("visit", "amends"):
            continue
        if not isinstance(value, str) or not _UID.fullmatch(value):
            found.append(f"{name} must be 32 hexadecimal digits")
    least = 1 if step_known else 0
    if not _whole(entry.step) or not least <= entry.step <= _MOST_STEPS:
        found.append("step must be a whole number from 1")
    for name, fault in (
        ("made", _made_fault(entry.made)),
        ("by", Line().fault(entry.by)),
        ("why", Words().fault(entry.why)),
    ):
        if fault:
            found.append(f"{name} {fault}")
    return found or _reference_faults(entry)


def _reference_faults(entry: Entry) -> list[str]:
    found = []
    if entry.amends is not None and not entry.why:
        found.append("a correction must say why")
    if entry.amends is None and (entry.why or entry.kind == "strike"):
        found.append("it says why, but not which entry it corrects")
    if entry.kind in ("reading", "move") and entry.visit is None:
        found.append("it must belong to a visit")
    if entry.kind in ("visit", "car") and entry.visit is not None:
        found.append(f"a {entry.kind} belongs to no visit")
    if entry.uid in (entry.visit, entry.amends):
        found.append("it names itself")
    return found


def _whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _made_fault(value: object) -> str:
    if not isinstance(value, str) or not re.fullmatch(
        r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d", value, re.ASCII
    ):
        return "is no time with its distance from UTC, as 2024-05-18T14:30:00+00:00"
    try:
        datetime.datetime.fromisoformat(value)
    except ValueError:
        return "is no time that there is"
    return ""
