"""The pinned packages: exact, hashed, without a host, and one set of versions."""

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
NAMES = ["run", "build", "test"]
PIN = re.compile(r"^([a-z0-9-]+)==(\S+)(?: ; (.+?))? \\$")
HASH = re.compile(r"^    --hash=sha256:[0-9a-f]{64}( \\)?$")


def lines(name):
    return (ROOT / f"requirements/{name}.txt").read_text().splitlines()


def pins(name):
    """Return {(package, marker): version} of a file of pins."""
    found = [PIN.match(line) for line in lines(name)]
    return {(m[1], m[3]): m[2] for m in found if m}


@pytest.mark.parametrize("name", NAMES)
def test_every_line_is_a_pin_or_its_hash(name):
    """So no line can name a host, a folder or a loose version."""
    odd = [li for li in lines(name) if not (PIN.match(li) or HASH.match(li))]

    assert odd == []


@pytest.mark.parametrize("name", NAMES)
def test_every_pin_has_a_hash(name):
    text = lines(name)

    bare = [
        a
        for a, b in zip(text, [*text[1:], ""], strict=True)
        if PIN.match(a) and not HASH.match(b)
    ]

    assert pins(name)
    assert bare == []


@pytest.mark.parametrize("name", ["run", "build"])
def test_the_test_environment_holds_the_smaller_ones(name):
    """Same versions, so that a test is a test of what a user gets."""
    assert pins(name).items() <= pins("test").items()


def test_the_package_asks_for_what_is_pinned():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    asked = [
        line
        for line in (ROOT / "requirements/run.in").read_text().splitlines()
        if not line.startswith("#")
    ]

    assert asked == project["dependencies"]


@pytest.mark.parametrize("name", NAMES)
def test_the_docs_say_why_each_package_is_there(name):
    """Each that is asked for by name has its row, and no row is left over."""
    asked = re.findall(
        r"^([a-z][\w-]*)", (ROOT / f"requirements/{name}.in").read_text(), re.MULTILINE
    )
    page = (ROOT / "docs/explanation/dependencies.md").read_text(encoding="utf-8")
    titles = {"run": "At run time", "build": "To build", "test": "To test"}
    part = re.split(rf"^## {titles[name]}$", page, flags=re.MULTILINE)[1]
    rows = re.findall(r"^\| ([a-z][a-z0-9-]+) \|", part.split("\n## ")[0], re.MULTILINE)

    assert sorted(set(rows) - {"package", "written"}) == sorted(asked)
