"""What is printed: its width, its signs, its JSON and CSV, and the pinned texts."""

import csv
import io
import json
import os
import re
import subprocess
import tomllib
import unicodedata

import jsonschema
import pytest

import cars
from commands import PROGRAM, at, run, start
from pinned_text import GOLDEN, same_as_kept
from splinewise.cli.terminal import clean, cut, wide, wrapped
from splinewise.tasks.schema import schema
from splinewise.tasks.values import KINDS

DEMOS = ("tourer", "van")
PER_CAR = {
    "check": (),
    "readings": (),
    "budget": ("--hole", "17/32 in", "--hole", "17/32 in", "--centres", "0.2 mm"),
    "next": (),
    "prove": (),
    "plan": (),
    "gauge": (),
    "teeth": (),
    "travel": ("--rows", "5"),
}
SHOWN = {
    **{f"demo-{name}": ("demo", name) for name in DEMOS},
    **{
        f"{command}-{name}": (command, f"demo:{name}", *more)
        for command, more in PER_CAR.items()
        for name in DEMOS
    },
    "history-tourer": ("history", "demo:tourer"),
    "plan-tourer-height": ("plan", "demo:tourer", "left", "--height", "14 3/4 in"),
    "plan-van-match": ("plan", "demo:van", "left", "--match", "right"),
    "teeth-tourer-height": ("teeth", "demo:tourer", "--height", "14 3/4 in"),
    "gauge-van-made": (
        *("gauge", "demo:van", "left", "--span", "446.2 mm ± 0.1"),
        *("--land", "421.9 mm ± 0.1"),
    ),
    "gauge-tourer-made-badly": (
        *("gauge", "demo:tourer", "left", "--span", "19 1/8 in"),
        *("--hole", "17/32 in", "--hole", "17/32 in", "--tolerance", "1/32 in"),
    ),
    "teeth-turn": ("teeth", "24", "25", "--turn", "7.3 deg"),
    "teeth-gap": (
        *("teeth", "27", "28", "--gap", "3/8 in", "--radius", "7 1/4 in"),
        *("--arm", "too-low", "--side", "left"),
    ),
    "teeth-gap-doubt": (
        *("teeth", "42", "48", "--gap", "9.5 mm ± 0.5", "--radius", "184 mm ± 1"),
        *("--arm", "too-high", "--side", "right", "--most", "3"),
    ),
    "teeth-none": ("teeth", "1", "1", "--turn", "2 deg"),
    "explain-slack-angle": ("explain", "slack", "angle"),
    "help": ("--help",),
}


def columns(line):
    """Columns of a line, counted anew: wide signs are two, combining ones none."""
    return sum(
        0
        if unicodedata.category(c) == "Mn"
        else 1 + (unicodedata.east_asian_width(c) in ("W", "F"))
        for c in line
    )


@pytest.mark.parametrize("name", SHOWN)
def test_pinned_text(name):
    """The text of each command on both invented cars, and of the plain forms."""
    done = run(*SHOWN[name])

    assert done.err == ""
    same_as_kept(GOLDEN / f"{name}.txt", f"exit code {done.code}\n{done.out}")


def test_no_pinned_text_is_left_over():
    assert {p.stem for p in GOLDEN.iterdir()} == set(SHOWN)


@pytest.mark.parametrize("name", SHOWN)
def test_no_line_is_wider_than_80_columns(name):
    done = run(*SHOWN[name])

    wide_lines = [line for line in done.out.split("\n") if columns(line) > 80]
    assert wide_lines == []
    assert done.out.endswith("\n")
    assert not done.out.endswith("\n\n")
    assert not any(line != line.rstrip() for line in done.out.split("\n"))


@pytest.mark.parametrize("command", [*PER_CAR, "explain"])
def test_the_whole_help_keeps_to_80_columns(command):
    done = run(command, "--help")

    assert all(columns(line) <= 80 for line in done.out.split("\n"))
    assert "\b" not in done.out
    assert "\\b" not in done.out


HOSTILE = "車軸 " + "x" * 90 + " é\\u0301 " + "軸" * 45


@pytest.mark.parametrize("command", PER_CAR)
def test_hostile_words_in_a_car_file(tmp_path, command):
    """Wide signs, signs of no width, and words without end in the names of a car."""
    text = cars.edited(
        cars.demo_text("van"),
        ('name = "Thistle light van"', f'name = "{HOSTILE}"'),
        ('from = "upper damper bolt"', f'from = "{HOSTILE}"'),
        ('name = "height as found"', f'name = "{HOSTILE}"'),
        ('where = "hub centre to wing edge"', f'where = "{HOSTILE}"'),
        ('source = "stamped on the cross-member"', f'source = "{HOSTILE}"'),
    )
    file = tmp_path / "car.toml"
    file.write_text(text, encoding="utf-8")

    done = run(command, file, *PER_CAR[command])

    assert done.code in (0, 1)
    assert "\x1b" not in done.out
    # The file's own name is repeated whole, however long it is.
    lines = done.out.replace(str(file), "car.toml").split("\n")
    assert [line for line in lines if columns(line) > 80] == []


def test_signs_of_a_terminal_are_taken_out(tmp_path):
    """A car file that holds them is refused, and so is what would be printed of it."""
    file = tmp_path / "car.toml"
    name = 'name = "\\u001b[31mred"'
    file.write_text(cars.EXAMPLE.replace('name = "Worked example"', name), "utf-8")
    done = run("plan", file)
    assert done.code == 2
    assert "\x1b" not in done.err
    assert clean("a\x1b[31mb\tc\x7f") == "a?[31mb?c?"
    assert clean("15⅝ in ± 車") == "15⅝ in ± 車"


def test_wrapping_counts_columns():
    assert wide("車軸") == 4
    assert cut("車軸車軸", 8) == "車軸車軸"
    assert cut("車軸車軸", 7) == "車軸車…"
    assert cut("車軸車軸", 6) == "車軸…"
    assert wide("e\u0301") == 1
    assert wrapped("車軸 車軸 車軸", 10) == ["車軸 車軸", "車軸"]
    assert wrapped("xxxxxxxx", 3) == ["xxx", "xxx", "xx"]
    assert wrapped("xxxxxxxx yy", 3, whole=True) == ["xxxxxxxx", "yy"]
    assert wrapped("", 10, first="- ") == ["-"]
    assert wrapped("one two", 6, first="- ", rest="  ") == ["- one", "  two"]
    held = "set it 15 5/8\N{NO-BREAK SPACE}in long"
    assert wrapped(held, 15) == ["set it 15", "5/8 in long"]
    assert wrapped("aa\N{NO-BREAK SPACE}bb", 3) == ["aa", "bb"]


# --- machines


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("command", PER_CAR)
def test_json_keeps_to_its_schema(command, name):
    """One corner gives an object, all of them an array of the same."""
    words = (command, f"demo:{name}", *PER_CAR[command], "--json")
    valid = jsonschema.Draft202012Validator(schema(command)).validate

    many = json.loads(run(*words).out)
    one = json.loads(run(words[0], words[1], "left", *words[2:]).out)

    assert isinstance(many, list)
    assert [part["corner"] for part in many] == ["front-left", "front-right"]
    for part in many:
        valid(part)
    assert one == many[0]


def test_json_of_a_car_with_one_corner_is_an_array_all_the_same(tmp_path):
    """Whoever asks for all corners gets an array, however many there are."""
    file = tmp_path / "car.toml"
    file.write_text(cars.EXAMPLE, encoding="utf-8")

    many = json.loads(run("plan", file, "--json").out)

    assert isinstance(many, list)
    assert many == [json.loads(run("plan", file, "left", "--json").out)]


def test_json_of_what_needs_no_car():
    word, words = (json.loads(run("explain", *w, "--json").out) for w in (["bar"], []))
    jsonschema.validate(word, schema("word"))
    assert word in words
    plain = json.loads(run("teeth", "24", "25", "--turn", "7.3 deg", "--json").out)
    jsonschema.validate(plain, schema("teeth"))
    assert plain["present"]["value"] is None


def test_json_ends_with_the_same_codes():
    assert run("check", "demo:tourer", "--json").code == 1
    assert run("check", "demo:van", "--json").code == 0
    bad = run("check", "demo:coach", "--json")
    assert (bad.code, bad.out) == (2, "")


@pytest.mark.parametrize("kind", KINDS)
def test_schemas_are_printed(kind):
    assert json.loads(run("schema", kind).out) == schema(kind)
    assert kind in run("schema").out.split()


def test_the_schema_of_the_car_file_is_printed(tmp_path):
    """It is the published one, and the invented cars keep to it."""
    told = json.loads(run("schema", "car").out)

    jsonschema.Draft202012Validator.check_schema(told)
    for name in DEMOS:
        whole = json.loads(json.dumps(tomllib.loads(cars.demo_text(name)), default=str))
        jsonschema.validate(whole, told)


@pytest.mark.parametrize("name", DEMOS)
def test_csv_is_the_json_again(name):
    words = ("travel", f"demo:{name}", "--rows", "7")
    tables = json.loads(run(*words, "--json").out)

    rows = list(csv.DictReader(io.StringIO(run(*words, "--csv").out)))

    assert len(rows) == 14
    for table, mine in zip(tables, (rows[:7], rows[7:]), strict=True):
        for column in table["columns"]:
            header = f"{column['name']} [{column['unit']}]"
            assert [float(row[header]) for row in mine] == pytest.approx(
                column["values"], rel=1e-8
            )
        assert {row["corner"] for row in mine} == {table["corner"]}


def test_csv_of_corners_that_know_different_things(tmp_path):
    """One header for all; what a layout does not know is left empty."""
    wishbone = cars.EXAMPLE
    plain = cars.demo_text("van")
    right = plain[
        plain.index("[corner.front-left]") : plain.index("[corner.front-right]")
    ]
    file = tmp_path / "car.toml"
    file.write_text(wishbone + right.replace("front-left", "rear-right"), "utf-8")

    rows = list(csv.DictReader(io.StringIO(run("travel", file, "--csv").out)))

    assert [r["camber [rad]"] == "" for r in rows] == [False] * 11 + [True] * 11
    assert all(float(r["wheel rate [N/m]"]) for r in rows)


# --- terminals and pipes


def test_no_colour_anywhere():
    for words in (("plan", "demo:van"), ("plan", "--height", "x"), ("--help",)):
        done = start(*words, env={"FORCE_COLOR": "1"})
        assert "\x1b" not in done.stdout + done.stderr


def test_a_closed_pipe_is_no_answer():
    """Whoever read has gone: not 1, which is an answer, and not a word of complaint."""
    child = subprocess.Popen(
        [*PROGRAM, "plan", "demo:tourer"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    child.stdout.close()
    complaint = child.stderr.read()
    child.stderr.close()

    assert (child.wait(), complaint) == (0, b"")


@pytest.mark.parametrize("words", [["--help"], ["plan", "--help"], ["explain"]])
def test_a_pipe_that_closes_on_help(words):
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "wb") as pipe:
        done = subprocess.run(
            [*PROGRAM, *words], stdout=pipe, stderr=subprocess.PIPE, check=False
        )

    assert (done.returncode, done.stderr) == (0, b"")


def test_a_full_disk():
    with open("/dev/full", "wb") as full:  # noqa: PTH123  a device
        done = subprocess.run(
            [*PROGRAM, "plan", "demo:van"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )

    assert done.returncode == 2
    assert done.stderr == "The answer cannot be written: No space left on device.\n"


def test_no_output_at_all():
    shell = f'"{PROGRAM[0]}" -m splinewise plan demo:van >&- 2>&-'
    assert subprocess.run(["sh", "-c", shell], check=False).returncode == 0


@pytest.mark.parametrize("encoding", ["latin-1", "cp1252", "cp437", "koi8-r"])
def test_a_terminal_that_lacks_our_signs(encoding):
    """The nearest sign it has, each as wide as ours, so that pictures stand."""
    done = run("check", "demo:van", "left", encoding=encoding)

    assert done.code == 0
    assert "?" not in done.out.replace("agree?", "").replace("want?", "")
    done.out.encode(encoding)
    ours = run("check", "demo:van", "left").out.split("\n")
    theirs = done.out.split("\n")
    assert len(ours) == len(theirs)
    for a, b in zip(ours, theirs, strict=True):
        assert len(b) == len(a) + 2 * (b.count("+/-"))


def test_json_for_a_terminal_that_lacks_our_signs():
    """Escapes, not other signs: the data is the same."""
    words = ("check", "demo:tourer", "--json")

    done = run(*words, encoding="latin-1")
    narrow = run(*words, encoding="koi8-r")

    assert json.loads(done.out) == json.loads(run(*words).out) == json.loads(narrow.out)
    assert "\\u00b1" in narrow.out


def test_errors_keep_to_the_width_but_break_no_word(tmp_path):
    name = tmp_path / ("long" * 40 + ".toml")

    told = run("plan", name).err

    assert str(name) in told
    assert all(len(line) <= 80 or str(name) in line for line in told.split("\n"))


def test_what_comes_next_can_be_typed(tmp_path):
    """The command at the end of each result, typed as it stands, works."""
    with at(tmp_path):
        run("demo", "tourer", "--write", "my car.toml")
        words = ["check", "my car.toml", "right"]
        trail = []
        for _ in range(3):
            done = run(*words)
            assert done.code in (0, 1), done.err
            line = re.sub(r"\s+", " ", done.out.split("\nNext: ")[1])
            told = re.search(r"splinewise (\w+) (\"[^\"]+\"|\S+) (\S+)", line)
            if told is None:
                break
            trail.append(told[1])
            words = [told[1], told[2].strip('"'), told[3]]

    assert trail == ["plan", "gauge", "teeth"]


def test_a_goal_is_carried_on():
    done = run("plan", "demo:tourer", "left", "--height", "14 3/4 in")

    line = re.sub(r"\s+", " ", done.out.split("\nNext: ")[1]).strip()
    assert line == (
        'make the gauge: splinewise gauge demo:tourer front-left --height "14 3/4 in"'
    )
