"""The plain reading of a faultless table and pydantic's: what both take is the same."""

import copy
import json
import random
import subprocess
import sys
import tomllib

import pytest
from tests.car.test_nonsense import BLOCKS, parts

from splinewise.car.blame import Blame
from splinewise.car.demos import demo_names, demo_text
from splinewise.car.layouts import LAYOUTS
from splinewise.car.mirror import unfolded
from splinewise.car.models import as_table, model_of
from splinewise.car.plain import UnreadError, read_plain
from splinewise.car.schema import WholeTable


def spread(value):
    """Return a value with every table as its keys, to be compared and shown."""
    if type(value).__name__.endswith(("Table", "Row", "Corner")):
        return (type(value), {k: spread(v) for k, v in vars(value).items()})
    if isinstance(value, list):
        return [spread(item) for item in value]
    if isinstance(value, dict):
        return {k: spread(v) for k, v in value.items()}
    return (type(value), value)


def by_pydantic(table, raw):
    """Return what pydantic makes of a table, or None where it finds a fault."""
    from pydantic import ValidationError

    try:
        return spread(as_table(model_of(table).model_validate(raw)))
    except ValidationError:
        return None


def plainly(table, raw):
    """Return what is plainly read of a table, or None where it is refused."""
    try:
        return spread(read_plain(table, raw))
    except UnreadError:
        return None


def tables(text):
    """Return the tables that a file holds, each with what reads it."""
    raw = tomllib.loads(text)
    corners = raw.get("corner")
    whole = {**raw, "corner": {}} if isinstance(corners, dict) else raw
    found = [(WholeTable, whole)]
    if isinstance(corners, dict):
        for corner in unfolded(corners, Blame()).values():
            layout = corner.get("layout") if isinstance(corner, dict) else None
            # A corner of no known layout is read as each of them.
            row = LAYOUTS.get(layout) if isinstance(layout, str) else None
            found += [(r.table, corner) for r in ([row] if row else LAYOUTS.values())]
    return found


@pytest.mark.parametrize("name", demo_names())
def test_a_demo_is_read_plainly_and_the_same(name):
    found = tables(demo_text(name))
    assert len(found) > 1
    for table, raw in found:
        plain = plainly(table, raw)
        assert plain is not None
        assert plain == by_pydantic(table, raw)


@pytest.mark.parametrize("block", BLOCKS, ids=range(1, len(BLOCKS) + 1))
def test_of_nonsense_both_take_the_same(block):
    text, _ = parts(block)
    try:
        found = tables(text)
    except tomllib.TOMLDecodeError:
        assert block  # no table to read
        return
    for table, raw in found:
        assert plainly(table, raw) == by_pydantic(table, raw)


OTHERS = [
    *(True, False, 0, 1, -1, 1.0, 0.5, float("nan"), float("inf"), 10**30),
    *("", "?", "round", "low", "yes", "12 mm", "12 mm ± 1 mm", "a\n", "ab\n", "ä", "x"),
    *([], {}, [1, 2, 3], ["1 in", 2, 3.0], [{}], {"kind": "none"}, {"a": [1, 2, 3]}),
    *({"value": "12 mm"}, {"a\n": [1, 2, 3]}, {"kind": 1}, "x" * 201, "\x07", "12 in"),
]


def places(raw, at=()):
    """Return every path in a table."""
    items = raw.items() if isinstance(raw, dict) else enumerate(raw)
    for key, value in items:
        yield (*at, key)
        if isinstance(value, (dict, list)):
            yield from places(value, (*at, key))


@pytest.mark.parametrize("name", demo_names())
def test_of_a_spoiled_demo_both_take_the_same(name):
    rng = random.Random(f"spoil {name}")
    found = tables(demo_text(name))
    taken = refused = 0
    for _ in range(1500):
        table, good = rng.choice(found)
        raw = copy.deepcopy(good)
        path = rng.choice(list(places(raw)))
        if path == ("format",):
            continue  # told before either reads it: pydantic would take true for 1
        here = raw
        for key in path[:-1]:
            here = here[key]
        match rng.randrange(4):
            case 0:
                del here[path[-1]]
            case 1 if isinstance(here, dict):
                here[rng.choice(["also", "mirror", "arm_teeth", "unit", "kind"])] = 1
            case _:
                here[path[-1]] = copy.deepcopy(rng.choice(OTHERS))
        plain = plainly(table, raw)
        assert plain == by_pydantic(table, raw), (path, here)
        taken, refused = taken + (plain is not None), refused + (plain is None)
    assert taken > 100
    assert refused > 100


def test_every_key_of_every_layout_has_a_plain_reading():
    for row in LAYOUTS.values():
        with pytest.raises(UnreadError):
            read_plain(row.table, {})


def test_a_faultless_file_is_read_without_pydantic():
    script = (
        "import sys, json; from splinewise.car.demos import demo_names, load_demo; "
        "[load_demo(name) for name in demo_names()]; "
        "print(json.dumps([m for m in sys.modules if m.startswith('pydantic')]))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert json.loads(done.stdout) == []
