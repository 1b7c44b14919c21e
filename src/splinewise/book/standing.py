"""Which entries hold, once corrections and strikes have been followed.

A correction names the entry that it corrects and stands in its place.  A strike of an
entry says that this one should never have been made: of a correction, so that what it
corrected holds again; of a strike, likewise.  A strike of a thing names its last word
and says that it should never have been entered at all.  Where two devices answered the
same entry without knowing of each other, both hold: it is disputed until one is struck.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from splinewise.book.entries import Entry

__all__ = ["Matter", "matters"]

Verdict = Literal["holds", "struck", "disputed"]


@dataclass(frozen=True, slots=True)
class Matter:
    """One thing that was entered, with all that was said of it since.

    Attributes
    ----------
    first : Entry
        As it was entered first.
    holds : tuple of Entry
        What holds now: one entry, or several where it is disputed; a strike among
        them says that it was struck.
    said : tuple of Entry
        Every entry about it, the first included, in order.
    """

    first: Entry
    holds: tuple[Entry, ...]
    said: tuple[Entry, ...]

    @property
    def verdict(self) -> Verdict:
        """Whether it holds, was struck, or is disputed."""
        if all(entry.kind == "strike" for entry in self.holds):
            return "struck"
        return "holds" if len(self.holds) == 1 else "disputed"

    @property
    def now(self) -> Entry:
        """The entry that holds; the first of them where it is disputed."""
        return self.holds[0]


def matters(entries: Sequence[Entry]) -> list[Matter]:
    """Return each thing that was entered with what holds of it now.

    Parameters
    ----------
    entries : sequence of Entry
        All entries of one car, in order.

    Returns
    -------
    list of Matter
        In the order in which they were entered first.
    """
    known = {entry.uid: entry for entry in entries}
    answers: dict[str, list[Entry]] = {entry.uid: [] for entry in entries}
    root: dict[str, str] = {}
    said: dict[str, list[Entry]] = {}
    for entry in entries:
        top = entry.uid if entry.amends is None else root[entry.amends]
        root[entry.uid] = top
        said.setdefault(top, []).append(entry)
        if entry.amends is not None:
            answers[entry.amends].append(entry)
    live: dict[str, tuple[Entry, ...]] = {}
    # An answer comes after what it answers: from the end, each finds its own done.
    for entry in reversed(entries):
        live[entry.uid] = tuple(_live(entry, answers[entry.uid], live))
    return [Matter(known[top], live[top], tuple(about)) for top, about in said.items()]


def _live(
    entry: Entry, answers: Iterable[Entry], live: Mapping[str, tuple[Entry, ...]]
) -> Sequence[Entry]:
    found: list[Entry] = []
    for answer in answers:
        holds = live[answer.uid]
        if answer.kind == "strike":
            if holds == (answer,):
                found.append(answer)
        else:
            found += [one for one in holds if not _of_entry(one)]
    return found or [entry]


def _of_entry(entry: Entry) -> bool:
    """Return whether it strikes a correction only, so that the old one holds again."""
    return entry.kind == "strike" and entry.content["scope"] == "entry"
