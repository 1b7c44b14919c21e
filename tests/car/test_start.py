"""A new file: refused until it is filled in, with one line for each blank."""

import re

import pytest

from splinewise.car.file import read_car
from splinewise.car.layouts import LAYOUTS
from splinewise.car.start import new_car_text
from splinewise.errors import CarFileError, TextError

LAYOUT_NAMES = list(LAYOUTS)


def blanks(text):
    """Return the lines that must be filled in."""
    rows = enumerate(text.split("\n"), 1)
    return [n for n, line in rows if line.endswith('= "?"')]


def faults(text):
    with pytest.raises(CarFileError) as caught:
        read_car(text)
    return caught.value.faults


def filled(text):
    """Return a new file with every blank filled by the example that is offered."""
    lines = text.split("\n")
    for fault in faults(text):
        found = re.search(r"For example: (.*)$", fault.why)
        lines[fault.line - 1] = found[1] if found else 'kind = "none"'
    return "\n".join(lines)


@pytest.mark.parametrize("units", ["inch", "metric"])
@pytest.mark.parametrize("layout", LAYOUT_NAMES)
def test_a_new_file_is_refused_with_a_line_for_each_blank(layout, units):
    text = new_car_text(layout, name="grey one", units=units)
    said = faults(text)

    assert len(blanks(text)) > 15
    # What the other side must say for itself comes besides.
    assert {fault.line for fault in said} >= set(blanks(text))
    assert all(
        fault.why.startswith("This is not filled in yet. ")
        for fault in said
        if fault.line in blanks(text)
    )


@pytest.mark.parametrize("units", ["inch", "metric"])
@pytest.mark.parametrize("layout", LAYOUT_NAMES)
def test_each_blank_is_told_once(layout, units):
    said = faults(new_car_text(layout, name="grey one", units=units))
    lines = [fault.line for fault in said]

    assert len(lines) == len(set(lines))


@pytest.mark.parametrize("layout", LAYOUT_NAMES)
def test_filled_with_the_examples_it_is_a_car(layout):
    """The words beside each blank are enough to fill it in, and fit each other."""
    text = filled(new_car_text(layout, name='the "grey" one', units="metric"))
    car = read_car(text)

    assert car.name == 'the "grey" one'
    assert list(car.corners) == ["front-left", "front-right"]
    assert car.corners["front-left"].layout == layout
    assert car.corners["front-left"].published[0].of == "setting length"
    assert not car.invented


@pytest.mark.parametrize("layout", LAYOUT_NAMES)
def test_nothing_is_filled_in_that_the_person_did_not_say(layout):
    """No figure stands in a new file: all live values are blanks, names or choices."""
    text = new_car_text(layout, name="grey one", units="inch")
    live = [
        line
        for line in text.split("\n")
        if " = " in line and not line.startswith("#") and not line.endswith('"?"')
    ]

    assert live == [
        "format = 1",
        'name = "grey one"',
        'units = "inch"',
        f'layout = "{layout}"',
        *(['unit = "in"'] if "unit =" in text else []),
        'mirror = "front-left"',
    ]


@pytest.mark.parametrize("layout", LAYOUT_NAMES)
def test_every_comment_but_a_list_of_choices_fits_the_width(layout):
    text = new_car_text(layout, name="grey one", units="inch")

    assert max(len(line) for line in text.split("\n")) <= 88


@pytest.mark.parametrize("layout", LAYOUT_NAMES)
def test_further_keys_follow_keys_that_are_asked_for(layout):
    lines = new_car_text(layout, name="grey one", units="inch").split("\n")
    before = [
        lines[n - 2] for n, row in enumerate(lines) if row.startswith("# Further keys")
    ]

    assert before
    assert all(line.endswith(('= "?"', '= "in"')) for line in before)


def test_an_optional_key_comes_alive_without_its_mark():
    text = filled(new_car_text("planar arm", name="x", units="metric"))
    text = text.replace('# tolerance = "5 mm"', 'tolerance = "5 mm"')

    assert read_car(text).corners["front-left"].ride_height.tolerance.value == 0.005


@pytest.mark.parametrize(
    ("layout", "name", "units", "said"),
    [
        ("double whishbone", "x", "inch", 'Did you mean "double wishbone"?'),
        ("planar arm", "x", "imperial", 'The units "imperial" are not known.'),
        ("planar arm", "", "inch", "must be one line of text"),
        ("planar arm", "a\nb", "inch", "must be one line of text"),
        ("planar arm", "x" * 201, "inch", "must be one line of text"),
    ],
)
def test_what_cannot_be_started(layout, name, units, said):
    with pytest.raises(TextError, match=re.escape(said)):
        new_car_text(layout, name=name, units=units)
