"""What the program writes into a file: that, and nothing else."""

import difflib
import stat
import subprocess
import sys
import tomllib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from damage import numbers
from splinewise.car.demos import demo_names, demo_text
from splinewise.car.file import load_car, read_car
from splinewise.car.write import save_text, with_reading, with_value
from splinewise.errors import CarFileError

TOURER = demo_text("tourer")
ROW = {
    "of": "setting length",
    "value": "18 5/8 in ± 1/64",
    "state": "bare arm",
    "instrument": "rule",
}


def changed(old, new):
    """Return the lines that went and the lines that came."""
    diff = difflib.ndiff(old.splitlines(), new.splitlines())
    rows = [line for line in diff if line[0] in "-+"]
    return [r[2:] for r in rows if r[0] == "-"], [r[2:] for r in rows if r[0] == "+"]


def test_one_value_changes_one_line():
    path = ("corner", "front-left", "reading", 1, "value")
    new = with_value(TOURER, path, "21 5/8 in")

    assert changed(TOURER, new) == (['value = "21 39/64 in"'], ['value = "21 5/8 in"'])


@pytest.mark.parametrize(
    ("path", "value", "line"),
    [
        (("car", "name"), 'a "name" \\ ü', 'name = "a \\"name\\" \\\\ ü"'),
        (("corner", "front-left", "splines", "arm_teeth"), 24, "arm_teeth = 24"),
        (("corner", "front-left", "splines", "counted"), False, "counted = false"),
        (
            ("corner", "front-left", "points", "damper_arm"),
            [0.5, 17.875, 7.875],
            "damper_arm = [0.5, 17.875, 7.875]",
        ),
        (
            ("corner", "front-left", "ride_height", "wanted"),
            {"value": "14 in", "source": "taste"},
            'wanted = {value = "14 in", source = "taste"}',
        ),
    ],
)
def test_values_of_every_sort(path, value, line):
    new = with_value(TOURER, path, value)
    gone, come = changed(TOURER, new)

    assert len(gone) == 1
    assert come == [line]
    read_car(new)


def test_a_comment_behind_a_value_stays():
    van = demo_text("van")
    new = with_value(van, ("corner", "front-left", "arm", "ratio"), 1.2)

    assert changed(van, new)[1] == [
        "ratio = 1.2 # wheel 390 mm from the bar's axis, arm's end 342 mm"
    ]


def test_a_key_and_a_table_that_were_not_there():
    new = with_value(TOURER, ("corner", "front-left", "bar", "preset"), "no")
    new = with_value(new, ("corner", "front-left", "bush", "rate"), "2 N·m/deg")
    new = with_value(new, ("corner", "front-left", "bush", "tightened_at"), "0 deg")
    corner = read_car(new).corners["front-left"]

    assert corner.bush_known
    assert corner.bar.limit.preset is False
    assert changed(TOURER, new)[0] == ['preset = "unknown"']


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("demo", demo_names())
def test_a_reading_is_added_after_the_others(demo, side):
    text = demo_text(demo)
    before = read_car(text)
    corner = next(name for name in before.corners if name.endswith(side))
    # A length that this car's arm can give: what was read on it, with a doubt.
    seen = next(r for r in before.corners[corner].readings if r.of == "setting length")
    value = f"{seen.figure.text.partition('±')[0].strip()} ± 1/64"
    if before.system == "metric":
        value = value.replace("1/64", "0.5")
    new = with_reading(text, corner, {**ROW, "value": value})
    gone, come = changed(text, new)
    readings = read_car(new).corners[corner].readings

    assert gone == []
    assert [line for line in come if line] == [
        f"[[corner.{corner}.reading]]",
        'of = "setting length"',
        f'value = "{value}"',
        'state = "bare arm"',
        'instrument = "rule"',
    ]
    assert len(readings) == len(before.corners[corner].readings) + 1
    assert readings[-1].figure.text == value


def test_the_first_reading_of_a_corner():
    text = TOURER.split("[[corner.front-right.reading]]")[0]
    new = with_reading(text, "front-right", ROW)

    assert read_car(new).corners["front-right"].readings[0].figure.text == ROW["value"]
    assert changed(text, new)[0] == []


def test_rows_written_in_one_line():
    head = "[corner.front-right.splines]"
    inline = 'reading = [{ of = "ride height", value = "17 in", state = "standing" }]\n'
    text = TOURER.split("[[corner.front-right.reading]]")[0].replace(
        head, f"{inline}\n{head}"
    )
    new = with_reading(text, "front-right", ROW)

    assert len(read_car(new).corners["front-right"].readings) == 2


def test_there_and_back_is_the_same_file():
    path = ("corner", "front-left", "bar", "diameter")
    there = with_value(TOURER, path, "22 mm")

    assert with_value(there, path, "0.900 in ± 0.002") == TOURER


def test_a_value_set_to_what_it_is_changes_nothing():
    def leaves(data, path=()):
        if isinstance(data, (dict, list)):
            items = data.items() if isinstance(data, dict) else enumerate(data)
            for key, item in items:
                yield from leaves(item, (*path, key))
        elif isinstance(data, str):
            yield path, data

    for name in demo_names():
        text = demo_text(name)
        for path, value in leaves(tomllib.loads(text)):
            if path != ("car", "story"):
                assert with_value(text, path, value) == text, path


@pytest.mark.parametrize(
    ("path", "why"),
    [
        (("corner", "front-left", "reading", 9, "value"), "There is no such place"),
        (("car", "name", "more"), "There is no such place"),
        (("corner", "rear-left", "reading", 0, "value"), "There is no such place"),
    ],
)
def test_no_such_place(path, why):
    with pytest.raises(CarFileError) as caught:
        with_value(TOURER, path, "x", file="car.toml")

    assert caught.value.file == "car.toml"
    assert caught.value.faults[0].why.startswith(why)
    assert caught.value.faults[0].field == ".".join(
        str(key + 1 if isinstance(key, int) else key) for key in path
    )


def test_no_such_corner():
    with pytest.raises(CarFileError, match="There is no such place"):
        with_reading(TOURER, "rear-left", ROW)


@pytest.mark.parametrize("text", ["a = ", "[corner", "x = 1\nx = 2"])
def test_a_file_that_is_no_toml_is_left_alone(text):
    with pytest.raises(CarFileError, match="cannot be changed"):
        with_value(text, ("car", "name"), "x")


def test_a_change_that_would_lose_something_is_refused(monkeypatch):
    """The writer is not trusted: what it wrote is read again and compared."""
    monkeypatch.setattr("tomlkit.dumps", lambda _: TOURER.replace("27", "28", 1))
    with pytest.raises(CarFileError, match="cannot be changed here without loss"):
        with_value(TOURER, ("car", "name"), "x")


def test_a_lost_comment_is_refused(monkeypatch):
    text = TOURER.replace("# x forward", "# y forward")
    monkeypatch.setattr("tomlkit.dumps", lambda _: text)
    with pytest.raises(CarFileError, match="cannot be changed here without loss"):
        with_value(TOURER, ("car", "name"), "Larkspur tourer")


words = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]),
    min_size=1,
    max_size=30,
)


@given(words)
@settings(max_examples=60)
def test_any_words_come_back_as_they_were(text):
    new = with_reading(TOURER, "front-left", {**ROW, "name": text, "by": text})
    last = tomllib.loads(new)["corner"]["front-left"]["reading"][-1]

    assert (last["name"], last["by"]) == (text, text)


def same(one, other):
    """Return whether all numbers of two cars are the same."""
    pairs = zip(numbers(one), numbers(other), strict=True)
    return all(p == q and np.array_equal(a, b) for (p, a), (q, b) in pairs)


@pytest.mark.parametrize("name", demo_names())
def test_file_to_car_to_file_to_car(name, tmp_path):
    """A car keeps its file word for word; saved and read again it is the same car."""
    car = read_car(demo_text(name))
    file = tmp_path / "car.toml"
    save_text(file, car.text)
    again = load_car(file)

    assert again.text == car.text
    assert same(car, again)


def test_a_save_keeps_permissions_and_links(tmp_path):
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    real.write_text("old")
    real.chmod(0o640)
    link.symlink_to(real)
    save_text(link, "new ±\r\n")

    assert real.read_bytes() == "new ±\r\n".encode()
    assert stat.S_IMODE(real.stat().st_mode) == 0o640
    assert link.is_symlink()
    assert sorted(each.name for each in tmp_path.iterdir()) == [
        "link.toml",
        "real.toml",
    ]


@pytest.mark.parametrize("step", ["os.fsync", "pathlib.Path.replace"])
def test_a_save_that_fails_leaves_the_old_file_and_no_litter(
    tmp_path, monkeypatch, step
):
    def fail(*_):
        raise OSError(28, "No space left on device")

    file = tmp_path / "car.toml"
    file.write_text("old")
    monkeypatch.setattr(step, fail)
    with pytest.raises(CarFileError, match="cannot be written"):
        save_text(file, "new")

    assert file.read_text() == "old"
    assert [each.name for each in tmp_path.iterdir()] == ["car.toml"]


def test_a_save_where_there_is_no_directory(tmp_path):
    with pytest.raises(CarFileError, match="cannot be written"):
        save_text(tmp_path / "none" / "car.toml", "x")


def test_the_writer_of_toml_is_loaded_only_to_write():
    code = (
        "import sys, splinewise.car.write as w; a = 'tomlkit' in sys.modules;"
        "w.with_value('a = 1', ('a',), 2); print(a, 'tomlkit' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )

    assert done.stdout.strip() == "False True"
