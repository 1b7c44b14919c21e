"""Clockwise or anticlockwise, against points moved in a picture.

The picture is independent of ours: the arm's end is turned a little, both places are
drawn as the viewer sees them, and the signed area says which way it went round.
"""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from splinewise.core.direction import PLACES, bump_axis, stated_place, turning
from splinewise.errors import QuantityError

UP = np.array([0.0, 0.0, 1.0])
parts = st.floats(-1.0, 1.0)
vectors = st.tuples(parts, parts, parts)


def turned(axis, point, angle):
    """Turn a point about an axis through the origin, right-handed (Rodrigues)."""
    k = np.asarray(axis) / np.linalg.norm(axis)
    along = k * (k @ point) * (1 - math.cos(angle))
    return point * math.cos(angle) + np.cross(k, point) * math.sin(angle) + along


def drawn(view, point, up=UP):
    """Return where a viewer sees a point: to the right, and up."""
    look = np.asarray(view) / np.linalg.norm(view)
    right = np.cross(look, up)
    right /= np.linalg.norm(right)
    return np.array([right @ point, np.cross(right, look) @ point])


def in_the_picture(view, before, after, up=UP):
    """Return which way a point went round the origin as the viewer sees it."""
    x0, y0 = drawn(view, before, up)
    x1, y1 = drawn(view, after, up)
    return "anticlockwise" if x0 * y1 - x1 * y0 > 0 else "clockwise"


@pytest.mark.parametrize(
    ("arm", "place", "expected"),
    [
        ((0, 1, 0), "front", "anticlockwise"),  # left arm, bar along the car
        ((0, -1, 0), "front", "clockwise"),  # right arm
        ((0, 1, 0), "rear", "clockwise"),
        ((0, -1, 0), "rear", "anticlockwise"),
        ((-1, 0, 0), "left", "anticlockwise"),  # trailing arm, bar across the car
        ((-1, 0, 0), "right", "clockwise"),
        ((1, 0, 0), "left", "clockwise"),  # leading arm
        ((1, 0, 0), "right", "anticlockwise"),
    ],
)
def test_arms_of_the_usual_lay(arm, place, expected):
    """From the front the left wheel is on the viewer's right, and rises there."""
    assert turning(bump_axis(arm), PLACES[place]) == expected

    lifted = np.array(arm) + 0.05 * UP
    assert in_the_picture(PLACES[place], np.array(arm), lifted) == expected


def test_the_cars_left_is_on_the_right_of_one_who_stands_in_front():
    """What the whole convention hangs on."""
    right_of_picture, _ = drawn(PLACES["front"], np.array([0.0, 1.0, 0.0]))
    assert right_of_picture == 1.0


@pytest.mark.independent
@given(vectors, vectors, vectors, st.sampled_from(["bump", "droop"]))
def test_any_axis_seen_from_anywhere(axis, view, start, sense):
    """A point is turned about the axis and drawn; the area it sweeps has a sign."""
    assume(min(np.linalg.norm(axis), np.linalg.norm(view)) > 0.01)
    k, look = (np.asarray(v) / np.linalg.norm(v) for v in (axis, view))
    assume(abs(k @ look) > 0.2)
    up = UP if abs(look[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    # The path of a point is a circle seen as an oval: it goes round its centre.
    point = np.asarray(start) - k * (k @ np.asarray(start))
    assume(np.linalg.norm(point) > 0.01)

    after = turned(axis, point, 0.3 if sense == "bump" else -0.3)

    expected = in_the_picture(view, point, after, up)
    assert turning(axis, view, sense=sense) == expected


@given(vectors)
def test_bump_lifts_the_wheel(arm):
    """A right-handed turn about the axis raises the end of the arm."""
    assume(math.hypot(arm[0], arm[1]) > 0.01)
    axis = bump_axis(arm)

    assert math.hypot(*axis) == pytest.approx(1.0)
    assert np.cross(axis, arm)[2] > 0.0
    assert abs(np.dot(axis, arm)) < 1e-12


@given(vectors, st.sampled_from(sorted(PLACES)))
def test_from_the_other_side_it_goes_the_other_way(axis, place):
    view = PLACES[place]
    assume(math.hypot(*axis) > 0.01)
    assume(abs(np.dot(axis, view)) > 0.2 * math.hypot(*axis))
    opposite = tuple(-v for v in view)

    assert turning(axis, view) != turning(axis, opposite)
    assert turning(axis, view) != turning(axis, view, sense="droop")


def test_the_stated_place_follows_the_lay_of_the_bar():
    assert stated_place((1.0, 0.1, 0.0), "left") == "front"
    assert stated_place((-1.0, 0.1, 0.0), "right") == "front"
    assert stated_place((0.1, 1.0, 0.0), "left") == "left"
    assert stated_place((0.1, -1.0, 0.0), "right") == "right"


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: turning((0, 1, 0), PLACES["front"]), r"view must be more than 10°"),
        (lambda: turning((0, 0, 0), PLACES["front"]), r"axis must be longer than 0"),
        (lambda: turning((1, 0, 0), (math.nan, 0, 0)), r"view must be longer than 0"),
        (lambda: bump_axis((0.0, 0.0, 1.0)), r"arm must be longer than 0 as seen from"),
    ],
)
def test_what_nobody_could_see_is_refused(make, message):
    with pytest.raises(QuantityError, match=message):
        make()


def test_edge_on_begins_ten_degrees_from_square():
    """Inside and past the limit."""
    for off, seen in ((9.9, False), (10.1, True)):
        axis = (math.sin(math.radians(off)), math.cos(math.radians(off)), 0.0)
        if seen:
            assert turning(axis, PLACES["rear"]) == "clockwise"
        else:
            with pytest.raises(QuantityError, match="square to the axis"):
                turning(axis, PLACES["rear"])
