"""The file itself: not there, not text, not TOML; what an editor may do to it."""

import os
import subprocess
import sys
import threading
import time

import pytest

from splinewise.car.demos import demo_text
from splinewise.car.file import LONGEST, load_car, read_car
from splinewise.errors import CarFileError


def refused(do, *args):
    """Return the only fault that is told."""
    with pytest.raises(CarFileError) as caught:
        do(*args)
    (fault,) = caught.value.faults
    return caught.value.file, fault.line, fault.why


@pytest.fixture
def file(tmp_path):
    return tmp_path / "car.toml"


def test_a_file_is_read(file):
    file.write_text(demo_text("van"), encoding="utf-8")
    car = load_car(file)

    assert car.name == "Thistle light van"
    assert car.file == str(file)
    assert car.text == demo_text("van")


def test_no_such_file(file):
    name, line, why = refused(load_car, file)

    assert (name, line) == (str(file), 0)
    assert why == "There is no such file. Look at its name and at the directory."


def test_a_directory(tmp_path):
    assert refused(load_car, tmp_path)[2] == (
        "This is a directory. Name the car file in it."
    )


@pytest.mark.parametrize("name", ["car\0.toml", "x" * 5000])
def test_a_name_that_no_system_takes(name):
    assert refused(load_car, name)[2].startswith("The file cannot be read (")


def test_a_file_that_may_not_be_read(file, monkeypatch):
    def forbidden(*_, **__):
        raise PermissionError

    file.write_text("")
    monkeypatch.setattr("pathlib.Path.open", forbidden)

    assert refused(load_car, file)[2] == (
        "The file may not be read. Look at its permissions."
    )


def test_text_of_another_coding_names_the_line(file):
    file.write_bytes(demo_text("van").encode("utf-8").replace("±".encode(), b"\xb1"))
    line, why = refused(load_car, file)[1:]
    first = demo_text("van").split("±")[0].count("\n") + 1

    assert line == first
    assert why.startswith("The file is not UTF-8 text from here on. Save it as UTF-8")


def test_two_bytes_a_letter(file):
    file.write_bytes(demo_text("van").encode("utf-16"))

    assert refused(load_car, file)[2].startswith("The file is not UTF-8 text")


def test_a_very_long_file(file):
    file.write_bytes(b"#" * (LONGEST + 1))

    assert refused(load_car, file)[2].startswith("The file is longer than 1 MB")
    assert refused(read_car, "#" * (LONGEST + 1))[2].startswith("The text is longer")


def test_a_file_without_end_is_left_alone():
    assert refused(load_car, "/dev/zero")[2].startswith("The file is longer than 1 MB")


@pytest.mark.skipif(sys.platform == "win32", reason="no such pipes there")
def test_a_pipe_is_read(tmp_path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    text = demo_text("tourer")
    writer = threading.Thread(target=lambda: pipe.write_text(text, encoding="utf-8"))
    writer.start()
    car = load_car(pipe)
    writer.join()

    assert car.text == text


def test_a_byte_order_mark_is_no_matter(file):
    file.write_bytes(b"\xef\xbb\xbf" + demo_text("van").encode("utf-8"))

    assert load_car(file).name == "Thistle light van"
    assert read_car("\ufeff" + demo_text("van")).name == "Thistle light van"


def test_line_ends_of_another_system_keep_their_lines(file):
    text = demo_text("van").replace('value = "426 mm"', 'value = "4260 mm"')
    with pytest.raises(CarFileError) as plain:
        read_car(text)
    file.write_bytes(text.replace("\n", "\r\n").encode("utf-8"))
    with pytest.raises(CarFileError) as other:
        load_car(file)

    assert other.value.faults == plain.value.faults


def test_an_empty_file_says_what_it_lacks():
    with pytest.raises(CarFileError) as caught:
        read_car("")

    assert [fault.field for fault in caught.value.faults] == ["format", "car", "corner"]


@pytest.mark.parametrize("text", ["a = " + "[" * 9000, "a." * 20000 + "b = 1"])
def test_nesting_without_end(text):
    with pytest.raises(CarFileError):
        read_car(text)


def test_a_number_of_thousands_of_digits():
    why = refused(read_car, f"format = {'9' * 5000}")[2]

    assert why.startswith("This is not TOML: ")


def test_every_message_begins_with_the_file_and_its_line():
    with pytest.raises(CarFileError) as caught:
        read_car("format = 1\ncar = 2\n", file="my car.toml")

    assert str(caught.value).split("\n")[-1].startswith("my car.toml:2: car: 2 stands")


LIGHT = """
import sys
import splinewise.car.file
heavy = {"tomlkit", "scipy", "click", "jsonschema", "difflib"}
print(sorted(heavy & set(sys.modules)))
"""


def test_reading_imports_nothing_heavy():
    done = subprocess.run(
        [sys.executable, "-c", LIGHT], capture_output=True, text=True, check=True
    )

    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("name", ["tourer", "van"])
def test_a_demo_car_is_read_in_30_ms(name):
    text = demo_text(name)
    read_car(text)
    took = []
    for _ in range(10):
        start = time.process_time()
        read_car(text)
        took.append(time.process_time() - start)

    # Someone who traces the run, as for coverage, makes it many times slower.
    assert min(took) < (0.030 if sys.gettrace() is None else 1.0)


@pytest.mark.parametrize(
    ("text", "field", "why"),
    [
        ("[corner]", "corner", "A car needs at least one corner."),
        ("corner = 1", "corner", "1 stands where a table must be, under a header"),
        (
            "[corner]\nfront-left = 1",
            "corner.front-left",
            "This must be a table, under a header [corner.front-left].",
        ),
        (
            "[corner.Front-Left]",
            "corner.Front-Left",
            "A corner is named by words for its axle and its side",
        ),
        (
            "[corner.left]",
            "corner.left",
            "A corner is named by words for its axle and its side",
        ),
        (
            "[corner.front-left]\n[corner.front-right]\nmirror = 1",
            "corner.front-right.mirror",
            'There is no corner "1" to mirror. Write "front-left".',
        ),
        (
            "[corner]\nfront-left.mirror='front-right'\nfront-right.mirror = 'front-left'",
            "corner.front-left.mirror",
            '"front-right" is a mirror itself. One of the two must be written out.',
        ),
        (
            "[corner.front-left]\nlayout = 7",
            "corner.front-left.layout",
            "7 is no layout that is known.",
        ),
    ],
)
def test_corners_that_are_none(text, field, why):
    head = 'format = 1\ncar.name = "x"\ncar.units = "inch"\n'
    with pytest.raises(CarFileError) as caught:
        read_car(head + text)
    faults = {fault.field: fault.why for fault in caught.value.faults}

    assert faults[field].startswith(why)
