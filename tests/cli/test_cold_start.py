"""A small command pays for nothing that it does not use."""

import importlib
import inspect
import subprocess
import sys

import pytest

import splinewise

PROBE = """
import io, sys
sys.argv = ["splinewise", *{words!r}]
out, sys.stdout = sys.stdout, io.StringIO()
from splinewise.cli import main
try:
    main()
except SystemExit as ended:
    code = ended.code
sys.stdout = out
print(code, *sorted(m.partition(".")[0] for m in sys.modules if "." not in m))
"""


def loaded(*words):
    """Return the exit code of a command, and the packages that it loaded."""
    done = subprocess.run(
        [sys.executable, "-c", PROBE.format(words=list(words))],
        capture_output=True,
        text=True,
        check=True,
    )
    code, *names = done.stdout.split()
    return int(code), set(names)


@pytest.mark.parametrize(
    "words",
    [
        ["teeth", "24", "25", "--turn", "7.3 deg"],
        [
            *["teeth", "27", "28", "--gap", "3/8 in", "--radius", "7 1/4 in"],
            *["--arm", "too-low", "--side", "left", "--json"],
        ],
        ["explain", "bar"],
        ["schema", "plan"],
        ["--help"],
        ["demo", "--list"],
    ],
)
def test_a_small_command_loads_nothing_heavy(words):
    code, names = loaded(*words)

    assert code == 0
    heavy = {"numpy", "pydantic", "tomllib", "tomlkit", "scipy", "sqlite3"}
    if words[0] == "demo":
        heavy = {"scipy", "sqlite3"}
    assert names & heavy == set()


@pytest.mark.parametrize("command", ["plan", "gauge", "teeth", "travel"])
def test_these_load_neither_scipy_nor_pydantic(command):
    code, names = loaded(command, "demo:van")

    assert code == 0
    assert "numpy" in names
    assert names & {"scipy", "pydantic", "tomlkit", "sqlite3", "jsonschema"} == set()


HELP = """
import sys
import splinewise.cli
context = splinewise.cli.cli.make_context("x", ["plan"], resilient_parsing=True)
splinewise.cli.cli.get_help(context)
print(*(name for name in sys.modules if name.startswith("splinewise")))
"""


def test_help_of_all_commands_loads_none_of_them():
    done = subprocess.run(
        [sys.executable, "-c", HELP], capture_output=True, text=True, check=True
    )

    assert set(done.stdout.split()) == {
        "splinewise",
        "splinewise.cli",
        "splinewise.cli.terminal",
        "splinewise.errors",
    }


# --- the library's face


def test_the_public_names_are_sorted_and_all_have_a_home():
    names = splinewise.__all__

    assert names == sorted(names)
    assert set(names) == {*splinewise._WHERE, "read_quantity"}
    assert splinewise.__dir__() == names


@pytest.mark.parametrize("name", splinewise.__all__)
def test_every_public_name_is_what_its_home_says(name):
    thing = getattr(splinewise, name)

    if name == "read_quantity":
        assert thing is importlib.import_module("splinewise.units").read
    else:
        assert thing is getattr(importlib.import_module(splinewise._WHERE[name]), name)
    text = inspect.getdoc(thing) or ""
    assert len(text.split("\n")[0]) > 10, f"{name} is not documented"


def test_every_public_class_and_function_lists_what_it_takes():
    """Parameters for a function, Attributes or Parameters for a class."""
    for name in splinewise.__all__:
        thing = getattr(splinewise, name)
        text = inspect.getdoc(thing)
        if inspect.isclass(thing) and not issubclass(thing, Exception):
            assert "\n----------\n" in text, name
        elif inspect.isfunction(thing) and inspect.signature(thing).parameters:
            assert "Parameters\n----------\n" in text, name


def test_importing_loads_nothing():
    done = subprocess.run(
        [sys.executable, "-c", "import sys, splinewise; print(*sys.modules)"],
        capture_output=True,
        text=True,
        check=True,
    )

    ours = {m for m in done.stdout.split() if m.startswith("splinewise")}
    assert ours == {"splinewise"}
    assert "numpy" not in done.stdout.split()


def test_a_name_that_is_not_there():
    with pytest.raises(AttributeError, match="no attribute 'pland'"):
        _ = splinewise.pland


def test_type_checkers_see_the_same_names():
    """What is imported for type checkers alone is what is offered."""
    source = inspect.getsource(splinewise)
    block = source[source.index("if TYPE_CHECKING:") : source.index("__all__ = [")]

    for name in splinewise.__all__:
        assert f" {name}" in block or f"as {name}" in block, name
