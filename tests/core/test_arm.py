"""A hinged arm: length and angle, both ways, with both roots."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.testing import assert_allclose, assert_array_equal
from scipy.spatial.transform import Rotation

from splinewise.core.arm import Arm, Span
from splinewise.core.geometry import turn, vec
from splinewise.core.jet import curvature, seed, slope, value
from splinewise.errors import QuantityError

radii = st.floats(0.05, 1.0)
angles = st.floats(-3.0, 3.0)
places = arrays(float, 3, elements=st.floats(-0.5, 0.5))


def taped(fixed_radius, arm_radius, angle, apart):
    """Return the third side of a triangle, by the law of cosines."""
    p, q = fixed_radius, arm_radius
    return np.sqrt(p * p + q * q - 2.0 * p * q * np.cos(angle - apart))


@pytest.mark.independent
@given(places, places, places, places, angles)
def test_a_span_is_the_distance_to_the_turned_point(front, rear, bolt, end, angle):
    """Against SciPy's rotation of the point about the pivots' line."""
    line = front - rear
    assume(np.linalg.norm(line) > 0.1)
    axis = line / np.linalg.norm(line)
    path = np.cross(axis, end - rear)
    assume(abs(path[2]) > 0.02)
    arm = Arm.between(vec(front), vec(rear), vec(end))
    up = axis * np.sign(path[2])

    got = value(arm.span(vec(bolt), vec(end)).length(angle))

    moved = rear + Rotation.from_rotvec(up * angle).apply(end - rear)
    assert_allclose(got**2, np.sum((moved - bolt) ** 2), atol=1e-14)
    circle, turned = arm.path(vec(end)), turn(angle)
    assert_allclose(circle.at(turned.sine, turned.cosine).array, moved, atol=1e-12)


@given(places, places, places)
def test_bump_lifts_the_outer_end(front, rear, end):
    """Whichever pivot is named first."""
    assume(np.linalg.norm(front - rear) > 0.1)
    path = np.cross(front - rear, end - rear)
    assume(abs(path[2]) > 0.01)

    for one, other in ((front, rear), (rear, front)):
        circle = Arm.between(vec(one), vec(other), vec(end)).path(vec(end))
        assert circle.at(1e-3, 1.0).array[2] > end[2]


@given(radii, radii, angles, st.floats(0.05, 3.0))
def test_length_to_angle_and_back(p, q, angle, apart):
    """One of the two roots is the angle that made the length; both give it."""
    span = Span.of_triangle(p, q, apart)
    length = value(span.length(angle))
    assume(length > 1e-3)

    both = np.array(span.angles(length))

    # Near dead centre the roots are no better than the root of the last digit.
    near = abs(np.sin(angle - apart))
    off = np.min(np.abs((both - angle + np.pi) % (2 * np.pi) - np.pi))
    if near > 1e-3:
        assert off < 1e-11 / near * (1 + (p + q) ** 2 / (p * q))
        assert_allclose(value(span.length(both)), length, rtol=1e-9)
        assert value(span.slope(both[0])) <= 0.0 <= value(span.slope(both[1]))
        # Asked near where it was, the same root comes back.
        assert_allclose(np.cos(span.angle(length, near=angle) - angle), 1.0, atol=1e-12)


@given(radii, radii, angles, angles)
def test_the_length_is_the_third_side(p, q, angle, apart):
    got = value(Span.of_triangle(p, q, apart).length(angle))
    assert_allclose(got**2, taped(p, q, angle, apart) ** 2, atol=1e-14)


@given(radii, radii, st.floats(0.02, 3.1), st.sampled_from([-1.0, 1.0]), angles)
def test_three_tape_lengths_say_the_same(p, q, apart, closing, angle):
    """`of_lengths` on the triangle's third side is `of_triangle` on its angle."""
    side = taped(p, q, 0.0, apart)
    assume(abs(p - q) + 1e-6 < side < p + q - 1e-6)

    by_tape = Span.of_lengths(p, q, side, closing=closing)
    by_angle = Span.of_triangle(p, q, closing * apart)

    assert_allclose(
        value(by_tape.length(angle)), value(by_angle.length(angle)), atol=1e-7
    )
    # +1 is the side on which bump brings the two together.
    assert np.sign(by_tape.slope(0.0)) == -closing


@given(radii, radii, st.floats(0.3, 2.8), st.floats(-0.2, 0.2))
def test_slope_is_the_derivative(p, q, apart, angle):
    """Against the jet of the same length, and against the lever arm of the line.

    A length changes with the angle by the distance of its line from the axis:
    p q sin(apart − angle)/length, by twice the triangle's area.
    """
    span = Span.of_triangle(p, q, apart)
    jet = span.length(seed(angle))

    assert_allclose(span.slope(angle), slope(jet), rtol=1e-12)
    lever = p * q * np.sin(apart - angle) / taped(p, q, angle, apart)
    assert_allclose(span.slope(angle), -lever, rtol=1e-9)
    # length·length″ + length′² = −(c₁ cos θ + c₂ sin θ)/2, by differentiating twice.
    bend = p * q * np.cos(apart - angle)
    bend = (bend - slope(jet) ** 2) / value(jet)
    assert_allclose(curvature(jet), bend, rtol=1e-7, atol=1e-9)


@given(radii, radii, angles)
def test_reach(p, q, apart):
    """From the difference of the radii to their sum, and not a hair beyond."""
    span = Span.of_triangle(p, q, apart)

    assert_allclose(span.longest, p + q, rtol=1e-12)
    assert_allclose(span.shortest, abs(p - q), atol=1e-7)
    beyond = np.array([(p + q) * 1.0001, abs(p - q) * 0.999 - 1e-7])
    for roots in span.angles(np.where(beyond > 0.0, beyond, 3.0)):
        assert np.all(np.isnan(roots))
    assert np.all(np.isnan(span.angle(p + q + 0.01)))


def test_equal_radii_can_close_to_nothing():
    """Rounding does not make the shortest length imaginary."""
    span = Span.of_triangle(0.3, 0.3, 0.7)
    assert_allclose(span.shortest, 0.0, atol=1e-8)
    assert_allclose(span.angle(0.3), 0.7 - np.pi / 3, rtol=1e-12)


def test_the_two_roots_stand_alike_on_either_side_of_the_fixed_point():
    """They are mirror images in the line from the axis to the fixed point."""
    shortening, lengthening = Span.of_triangle(0.4, 0.3, 0.5).angles(0.25)
    assert_allclose((shortening + lengthening) / 2, 0.5, rtol=1e-12)
    assert shortening < lengthening


def test_lengths_and_arms_broadcast():
    """Three arms down, two lengths across."""
    span = Span.of_triangle(np.array([[0.4], [0.5], [0.6]]), 0.3, 0.9)
    got = span.angle([0.35, 0.36])

    assert got.shape == (3, 2)
    assert got[1, 1] == Span.of_triangle(0.5, 0.3, 0.9).angle(0.36)
    assert_array_equal(got[:, 0] < got[:, 1], [False] * 3)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Span.of_lengths(0.2, 0.3, 0.6), "drawn_length must be a length that"),
        (lambda: Span.of_lengths(0.2, 0.3, 0.05), "closes the triangle"),
        (lambda: Span.of_lengths(-0.2, 0.3, 0.4), "fixed_radius must be positive"),
        (lambda: Span.of_triangle(0.2, 0.0, 0.4), "arm_radius must be positive"),
        (lambda: Span.of_triangle(0.2, 0.3, np.nan), "apart must be finite"),
        (lambda: Span.of_triangle(0.2, 0.3, 1.0).angle(-0.3), "length must be positive"),
        (lambda: Span.of_triangle(0.2, 0.3, 1.0).angle(np.nan), "length must be finite"),
    ],
)  # fmt: skip
def test_impossible_triangles_are_refused(make, message):
    with pytest.raises(QuantityError, match=message):
        make()


@pytest.mark.parametrize(
    ("front", "rear", "outer", "message"),
    [
        ([0, 0, 0], [0, 0, 0], [0, 1, 0], "ball must be on pivots that lie apart"),
        ([1, 0, 0], [0, 0, 0], [5, 0, 0], "ball must be off the line of the pivots"),
        ([0, 0, 1], [0, 0, 0], [0, 1, 0], "ball must be lifted as the arm turns"),
        ([1, 0, 0], [0, 0, 0], [0, 0, 1], "ball must be lifted as the arm turns"),
    ],
)
def test_arms_without_a_bump_are_refused(front, rear, outer, message):
    """Nothing would tell which way is up."""
    with pytest.raises(QuantityError, match=message):
        Arm.between(vec(front), vec(rear), vec(outer), name="ball")
