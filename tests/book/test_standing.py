"""What holds once corrections and strikes are followed, also of two devices at once."""

import dataclasses
import functools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookkit import begin, note_content, reading_of
from splinewise.book.car_text import car_text
from splinewise.book.entries import Entry
from splinewise.book.exporting import export
from splinewise.book.importing import import_history
from splinewise.book.new import amended, car_entry, struck
from splinewise.book.queries import cars, history, the_car
from splinewise.book.standing import matters
from splinewise.book.store import Book
from splinewise.errors import BookError

CAR = "c" * 32


def note(name, amends=None, step=1):
    return Entry(
        "note",
        CAR,
        note_content(name),
        uid=f"{name:0>32}",
        amends=None if amends is None else f"{amends:0>32}",
        why="" if amends is None else "wrong",
        step=step,
    )


def strike(name, amends, step=1):
    content = {"scope": "entry"}
    return dataclasses.replace(note(name, amends, step), kind="strike", content=content)


def strike_thing(name, amends, step=1):
    one = strike(name, amends, step)
    return dataclasses.replace(one, content={"scope": "thing"})


def held(*entries):
    """Return the verdict on the only thing among the entries, and what holds of it."""
    (matter,) = matters(entries)
    return matter.verdict, sorted(e.uid.lstrip("0") for e in matter.holds)


def test_an_entry_holds_until_it_is_corrected():
    assert held(note("a")) == ("holds", ["a"])
    assert held(note("a"), note("b", "a")) == ("holds", ["b"])
    assert held(note("a"), note("b", "a"), note("c", "b")) == ("holds", ["c"])


def test_a_strike_leaves_nothing_and_a_struck_strike_all():
    assert held(note("a"), strike("x", "a")) == ("struck", ["x"])
    assert held(note("a"), strike("x", "a"), strike("y", "x")) == ("holds", ["a"])
    both = (note("a"), strike("x", "a"), strike("y", "a"))
    assert held(*both) == ("struck", ["x", "y"])


def test_a_struck_correction_leaves_what_it_corrected():
    entries = (note("a"), note("b", "a"), strike("x", "b"))

    assert held(*entries) == ("holds", ["a"])


def test_a_thing_struck_by_its_last_word_is_gone_with_all_that_was_said():
    entries = (note("a"), note("b", "a"), strike_thing("x", "b"))

    assert held(*entries) == ("struck", ["x"])
    assert held(*entries, strike("y", "x")) == ("holds", ["b"])
    # Who struck it knew of one correction, and not of the other.
    assert held(*entries, note("c", "a")) == ("disputed", ["c", "x"])
    assert held(*entries, note("c", "a"), strike("z", "c")) == ("struck", ["x"])


def test_two_corrections_of_one_entry_are_disputed_until_one_is_struck():
    two = (note("a"), note("b", "a"), note("c", "a"))

    assert held(*two) == ("disputed", ["b", "c"])
    assert held(*two, strike("x", "b")) == ("holds", ["c"])
    assert held(note("a"), note("b", "a"), strike("x", "a")) == ("disputed", ["b", "x"])


def test_what_was_said_is_kept_in_order_beside_other_things():
    told = matters([note("a"), note("z"), note("b", "a"), strike("x", "z")])

    assert [m.first.uid.lstrip("0") for m in told] == ["a", "z"]
    assert [len(m.said) for m in told] == [2, 2]
    assert [m.verdict for m in told] == ["holds", "struck"]


def test_ten_thousand_corrections_in_a_row_are_followed():
    chain = [note("0f")] + [note(f"{n:x}1", f"{n - 1:x}1") for n in range(1, 10_000)]
    chain[1] = note("11", "0f")

    assert matters(chain)[0].holds == (chain[-1],)


@st.composite
def arguments(draw):
    """Draw entries that answer each other at random."""
    entries = [note("a0")]
    for n in range(1, draw(st.integers(1, 12))):
        target = draw(st.sampled_from(entries))
        kinds = [strike] if target.kind == "strike" else [note, strike, strike_thing]
        kind = draw(st.sampled_from(kinds))
        entries.append(kind(f"a{n}", target.uid, n + 1))
    return entries


@pytest.mark.independent
@given(arguments())
def test_what_holds_is_what_the_words_say(entries):
    """Against the words of the rule, followed from the top down for each entry.

    An entry is struck if a strike of it is not itself struck; what holds of it are
    its strikes that are not struck, and what holds of its corrections, less strikes of
    those corrections alone; else itself.
    """

    @functools.cache
    def is_struck(uid):
        strikes = [e for e in entries if e.amends == uid and e.kind == "strike"]
        return any(not is_struck(e.uid) for e in strikes)

    @functools.cache
    def what_holds(uid):
        found = set()
        for e in entries:
            if e.amends == uid and e.kind == "strike" and not is_struck(e.uid):
                found.add(e.uid)
            if e.amends == uid and e.kind == "note":
                lone = {x.uid for x in entries if x.content.get("scope") == "entry"}
                found |= what_holds(e.uid) - lone
        return frozenset(found or {uid})

    (matter,) = matters(entries)

    assert {e.uid for e in matter.holds} == what_holds(entries[0].uid)


def test_two_devices_that_amend_the_same_entry_are_both_heard(tmp_path):
    """Both corrections come together, it is said, and one strike settles it."""
    with Book.create(tmp_path / "laptop.book") as laptop:
        _, visit = begin(laptop)
        read = laptop.add(reading_of(visit, "15 5/8 in"))
        export(laptop, visit.car, tmp_path / "out.zip")
        with Book.create(tmp_path / "phone.book") as phone:
            import_history(phone, tmp_path / "out.zip")
            there = phone.add(amended(read, {"values": ["15 3/8 in"]}, why="misread"))
            export(phone, visit.car, tmp_path / "back.zip")
        here = laptop.add(amended(read, {"values": ["15 7/8 in"]}, why="sum was wrong"))
        assert here.step == there.step

        import_history(laptop, tmp_path / "back.zip")
        told = history(laptop, visit.car)
        (matter,) = told.of_kind("reading")
        assert matter.verdict == "disputed"
        assert sorted(matter.holds, key=lambda e: e.why) == [there, here]
        with pytest.raises(BookError, match=r"It is disputed what .* says"):
            car_text(laptop, "grey tourer")

        laptop.add(struck(there, why="the other edge, looked again"))
        (matter,) = history(laptop, visit.car).of_kind("reading")
        assert (matter.verdict, matter.now) == ("holds", here)


def test_two_devices_that_change_the_file_are_both_heard(tmp_path):
    """Neither version wins in silence."""
    with Book.create(tmp_path / "a.book") as book:
        car, _ = begin(book)
        texts = [
            b'[car]\nname = "grey tourer"\n# one',
            b'[car]\nname = "tourer"\n# two',
        ]
        one, two = (
            book.add(car_entry(text, after=car, why="measured"), kept=[text])
            for text in texts
        )
        (row,) = cars(book)
        assert row.disputed
        assert row.versions == 3
        with pytest.raises(BookError, match="Two devices changed tourer's file"):
            car_text(book, row.uid)

        book.add(struck(one, why="joined by hand"))
        assert car_text(book, "TOURER").version == two

        book.add(struck(two, why="that too"))
        book.add(struck(car, why="and that"))
        with pytest.raises(BookError, match=r"Every version of .* was struck"):
            car_text(book, row.uid)


def test_a_car_is_named_by_name_or_number_and_never_guessed(tmp_path):
    with Book.create(tmp_path / "a.book") as book:
        one, _ = begin(book, name="Grey Tourer")
        with pytest.raises(BookError, match=r"has no car 'green'. It has: Grey Tourer"):
            the_car(book, "green")
        assert the_car(book, "grey tourer").uid == one.car

        two, _ = begin(book, name="grey tourer")
        with pytest.raises(BookError, match="More than one car is meant"):
            the_car(book, "grey tourer")
        assert the_car(book, two.car[:10]).uid == two.car
    with Book.create(tmp_path / "b.book") as book:
        assert cars(book) == []
        with pytest.raises(BookError, match=r"It has: none yet"):
            the_car(book, "grey tourer")
