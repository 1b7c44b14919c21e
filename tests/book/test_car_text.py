"""A car's file with what was read written into it: what goes in, what stays out."""

import dataclasses
import math
import tomllib

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from bookkit import reading_of
from splinewise.book.car_text import car_text
from splinewise.book.merging import merged, row_of
from splinewise.book.new import amended, car_entry, entered, struck
from splinewise.book.store import Book
from splinewise.car.demos import demo_text
from splinewise.car.file import read_car
from splinewise.errors import BookError
from splinewise.tasks.doubts import standard_doubt

NAME = "Larkspur tourer"
LEFT, RIGHT = "front-left", "front-right"
INCH = 0.0254


@pytest.fixture
def book(tmp_path):
    """Return a book with the invented tourer and a visit."""
    text = demo_text("tourer").encode()
    with Book.create(tmp_path / "a.book") as book:
        book.db.execute("PRAGMA synchronous = OFF")
        car = book.add(car_entry(text), kept=[text])
        book.visit = begin_visit(book, car)
        book.car = car
        yield book


def begin_visit(book, car, date="2024-05-18"):
    given = {"occasion": ["as found"], "date": [date]}
    return book.add(entered("visit", car.car, given))


def read(book, value, of="setting length", visit=None, **more):
    given = {"corner": LEFT, "state": "bare arm"} | more
    return book.add(reading_of(visit or book.visit, value, of, **given))


def moved(book, corner=LEFT, **what):
    given = {"corner": [corner], **{name: [text] for name, text in what.items()}}
    return book.add(entered("move", book.car.car, given, visit=book.visit.uid))


def seen(told, corner=LEFT):
    """Return what the tasks see as read at a corner: what, in which state, value."""
    return [
        (r.of, r.state, round(r.figure.value / INCH, 4))
        for r in read_car(told.text).corners[corner].readings
    ]


AS_FOUND = [
    ("setting length", "bare arm", 18.5938),
    ("check dimension", "bare arm", 21.6094),
    ("ride height", "standing", 16.625),
]


def test_without_readings_the_file_comes_out_word_for_word(book):
    told = car_text(book, NAME)

    assert told.text == demo_text("tourer")
    assert (told.version, told.readings, told.left_out) == (book.car, (), ())


def test_a_reading_takes_the_place_of_the_file_s_own(book):
    """The same thing in the same state; all else in the file stays as it is."""
    entry = read(book, "18 5/8 in", instrument="tape-2")
    told = car_text(book, NAME)

    assert told.readings == (entry,)
    assert sorted(seen(told)) == sorted(
        [*AS_FOUND[1:], ("setting length", "bare arm", 18.625)]
    )
    # The right corner mirrors the left, and yet nothing read on the left is its own.
    assert seen(told, RIGHT) == seen(car_text(book, NAME), RIGHT)
    (ours,) = [
        r
        for r in read_car(told.text).corners[LEFT].readings
        if r.of == "setting length"
    ]
    assert (ours.instrument, ours.taken, ours.figure.text) == (
        "tape-2",
        "2024-05-18",
        "18 5/8 in",
    )
    assert "# " in told.text
    for line in demo_text("tourer").splitlines():
        if "reading" not in line and "#" in line:
            assert line in told.text


def test_a_reading_of_another_thing_or_state_stands_beside_the_file_s_own(book):
    read(book, "-30 1/4 deg", of="arm slope")
    read(book, "16 1/2 in", of="ride height", state="standing", corner=RIGHT)
    told = car_text(book, NAME)

    assert len(seen(told)) == 4
    assert ("ride height", "standing", 16.5) in seen(told, RIGHT)


def test_only_the_latest_visit_counts(book):
    read(book, "18 5/8 in")
    later = begin_visit(book, book.car, "2024-06-01")
    assert seen(car_text(book, NAME)) == AS_FOUND

    read(book, "18 11/16 in", visit=later)
    assert ("setting length", "bare arm", 18.6875) in seen(car_text(book, NAME))

    book.add(struck(later, why="that was a dream"))
    assert ("setting length", "bare arm", 18.625) in seen(car_text(book, NAME))


def test_corrections_and_strikes_are_followed(book):
    entry = read(book, "18 5/8 in")
    better = book.add(amended(entry, {"values": ["18 3/4 in"]}, why="misread"))
    assert ("setting length", "bare arm", 18.75) in seen(car_text(book, NAME))

    book.add(struck(better, why="no, it was right"))
    assert ("setting length", "bare arm", 18.625) in seen(car_text(book, NAME))

    book.add(struck(entry, why="the other side"))
    assert seen(car_text(book, NAME)) == AS_FOUND


def test_what_was_read_before_a_move_says_no_more_how_the_car_is(book):
    """Neither the book's readings nor the file's own, until it is read again."""
    read(book, "18 5/8 in")
    move = moved(book, arm_teeth="12", anchor_teeth="-12")
    told = car_text(book, NAME)
    assert seen(told) == []
    assert len(seen(told, RIGHT)) == 3
    assert told.left_out == (
        "setting length at front-left: it was read before the last move there.",
        "The file's own readings at front-left are older than the last move there.",
    )

    read(book, "18 1/2 in")
    assert seen(car_text(book, NAME)) == [("setting length", "bare arm", 18.5)]

    # Correcting the words of the move does not make it later than it was.
    better = book.add(amended(move, {"words": ["by two people"]}, why="said more"))
    assert seen(car_text(book, NAME)) == [("setting length", "bare arm", 18.5)]

    better = book.add(amended(better, {"arm_teeth": ["11"]}, why="counted again"))
    book.add(struck(better, why="it was never done", thing=True))
    assert len(seen(car_text(book, NAME))) == 4


def test_correcting_a_reading_does_not_make_it_later_than_it_was(book):
    entry = read(book, "18 5/8 in")
    moved(book, anchor_teeth="3")
    book.add(amended(entry, {"values": ["18 9/16 in"]}, why="misread"))

    assert seen(car_text(book, NAME)) == []


def test_a_file_kept_after_the_move_is_up_to_date(book):
    moved(book, adjuster="1/8 in")
    (words, *_) = car_text(book, NAME).left_out
    assert words.startswith("The adjuster at front-left was moved after this file")

    text = demo_text("tourer").replace('"Larkspur', '"Larkspur').encode() + b"# now\n"
    book.add(car_entry(text, after=book.car, why="adjuster"), kept=[text])
    told = car_text(book, NAME)
    assert told.left_out == ()
    assert seen(told) == AS_FOUND


def test_shims_and_rods_do_not_touch_the_bar(book):
    read(book, "18 5/8 in")
    moved(book, shims="upper front=1.5 mm", rods="left=1/2 turn")

    assert car_text(book, NAME).left_out == ()


@pytest.mark.parametrize(
    ("of", "value", "more", "why"),
    [
        ("camber", "0.5 deg", {}, "the file has no dimension of that name"),
        ("setting length", "3 in", {}, "out of the arm's reach"),
        ("setting length", "18 in", {"corner": "rear-left"}, "no corner 'rear-left'"),
        ("setting length", "18 in", {"state": ""}, "does not say its corner and state"),
        (
            "setting length",
            "18 in",
            {"corner": ""},
            "does not say its corner and state",
        ),
        ("ride height", "18 in", {}, "With the arm bare there is no ride height"),
        ("gap", "3 mm", {}, "Say whose gauge does not reach"),
    ],
)
def test_what_the_file_cannot_take_is_left_out_and_said(book, of, value, more, why):
    """One reading that does not fit spoils neither the file nor the others."""
    read(book, value, of=of, **more)
    good = read(book, "21 5/8 in", of="check dimension")
    told = car_text(book, NAME)

    assert told.readings == (good,)
    assert ("check dimension", "bare arm", 21.625) in seen(told)
    (sentence,) = told.left_out
    assert why in sentence
    assert of in sentence


def test_a_gap_is_written_with_its_gauge(book):
    read(
        book,
        "3/8 in",
        of="gap",
        of_gap="setting length",
        gauge="18 5/8 in",
        opens="low",
    )
    told = car_text(book, NAME)
    (gap,) = [r for r in read_car(told.text).corners[LEFT].readings if r.of == "gap"]

    assert told.left_out == ()
    assert (gap.of_gap, gap.opens) == ("setting length", "low")
    assert gap.gauge.value == pytest.approx(18.625 * INCH)


def test_a_file_that_cannot_be_read_yet_comes_out_as_it_is(tmp_path):
    """What is not finished is kept, and the one who reads it says what is missing."""
    for text in (b"not toml = = =", b'[car]\nname = "a"\n', b"corner = 3"):
        path = tmp_path / f"{len(text)}.book"
        with Book.create(path) as book:
            car = book.add(car_entry(text, name="a"), kept=[text])
            visit = begin_visit(book, car)
            book.add(reading_of(visit))
            told = car_text(book, "a")

        assert told.text.encode() == text
        assert told.readings == ()
        assert "no reading was put into it" in told.left_out[0]


@pytest.mark.independent
def test_repeats_become_their_mean_with_a_doubt_that_covers_both(book):
    """Own sums: s/√n of the repeats, and the step that each shares, together."""
    values = [18.1875, 18.21875, 18.1875, 18.25]
    read(book, ["18 3/16 in", "18 7/32 in", "18 3/16 in", "18 1/4 in"])
    told = car_text(book, NAME)
    (ours,) = [
        r
        for r in read_car(told.text).corners[LEFT].readings
        if r.of == "setting length"
    ]
    mean = sum(values) / 4
    spread = math.sqrt(sum((v - mean) ** 2 for v in values) / 3)
    step = 0.25  # of "18 1/4 in", the coarsest that was typed
    doubt = math.sqrt((spread / 2) ** 2 + step**2 / 12)

    assert ours.name == "mean of 4, setting length"
    assert ours.figure.value == pytest.approx(mean * INCH, rel=1e-7)
    assert standard_doubt(ours.figure) == pytest.approx(doubt * INCH, rel=1e-6)


def test_what_is_typed_after_plus_minus_goes_before_the_step(book):
    entry = read(book, ["400 mm ± 1", "400 mm ± 2"])
    row = row_of(entry, book.visit)

    assert row["value"] == "400 mm ± 2 mm"


def test_repeats_in_degrees_and_below_zero(book):
    entry = read(book, ["-30.0 deg", "-30.2 deg"], of="arm slope")
    told = car_text(book, NAME)
    (ours,) = [
        r for r in read_car(told.text).corners[LEFT].readings if r.of == "arm slope"
    ]

    assert told.readings == (entry,)
    assert ours.figure.value == pytest.approx(math.radians(-30.1), rel=1e-7)


def test_a_file_with_its_rows_in_one_line_is_served_too(book):
    text = (
        demo_text("tourer").split("[[corner.front-left.reading]]")[0].rstrip()
        + '\n\n[corner.front-right]\nmirror = "front-left"\nreading = [\n'
        '  { of = "setting length", value = "18 1/2 in", state = "bare arm" },\n'
        '  { of = "check dimension", value = "21 1/2 in", state = "bare arm" },\n]\n'
    )
    rows = [{"of": "setting length", "value": "19 in", "state": "bare arm"}]
    whole = tomllib.loads(merged(text, {RIGHT: rows}, set()))["corner"][RIGHT][
        "reading"
    ]
    gone = tomllib.loads(merged(text, {}, {RIGHT}))["corner"][RIGHT]

    assert [row["value"] for row in whole] == ["21 1/2 in", "19 in"]
    assert "reading" not in gone


def test_a_corner_in_one_line_cannot_be_written_into_and_says_so():
    text = 'corner.front-left = { reading = [], name = "a" }\n'
    row = {"of": "gap", "value": "1 mm", "state": "bare arm"}
    with pytest.raises(BookError, match="cannot be written into this file"):
        merged(text, {LEFT: [row]}, set())


words = st.text(
    st.characters(codec="utf-8", categories=["L", "N", "P", "S"]), min_size=1
)
rows = st.lists(
    st.fixed_dictionaries(
        {
            "of": st.sampled_from(["a", "b", "ride height"]) | words,
            "value": words,
            "state": st.sampled_from(["bare arm", "standing"]),
        },
        optional={"by": words, "taken": words},
    ),
    max_size=4,
)


@given(
    own=st.dictionaries(st.sampled_from([LEFT, RIGHT, "rear-left"]), rows, min_size=1),
    new=st.data(),
)
def test_any_rows_into_any_file(own, new):
    """What comes out says what the file said, less what was replaced, and the new."""
    document = tomlkit.document()
    document["corner"] = {c: {"layout": "x", "reading": r} for c, r in own.items()}
    text = "# first\n" + tomlkit.dumps(document) + "# last\n"
    fresh = {c: r for c in own if (r := new.draw(rows))}
    stale = {c for c in own if new.draw(st.booleans())}
    found = tomllib.loads(merged(text, fresh, stale))["corner"]

    for corner, before in own.items():
        things = {(r["of"], r["state"]) for r in fresh.get(corner, [])}
        kept = [r for r in before if (r["of"], r["state"]) not in things]
        wanted = ([] if corner in stale else kept) + fresh.get(corner, [])
        assert found[corner].get("reading", []) == wanted
        assert found[corner]["layout"] == "x"


def test_an_entry_of_another_day_says_so(book):
    entry = read(book, "18 1/2 in", taken="2024-05-20 14:30")
    assert row_of(entry, book.visit)["taken"] == "2024-05-20 14:30"
    none = dataclasses.replace(entry, content=dict(entry.content) | {"taken": ""})
    assert row_of(none, book.visit)["taken"] == "2024-05-18"
