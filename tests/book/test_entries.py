"""An entry: what it may say, how it is written, and that it stays so."""

import dataclasses
import json
import math
import os

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookkit import CAR, begin, contents, filled, note_content, reading_of, result_of
from splinewise.book.beside import write_whole
from splinewise.book.entries import Entry, checked, new_uid, read_record, record, same
from splinewise.book.kinds import KINDS, as_typed, faults, from_typed
from splinewise.book.new import amended, car_entry, entered, struck
from splinewise.book.queries import entry_named
from splinewise.book.store import Book
from splinewise.book.typed import DISTANCE, typed
from splinewise.errors import BookError, TextError

UID = "0123456789abcdef" * 2


def note(words="seen", **more):
    """Return a note of no car in particular."""
    return Entry("note", UID, note_content(words), **more)


def test_a_record_is_one_line_that_reads_back_as_the_same_entry(tmp_path):
    book, car = filled(tmp_path / "a.book")
    with book:
        entries = book.entries(car)

    assert {e.kind for e in entries} == set(KINDS)
    for entry in entries:
        line = record(entry)
        assert "\n" not in line
        assert read_record(line) == entry
        assert json.loads(line)["format"] == 1


shown = st.text(
    st.characters(codec="utf-8", categories=["L", "N", "P", "S"]), min_size=1
)


@given(shown)
def test_any_text_that_shows_is_kept_word_for_word(words):
    entry = dataclasses.replace(note(words[:500]), step=1)

    assert read_record(record(entry)).content["words"] == words[:500]


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"format": 2}, "its format is '2', and this program knows 1"),
        ({"format": True}, "its format is 'True'"),
        ({"kind": "sermon"}, "its kind must be one of car, visit"),
        ({"kind": None}, "its kind must be one of car, visit"),
        ({"uid": "ABC"}, "uid must be 32 hexadecimal digits"),
        ({"uid": 7}, "uid must be 32 hexadecimal digits"),
        ({"car": "../../etc"}, "car must be 32 hexadecimal digits"),
        ({"visit": ""}, "visit must be 32 hexadecimal digits"),
        ({"step": 0}, "step must be a whole number from 1"),
        ({"step": -1}, "step must be a whole number from 1"),
        ({"step": 1.0}, "step must be a whole number from 1"),
        ({"step": True}, "step must be a whole number from 1"),
        ({"made": "yesterday"}, "made is no time with its distance from UTC"),
        ({"made": "2024-02-30T12:00:00+00:00"}, "made is no time that there is"),
        ({"by": "a\tb"}, "by has a character in it that does not show"),
        ({"why": "because"}, "says why, but not which entry it corrects"),
        ({"amends": UID}, "a correction must say why"),
        ({"words": ""}, "words is missing"),
        ({"words": "\x1b[2J"}, "words has a character in it that does not show"),
        ({"words": ["a"]}, "words must be text; got list"),
        ({"words": "a" * 20_001}, "words is 20001 characters long"),
        ({"more": 1}, "a note must have words, in this order"),
    ],
)
def test_what_is_no_entry_is_refused_in_a_sentence(change, why):
    whole = json.loads(record(dataclasses.replace(note(), step=1))) | change

    with pytest.raises(BookError, match=why):
        read_record(json.dumps(whole, ensure_ascii=False, separators=(",", ":")))


@pytest.mark.parametrize(
    "line",
    [
        "",
        "[]",
        "null",
        "{}",
        "{",
        '{"format":1}',
        "9" * 5000,
        "[" * 100_000,
    ],
)
def test_what_is_no_record_at_all_is_refused(line):
    with pytest.raises(
        BookError, match=r"An entry (is no JSON|must begin with format)"
    ):
        read_record(line)


def test_a_record_written_in_another_way_is_refused():
    """Else one entry could have two checksums, or two keys of one name."""
    line = record(dataclasses.replace(note(), step=1))
    for other in (
        line.replace('","', '", "'),
        line.replace('"seen"', '"see\\u006e"'),
        line.replace('"step":1', '"step":1,"step":1'),
    ):
        assert json.loads(other) == json.loads(line)
        with pytest.raises(BookError, match="not written as a book writes it"):
            read_record(other)


@pytest.mark.parametrize("value", [math.nan, math.inf, "0.4", None, True])
def test_a_quantity_that_is_no_number_is_refused(value):
    good = typed("15 5/8 in", ("length",))
    content = from_typed("reading", {"of": ["gap"], "values": ["1 mm"]})

    assert faults("reading", content | {"values": [good]}) == []
    for key in ("value", "step"):
        bad = content | {"values": [good | {key: value}]}
        assert faults("reading", bad) == [f"values must have a number as its {key}"]


@pytest.mark.parametrize(
    ("kind", "given", "why"),
    [
        (
            "visit",
            {"occasion": ["party"]},
            "occasion: 'party' must be one of 'as found'",
        ),
        (
            "visit",
            {"occasion": ["bench"]},
            "date: '' is missing; write it as 2024-05-18",
        ),
        ("visit", {"occasion": ["bench"], "date": ["18.5.24"]}, "date: .* is no date"),
        (
            "visit",
            {"occasion": ["bench"], "date": ["2024-02-30"]},
            "date: .* is no day that there is",
        ),
        (
            "visit",
            {"occasion": ["bench"], "date": ["2024-05-18", "2024-05-19"]},
            "once",
        ),
        (
            "visit",
            {"occasion": ["bench"], "date": ["2024-05-18"], "odometer": ["84312"]},
            "odometer: '84312' is no distance .* Write 84312 mi or 135689 km",
        ),
        (
            "visit",
            {"occasion": ["bench"], "date": ["2024-05-18"], "pressures": ["26 psi"]},
            "pressures: '26 psi' names no place",
        ),
        (
            "visit",
            {"occasion": ["bench"], "date": ["2024-05-18"], "pressures": ["a=1 mm"]},
            "pressures: 1 mm is a length; a pressure",
        ),
        ("reading", {"of": ["gap"]}, "values: What was read is missing"),
        ("reading", {"values": ["12"]}, "values: 12 has no unit"),
        ("reading", {"values": ["15 5/7 in"]}, "Did you mean 15 5/8 in"),
        (
            "reading",
            {"of": ["toe"], "values": ["1 mm", "1 deg"]},
            "more than one kind of quantity",
        ),
        (
            "reading",
            {"of": ["camber"], "values": ["5 mm"]},
            "5 mm is a length; an angle",
        ),
        ("move", {"corner": ["a"], "arm_teeth": ["1.5"]}, "'1.5' is no whole number"),
        ("note", {"text": ["a"]}, "A note has no field 'text'. It has: words"),
        (
            "photo",
            {"name": ["a"], "form": ["png"]},
            "file: This is made by the program",
        ),
    ],
)
def test_what_cannot_be_read_is_said_with_its_field(kind, given, why):
    with pytest.raises(BookError, match=why):
        from_typed(kind, given)


def test_a_move_of_nothing_is_no_move():
    content = from_typed("move", {"corner": ["front-left"], "words": ["looked at it"]})
    entry = Entry("move", UID, content, visit="f" * 32)

    with pytest.raises(BookError, match="nothing is said to have been moved"):
        checked(entry)


@pytest.mark.parametrize(
    ("text", "metres", "step"),
    [
        ("84312 mi", 84312 * 1609.344, 1609.344),
        ("84312 miles", 84312 * 1609.344, 1609.344),
        ("135689 km", 135_689_000.0, 1000.0),
        ("135689.4km", 135_689_400.0, 100.0),
        ("135689,4 KM", 135_689_400.0, 100.0),
        ("0 km", 0.0, 1000.0),
    ],
)
def test_an_odometer_is_read_in_miles_and_kilometres(text, metres, step):
    """The mile of 1609.344 m: exact, by the yard and pound agreement of 1959."""
    read = typed(text, DISTANCE)

    assert read["value"] == pytest.approx(metres, rel=1e-15)
    assert read["step"] == pytest.approx(step, rel=1e-15)
    assert (read["text"], read["unit"]) == (text, "m")


@pytest.mark.parametrize("text", ["", "km", "12,345.6 mi", "-4 km", "12 m", "1e5 km"])
def test_what_no_odometer_shows_is_refused(text):
    with pytest.raises(TextError, match="no distance as an odometer shows it"):
        typed(text, DISTANCE)


def test_a_kind_is_known_by_what_is_read():
    """30' of camber is half a degree, and of a length thirty feet."""
    arc = from_typed("reading", {"of": ["camber"], "values": ["30'"]})["values"][0]
    feet = from_typed("reading", {"of": ["wheelbase"], "values": ["30'"]})["values"][0]

    assert (arc["unit"], arc["value"]) == ("rad", pytest.approx(math.radians(0.5)))
    assert (feet["unit"], feet["value"]) == ("m", pytest.approx(30 * 0.3048))


def test_what_was_typed_comes_back_as_typed(tmp_path):
    book, car = filled(tmp_path / "a.book")
    with book:
        for entry in book.entries(car):
            if entry.kind in ("visit", "reading", "move", "note"):
                told = as_typed(entry.kind, entry.content)
                assert from_typed(entry.kind, told) == entry.content


def test_an_entry_gets_the_next_step_whatever_the_clock_says(tmp_path):
    """A clock that was set back changes the time that is written, not the order."""
    with Book.create(tmp_path / "a.book") as book:
        _, visit = begin(book)
        first = book.add(reading_of(visit, "1 mm"))
        late = dataclasses.replace(
            reading_of(visit, "2 mm"), made="1999-12-31T23:59:59+13:45"
        )
        second = book.add(late)
        entries = book.entries(visit.car)

    assert entries[-2:] == [first, second]
    assert second.moment < first.moment
    assert [e.step for e in entries] == [1, 2, 3, 4]


def test_entering_twice_is_harmless(tmp_path):
    """The same entry under the same identifier goes in once, at any later time."""
    with Book.create(tmp_path / "a.book") as book:
        car, visit = begin(book)
        entry = reading_of(visit)
        first = book.add(entry)
        later = dataclasses.replace(entry, made="2031-01-01T00:00:00+00:00")

        assert same(first, later)
        assert book.add(entry) == book.add(later) == book.add(first) == first
        assert book.add(car, kept=[CAR.encode()]) == car
        assert len(book.entries(visit.car)) == 3


def test_what_another_may_not_have_waited_for_is_waited_for(tmp_path, monkeypatch):
    """Who wrote it first may have died before the journal's end was on the disk."""
    waited = []
    monkeypatch.setattr("splinewise.book.store.sync_folder", waited.append)
    with Book.create(tmp_path / "a.book") as book:
        _, visit = begin(book)
        entry = book.add(reading_of(visit))
        assert waited == []
        book.add(entry)

    assert waited == [tmp_path]


def test_a_file_beside_the_book_is_on_the_disk_before_it_has_its_name(
    tmp_path, monkeypatch
):
    """The order of what is asked of the system: write, wait, name."""
    deeds = []

    def note(name, real):
        def deed(*words):
            deeds.append(name)
            return real(*words)

        return deed

    for name in ("fsync", "link"):
        monkeypatch.setattr(f"os.{name}", note(name, getattr(os, name)))
    write_whole(tmp_path / "a", b"content")

    assert deeds[:2] == ["fsync", "link"]
    assert (tmp_path / "a").read_bytes() == b"content"
    assert list(tmp_path.iterdir()) == [tmp_path / "a"]


def test_another_entry_under_a_known_identifier_is_refused(tmp_path):
    with Book.create(tmp_path / "a.book") as book:
        _, visit = begin(book)
        first = book.add(reading_of(visit, "1 mm"))
        before = contents(book)
        other = dataclasses.replace(reading_of(visit, "2 mm"), uid=first.uid)

        with pytest.raises(BookError, match="has another entry under the identifier"):
            book.add(other)
        assert contents(book) == before


def test_an_entry_may_only_name_what_is_there_and_fits(tmp_path):
    with Book.create(tmp_path / "a.book") as book:
        car, visit = begin(book)
        other, _ = begin(book, name="green saloon")
        read = book.add(reading_of(visit))
        before = contents(book)
        lost = new_uid()
        wrong = {
            "no car": Entry("note", lost, note_content("a")),
            "no entry": dataclasses.replace(reading_of(visit), visit=lost),
            "and must be a visit": dataclasses.replace(
                reading_of(visit), visit=read.uid
            ),
            "has no entry": dataclasses.replace(reading_of(visit), car=other.car),
            "and must be a note": Entry(
                "note", visit.car, note_content("a"), amends=read.uid, why="b"
            ),
            "was not given with it": car_entry(b"[car]", name="x", after=car, why="y"),
            "a new version must name": dataclasses.replace(
                car_entry(CAR.encode()), car=car.car
            ),
            "are missing that came before": dataclasses.replace(
                reading_of(visit), step=17
            ),
            "which came after it": dataclasses.replace(reading_of(visit), step=2),
        }
        for why, entry in wrong.items():
            with pytest.raises(BookError, match=why):
                book.add(entry)
        assert contents(book) == before


def test_what_is_kept_is_kept_once_and_to_a_limit(tmp_path, monkeypatch):
    with Book.create(tmp_path / "a.book") as book:
        car, visit = begin(book)
        text = CAR.encode()
        book.add(result_of(car, visit, text), kept=[text, b"named by nobody"])
        assert book.db.execute("SELECT size FROM kept").fetchall() == [(len(text),)]

        monkeypatch.setattr("splinewise.book.writing.LARGEST", 10)
        with pytest.raises(BookError, match=r"has 12 bytes; from 1 to 10 can be"):
            book.add(
                car_entry(b"[car] #twice", name="x", after=car, why="y"),
                kept=[b"[car] #twice"],
            )


def test_corrections_name_the_old_one_and_why(tmp_path):
    with Book.create(tmp_path / "a.book") as book:
        car, visit = begin(book)
        read = book.add(reading_of(visit, words="by torchlight"))
        with pytest.raises(BookError, match="Say why"):
            amended(read, {"values": ["1 mm"]}, why=" ")
        with pytest.raises(BookError, match="Nothing would change"):
            amended(read, {"values": ["15 5/8 in"]}, why="none")
        for entry in (car, struck(read, why="a"), result_of(car, visit, b"a")):
            with pytest.raises(BookError, match=r"new version|Strike it|be struck"):
                amended(entry, {}, why="a")
        book.add(amended(read, {"values": ["1 mm"], "words": []}, why="misread"))
        old, new = book.entries(visit.car)[-2:]

    assert old == read
    assert (new.amends, new.why) == (read.uid, "misread")
    assert (new.content["values"][0]["text"], new.content["words"]) == ("1 mm", "")
    assert new.content["corner"] == "front-left"


def test_an_entry_is_found_by_the_beginning_of_its_identifier(tmp_path):
    with Book.create(tmp_path / "a.book") as book:
        _, visit = begin(book)
        for digit in "ab":
            book.add(
                dataclasses.replace(
                    reading_of(visit), uid=f"00000000{digit}" + "0" * 23
                )
            )
        assert entry_named(book, f" {visit.uid[:6].upper()} ") == visit
        assert entry_named(book, "00000000a").uid.startswith("00000000a0")
        for start, why in (
            ("0000", r"More than one entry begins with 0000: 00000000a000 \(reading\)"),
            ("12", "names no entry. Write at least 4"),
            ("zzzz", "names no entry"),
            ("ffffffffffff", "The book has no entry ffffffffffff"),
        ):
            with pytest.raises(BookError, match=why):
                entry_named(book, start)


def test_entered_returns_what_can_be_entered():
    entry = entered("note", UID, {"words": ["a", "b"]}, by="me", uid=UID)

    assert entry.content == {"words": "a\nb"}
    assert (entry.by, entry.uid, entry.step) == ("me", UID, 0)
