"""Spoiled car files: a sentence or a sound car, and never anything else."""

import random
import tomllib

import pytest
import tomlkit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from damage import must_be_sound, spoiled
from splinewise.car.demos import demo_names, demo_text
from splinewise.car.file import load_car, read_car
from splinewise.errors import CarFileError

TEXTS = [demo_text(name) for name in demo_names()]


def read_or_refused(text: str) -> bool:
    """Return whether a text is a car, which must then be sound."""
    try:
        car = read_car(text)
    except CarFileError as error:
        faults = error.faults
    else:
        must_be_sound(car)
        return True
    assert faults
    assert all(fault.why.strip() for fault in faults)
    assert all(0 <= fault.line <= text.count("\n") + 1 for fault in faults)
    return False


def run(seeds) -> int:
    """Return how many of the spoiled files were cars all the same."""
    read = 0
    for seed in seeds:
        chance = random.Random(seed)
        text = spoiled(chance.choice(TEXTS), chance)
        try:
            read += read_or_refused(text)
        except Exception as error:  # name the file that did it
            msg = f"seed {seed}: {error!r}"
            raise AssertionError(msg) from error
    return read


def test_a_few_spoiled_files():
    read = run(range(300))

    assert 15 < read < 285  # harms that never pass, or never harm, test nothing


@pytest.mark.slow
def test_many_spoiled_files():
    read = run(range(1000, 6000))

    assert 250 < read < 4750


def places(data, path=()):
    """Return the path of every plain value."""
    if isinstance(data, (dict, list)):
        items = data.items() if isinstance(data, dict) else enumerate(data)
        for key, item in items:
            yield from places(item, (*path, key))
    else:
        yield path


RAW = [tomllib.loads(text) for text in TEXTS]
PLACES = [(n, place) for n, raw in enumerate(RAW) for place in places(raw)]
LENGTHS = st.builds(
    "{:.6g} {}".format,
    st.floats(-1e4, 1e4, allow_nan=False),
    st.sampled_from(["mm", "in", "m", "deg", "lb", "kg", "N·m/deg", "MPa", "turns"]),
)
WORDS = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=12)
NUMBERS = st.integers(-(10**40), 10**40) | st.floats()
PLAIN = LENGTHS | WORDS | NUMBERS | st.booleans() | st.dates() | st.just("?")
ANY = st.recursive(
    PLAIN,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.lists(NUMBERS, min_size=3, max_size=3)
        | st.dictionaries(st.sampled_from(["value", "kind", "x"]), inner, max_size=2)
    ),
    max_leaves=4,
)


def with_other_values(changes) -> str:
    """Return the file of a demo car with some of its values others."""
    which = changes[0][0][0]
    data = tomllib.loads(TEXTS[which])
    for (n, path), value in changes:
        if n != which:
            continue
        here = data
        for key in path[:-1]:
            here = here[key]
        if isinstance(here, (dict, list)):
            here[path[-1]] = value
    return tomlkit.dumps(data)


CHANGES = st.lists(
    st.tuples(st.sampled_from(PLACES), ANY),
    min_size=1,
    max_size=3,
    unique_by=lambda change: change[0],
)


def check_changes(changes):
    read_or_refused(with_other_values(changes))


@given(CHANGES)
@settings(max_examples=150)
def test_other_values(changes):
    check_changes(changes)


@pytest.mark.slow
@given(CHANGES)
@settings(max_examples=1000, suppress_health_check=[HealthCheck.too_slow])
def test_many_other_values(changes):
    check_changes(changes)


def test_a_list_of_blanks_where_no_rows_can_be():
    """Found by the search below."""
    read_or_refused(TEXTS[0].replace('bar_on = "lower"', 'bar_on = ["?", "?"]'))


@given(st.text(max_size=200))
@settings(max_examples=100)
def test_any_text(text):
    read_or_refused(text)


@pytest.mark.slow
@given(st.text(st.sampled_from("[]{}=\"'\\#,.\nabc123 \t\r\x00é"), max_size=200))
@settings(max_examples=4000)
def test_many_texts_like_toml(text):
    read_or_refused(text)


@given(st.binary(max_size=200))
@settings(max_examples=50, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_bytes(tmp_path, content):
    file = tmp_path / "car.toml"
    file.write_bytes(content)
    with pytest.raises(CarFileError):
        load_car(file)
