"""Points and turns: what each construction is for, held to its definition.

A point that was constructed to be so far from others must be so far from them, and
must stay so: the distances, worked out again on jets, must change exactly as those
that were put in.  That proves derivatives without repeating a formula.
"""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.testing import assert_allclose, assert_array_equal

from splinewise.core.geometry import (
    Circle,
    Vec,
    apex,
    circle_meets_sphere,
    cross,
    dot,
    length,
    squared,
    three_spheres,
    turn,
    unit,
    vec,
    wave_root,
)
from splinewise.core.jet import Jet, curvature, seed, sin, slope, sqrt, value
from splinewise.errors import QuantityError

places = arrays(float, 3, elements=st.floats(-2.0, 2.0))
branches = st.sampled_from([-1.0, 1.0])


def moving(place, way, bend):
    """Return a point on a curved path, as jets at its start."""
    return Vec(
        *(Jet(np.float64(p), w, b) for p, w, b in zip(place, way, bend, strict=True))
    )


def three(x):
    """Return value, slope and curvature."""
    return np.array([value(x), slope(x), curvature(x)], dtype=float)


@given(places, places)
def test_products_are_numpys(a, b):
    u, v = vec(a), vec(b)

    assert_allclose(value(dot(u, v)), np.dot(a, b), atol=1e-14)
    assert_allclose(cross(u, v).array, np.cross(a, b), atol=1e-14)
    assert_allclose(value(squared(u)), np.dot(a, a), atol=1e-14)
    assert_allclose(value(length(u)), np.linalg.norm(a), atol=1e-14)
    assert_array_equal((u + v).array, a + b)
    assert_array_equal((u - v).array, a - b)
    assert_array_equal((-u).array, -a)
    assert_array_equal((u * 3.0).array, (3.0 * u).array)


@given(places, places, places)
def test_a_direction_keeps_its_length(a, b, c):
    """A unit vector of a moving one has length one, always."""
    assume(np.linalg.norm(a) > 0.1)
    along = unit(moving(a, b, c))
    assert_allclose(three(length(along)), [1.0, 0.0, 0.0], atol=1e-9)


def test_velocity_and_still():
    """Slopes come apart from values."""
    p = Vec(seed(2.0), 3.0 * seed(2.0), np.array(5.0))

    assert_array_equal(p.array, [2.0, 6.0, 5.0])
    assert_array_equal(p.velocity, [1.0, 3.0, 0.0])
    assert_array_equal(p.still.array, p.array)
    assert_array_equal(p.still.velocity, np.zeros(3))


@given(places, places, places, st.floats(-3.0, 3.0))
def test_a_circle_keeps_distance_and_height(foot, axis, point, angle):
    """A turned point stays as far from the axis, and as far along it."""
    assume(np.linalg.norm(axis) > 0.1)
    n = axis / np.linalg.norm(axis)
    assume(np.linalg.norm(np.cross(n, point - foot)) > 0.1)
    circle = Circle.about(vec(foot), vec(n), vec(point))
    turned = turn(angle)

    moved = circle.at(turned.sine, turned.cosine).array

    assert_allclose(circle.at(0.0, 1.0).array, point, atol=1e-14)
    assert_allclose(n @ (moved - foot), n @ (point - foot), atol=1e-13)
    before, after = np.cross(n, point - foot), np.cross(n, moved - foot)
    assert_allclose(after @ after, before @ before, rtol=1e-12)
    # Right-handed: the cross product of before and after points along the axis.
    assert_allclose(n @ np.cross(before, after), np.sin(angle) * (before @ before),
                    atol=1e-12)  # fmt: skip


@given(st.floats(-5.0, 5.0), st.floats(-5.0, 5.0), st.floats(-0.9999, 0.9999), branches)
def test_wave_root_solves_its_equation(a, b, share, branch):
    """A cos φ + b sin φ is k, sine and cosine belong together, w has its sign."""
    swing = np.hypot(a, b)
    assume(swing > 0.01)

    got = wave_root(a, b, share * swing, branch)

    s, c = value(got.sine), value(got.cosine)
    assert_allclose(a * c + b * s, share * swing, atol=1e-12)
    assert_allclose(s * s + c * c, 1.0, rtol=1e-12)
    assert (a * s - b * c) * branch >= -1e-6


@given(
    st.floats(0.5, 5.0), st.floats(-5.0, 5.0), st.floats(-0.9, 0.9), branches,
    arrays(float, 6, elements=st.floats(-2.0, 2.0)),
)  # fmt: skip
def test_wave_root_follows_moving_numbers(a, b, share, branch, motion):
    """Put back into a cos φ + b sin φ, the root gives k with its derivatives."""
    a = Jet(np.float64(a), motion[0], motion[1])
    b = Jet(np.float64(b), motion[2], motion[3])
    k = Jet(np.hypot(a.v, b.v) * share, motion[4], motion[5])

    got = wave_root(a, b, k, branch)

    assert_allclose(three(a * got.cosine + b * got.sine), three(k), atol=1e-9)
    circle = got.cosine * got.cosine + got.sine * got.sine
    assert_allclose(three(circle), [1.0, 0.0, 0.0], atol=1e-9)


def test_wave_root_beyond_its_swing_is_nan():
    with np.errstate(invalid="ignore"):
        got = wave_root(1.0, 1.0, np.array([1.4, 1.5]), 1.0)
    assert_array_equal(np.isnan(got.sine), [False, True])


@given(places, places, places, places, st.floats(-3.0, 3.0))
def test_circle_meets_sphere(foot, axis, point, centre, angle):
    """One of the two roots is the turn that the radius was taken from."""
    assume(np.linalg.norm(axis) > 0.1)
    n = axis / np.linalg.norm(axis)
    assume(np.linalg.norm(np.cross(n, point - foot)) > 0.1)
    assume(np.linalg.norm(np.cross(n, centre - foot)) > 0.1)
    circle = Circle.about(vec(foot), vec(n), vec(point))
    there = circle.at(np.sin(angle), np.cos(angle))
    radius = length(there - vec(centre))

    # Where both roots fall together, rounding may leave none.
    side = np.cross(n, there.array - foot) @ (there.array - centre)
    assume(abs(side) > 1e-4)

    found = [circle_meets_sphere(circle, vec(centre), radius, w) for w in (-1.0, 1.0)]

    points = [circle.at(root.sine, root.cosine) for root in found]
    reached = [value(length(p - vec(centre))) for p in points]
    # A radius far below a metre is found from squares of metres: their rounding,
    # 1e-16 m² over twice the radius, is what stays.
    assert_allclose(reached, value(radius), rtol=1e-9, atol=1e-15 / value(radius))
    assert_allclose(points[0 if side > 0.0 else 1].array, there.array, atol=1e-9)


@given(
    places, places, places, places,
    arrays(float, (6, 3), elements=st.floats(-1.0, 1.0)),
    arrays(float, 6, elements=st.floats(-0.5, 0.5)),
    branches,
)  # fmt: skip
def test_three_spheres(a, b, c, point, motion, growth, branch):
    """The point is as far from the three centres as asked, and stays so."""
    normal = np.cross(b - a, c - a)
    off = normal @ (point - a)
    assume(np.linalg.norm(normal) > 0.3)
    assume(abs(off) > 0.3 * np.linalg.norm(normal))
    centres = [moving(p, motion[i], motion[i + 3]) for i, p in enumerate((a, b, c))]
    distances = [
        Jet(np.linalg.norm(point - p), growth[i], growth[i + 3])
        for i, p in enumerate((a, b, c))
    ]

    got = three_spheres(*centres, tuple(distances), branch)

    for centre, distance in zip(centres, distances, strict=True):
        assert_allclose(three(length(got - centre)), three(distance), atol=1e-8)
    assert np.sign(normal @ (got.array - a)) == branch
    if np.sign(off) == branch:
        assert_allclose(got.array, point, atol=1e-9)


def test_an_apex_with_distances_that_stay():
    """Plain distances and moving points: nothing needs to be a jet but what moves."""
    x = seed(0.3)
    first = Vec(x * 0.2 + 1.0, sin(x), np.array(0.1))
    second = Vec(x * x, np.array(1.2), 0.3 - x)

    got = apex(first, second, (1.1, 0.9, 1.0), 1.0)

    assert_allclose(three(length(got)), [1.1, 0.0, 0.0], atol=1e-13)
    assert_allclose(three(length(got - first)), [0.9, 0.0, 0.0], atol=1e-13)
    assert_allclose(three(length(got - second)), [1.0, 0.0, 0.0], atol=1e-13)


def test_spheres_that_do_not_meet_give_nan():
    with np.errstate(invalid="ignore"):
        got = three_spheres(
            vec([0, 0, 0]), vec([1, 0, 0]), vec([0, 1, 0]), (0.3, 0.3, 0.3), 1.0
        )
    assert np.all(np.isnan(got.array))


def test_a_flat_triangle_keeps_its_digits():
    """Two centres close together: a point is still found to 1e-12.

    Expected from the same triangle in whole numbers: centres (0, 0, 0), (1, 0, 0)
    and (1, 1e-3, 0), point (0.5, 0, 1) from which the distances are taken.
    """
    a, b, c, p = ([0, 0, 0], [1, 0, 0], [1, 1e-3, 0], np.array([0.5, 0.0, 1.0]))
    distances = tuple(sqrt(np.sum((p - np.array(q)) ** 2)) for q in (a, b, c))

    got = three_spheres(vec(a), vec(b), vec(c), distances, 1.0)

    assert_allclose(got.array, p, atol=1e-12)


def test_vectors_broadcast():
    """A column of points against a row of points."""
    got = dot(vec(np.ones((3, 1, 3))), vec(np.ones((2, 3))))
    assert_array_equal(got, np.full((3, 2), 3.0))


@pytest.mark.parametrize(
    ("point", "message"),
    [
        ([0.0, np.nan, 1.0], "hub must be finite; got nan m"),
        ([0.0, np.inf, 1.0], "hub must be finite; got inf m"),
        ([0.0, 1.0], "hub must be three coordinates; got 2 of them"),
        (5.0, "hub must be three coordinates; got 1 of them"),
    ],
)
def test_what_is_no_point_is_refused(point, message):
    with pytest.raises(QuantityError, match=message):
        vec(point, "hub")
