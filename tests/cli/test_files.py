"""Commands that write a file: new and demo --write."""

import os

import pytest

from cars import demo, with_corner
from commands import run
from splinewise.car.demos import demo_names, demo_text
from splinewise.car.layouts import LAYOUTS
from splinewise.car.schema import schema_text


def test_a_demo_is_written_word_for_word(tmp_path):
    file = tmp_path / "my-car.toml"

    done = run("demo", "van", "--write", file)

    assert (done.code, done.err) == (0, "")
    told = " ".join(done.out.split())
    assert told.startswith(f"Wrote {file}. Beside it lies car.schema.json")
    beside = file.with_name("car.schema.json")
    assert beside.read_text(encoding="utf-8") == schema_text()
    assert told.endswith(f"and try: splinewise check {file}")
    assert file.read_text(encoding="utf-8") == demo_text("van")
    assert run("check", file).code == 0


@pytest.mark.parametrize("name", demo_names())
def test_every_invented_car_can_be_walked_through(name):
    """All of its corners, to the teeth."""
    done = run("demo", name)

    assert (done.code, done.err) == (0, "")
    assert done.out.count("do the dimensions agree?") == len(demo(name).corners)
    assert done.out.count("which teeth, to ") >= len(demo(name).corners)
    assert "A twisted bar stores enough energy to break bones." in done.out


def test_a_walk_goes_on_past_what_cannot_be_done(monkeypatch):
    """A car without dimensions and readings, which no invented car is."""
    import splinewise.car.demos

    car = demo("van")
    for name in car.corners:
        car = with_corner(car, name, dimensions={}, published=(), readings=())
    monkeypatch.setattr(splinewise.car.demos, "load_demo", lambda _name: car)

    done = run("demo", "van")

    assert (done.code, done.err) == (0, "")
    told = " ".join(done.out.split())
    assert told.count("There is no dimension of front-left to check.") == 1
    assert told.count("so no gauge can be made for it.") == 2
    assert told.count("Nothing was read of how front-right is set now.") == 1
    assert told.count("With the bar slack, set the arm") == 2


@pytest.mark.parametrize(
    "words", [["demo", "van", "--write"], ["new", "--layout", "planar arm"]]
)
def test_no_file_is_written_over_another(tmp_path, words):
    file = tmp_path / "car.toml"
    file.write_text("mine\n")

    done = run(
        *words, file, *(["--name", "x", "--units", "inch"] if words[0] == "new" else [])
    )

    assert done.code == 2
    assert "is there already; name another file." in done.err.replace("\n  ", " ")
    assert file.read_text() == "mine\n"


def test_a_place_that_is_not_there(tmp_path):
    done = run("demo", "van", "--write", tmp_path / "no" / "car.toml")

    assert done.code == 2
    assert "cannot be written: No such file or directory." in done.err.replace(
        "\n  ", " "
    )


def test_a_file_that_could_not_be_written_whole_is_taken_away(tmp_path, monkeypatch):
    """A full disk, by hand: the first write fails."""
    from splinewise.cli import options

    file = tmp_path / "car.toml"

    class Full:
        def __init__(self, path):
            path.touch()

        def __enter__(self):
            return self

        def __exit__(self, *_):
            return False

        def write(self, _text):
            raise OSError(28, os.strerror(28))

    real = options.Path.open

    def half_full(path, mode="r", **more):
        return Full(path) if mode == "x" else real(path, mode, **more)

    monkeypatch.setattr(options.Path, "open", half_full)

    done = run("demo", "van", "--write", file)

    assert done.code == 2
    assert "was taken away: No space left on device." in done.err.replace("\n  ", " ")
    assert not file.exists()


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("units", ["inch", "metric"])
def test_new_writes_a_file_that_asks_for_what_is_missing(tmp_path, layout, units):
    """It is TOML, with the name and the units given, and check says what to fill in."""
    file = tmp_path / "car.toml"

    done = run(
        "new", file, "--layout", layout, "--name", 'A "fine" car', "--units", units
    )
    checked = run("check", file)

    assert (done.code, done.err) == (0, "")
    assert "fill in what it asks for" in done.out
    assert checked.code == 2
    assert "not filled in yet" in checked.err.replace("\n  ", " ")
    assert "car.name" not in checked.err
    assert f'units = "{units}"' in file.read_text(encoding="utf-8")


def test_new_asks_for_what_is_not_given(tmp_path):
    file = tmp_path / "car.toml"

    done = run("new", file, typed="9\n2\nMy car\nfurlong\nmetric\n")

    assert done.code == 0
    text = file.read_text(encoding="utf-8")
    assert 'name = "My car"' in text
    assert f'layout = "{list(LAYOUTS)[1]}"' in text
    assert "1. double wishbone" in done.out


def test_new_without_a_path_writes_car_toml(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    run("new", "--layout", "planar arm", "--name", "x", "--units", "metric")

    assert (tmp_path / "car.toml").exists()


def test_without_a_name_the_tutorial_s_car_is_walked_through():
    assert run("demo").out == run("demo", "tourer").out
