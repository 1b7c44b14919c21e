"""Which kept results differ when this version computes them again, and by how much."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final, Literal

from splinewise.book.car_text import version_text
from splinewise.book.entries import Entry
from splinewise.book.queries import history
from splinewise.book.recompute import recomputed
from splinewise.book.store import Book
from splinewise.errors import SplinewiseError

__all__ = ["Difference", "Rechecked", "compared", "recheck", "recheck_one"]

_SAME: Final = 1e-9
"""Numbers closer than this, as a share, are one: machines round differently. [1]"""

_NOTHING: Final = 1e-12
"""So is what is this close to zero in a result: no length of a car matters so little."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that differs.

    Attributes
    ----------
    where : str
        The field, as `stresses[0].stress.value`.
    before, after : object
        As kept, and as computed now; None where there is no such field.
    unit : str
        SI unit of a number; empty for the rest.
    """

    where: str
    before: object
    after: object
    unit: str = ""

    @property
    def change(self) -> float:
        """By how much a number grew; NaN for the rest. [SI]"""
        one, other = self.before, self.after
        if _number(one) and _number(other):
            return float(other) - float(one)  # type: ignore[arg-type]
        return math.nan

    @property
    def share(self) -> float:
        """The same as a share of what it was; infinite where there was nothing. [1]"""
        if math.isnan(self.change):
            return math.nan
        before = abs(float(self.before))  # type: ignore[arg-type]
        return abs(self.change) / before if before else math.inf


@dataclass(frozen=True, slots=True)
class Rechecked:
    """A kept result beside what this version gives.

    Attributes
    ----------
    entry : Entry
        The result as kept.
    verdict : str
        "agrees", "disagrees" (a number or a verdict differs), "other words" (only
        words differ) or "cannot tell".
    differences : tuple of Difference
        All that differs.
    why : str
        Why it cannot be told; else empty.
    """

    entry: Entry
    verdict: Literal["agrees", "disagrees", "other words", "cannot tell"]
    differences: tuple[Difference, ...] = ()
    why: str = ""


def recheck(book: Book, uid: str) -> list[Rechecked]:
    """Compute every kept result of a car again.

    Parameters
    ----------
    book : Book
        The book.
    uid : str
        The car's identifier.

    Returns
    -------
    list of Rechecked
        One for each result that is not struck, in order.
    """
    results = history(book, uid).of_kind("result")
    return [recheck_one(book, matter.first) for matter in results]


def recheck_one(book: Book, entry: Entry) -> Rechecked:
    """Compute a kept result again.

    Parameters
    ----------
    book : Book
        The book.
    entry : Entry
        The result.

    Returns
    -------
    Rechecked
        What differs.
    """
    content = entry.content
    text = version_text(book, entry)
    try:
        now = recomputed(content["task"], text, json.loads(content["inputs"]))
    except SplinewiseError as error:
        return Rechecked(entry, "cannot tell", why=str(error))
    except Exception as error:  # noqa: BLE001  a later task may choke on old inputs
        why = f"this version cannot compute it ({type(error).__name__}: {error})."
        return Rechecked(entry, "cannot tell", why=why)
    # As it is shown, so that both have gone through the same writing.
    found = compared(json.loads(content["result"]), json.loads(json.dumps(now)))
    if not found:
        return Rechecked(entry, "agrees")
    only_words = all(
        isinstance(one, str) or one is None
        for difference in found
        for one in (difference.before, difference.after)
    ) and not any(d.where.endswith(("verdict", "standing")) for d in found)
    return Rechecked(entry, "other words" if only_words else "disagrees", tuple(found))


def compared(before: Any, after: Any) -> list[Difference]:
    """Return all in which two results differ.

    Parameters
    ----------
    before, after : object
        Two results as plain data.

    Returns
    -------
    list of Difference
        In the order of the first.
    """
    return list(_walk("", before, after, ""))


def _walk(where: str, before: Any, after: Any, unit: str) -> Iterator[Difference]:
    if isinstance(before, dict) and isinstance(after, dict):
        own = before.get("unit") if "value" in before else ""
        for key in dict.fromkeys([*before, *after]):
            path = f"{where}.{key}" if where else str(key)
            yield from _walk(path, before.get(key), after.get(key), str(own or ""))
    elif isinstance(before, list) and isinstance(after, list):
        for n in range(max(len(before), len(after))):
            one = before[n] if n < len(before) else None
            other = after[n] if n < len(after) else None
            yield from _walk(f"{where}[{n}]", one, other, unit)
    elif _number(before) and _number(after):
        if not math.isclose(before, after, rel_tol=_SAME, abs_tol=_NOTHING):
            yield Difference(where, before, after, unit)
    elif before != after or isinstance(before, bool) != isinstance(after, bool):
        yield Difference(where, before, after, unit)


def _number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)
