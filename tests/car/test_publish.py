"""What is published of the file: current, complete, and true of the demo cars."""

import json
import re
import tomllib
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest

from splinewise.car.demos import demo_names, demo_text
from splinewise.car.faults import keys_of, models_in
from splinewise.car.file import read_car
from splinewise.car.layouts import LAYOUTS
from splinewise.car.publish import main, with_tables
from splinewise.car.schema import CarTable, WholeTable, json_schema, schema_text
from splinewise.car.vehicle_tables import WheelTable
from splinewise.core.instruments import INSTRUMENTS

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs/reference/car-file.md").read_text("utf-8")
SCHEMA = json_schema()


def plain(text):
    """Return a TOML text as JSON has it, dates as text."""
    return json.loads(json.dumps(tomllib.loads(text), default=str))


def errors(text):
    validator = jsonschema.Draft202012Validator(SCHEMA)
    return [error.json_path for error in validator.iter_errors(plain(text))]


def test_the_published_schema_is_current():
    published = (files("splinewise.car") / "car.schema.json").read_text("utf-8")

    assert published == schema_text(), "run: python -m splinewise.car.publish"


def test_the_schema_is_a_schema():
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("name", demo_names())
def test_the_demo_cars_fit_the_schema(name):
    assert errors(demo_text(name)) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("format = 1", "format = 2"),
        ('units = "inch"', 'units = "imperial"'),
        ('bar_on = "lower"', 'bar_on = "middle"'),
        ('bar_on = "lower"', ""),
        ("arm_teeth = 27", "arm_teeth = 0"),
        ("arm_teeth = 27", 'arm_teeth = "27"'),
        ('preset = "unknown"', "preset = false"),
        ('rebound = "3 in"', "rebound = 3"),
        ('rebound = "3 in"', 'rebound = "three inches"'),
        ('rebound = "3 in"', 'rebuond = "3 in"'),
        ("lower_rear = [-6.5, 8.75, 8.75]", "lower_rear = [-6.5, 8.75]"),
        ('kind = "slotted bracket"', 'kind = "slot"'),
        ('state = "bare arm"', 'state = "bare"'),
        ('mirror = "front-left"', ""),
        ('mirror = "front-left"', 'mirror = "front-left"\nmiror = 1'),
        ("[corner.front-right]", "[corner.front]"),
        ('drawn = { value = "14 3/4 in",', 'drawn = { valu = "14 3/4 in",'),
    ],
)
def test_an_editor_sees_what_is_wrong(old, new):
    text = demo_text("tourer")
    assert old in text

    assert errors(text.replace(old, new, 1))


def every_key():
    """Return each table's name and each key that any table of the file has."""
    tables = [
        WholeTable,
        CarTable,
        WheelTable,
        *(row.table for row in LAYOUTS.values()),
    ]
    keys = {("", "mirror")}
    while tables:
        table = tables.pop()
        for key, field in keys_of(table).items():
            keys.add((table.__name__, key))
            tables += models_in(field.annotation)
    return sorted(keys)


def every_key_of_the_schema():
    """Return every key that the published schema allows."""
    found = set()
    todo = [SCHEMA]
    while todo:
        node = todo.pop()
        if isinstance(node, dict):
            found |= set(node.get("properties", ()))
            todo += node.values()
        elif isinstance(node, list):
            todo += node
    return found


def test_the_schema_and_the_tables_have_the_same_keys():
    own = {key for _, key in every_key()}

    assert every_key_of_the_schema() == own | {"value", "standing", "source"}


@pytest.mark.parametrize("key", sorted({key for _, key in every_key()}))
def test_every_key_is_on_the_page(key):
    rows = re.findall(
        rf"^\| `{key}` \| (.*?) \| (?:yes|no) \| .+ \|$", PAGE, re.MULTILINE
    )

    assert key == "mirror" or all(row.strip() for row in rows)
    assert rows or f"`{key} = " in PAGE


def test_every_number_has_its_unit_and_range_on_the_page():
    """What is a quantity says its kind and from where to where it goes."""
    for kind in ("length", "angle", "mass", "pressure", "angular rate", "turns"):
        cells = re.findall(rf"\| ({kind}, [^|;]*)[|;]", PAGE)
        assert cells
        assert all("from " in cell or "within " in cell for cell in cells)


def test_the_tables_of_the_page_are_current():
    assert with_tables(PAGE) == PAGE, (
        "run: python -m splinewise.car.publish docs/reference/car-file.md"
    )


def test_publishing_writes_both(tmp_path, monkeypatch):
    monkeypatch.setattr("splinewise.car.publish.files", lambda _: tmp_path)
    page = tmp_path / "page.md"
    page.write_text("a\n<!-- keys -->old<!-- end of keys -->\nb\n")
    main([str(page)])

    assert (tmp_path / "car.schema.json").read_text("utf-8") == schema_text()
    assert page.read_text("utf-8").startswith("a\n<!-- keys -->\n\n### The top")
    assert page.read_text("utf-8").endswith("<!-- end of keys -->\nb\n")


def test_the_file_on_the_page_is_a_car():
    (text,) = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    car = read_car(text)

    assert list(car.corners) == ["front-left", "front-right"]
    assert errors(text) == []


def test_the_page_names_every_instrument():
    named = re.search(r"doubts for are (.*?)\n\n", PAGE, re.DOTALL)[1]
    words = set(re.findall(r"`([a-z0-9-]+)`", named)) - {"-hook"}

    assert words | {f"tape-{n}-hook" for n in (1, 2, 3)} == set(INSTRUMENTS)


def test_the_page_shows_faults_as_they_are():
    """The two lines shown are among those that the nonsense files get."""
    said = Path(__file__).with_name("nonsense.txt").read_text("utf-8")
    shown = re.findall(r"^    car\.toml:\d+: (.*)$", PAGE, re.MULTILINE)

    assert len(shown) == 2
    assert all(f": {line}\n" in said for line in shown)
