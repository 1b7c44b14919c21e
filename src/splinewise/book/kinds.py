"""What each kind of entry says, field by field, and the words of its help."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from splinewise.book.amounts import Places, Quantity, Repeats
from splinewise.book.fields import (
    Choice,
    Count,
    Day,
    Door,
    Line,
    Lines,
    Made,
    Words,
)
from splinewise.book.typed import DISTANCE
from splinewise.errors import BookError, TextError

__all__ = [
    "FORMAT",
    "KINDS",
    "OCCASIONS",
    "STATES",
    "Field",
    "as_typed",
    "faults",
    "from_typed",
]

FORMAT: Final = 1
"""The format of entries that this program writes.  One that adds a field adds one to it."""

OCCASIONS: Final = ("as found", "bench", "on its wheels", "alignment", "sign-off")
STATES: Final = ("bare arm", "hanging", "standing")


class Field(NamedTuple):
    """One field: how it is read and checked, and what it means."""

    door: Door
    words: str


_SUM = Made("sum")

KINDS: Final[Mapping[str, Mapping[str, Field]]] = MappingProxyType(
    {
        "car": {
            "name": Field(Line(needed=True), "What the car is called."),
            "text": Field(_SUM, "SHA-256 of the car file's text, word for word."),
        },
        "visit": {
            "occasion": Field(Choice(OCCASIONS), "What the visit is for."),
            "date": Field(Day(needed=True), "When it was."),
            "odometer": Field(Quantity(DISTANCE), "What the odometer shows."),
            "floor": Field(Words(), "The floor, in words."),
            "floor_heights": Field(
                Places(("length",)), "Height of the floor under each tyre."
            ),
            "fuel": Field(Line(), "What is in the tank."),
            "people": Field(Lines(), "Who sits where, and how heavy; luggage too."),
            "tyres": Field(Line(), "Make-up and size of the tyres."),
            "pressures": Field(Places(("pressure",)), "Pressure of each tyre."),
            "temperature": Field(Quantity(("temperature",)), "How warm it is."),
            "words": Field(Words(), "Anything else."),
        },
        "reading": {
            "corner": Field(Line(), "Which corner, as the car file calls it."),
            "of": Field(Line(needed=True), "What was read, as the car file calls it."),
            "values": Field(Repeats(), "As read, with its unit; each repeat in turn."),
            "state": Field(Choice(("", *STATES)), "How the car was then."),
            "instrument": Field(Line(), "What it was read with."),
            "taken": Field(Day(), "When it was read, if not on the visit's day."),
            "of_gap": Field(Line(), "For a gap: the dimension whose gauge stays open."),
            "gauge": Field(Quantity(("length",)), "For a gap: the gauge's centres."),
            "opens": Field(
                Choice(("", "low", "high")), "For a gap: where the arm hangs."
            ),
            "words": Field(Words(), "Anything else."),
        },
        "move": {
            "corner": Field(Line(needed=True), "Which corner."),
            "arm_teeth": Field(Count(), "Teeth at the arm end, + toward bump."),
            "anchor_teeth": Field(Count(), "Teeth at the anchor, + toward bump."),
            "adjuster": Field(
                Quantity(("turns", "length", "number")),
                "Turns, length along the slot or holes of the adjuster.",
            ),
            "shims": Field(Places(("length",)), "Shims put in (+) or out (-)."),
            "rods": Field(
                Places(("turns", "length")), "Turns of each rod, + is longer."
            ),
            "words": Field(Words(), "How it was seen, and anything else."),
        },
        "result": {
            "task": Field(Line(needed=True), "The task: plan, gauge, teeth, check."),
            "corner": Field(Line(), "Which corner."),
            "shape": Field(Line(needed=True), "Kind and version of the JSON."),
            "result": Field(Made("json"), "The JSON as it was shown."),
            "shown": Field(Made("text", needed=False), "The words as shown."),
            "inputs": Field(Made("json"), "What was asked, as typed."),
            "text": Field(_SUM, "SHA-256 of the car text that it came from."),
            "version": Field(Line(needed=True), "The car's entry that it builds on."),
            "program": Field(Line(needed=True), "Version of splinewise."),
            "file": Field(Made("sum", needed=False), "SHA-256 of the printed sheet."),
        },
        "photo": {
            "name": Field(Line(needed=True), "Name of the file."),
            "form": Field(Choice(("jpeg", "png", "other")), "What it is."),
            "file": Field(_SUM, "SHA-256 of what is kept."),
            "taken_out": Field(Lines(), "What was taken out of it."),
            "corner": Field(Line(), "Which corner it shows."),
            "taken": Field(Day(), "When it was taken."),
            "words": Field(Words(), "What it shows."),
        },
        "note": {"words": Field(Words(needed=True), "The note.")},
        "strike": {
            "scope": Field(
                Choice(("entry", "thing")),
                "Whether that entry alone, or the thing that it is the last word of.",
            )
        },
    }
)


def from_typed(
    kind: str,
    given: Mapping[str, Sequence[str]],
    made: Mapping[str, Any] = MappingProxyType({}),
) -> dict[str, Any]:
    """Return the content of an entry from what was typed.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    given : mapping of str to sequence of str
        Texts by field; a field left out is empty.
    made : mapping
        Values of the fields that no person types.

    Returns
    -------
    dict
        A value for every field of the kind, in its order.

    Raises
    ------
    BookError
        If a text cannot be read, naming its field.
    """
    fields = KINDS[kind]
    unknown = [name for name in given if name not in fields]
    if unknown:
        known = ", ".join(fields)
        msg = f"A {kind} has no field {unknown[0]!r}. It has: {known}."
        raise BookError(msg)
    content: dict[str, Any] = {}
    for name, field in fields.items():
        if name in made:
            content[name] = made[name]
            continue
        door = field.door
        if isinstance(door, Repeats):
            door = Repeats(str(content.get("of", "")))
        try:
            content[name] = door.read(list(given.get(name, ())))
        except (BookError, TextError) as error:
            msg = f"{name}: {error}"
            raise BookError(msg) from error
    return content


def as_typed(kind: str, content: Mapping[str, Any]) -> dict[str, list[str]]:
    """Return an entry's content as it would be typed.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    content : mapping
        A value for every field.

    Returns
    -------
    dict
        Texts by field, those that say something.
    """
    told = {n: f.door.texts(content[n]) for n, f in KINDS[kind].items()}
    return {name: texts for name, texts in told.items() if texts}


def faults(kind: str, content: Mapping[str, Any]) -> list[str]:
    """Return what is wrong with an entry's content, field by field.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    content : mapping
        What claims to be its content.

    Returns
    -------
    list of str
        Sentences; empty if it is sound.
    """
    fields = KINDS[kind]
    if list(content) != list(fields):
        return [f"a {kind} must have {', '.join(fields) or 'no field'}, in this order"]
    told = ((name, field.door.fault(content[name])) for name, field in fields.items())
    found = [f"{name} {fault}" for name, fault in told if fault]
    if kind == "move" and not found and not any(_moved(content)):
        found.append("nothing is said to have been moved")
    return found


def _moved(content: Mapping[str, Any]) -> list[Any]:
    return [v for k, v in content.items() if k not in ("corner", "words")]
