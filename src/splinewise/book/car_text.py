"""A car's file out of the book, with what was read at the latest visit written into it.

A reading holds until something is moved: one that was taken before the last move at
its corner says how the car was, not how it is, and stays out.  So do the file's own
readings of that corner if the file is older than the move.  What stays out is said.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from splinewise.book.entries import Entry
from splinewise.book.merging import Rows, merged, row_of
from splinewise.book.queries import History, history, the_car
from splinewise.book.standing import Matter
from splinewise.book.store import Book
from splinewise.errors import BookError, CarFileError

__all__ = ["CarText", "car_text", "latest_version", "settled", "version_text"]


@dataclass(frozen=True, slots=True)
class CarText:
    """A car's file with the readings of the book.

    Attributes
    ----------
    text : str
        The file to work with.
    name : str
        What the car is called.
    car : str
        Its identifier.
    version : Entry
        The version of the file that it builds on.
    readings : tuple of Entry
        The readings that were written into it.
    left_out : tuple of str
        What stayed out, and why; sentences.
    """

    text: str
    name: str
    car: str
    version: Entry
    readings: tuple[Entry, ...]
    left_out: tuple[str, ...]


def version_text(book: Book, version: Entry) -> str:
    """Return a version of a car's file, word for word.

    Parameters
    ----------
    book : Book
        The book.
    version : Entry
        An entry of kind "car".

    Returns
    -------
    str
        The text.
    """
    return book.kept(str(version.content["text"])).decode("utf-8-sig")


def car_text(book: Book, name: str) -> CarText:
    """Return a car's latest file with the readings of its latest visit in it.

    Parameters
    ----------
    book : Book
        The book.
    name : str
        The car's name, or the beginning of its identifier.

    Returns
    -------
    CarText
        The text, and what was put into it and what was not.

    Raises
    ------
    BookError
        If there is no such car, or it is disputed what its file or a reading says.
    """
    told = history(book, the_car(book, name).uid)
    version = latest_version(told)
    text = version_text(book, version)
    moves = _last_moves(told)
    left_out = [
        f"The adjuster at {corner} was moved after this file was kept: bring `now` in "
        "the file up to date."
        for corner, move in moves.items()
        if move.content["adjuster"] and move.step > version.step
    ]
    stale = {corner for corner, move in moves.items() if move.step > version.step}
    rows, why_not = _readings(told, moves)
    left_out += why_not
    text, used, why_not = _put_in(text, rows, stale)
    left_out += why_not
    return CarText(
        text, told.car.name, told.car.uid, version, tuple(used), tuple(left_out)
    )


def latest_version(told: History) -> Entry:
    """Return the version of a car's file that holds.

    Parameters
    ----------
    told : History
        All of the car.

    Returns
    -------
    Entry
        The version.

    Raises
    ------
    BookError
        If two stand side by side, or all were struck.
    """
    found = [e for m in told.of_kind("car") for e in m.holds if e.kind == "car"]
    if len(found) == 1:
        return found[0]
    if not found:
        msg = f"Every version of {told.car.name}'s file was struck. Add one."
        raise BookError(msg)
    which = " and ".join(f"{e.short} ({e.made}, {e.why or 'first'})" for e in found)
    msg = (
        f"Two devices changed {told.car.name}'s file: {which} stand side by side. Keep "
        "one that has both by `splinewise book revise`, and strike the other."
    )
    raise BookError(msg)


def settled(matter: Matter) -> Entry:
    """Return the entry that holds, or say that it is disputed which.

    Parameters
    ----------
    matter : Matter
        One thing that was entered.

    Returns
    -------
    Entry
        What holds.
    """
    if matter.verdict != "disputed":
        return matter.now
    which = " and ".join(f"{e.short} ({e.made}, {e.why})" for e in matter.holds)
    msg = (
        f"It is disputed what {matter.first.short} says: {which}. Strike the one that "
        "is wrong: splinewise book amend NUMBER --strike --why TEXT."
    )
    raise BookError(msg)


def _last_moves(told: History) -> dict[str, Entry]:
    """Return the last move of teeth or adjuster at each corner, under its own time."""
    found: dict[str, Entry] = {}
    for matter in told.of_kind("move"):
        move = settled(matter)
        content = move.content
        if content["arm_teeth"] or content["anchor_teeth"] or content["adjuster"]:
            # When it was moved is when it was first entered, not when corrected.
            found[content["corner"]] = Entry(
                move.kind, move.car, content, step=matter.first.step
            )
    return found


def _readings(
    told: History, moves: Mapping[str, Entry]
) -> tuple[list[tuple[Entry, dict[str, Any]]], list[str]]:
    """Return the rows of the latest visit that still hold, and why others do not."""
    visits = told.of_kind("visit")
    if not visits:
        return [], []
    visit = settled(visits[-1])
    rows, left_out = [], []
    for matter in told.of_kind("reading"):
        if matter.first.visit != visits[-1].first.uid:
            continue
        reading = settled(matter)
        what = f"{reading.content['of']} at {reading.content['corner'] or 'no corner'}"
        move = moves.get(reading.content["corner"])
        if not reading.content["corner"] or not reading.content["state"]:
            left_out.append(f"{what}: the reading does not say its corner and state.")
        elif move is not None and move.step > matter.first.step:
            left_out.append(f"{what}: it was read before the last move there.")
        else:
            rows.append((reading, row_of(reading, visit)))
    return rows, left_out


def _put_in(
    text: str, rows: Sequence[tuple[Entry, dict[str, Any]]], stale: set[str]
) -> tuple[str, list[Entry], list[str]]:
    """Return the text with the rows that it can take."""
    try:
        corners = tomllib.loads(text).get("corner")
    except tomllib.TOMLDecodeError:
        corners = None
    if not isinstance(corners, dict):
        why = "the file cannot be read yet, so no reading was put into it."
        return text, [], [f"{r.content['of']}: {why}" for r, _ in rows]
    known = {c for c, table in corners.items() if isinstance(table, dict)}
    left_out = [
        f"{reading.content['of']}: the file has no corner {reading.content['corner']!r}."
        for reading, _ in rows
        if reading.content["corner"] not in known
    ]
    left_out += [
        f"The file's own readings at {corner} are older than the last move there."
        for corner in sorted(stale & known)
        if corners[corner].get("reading")
    ]
    fit = []
    for reading, row in rows:
        corner, of = reading.content["corner"], reading.content["of"]
        if corner in known and of not in _names(corners, corner):
            left_out.append(
                f"{of} at {corner}: the file has no dimension of that name."
            )
        elif corner in known:
            fit.append((reading, row))
    whole = _merged(text, fit, stale & known)
    if not _fault(whole) or not fit:
        return whole, [reading for reading, _ in fit], left_out
    # The file does not take all: find out which, one after the other.
    taken: list[tuple[Entry, dict[str, Any]]] = []
    before = _fault(_merged(text, [], stale & known))
    for reading, row in fit:
        fault = _fault(_merged(text, [*taken, (reading, row)], stale & known))
        if fault and fault != before:
            corner, of = reading.content["corner"], reading.content["of"]
            left_out.append(f"{of} at {corner}: {fault}")
        else:
            taken.append((reading, row))
    return _merged(text, taken, stale & known), [r for r, _ in taken], left_out


def _names(corners: Mapping[str, Any], corner: str) -> set[str]:
    """Return what can be read at a corner: its dimensions, and what every one has."""
    found = {"ride height", "arm slope", "gap"}
    for name in (corner, corners[corner].get("mirror")):
        table = corners.get(name) if isinstance(name, str) else None
        rows = table.get("dimension") if isinstance(table, dict) else None
        for row in rows if isinstance(rows, list) else ():
            if isinstance(row, dict):
                found.add(str(row.get("name")))
    return found


def _merged(
    text: str, fit: Sequence[tuple[Entry, dict[str, Any]]], stale: set[str]
) -> str:
    rows: Rows = {}
    for reading, row in fit:
        rows.setdefault(reading.content["corner"], []).append(row)
    return merged(text, rows, stale)


def _fault(text: str) -> str:
    """Return what is wrong with a car file, in its first sentence."""
    from splinewise.car.file import read_car

    try:
        read_car(text)
    except CarFileError as error:
        return error.faults[0].why
    return ""
