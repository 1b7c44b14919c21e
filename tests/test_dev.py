"""The script that sets up and runs everything, without installing anything."""

import importlib.util
import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@pytest.fixture
def dev(tmp_path, monkeypatch):
    """Load dev.py from a small project, with a pip that only takes notes."""
    for name in ("dev.py", "pyproject.toml"):
        shutil.copy(ROOT / name, tmp_path)
    shutil.copytree(ROOT / "requirements", tmp_path / "requirements")
    spec = importlib.util.spec_from_file_location("dev", tmp_path / "dev.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)

    def make(place):
        shutil.rmtree(place, ignore_errors=True)
        module.python(place).parent.mkdir(parents=True)
        module.python(place).touch()
        module.done.append("venv")

    def pip(*words, environment=None):
        module.done.append([w for w in words if w.endswith(".txt") or w == "."])

    module.done = []
    monkeypatch.setattr(module, "venv", make)
    monkeypatch.setattr(module, "pip", pip)
    monkeypatch.setattr(module, "run", lambda command: 0)
    return module


RUN, BUILD, TEST = (f"requirements/{name}.txt" for name in ("run", "build", "test"))


def forget(dev):
    done = list(dev.done)
    dev.done.clear()
    return done


def test_the_second_run_installs_nothing(dev):
    dev.set_up("test")
    assert forget(dev) == ["venv", [RUN, BUILD, TEST], ["."]]

    dev.set_up("test")

    assert dev.done == []


def test_a_demo_environment_grows_into_one_for_tests_and_never_back(dev):
    dev.set_up("demo")
    assert forget(dev) == ["venv", [RUN, BUILD], ["."]]

    dev.set_up("test")
    assert forget(dev) == [[RUN, BUILD, TEST], ["."]]

    dev.set_up("demo")
    assert dev.done == []


def test_other_pins_make_it_anew_for_what_it_was(dev):
    dev.set_up("test")
    forget(dev)
    with (dev.ROOT / RUN).open("a") as file:
        file.write("# another pin\n")

    dev.set_up("demo")

    assert dev.done == ["venv", [RUN, BUILD, TEST], ["."]]


def test_another_project_file_installs_the_package_alone(dev):
    dev.set_up("demo")
    forget(dev)
    with (dev.ROOT / "pyproject.toml").open("a") as file:
        file.write("# another entry point\n")

    dev.set_up("demo")

    assert dev.done == [["."]]


@pytest.mark.parametrize("before", ["demo", None])
def test_an_interrupted_installation_is_not_taken_for_a_whole_one(
    dev, monkeypatch, before
):
    if before:
        dev.set_up(before)

    def broken(*words, environment=None):
        raise dev.SetUpError

    with monkeypatch.context() as patch:
        patch.setattr(dev, "pip", broken)
        with pytest.raises(dev.SetUpError):
            dev.set_up("test")
    forget(dev)
    dev.set_up("test")

    assert dev.done == ["venv", [RUN, BUILD, TEST], ["."]]


def test_every_check_runs_and_the_first_bad_code_stands(dev, monkeypatch, capsys):
    codes = {"one": 0, "two": 3, "three": 4, "four": 0}
    ran = []
    monkeypatch.setattr(
        dev, "run_tool", lambda words: ran.append(words[0]) or codes[words[0]]
    )

    code = dev.run_all({name: [name] for name in codes})

    assert code == 3
    assert ran == list(codes)
    assert "two, three FAILED, of 4 checks" in capsys.readouterr().out.splitlines()[-1]


SLIPS = """import sqlite3
class Length:
        metres: int = "one"
"""


@pytest.mark.parametrize(
    ("check", "complaint"),
    [
        ("ruff", "slips.py"),
        ("format", "slips.py"),
        ("types", "slips.py"),
        ("imports", "the core does no I/O BROKEN"),
    ],
)
def test_every_check_can_fail(dev, check, complaint):
    """A tool called by a wrong name may well end with 0, having looked at nothing."""
    settings = tomllib.loads((dev.ROOT / "pyproject.toml").read_text())
    package = dev.ROOT / "src/splinewise"
    for layer in settings["tool"]["importlinter"]["contracts"][0]["layers"]:
        (package / layer).mkdir(parents=True)
        (package / layer / "__init__.py").touch()
    (package / "__init__.py").touch()
    (package / "core/slips.py").write_text(SLIPS)
    tool, *words = dev.CHECKS[check]

    done = subprocess.run(
        [str(Path(sys.executable).with_name(tool)), *words],
        cwd=dev.ROOT,
        env={**os.environ, "PYTHONPATH": "src"},  # before the package under test
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 1, done.stderr
    assert complaint in done.stdout


def test_every_check_is_shown_to_fail(dev):
    assert set(dev.CHECKS) == {"ruff", "format", "types", "imports"}


def test_without_the_venv_module_one_sentence_says_what_to_install(tmp_path):
    for name in ("ensurepip", "venv"):
        (tmp_path / f"{name}.py").write_text("raise ImportError")
    shutil.copy(ROOT / "dev.py", tmp_path)
    shutil.copytree(ROOT / "requirements", tmp_path / "requirements")
    shutil.copy(ROOT / "pyproject.toml", tmp_path)

    done = subprocess.run(
        [sys.executable, str(tmp_path / "dev.py"), "demo"],
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 2
    assert "apt-get install python3-venv" in done.stderr
    assert "Traceback" not in done.stderr
