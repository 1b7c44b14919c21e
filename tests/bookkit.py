"""A small book with an entry of every kind, and how its contents are compared."""

from __future__ import annotations

import functools
import json
import sqlite3
import tempfile
from pathlib import Path

from splinewise.book.entries import Entry, sha256
from splinewise.book.kinds import from_typed
from splinewise.book.new import amended, car_entry, entered, photo_entry, struck
from splinewise.book.photos import photo
from splinewise.book.queries import cars, history
from splinewise.book.store import Book

# An invented car, whose arm and body were taped.
CAR = """\
# An invented car.
format = 1

[car]
name = "grey tourer"
units = "inch"
invented = true

[corner.front-left]
layout = "planar arm"
"""

# The smallest file that goes by the parts of a JPEG: sizes, a scan, an end.
JPEG = (
    b"\xff\xd8"
    b"\xff\xe0\x00\x10JFIF\0\x01\x01\0\0\x01\0\x01\0\0"
    b"\xff\xdb\x00\x05\x00\x01\x02"
    b"\xff\xc0\x00\x0b\x08\0\x01\0\x01\x01\x01\x11\0"
    b"\xff\xda\x00\x08\x01\x01\0\0\x3f\0"
    b"\x12\x34\xff\x00\x56\xff\xd0\x78"
    b"\xff\xd9"
)


def begin(book, name="grey tourer", text=CAR):
    """Put a car and a visit into a book; return the two entries."""
    content = text.encode()
    car = book.add(car_entry(content, name=name, by="me"), kept=[content])
    given = {
        "occasion": ["as found"],
        "date": ["2024-05-18"],
        "odometer": ["84312 mi"],
        "floor": ["level within 2 mm\nnear the door"],
        "pressures": ["front-left=26 psi"],
        "people": ["driver 78 kg"],
        "temperature": ["18 °C"],
    }
    return car, book.add(entered("visit", car.car, given, by="me"))


def reading_of(visit, value="15 5/8 in", of="setting length", **more):
    """Return a reading at the left corner, not yet in a book."""
    given = {
        "of": [of],
        "values": value if isinstance(value, list) else [value],
        "corner": ["front-left"],
        "state": ["bare arm"],
        **{name: [text] for name, text in more.items()},
    }
    return entered("reading", visit.car, given, visit=visit.uid)


def result_of(car, visit, text, **more):
    """Return a kept result of no task that there is, and its text."""
    content = {
        "task": "plan",
        "corner": "front-left",
        "shape": "splinewise/plan/1",
        "result": json.dumps({"car": "grey tourer", "rate": 1975.14791}),
        "shown": "It will stand.\n",
        "inputs": json.dumps({"corner": "front-left"}),
        "text": sha256(text),
        "version": car.uid,
        "program": "0.0.1",
        "file": "",
        **more,
    }
    return Entry("result", car.car, content, visit=visit.uid)


def fill(book):
    """Put an entry of every kind into a book; return the car's identifier."""
    car, visit = begin(book)
    read = book.add(reading_of(visit, ["15 5/8 in", "15 21/32 in"]))
    book.add(amended(read, {"values": ["15 9/16 in"]}, why="wrong edge of the tape"))
    moved = {"corner": ["front-left"], "arm_teeth": ["12"], "shims": ["upper=1.5 mm"]}
    book.add(entered("move", visit.car, moved, visit=visit.uid))
    note = book.add(entered("note", visit.car, {"words": ["Two paint marks ✎"]}))
    book.add(struck(note, why="that was the other car", thing=True))
    kept = photo("left.jpg", JPEG)
    book.add(photo_entry(visit.car, kept, {}), kept=[kept.content])
    text = CAR.encode()
    book.add(result_of(car, visit, text), kept=[text])
    newer = f"{CAR}# bar measured\n".encode()
    book.add(car_entry(newer, after=car, why="bar measured"), kept=[newer])
    return car.car


@functools.cache
def _filled():
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.book"
        with Book.create(path) as book:
            car = fill(book)
        return path.read_bytes(), car


def filled(path):
    """Write a book with an entry of every kind, made once; return it open, its car."""
    content, car = _filled()
    path.write_bytes(content)
    return Book(path), car


def contents(book):
    """Return all that a book holds, in a form that can be compared."""
    return {
        row.uid: (
            row.name,
            [
                (e, [book.kept(sum) for sum in e.sums])
                for e in history(book, row.uid).entries
            ],
        )
        for row in cars(book)
    }


def raw(path):
    """Return the lines of a book and the file's verdict on itself, by SQLite alone."""
    db = sqlite3.connect(path)
    try:
        verdict = db.execute("PRAGMA integrity_check").fetchall()
        rows = db.execute(
            "SELECT entry.record, length(kept.bytes) FROM entry"
            " LEFT JOIN kept ON kept.sum IN (entry.text, entry.file) ORDER BY entry.id"
        ).fetchall()
        tally = db.execute("SELECT entries FROM tally WHERE car = ''").fetchall()
    finally:
        db.close()
    return rows, verdict, tally


def note_content(words):
    """Return the content of a note."""
    return from_typed("note", {"words": [words]})
