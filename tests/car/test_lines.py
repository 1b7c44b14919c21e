"""The line of every key: against tomllib, which says what keys there are."""

import tomllib

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from splinewise.car.lines import find_lines, line_of

TEXT = '''\
#:schema ./car.schema.json
format = 1   # a comment with [brackets] and "quotes"

[car]
name = "A \\"car\\" # not a comment"
story = """
[not.a.table]
key = 1
""\\""""
words = \'\'\'
it's [[not]] a row\'\'\'

[corner.front-left]
"odd key" = 1
points.unit = "mm"
points.'lower front' = [
    120,   # x
    230.5,
    [1, { deep = 2 }],
]
bolts = ["12 mm", "}"]

[[corner.front-left.reading]]
of = "gap"
value = { value = "3 mm", source = "[x]" }

[[corner.front-left.reading]]
of = "gap"

[corner.front-left.reading.more]
a.b = 1

[[corner.front-left.reading.rows]]
c = 1
[[corner.front-left.reading.rows]]
c = 2979-05-27 07:32:00
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("format",), 2),
        (("car",), 4),
        (("car", "name"), 5),
        (("car", "story"), 6),
        (("car", "words"), 10),
        (("corner",), 13),
        (("corner", "front-left"), 13),
        (("corner", "front-left", "odd key"), 14),
        (("corner", "front-left", "points"), 15),
        (("corner", "front-left", "points", "unit"), 15),
        (("corner", "front-left", "points", "lower front"), 16),
        (("corner", "front-left", "points", "lower front", 1), 18),
        (("corner", "front-left", "points", "lower front", 2, 1, "deep"), 19),
        (("corner", "front-left", "bolts", 1), 21),
        (("corner", "front-left", "reading"), 23),
        (("corner", "front-left", "reading", 0, "value", "source"), 25),
        (("corner", "front-left", "reading", 1), 27),
        (("corner", "front-left", "reading", 1, "more", "a", "b"), 31),
        (("corner", "front-left", "reading", 1, "rows", 0, "c"), 34),
        (("corner", "front-left", "reading", 1, "rows", 1, "c"), 36),
    ],
)
def test_each_key_stands_on_its_line(path, line):
    assert find_lines(TEXT)[path] == line


def test_a_header_outranks_a_key_that_implied_its_table():
    lines = find_lines("[a.b]\nc = 1\n[a]\nd = 1\n")

    assert lines[("a",)] == 3


def test_a_missing_key_is_looked_for_where_it_should_stand():
    lines = find_lines(TEXT)

    assert line_of(lines, ("corner", "front-left", "reading", 1, "value")) == 27
    assert line_of(lines, ("nowhere",)) == 0


def paths(data, path=()):
    """Return the path of everything that tomllib found."""
    if path:
        yield path
    if isinstance(data, dict):
        for key, item in data.items():
            yield from paths(item, (*path, key))
    if isinstance(data, list):
        for n, item in enumerate(data):
            yield from paths(item, (*path, n))


def test_all_that_tomllib_finds_has_a_line_and_nothing_else():
    assert set(find_lines(TEXT)) == set(paths(tomllib.loads(TEXT)))


words = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=8)
plain = (
    st.integers(-(10**6), 10**6)
    | words
    | st.booleans()
    | st.floats(allow_nan=False)
    | st.dates()
)
keys = st.one_of(st.sampled_from(["a", "b", "a b", "é", 'q"', "x.y", "[z]"]), words)
nested = st.recursive(
    plain,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(keys, inner, max_size=3)
        | st.lists(st.dictionaries(keys, inner, max_size=2), max_size=3)
    ),
    max_leaves=12,
)


@given(st.dictionaries(keys, nested, max_size=4))
def test_any_document_is_covered(data):
    text = tomlkit.dumps(data)
    try:
        again = tomllib.loads(text)
    except tomllib.TOMLDecodeError:  # a writer's slip is not ours to test
        return
    lines = find_lines(text)

    assert set(lines) == set(paths(again))
    assert all(1 <= n <= text.count("\n") + 1 for n in lines.values())


@given(st.text(alphabet="[]{}=\"'\\#,. \nab1", max_size=60))
def test_text_that_is_no_toml_still_ends(text):
    find_lines(text)
