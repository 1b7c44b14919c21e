"""A corner written as the mirror of the other: what is taken over, and what is not."""

import numpy as np
import pytest

from splinewise.car.demos import demo_names, demo_text
from splinewise.car.file import read_car
from splinewise.core.jet import value
from splinewise.errors import CarFileError

HEAD = '[corner.front-right]\nmirror = "front-left"\n'


def tourer(*rows, tail=""):
    """Return the tourer with other rows in place of its right corner's."""
    text = demo_text("tourer").split(HEAD)[0]
    now = '\n[corner.front-right.adjuster]\nnow = "0 in"\n'
    return read_car(text + HEAD + "\n".join(rows) + now + tail).corners


def both(corners):
    return corners["front-left"], corners["front-right"]


@pytest.mark.independent
@pytest.mark.parametrize("name", demo_names())
@pytest.mark.parametrize("angle", [-0.15, 0.0, 0.12])
def test_a_mirrored_corner_moves_as_a_mirror_image(name, angle):
    left, right = both(read_car(demo_text(name)).corners)
    one, other = (c.linkage.pose(np.array(angle)).contact.array for c in (left, right))

    assert np.allclose(other, one * [1.0, -1.0, 1.0], rtol=0.0, atol=1e-14)
    assert right.drawn_slope == pytest.approx(left.drawn_slope, rel=1e-12)
    assert right.arm_radius == pytest.approx(left.arm_radius, rel=1e-12)
    for key, dimension in left.dimensions.items():
        twin = right.dimensions[key]
        assert value(twin.span.length(angle)) == pytest.approx(
            value(dimension.span.length(angle)), rel=1e-12
        )


def test_the_bar_lies_the_other_way_round():
    """Right-handed about it is bump on either side, so x is reversed."""
    left, right = both(tourer())
    (x, y, z), (u, v, w) = left.bar_along, right.bar_along

    assert (u, v, w) == pytest.approx((-x, y, -z), abs=1e-15)


def test_what_differs_is_written_and_the_rest_taken_over():
    left, right = both(tourer("[corner.front-right.bar]", 'diameter = "0.840 in"'))

    assert right.bar.words == "0.840 in round, 40 in ± 1/8 active"
    assert right.bar.rate.value < left.bar.rate.value
    assert right.bar.limit == left.bar.limit
    assert right.ride_height == left.ride_height
    assert right.published == left.published


def test_a_point_of_its_own_is_written_as_it_lies_on_that_side():
    rows = ("[corner.front-right.points]", "wheel_centre = [0.0, -24.25, 11.5]")
    wheel = tourer(*rows)["front-right"].linkage.pose(np.zeros(())).wheel.array

    assert wheel == pytest.approx([0.0, -24.25 * 0.0254, 11.5 * 0.0254], abs=1e-12)


def test_its_own_unit_is_for_its_own_points_only():
    rows = (
        "[corner.front-right.points]",
        'unit = "mm"',
        "wheel_centre = [0, -609.6, 292.1]",
    )
    left, right = both(tourer(*rows))
    one, other = (c.linkage.pose(np.array(0.1)).contact.array for c in (left, right))

    assert np.allclose(other, one * [1.0, -1.0, 1.0], rtol=0.0, atol=1e-12)


def test_a_spindle_is_mirrored_too():
    text = demo_text("tourer").replace(
        'drawn_camber = "0.5 deg"\ndrawn_toe = "0.1 deg"', "spindle = [0.01, 1, -0.02]"
    )
    left, right = both(read_car(text).corners)
    one, other = (c.linkage.pose(np.zeros(())).spindle.array for c in (left, right))

    assert other == pytest.approx(one * [1.0, -1.0, 1.0], abs=1e-15)


def test_readings_are_never_taken_over():
    left, right = both(tourer())

    assert len(left.readings) == 3
    assert right.readings == ()


def test_teeth_counted_on_one_side_are_not_counted_on_the_other():
    left, right = both(tourer())

    assert (left.counted, right.counted) == (True, False)
    assert right.splines == left.splines


def test_a_measured_rate_is_of_one_bar_only():
    left, right = both(read_car(demo_text("van")).corners)

    assert left.bar.rate.standing == "measured"
    assert right.bar.rate.standing == "computed"


def test_where_the_adjuster_stands_must_be_said_for_each_side():
    text = demo_text("van").replace('now = "5 1/2 turns"\n', "")
    with pytest.raises(CarFileError) as caught:
        read_car(text)
    (fault,) = caught.value.faults
    line = text.split("\n").index("[corner.front-right.adjuster]") + 1

    assert (fault.line, fault.field) == (line, "corner.front-right.adjuster.now")


def test_a_load_weighed_on_the_other_side_is_assumed():
    left, right = both(tourer())

    assert right.load.value == left.load.value
    assert (left.load.standing, right.load.standing) == ("measured", "assumed")
    assert right.load.source == "as on front-left"


def test_a_published_load_is_published_for_both():
    text = demo_text("tourer").split(HEAD)[0]
    said = '{ value = "562 lb", standing = "published", source = "a book" }'
    rows = [
        f"sprung_load = {said}" if row.startswith("scale_load") else row
        for row in text.split("\n")
        if not row.startswith("unsprung")
    ]
    now = '[corner.front-right.adjuster]\nnow = "0 in"\n'
    left, right = both(read_car("\n".join(rows) + HEAD + now).corners)

    assert right.load == left.load


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (['sprung_load = "570 lb"'], None),
        (["spindle = [0, -1, 0]"], None),
        (
            [
                "[corner.front-right.bar]",
                'shape = "hexagon"',
                'across_flats = "0.9 in"',
            ],
            "0.9 in hexagon, 40 in ± 1/8 active",
        ),
        (["[corner.front-right.bar]", 'shear_modulus = "78.5 GPa"'], None),
        (
            [
                "[[corner.front-right.bar.segment]]",
                'shape = "round"',
                'diameter = "0.9 in"',
                'length = "41 in"',
            ],
            "0.9 in round, 41 in long",
        ),
    ],
)
def test_another_way_of_saying_it_takes_the_place_of_the_first(rows, words):
    right = tourer(*rows)["front-right"]

    assert words is None or right.bar.words == words


def test_another_adjuster_brings_all_its_keys():
    rows = (
        "[corner.front-right.adjuster]",
        'kind = "row of holes"',
        'radius = "70 mm"',
        'pitch = "14 mm"',
        "holes = 5",
        "hole = 3",
    )
    text = demo_text("tourer").split(HEAD)[0] + HEAD + "\n".join(rows)
    adjuster = read_car(text).corners["front-right"].adjuster

    assert (adjuster.radius, adjuster.count) == (0.07, 5)


def test_rows_of_its_own_take_the_place_of_all():
    rows = (
        "[[corner.front-right.published]]",
        'of = "setting length"',
        'value = "18 1/2 in"',
        'source = "another book"',
        'state = "bare arm"',
    )
    left, right = both(tourer(*rows))

    assert [len(c.published) for c in (left, right)] == [2, 1]
    assert right.published[0].figure.source == "another book"


def test_the_line_of_what_was_taken_over_is_where_it_stands():
    """A diameter of its own makes the tube impossible: the bore stands on the left."""
    text = demo_text("tourer").replace(
        'diameter = "0.900 in ± 0.002"',
        'shape = "tube"\ndiameter = "0.9 in"\nbore = "0.8 in"',
    )
    text = text.split(HEAD)[0] + HEAD
    text += '[corner.front-right.adjuster]\nnow = "0 in"\n'
    text += '[corner.front-right.bar]\ndiameter = "0.7 in"\n'
    with pytest.raises(CarFileError) as caught:
        read_car(text)
    (fault,) = caught.value.faults

    assert text.split("\n")[fault.line - 1] == 'bore = "0.8 in"'
    assert '"0.7 in"' in fault.why


def test_either_side_may_be_the_one_that_is_written_out():
    text = demo_text("van").split(HEAD)[0].replace("front-left", "front-right")
    text += '[corner.front-left]\nmirror = "front-right"\n'
    car = read_car(text + 'adjuster.now = "0 turns"\n')

    assert list(car.corners) == ["front-right", "front-left"]
    assert car.corners["front-left"].linkage.outboard == 1.0
