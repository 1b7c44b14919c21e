"""Exit codes 0, 1 and 2, and errors that say what would be right."""

import re

import pytest

import cars
from commands import run

GOOD = [
    ["--help"],
    ["--version"],
    ["demo", "--list"],
    ["demo"],
    ["demo", "van"],
    ["check", "demo:van"],
    ["plan", "demo:van"],
    ["plan", "demo:van", "left", "--height", "405 mm"],
    ["plan", "demo:van", "left", "--published", "setting length"],
    ["gauge", "demo:van"],
    ["gauge", "demo:van", "left", "--span", "445.4 mm", "--land", "421 mm"],
    ["teeth", "demo:tourer"],
    ["teeth", "24", "25", "--turn", "7.3 deg"],
    ["teeth", "24", "25", "--turn", "-7.3 deg"],
    ["travel", "demo:tourer"],
    ["travel", "demo:van", "left", "--csv"],
    ["explain"],
    ["explain", "slack", "angle"],
    ["schema"],
    ["schema", "teeth"],
]
NO = [
    ["check", "demo:tourer", "left"],
    ["check", "demo:tourer"],
    ["plan", "demo:tourer", "left"],
    ["plan", "demo:van", "left", "--match", "right"],
    ["gauge", "demo:van", "left", "--span", "460 mm", "--land", "421 mm"],
    ["teeth", "1", "1", "--turn", "7.3 deg"],
]
BAD = [
    ([], "Usage: splinewise"),
    (["plam"], "There is no command 'plam'. Did you mean 'plan'?"),
    (["zzz"], "There is no command 'zzz'. There are: demo, new"),
    (["--colour"], "No such option '--colour'"),
    (["plan"], "Missing argument 'CAR'"),
    (["plan", ""], "Name a car file, or demo:NAME for an invented car."),
    (["plan", "no-such.toml"], "no-such.toml: There is no such file."),
    (["plan", "."], ".: This is a directory. Name the car file in it."),
    (["plan", "demo:coach"], "There is no invented car of this name."),
    (["plan", "demo:van", "rear"], "there is no corner called 'rear'"),
    (["plan", "demo:van", "left", "right"], "unexpected extra argument"),
    (["plan", "demo:van", "--depth", "3 mm"], "No such option '--depth'"),
    (["plan", "demo:van", "--height", "400"], "--height: 400 has no unit."),
    (
        ["plan", "demo:van", "--height", "15 5/7 in"],
        "--height: The tape cannot show 15 5/7 in. Did you mean 15 5/8 in?",
    ),
    (["plan", "demo:van", "--height", "3 kg"], "3 kg is a mass; a length is wanted."),
    (["plan", "demo:van", "--height", ""], "--height: Nothing is written here."),
    (
        ["plan", "demo:van", "--height", "405 mm", "--match", "right"],
        "Give one goal: a published dimension, a ride height or a corner to match.",
    ),
    (["plan", "demo:van", "--published", "toe"], "nothing published as 'toe'"),
    (["plan", "demo:van", "left", "--match", "left"], "cannot be matched to itself"),
    (
        ["plan", "demo:van", "left", "--height", "2 m"],
        "is out of the travel of front-left",
    ),
    (["gauge", "demo:van", "left", "--hole", "13 mm"], "Give --hole twice"),
    (["gauge", "demo:van", "left", "--span", "445 mm"], "or one of them with both"),
    (
        ["gauge", "demo:van", "left", "--span", "421 mm", "--land", "445 mm"],
        "must be shorter than the span over the far ones",
    ),
    (["gauge", "demo:van", "left", "--fit", "snug"], "'snug' is not one of"),
    (["gauge", "demo:van", "left", "--dimension", "toe"], "no dimension called 'toe'"),
    (
        [
            "gauge",
            "demo:van",
            "--span",
            "9 in",
            "--land",
            "8 in",
            "--tolerance",
            "0 mm",
        ],
        "The tolerance must be above zero, not 0 mm.",
    ),
    (["teeth"], "Missing argument 'CAR | ARM_TEETH'"),
    (
        ["teeth", "24"],
        "Give both counts of teeth: the arm end's, then the anchor end's.",
    ),
    (["teeth", "24", "left", "--turn", "3 deg"], "Give both counts of teeth"),
    (["teeth", "24", "25"], "Say how far to turn: --turn ANGLE, or --gap"),
    (["teeth", "24", "25", "--turn", "3"], "--turn: 3 has no unit. Write 3 deg"),
    (["teeth", "24", "25", "--turn", "3 deg", "--gap", "3 mm"], "Say how far to turn"),
    (["teeth", "24", "25", "--turn", "3 deg", "--arm", "too-low"], "go with --gap"),
    (["teeth", "24", "25", "--turn", "200 deg"], "200 deg is more than half a turn"),
    (["teeth", "0", "25", "--turn", "3 deg"], "The arm end must have from 1 to 1000"),
    (
        ["teeth", "24", "5" * 99, "--turn", "3 deg"],
        "The anchor end must have from 1 to",
    ),
    (["teeth", "24", "25", "--gap", "3 mm"], "--gap needs --radius and --arm too-low"),
    (
        [
            *["teeth", "24", "25", "--arm", "too-low", "--gap"],
            "-3 mm",
            "--radius",
            "200 mm",
        ],
        "--gap and --radius are distances, above zero",
    ),
    (
        [
            *["teeth", "24", "25", "--arm", "too-low", "--gap"],
            "500 mm",
            "--radius",
            "200 mm",
        ],
        "No turn opens a gap of 500 mm at a radius of 200 mm.",
    ),
    (["teeth", "24", "25", "--height", "9 in"], "need a car file, not two counts"),
    (["teeth", "demo:van", "left", "--turn", "3 deg"], "go with two counts; for a car"),
    (["teeth", "24", "25", "--turn", "3 deg", "--most", "0"], "from 1 to 20."),
    (["travel", "demo:van", "--rows", "2"], "--rows: '2' is not a whole number from 3"),
    (["travel", "demo:van", "--rows", "many"], "'many' is not a whole number from 3"),
    (["travel", "demo:van", "--csv", "--json"], "Ask for --csv or for --json"),
    (["explain", "frobnicate"], "'frobnicate' is not one of the words used here."),
    (["schema", "book"], "There is no kind of result 'book'. There are: car, "),
    (
        ["demo", "coach"],
        "There is no invented car 'coach'. There are: estate, pickup, saloon, special,",
    ),
    (["new", "--layout", "hovercraft", "--name", "x"], "no layout 'hovercraft'"),
]


def ids(words):
    return " ".join(words)[:60] if isinstance(words, list) else None


@pytest.mark.parametrize("words", GOOD, ids=ids)
def test_done(words):
    done = run(*words)

    assert (done.code, done.err) == (0, "")
    assert done.out.strip()


@pytest.mark.parametrize("words", NO, ids=ids)
def test_the_answer_is_no(words):
    done = run(*words)

    assert (done.code, done.err) == (1, "")
    assert done.out.strip()


@pytest.mark.parametrize(("words", "told"), BAD, ids=ids)
def test_bad_input(words, told):
    """The sentence, wherever its lines are broken; nothing on standard output."""
    done = run(*words)

    assert (done.code, done.out) == (2, "")
    assert told in re.sub(r"\s+", " ", done.err)
    assert "Traceback" not in done.err


def test_where_to_read_of_it():
    assert run("plan", "--xylophone").err == (
        "No such option '--xylophone'.\nSee: splinewise plan --help\n"
    )


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"car = [", r"bad\.toml:1: This is not TOML"),
        (b"", r"bad\.toml: format: This is missing"),
        (b"\xff\xfe\x00", r"bad\.toml:1: The file is not UTF-8 text from here on"),
        (b"\x00" * 50, r"bad\.toml:1: This is not TOML"),
        (b"a = " + b"[" * 5000, r"bad\.toml"),
        (b"#" * 1_000_001, r"bad\.toml: The file is longer than 1 MB"),
        (
            cars.EXAMPLE.replace("anchor_teeth = 25", "anchor_teeth = 0").encode(),
            r"bad\.toml:44: corner\.front-left\.splines\.anchor_teeth: ",
        ),
        (
            cars.EXAMPLE.replace('"22.5 mm"', '"22,5"').encode(),
            r"bad\.toml:38: corner\.front-left\.bar\.diameter: 22,5 has no unit",
        ),
    ],
)
@pytest.mark.parametrize("command", ["check", "plan", "gauge", "teeth", "travel"])
def test_a_bad_car_file(tmp_path, monkeypatch, command, content, told):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "bad.toml").write_bytes(content)

    done = run(command, "bad.toml")

    assert (done.code, done.out) == (2, "")
    assert re.match(told, done.err), done.err


def test_a_file_that_may_not_be_read(tmp_path, monkeypatch):
    """As root every file may be read, so the refusal is made by hand."""
    from pathlib import Path

    def refuse(*_args, **_more):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)

    done = run("plan", tmp_path / "car.toml")

    assert done.code == 2
    assert "may not be read. Look at its permissions." in done.err


@pytest.mark.parametrize(
    ("lacking", "command", "told"),
    [
        (
            "published",
            ["plan", "--published", "x"],
            "nothing published as 'x'; it has none",
        ),
        ("readings", ["teeth"], "Nothing was read of how front-left is set now."),
        ("readings", ["plan", "--match", "right"], "right"),
        ("both", ["check"], "There is no dimension of front-left to check."),
    ],
)
def test_what_a_car_file_lacks(tmp_path, lacking, command, told):
    text = cars.demo_text("van")
    if lacking in ("published", "both"):
        text = re.sub(r"\[\[corner\.front-left\.published\]\][^\[]*", "", text)
    if lacking in ("readings", "both"):
        text = re.sub(r"\[\[corner\.front-(left|right)\.reading\]\][^\[]*", "", text)
    file = tmp_path / "car.toml"
    file.write_text(text, encoding="utf-8")

    done = run(command[0], file, "left", *command[1:])

    assert done.code == 2
    assert told in re.sub(r"\s+", " ", done.err)


def test_a_fault_of_its_own_is_told_in_a_sentence(monkeypatch):
    """A bug, planted: no traceback, and how to see one."""
    import splinewise.tasks.glossary

    def fall(_word):
        msg = "by nought"
        raise ZeroDivisionError(msg)

    monkeypatch.setattr(splinewise.tasks.glossary, "explain", fall)

    done = run("explain", "bar")
    assert done.code == 2
    assert "Splinewise itself went wrong (ZeroDivisionError: by nought)" in done.err
    assert "Traceback" not in done.err
    monkeypatch.setenv("SPLINEWISE_TRACEBACK", "1")
    with pytest.raises(ZeroDivisionError):
        run("explain", "bar")


def test_stopped_while_it_asks(tmp_path):
    """The input ends before everything was answered."""
    done = run("new", tmp_path / "car.toml", typed="1\n")

    assert done.code == 2
    assert done.err.strip().endswith("Stopped.")
    assert not (tmp_path / "car.toml").exists()
