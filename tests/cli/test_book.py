"""The record book on the command line: a season with one car, and all that goes wrong."""

import json
import re
import shutil
import subprocess
import sys

import click
import pytest

from bookkit import JPEG
from commands import at, run, start
from splinewise.book.kinds import KINDS
from splinewise.book.store import Book
from splinewise.car.demos import demo_text
from splinewise.cli import book as commands
from splinewise.cli.keeping import keep_result, open_book_car
from splinewise.cli.terminal import WIDTH, wide
from splinewise.errors import BookError
from splinewise.tasks.check import check
from splinewise.tasks.plan import plan

CAR = "Larkspur tourer"


@pytest.fixture(autouse=True)
def place(tmp_path, monkeypatch):
    """Give the test a place of its own for the book, and stand in it."""
    monkeypatch.setenv("SPLINEWISE_BOOK", "a.book")
    with at(tmp_path):
        yield tmp_path


def book(*words, code=0):
    """Run a command of the book; return what it printed."""
    done = run("book", *words)
    assert done.code == code, done.err + done.out
    assert "Traceback" not in done.err
    for line in (done.out + done.err).splitlines():
        # What is kept word for word, and paths, are as wide as they are.
        assert wide(line) <= WIDTH or "--json" in words or words[0] in ("text", "entry")
    return done.out


def data(*words, code=0):
    """Run a command with --json; return its data."""
    return json.loads(book(*words, "--json", code=code))


def refused(*words):
    """Run a command that is to be refused; return the sentence, on one line."""
    done = run("book", *words)
    assert (done.code, done.out) == (2, "")
    return " ".join(done.err.split())


@pytest.fixture
def season(place):
    """Return the entries of a car that was found, read and moved, by what they are."""
    (place / "tourer.toml").write_text(demo_text("tourer"), "utf-8")
    (place / "left.jpg").write_bytes(JPEG)
    book("create")
    found = {"car": data("add-car", "tourer.toml", "--by", "me")}
    found["visit"] = data(
        *("visit", CAR, "as found", "--date", "2024-05-18", "--odometer", "84312 mi"),
        *("--floor", "level within 2 mm", "--floor-height", "front-left=3 mm"),
        *(
            "--fuel",
            "half a tank",
            "--people",
            "driver 78 kg",
            "--people",
            "no luggage",
        ),
        *("--tyres", "165 R 15", "--pressure", "front-left=26 psi"),
        *("--pressure", "front-right=26 psi", "--temperature", "18 °C", "--by", "me"),
    )
    found["reading"] = data(
        *("reading", CAR, "setting length", "18 5/8 in", "18 21/32 in"),
        *("--corner", "front-left", "--state", "bare arm", "--instrument", "tape-2"),
    )
    found["note"] = data("note", CAR, "Two paint marks on the left bar")
    found["photo"] = data("photo", CAR, "left.jpg", "--corner", "front-left")
    return found


def test_a_season_is_in_the_book_as_it_was_typed(season):
    visit, reading = season["visit"], season["reading"]

    assert visit["people"] == ["driver 78 kg", "no luggage"]
    assert visit["pressures"]["front-right"]["text"] == "26 psi"
    assert visit["pressures"]["front-right"]["value"] == pytest.approx(179263.6836)
    assert visit["temperature"]["value"] == pytest.approx(291.15)
    assert (visit["fuel"], visit["by"], visit["date"]) == (
        "half a tank",
        "me",
        "2024-05-18",
    )
    assert [one["text"] for one in reading["values"]] == ["18 5/8 in", "18 21/32 in"]
    assert [one["value"] for one in reading["values"]] == pytest.approx(
        [18.625 * 0.0254, 18.65625 * 0.0254]
    )
    assert reading["visit"] == season["note"]["visit"] == visit["uid"]
    for entry in season.values():
        assert entry["schema"] == "splinewise/book-entry/1"
        assert data("entry", entry["uid"][:8]) == entry


def test_what_holds_is_shown_with_its_corrections_followed(season):
    number = season["reading"]["uid"][:8]
    fixed = data("amend", number, "--why", "misread", "--set", "values=18 9/16 in")
    shown = book("show", CAR)
    assert "18 9/16 in" in shown
    assert "18 5/8 in" not in shown

    # The number of the first stands for what holds of it now.
    again = data("amend", number, "--why", "and again", "--set", "values=18 1/2 in")
    assert again["amends"] == fixed["uid"]

    history = data("history", CAR)
    told = history["entries"]
    assert history["car"]["entries"] == len(told)
    becomes = {e["uid"]: e["becomes"] for e in told}
    assert [e["step"] for e in told] == [1, 2, 3, 4, 5, 6, 7]
    assert becomes[season["reading"]["uid"]] == becomes[fixed["uid"]] == "corrected"
    assert becomes[again["uid"]] == "holds"

    book("amend", number, "--why", "the other car", "--strike")
    assert "18 1/2 in" not in book("show", CAR)
    assert "struck" in book("history", CAR)
    strike = data("history", CAR)["entries"][-1]
    book("amend", strike["uid"][:10], "--why", "no, this car", "--strike")
    assert "18 1/2 in" in book("show", CAR)


def test_one_correction_of_several_is_struck_by_its_own_number(season):
    number = season["note"]["uid"][:8]
    fixed = data(
        "amend", number, "--why", "counted", "--set", "words=Three paint marks"
    )
    book("amend", fixed["uid"][:8], "--why", "there are two", "--strike")

    assert "Two paint marks on the left bar" in book("show", CAR)


def test_everything_typed_twice_with_its_identifier_is_there_once(season, place):
    """As after a failure whose outcome nobody knows: each command run again."""
    uids = [f"{n:032x}" for n in range(1, 10)]
    (place / "b.toml").write_text('[car]\nname = "b"\n')
    (place / "c.toml").write_text('[car]\nname = "b"\n# more\n')
    deeds = [
        ("add-car", "b.toml"),
        ("revise", "b", "c.toml", "--why", "more"),
        ("visit", "b", "bench"),
        ("reading", "b", "camber", "30'"),
        ("move", "b", "front-left", "--arm-teeth", "3"),
        ("note", "b", "seen"),
        ("photo", "b", "left.jpg"),
        ("amend", uids[5], "--why", "w", "--set", "words=looked at"),
        ("amend", uids[5], "--why", "w", "--strike"),
    ]
    for words, uid in zip(deeds, uids, strict=True):
        first = data(*words, "--uid", uid)
        assert data(*words, "--uid", uid) == first
        assert first["uid"] == uid

    assert [e["uid"] for e in data("history", "b")["entries"]] == uids
    assert "has another entry under the identifier" in refused(
        "note", "b", "something else", "--uid", uids[5]
    )


def test_a_file_and_its_versions_come_out_word_for_word(season, place):
    newer = demo_text("tourer") + "# the bar was measured\n"
    (place / "newer.toml").write_bytes(newer.encode())
    revised = data("revise", CAR, "newer.toml", "--why", "bar measured", "--by", "me")
    number = revised["uid"][:8]

    assert book("text", CAR) == newer
    assert book("text", CAR, "--version", season["car"]["uid"]) == demo_text("tourer")
    diff = book("entry", number)
    assert "bar measured" in diff
    assert "\n+# the bar was measured\n" in diff
    assert "word for word" in refused("revise", CAR, "newer.toml", "--why", "none")
    assert "is a visit, and no version" in refused(
        "text", CAR, "--version", season["visit"]["uid"]
    )


def test_a_file_that_is_not_finished_is_kept_and_it_is_said(place):
    book("create")
    (place / "b.toml").write_text('[car]\nname = "b"\nunits = "furlong"\n')
    said = book("add-car", "b.toml")

    assert "It is kept, though" in said
    assert "wrong with it yet" in said
    (place / "c.toml").write_text("nothing yet\n")
    assert "does not say what the car is called" in refused("add-car", "c.toml")
    assert book("add-car", "c.toml", "--name", "c")
    assert [row["name"] for row in data("cars")["cars"]] == ["b", "c"]


def test_a_photo_loses_where_it_was_taken_and_the_file_does_not(season, place):
    exif = b"\xff\xe1\x00\x18Exif\0\0MM\0*\0\0\0\x08GPS here"
    (place / "where.jpg").write_bytes(JPEG[:2] + exif + JPEG[2:])
    said = book("photo", CAR, "where.jpg", "--words", "left bar")

    assert "Left out of it:" in said
    assert b"GPS" in (place / "where.jpg").read_bytes()
    assert b"GPS" not in (place / "a.book").read_bytes()
    assert "byte for byte" in book("photo", CAR, "where.jpg", "--as-it-is", "--beside")
    (kept,) = (place / "a.book.photos").iterdir()
    assert b"GPS" in kept.read_bytes()


def test_out_in_copied_and_looked_over(season, place):
    out = data("export", CAR, "car.zip")
    copied = data("backup", "copy.book")
    assert out["entries"] == 5
    assert copied["bytes"] == (place / "copy.book").stat().st_size
    book("create", "--book", "b.book")
    came = data("import", "car.zip", "--book", "b.book")
    assert (len(came["new"]), came["known"], came["disputed"]) == (5, 0, [])
    assert "0 new entries, 5 known" in book("import", "car.zip")
    assert data("history", CAR, "--book", "b.book") == data("history", CAR)
    for name in ("a.book", "b.book", "copy.book"):
        assert "is sound: 5 entries" in book("verify", "--book", name)
    assert "is there already" in refused("export", CAR, "car.zip")


def test_a_damaged_book_says_so_everywhere(season, place):
    content = bytearray((place / "a.book").read_bytes())
    content[content.index(b"Two paint marks")] ^= 1
    (place / "a.book").write_bytes(content)

    for words in (("show", CAR), ("history", CAR), ("export", CAR, "out")):
        assert "The book is damaged" in refused(*words)
    told = data("verify", code=1)
    assert told["sound"] is False
    assert told["faults"] == [
        "Entry 4 is not as it was written.",
        *[f for f in told["faults"] if "gone or changed" in f],
        *[f for f in told["faults"] if "missing in between" in f],
    ]
    assert "is DAMAGED" in book("verify", code=1)


def test_two_books_that_disagree_say_so(season, place):
    number = season["reading"]["uid"][:8]
    shutil.copy(place / "a.book", place / "b.book")
    for name, value in (("a.book", "18 1/2 in"), ("b.book", "18 3/4 in")):
        words = ("--why", f"read at {name}", "--set", f"values={value}")
        book("amend", number, *words, "--book", name)
    book("export", CAR, "b.zip", "--book", "b.book")
    assert f"{number} is disputed now" in book("import", "b.zip")

    shown = book("show", CAR, code=1)
    assert "[disputed]" in shown
    assert "read at b.book" in shown
    assert "It is disputed what" in refused("amend", number, "--why", "w", "--strike")
    for entry in data("show", CAR, code=1)["entries"]:
        if entry["verdict"] == "disputed":
            wrong = next(e for e in entry["holds"] if e["why"] == "read at b.book")
    book("amend", wrong["uid"], "--strike", "--why", "looked again")
    assert "disputed" not in book("show", CAR)


def test_it_is_found_again(season):
    assert "Two paint marks" in book("find", "PAINT")
    assert "18 5/8 in" in book("find", "setting")
    assert CAR in book("find", "larkspur")
    assert data("find", "zebra", code=1)["counts"] == {
        "cars": 0,
        "notes": 0,
        "readings": 0,
    }


def test_what_was_read_reaches_the_tasks_and_their_results_the_book(season, capsys):
    car = open_book_car(CAR)
    corner = car.corners["front-left"]
    assert [r.figure.text for r in corner.readings if r.name.startswith("mean of 2")]
    result = check(car, "front-left")
    (kept,) = keep_result(
        None, car, [result], inputs={}, show=lambda c: click.echo(c.corner)
    )
    again = json.loads(kept.content["result"])

    assert again["readings"]["rows"][-1]["estimate"]["name"].startswith("mean of 2")
    assert kept.visit == season["visit"]["uid"]
    assert data("recheck", CAR)["results"][0]["verdict"] == "agrees"
    assert "1 of 1 kept results come out the same" in book("recheck")
    assert "1 of 1 kept results come out the same" in book("verify")
    assert book("entry", kept.short) == "front-left\n"
    assert data("entry", kept.short)["result"] == again
    assert capsys.readouterr().out == ""


def test_what_stays_out_of_the_tasks_is_said(season, capsys):
    book("move", CAR, "front-left", "--arm-teeth", "12", "--anchor-teeth", "-12")
    book("reading", CAR, "camber", "0.5 deg", "--corner", "front-left")
    car = open_book_car(CAR)
    said = capsys.readouterr().err

    assert car.corners["front-left"].readings == ()
    assert "Left out: setting length at front-left: it was read before" in said
    assert "Left out: camber at front-left: the reading does not say" in said
    done = run("book", "text", CAR, "--with-readings")
    assert done.code == 0
    assert "it was read before the last move there." in " ".join(done.err.split())


def test_a_result_of_a_file_puts_its_car_in_and_each_change_of_the_file(place, capsys):
    """--keep with a plain file: the car, its versions and the results, in one go."""
    from splinewise.car.file import load_car

    book("create")
    file = place / "tourer.toml"
    for more in ("", "# more\n", ""):
        file.write_text(demo_text("tourer") + more, "utf-8")
        car = load_car(file)
        keep_result(None, car, [plan(car, "left")], inputs={})
    said = capsys.readouterr().err
    (row,) = data("cars")["cars"]
    versions = [
        e["version"] for e in data("history", CAR)["entries"] if e["kind"] == "result"
    ]

    assert (row["versions"], row["entries"]) == (2, 5)
    assert said.count("Put Larkspur tourer into the book") == 1
    assert said.count("as a new version") == 1
    assert versions[0] == versions[2] != versions[1]


def test_a_result_whose_car_is_named_twice_is_not_guessed_at(season, place):
    book("add-car", "tourer.toml", "--name", "b")
    with Book(place / "a.book") as other:
        entry = next(e for e in other.entries(season["car"]["car"]) if e.kind == "car")
        text = other.kept(entry.sums[0])
        from splinewise.book.new import car_entry

        other.add(car_entry(text), kept=[text])
    car = open_book_car(season["car"]["car"][:8])
    result = check(car, "left")
    assert keep_result(None, car, [result], inputs={})
    from splinewise.car.demos import load_demo

    with pytest.raises(BookError, match="more than one car called"):
        keep_result(None, load_demo("tourer"), [result], inputs={})


BAD = [
    (("cars", "--book", "none.book"), "There is no book at none.book. Say where it is"),
    (("create",), "is there already"),
    (("creat",), "There is no command 'creat' for a book. Did you mean 'create'?"),
    (("add-car", "none.toml"), "none.toml cannot be read: No such file"),
    (("add-car", "tourer.toml"), "has a car 'Larkspur tourer' already"),
    (("revise", CAR, "left.jpg", "--why", "w"), "not UTF-8 text"),
    (("show", "zebra"), "The book has no car 'zebra'. It has: Larkspur tourer."),
    (("visit", CAR, "party"), "'party' is not one of 'as found', 'bench'"),
    (("visit", CAR, "bench", "--date", "18.5."), "date: '18.5.' is no date"),
    (("visit", CAR, "bench", "--temperature", "18"), "temperature: 18 has no unit"),
    (("reading", CAR, "gap"), "Missing argument 'VALUE...'"),
    (("reading", CAR, "gap", "15"), "values: 15 has no unit"),
    (("reading", CAR, "gap", "3 mm", "--visit", "zz"), "'zz' names no entry"),
    (("move", CAR, "front-left"), "nothing is said to have been moved"),
    (("move", CAR, "front-left", "--rod", "1 turn"), "rods: '1 turn' names no place"),
    (("note", CAR, " "), "words is missing"),
    (("note", CAR, "a", "--uid", "7"), "uid must be 32 hexadecimal digits"),
    (("photo", CAR, "tourer.toml"), "is neither JPEG nor PNG"),
    (("amend", "ffff", "--why", "w", "--strike"), "The book has no entry ffff."),
    (("amend", "ffff", "--why", "w"), "Say either what it should be"),
    (("amend", "ffff", "--why", "w", "--set", "words"), "'words' has no = in it"),
    (("entry", "xy"), "'xy' names no entry"),
    (("import", "tourer.toml"), "is no zip that can be read"),
    (("text", CAR, "--version", "ffff", "--with-readings"), "do not go together"),
]


@pytest.mark.parametrize(("words", "why"), BAD, ids=[" ".join(w) for w, _ in BAD])
def test_what_cannot_be_is_refused_in_a_sentence(season, place, words, why):
    before = (place / "a.book").read_bytes()

    assert why in refused(*words)
    assert (place / "a.book").read_bytes() == before


def test_a_reading_without_a_visit_asks_for_one(place):
    book("create")
    (place / "b.toml").write_text('[car]\nname = "b"\n')
    book("add-car", "b.toml")

    assert "There is no visit of b yet. Begin one" in refused(
        "reading", "b", "gap", "1 mm"
    )
    assert data("note", "b", "a")["visit"] is None


def test_every_field_can_be_typed(season):
    """Each option of the writing commands ends up in the field that it is for."""
    told = data(
        *("reading", CAR, "gap", "3/8 in", "--corner", "front-left", "--of-gap", "a"),
        *(
            "--gauge",
            "18 5/8 in",
            "--opens",
            "low",
            "--state",
            "bare arm",
            "--words",
            "w",
        ),
        *("--taken", "2024-05-19", "--instrument", "rule", "--by", "me"),
        *("--visit", season["visit"]["uid"][:8]),
    )
    assert all(told[name] for name in KINDS["reading"])
    told = data(
        *("move", CAR, "front-left", "--arm-teeth", "3", "--anchor-teeth", "-2"),
        *(
            "--adjuster",
            "1 1/2 turns",
            "--shim",
            "upper=1.5 mm",
            "--rod",
            "left=1/2 turn",
        ),
        *("--words", "seen from the front, clockwise"),
    )
    assert all(told[name] for name in KINDS["move"])
    told = data("visit", CAR, "sign-off", "--words", "done")
    assert told["date"] == told["made"][:10]


def test_every_command_has_help_and_json(season):
    listed = run("book", "--help").out
    for name, (_, _, words) in commands._COMMANDS.items():
        assert f"\n  {name} " in listed
        assert " ".join(words.split()[:3]) in " ".join(listed.split())
        helped = run("book", name, "--help")
        assert helped.code == 0
        assert "--json" in helped.out
        assert "--book PATH" in helped.out


def test_the_words_for_machines_have_a_version(season):
    for words in (
        ("cars",),
        ("show", CAR),
        ("history", CAR),
        ("text", CAR),
        ("verify",),
    ):
        assert re.fullmatch(r"splinewise/book-[a-z]+/1", data(*words)["schema"])


def test_a_book_on_a_stick_is_named_by_an_option(season, place):
    (place / "stick").mkdir()
    shutil.copy(place / "a.book", place / "stick" / "my.book")
    told = book("cars", "--book", place / "stick" / "my.book")

    assert "1 car in" in told


def test_a_small_command_loads_neither_numpy_nor_pydantic():
    """A reading is kept at once: what it does not use is not loaded."""
    script = (
        "import sys, splinewise.book.search, splinewise.book.new, splinewise.book.care,"
        "splinewise.cli.book_write, splinewise.cli.book_look, splinewise.cli.keeping\n"
        "print([m for m in ('numpy', 'scipy', 'pydantic', 'tomlkit') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=False
    )

    assert (done.stdout, done.stderr) == ("[]\n", "")


@pytest.mark.slow
def test_it_runs_as_a_program_of_its_own(season, place):
    done = start("book", "cars", "--json")

    assert done.returncode == 0
    assert json.loads(done.stdout)["cars"][0]["name"] == CAR
