"""New entries from what a person says: a car, its next version, a photo, a strike."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from typing import Any

from splinewise.book.entries import Entry, new_uid, sha256
from splinewise.book.kinds import as_typed, from_typed
from splinewise.book.photos import PhotoKept
from splinewise.errors import BookError

__all__ = ["amended", "car_entry", "entered", "name_in", "photo_entry", "struck"]


def entered(
    kind: str,
    car: str,
    given: Mapping[str, Sequence[str]],
    *,
    visit: str | None = None,
    by: str = "",
    uid: str | None = None,
) -> Entry:
    """Return a visit, a reading, a move or a note from what was typed.

    Parameters
    ----------
    kind : str
        "visit", "reading", "move" or "note".
    car : str
        The car's identifier.
    given : mapping of str to sequence of str
        Texts by field.
    visit : str, optional
        The visit that it belongs to.
    by : str
        Who says it.
    uid : str, optional
        Its identifier, where it was made before.

    Returns
    -------
    Entry
        The entry, not yet in a book.
    """
    content = from_typed(kind, given)
    return Entry(kind, car, content, uid=uid or new_uid(), by=by, visit=visit)


def car_entry(
    text: bytes,
    *,
    name: str | None = None,
    after: Entry | None = None,
    why: str = "",
    by: str = "",
    uid: str | None = None,
) -> Entry:
    """Return the entry of a car's file, or of its next version.

    Parameters
    ----------
    text : bytes
        The file, word for word.
    name : str, optional
        What the car is called; as the file says if left out.
    after : Entry, optional
        The version that it follows.
    why : str
        What changed, in words; wanted for a next version.
    by : str
        Who says it.
    uid : str, optional
        Its identifier, where it was made before.

    Returns
    -------
    Entry
        The entry, not yet in a book.

    Raises
    ------
    BookError
        If the text is none, or says no name.
    """
    called = name or name_in(text)
    if not called:
        msg = "The file does not say what the car is called. Say it by --name."
        raise BookError(msg)
    own = uid or new_uid()
    # Made from its own, so that the same car entered twice is one car.
    car = after.car if after else sha256(f"car {own}".encode())[:32]
    return Entry(
        "car",
        car,
        {"name": called, "text": sha256(text)},
        uid=own,
        by=by,
        amends=after.uid if after else None,
        why=why,
    )


def name_in(text: bytes) -> str:
    """Return what a car file calls its car; empty where it cannot be told.

    Parameters
    ----------
    text : bytes
        The file.

    Returns
    -------
    str
        The name.
    """
    try:
        words = text.decode("utf-8-sig")
    except UnicodeDecodeError:
        msg = "The file is not UTF-8 text. Save it as UTF-8, then try again."
        raise BookError(msg) from None
    try:
        name = tomllib.loads(words)["car"]["name"]
    except (tomllib.TOMLDecodeError, KeyError, TypeError, RecursionError):
        return ""
    return name if isinstance(name, str) else ""


def photo_entry(
    car: str,
    kept: PhotoKept,
    given: Mapping[str, Sequence[str]],
    *,
    visit: str | None = None,
    by: str = "",
    uid: str | None = None,
) -> Entry:
    """Return the entry of a photo.

    Parameters
    ----------
    car : str
        The car's identifier.
    kept : PhotoKept
        The photo as it shall be kept.
    given : mapping of str to sequence of str
        Texts of `corner`, `taken` and `words`.
    visit : str, optional
        The visit that it belongs to.
    by : str
        Who says it.
    uid : str, optional
        Its identifier, where it was made before.

    Returns
    -------
    Entry
        The entry, not yet in a book.
    """
    typed = {
        "name": [kept.name],
        "form": [kept.form],
        "taken_out": list(kept.taken_out),
        **given,
    }
    made = {"file": sha256(kept.content)}
    content = from_typed("photo", typed, made)
    return Entry("photo", car, content, uid=uid or new_uid(), by=by, visit=visit)


def amended(
    old: Entry,
    changes: Mapping[str, Sequence[str]],
    *,
    why: str,
    by: str = "",
    uid: str | None = None,
) -> Entry:
    """Return a correction of an entry: the same but for what is changed.

    Parameters
    ----------
    old : Entry
        What is corrected.
    changes : mapping of str to sequence of str
        New texts by field.
    why : str
        Why.
    by : str
        Who says it.
    uid : str, optional
        Its identifier, where it was made before.

    Returns
    -------
    Entry
        The entry, not yet in a book.

    Raises
    ------
    BookError
        If it is of a kind that cannot be corrected, or nothing changes.
    """
    if old.kind in ("car", "result", "strike"):
        msg = {
            "car": "A car's file gets a new version by `splinewise book revise`.",
            "result": "A result is what was shown, and stays. Strike it if it is wrong.",
            "strike": "A strike can only be struck itself.",
        }[old.kind]
        raise BookError(msg)
    made: dict[str, Any] = {k: old.content[k] for k in ("file",) if k in old.content}
    content = from_typed(
        old.kind, as_typed(old.kind, old.content) | dict(changes), made
    )
    if content == dict(old.content):
        msg = f"Nothing would change in {old.short}. Say what by --set FIELD=VALUE."
        raise BookError(msg)
    return Entry(
        old.kind,
        old.car,
        content,
        uid=uid or new_uid(),
        by=by,
        visit=old.visit,
        amends=old.uid,
        why=_reason(why),
    )


def struck(
    old: Entry,
    *,
    why: str,
    thing: bool = False,
    by: str = "",
    uid: str | None = None,
) -> Entry:
    """Return the entry that strikes another.

    Parameters
    ----------
    old : Entry
        What should never have been entered.
    why : str
        Why.
    thing : bool
        Whether the whole thing, of which `old` is the last word, never should have.
    by : str
        Who says it.
    uid : str, optional
        Its identifier, where it was made before.

    Returns
    -------
    Entry
        The entry, not yet in a book.
    """
    return Entry(
        "strike",
        old.car,
        {"scope": "thing" if thing else "entry"},
        uid=uid or new_uid(),
        by=by,
        visit=old.visit,
        amends=old.uid,
        why=_reason(why),
    )


def _reason(why: str) -> str:
    if not why.strip():
        msg = "Say why it is corrected: the next owner will ask."
        raise BookError(msg)
    return why.strip()
