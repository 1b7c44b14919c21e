"""Derivatives by complex step and by differences against exact ones."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from cited import DEGREE
from splinewise.core.derivatives import (
    central_difference,
    complex_step,
    difference_scale,
)
from splinewise.errors import QuantityError

angles = st.floats(-1.4, 1.4)
lengths = st.floats(0.1, 2.0)


def polar(p):
    """Point at length and angle, and one value that bends hard."""
    r, a = p[..., 0], p[..., 1]
    return np.stack([r * np.cos(a), r * np.sin(a), np.exp(r) / r], axis=-1)


def polar_slopes(r, a):
    return np.array(
        [
            [np.cos(a), -r * np.sin(a)],
            [np.sin(a), r * np.cos(a)],
            [np.exp(r) / r - np.exp(r) / r**2, 0.0],
        ]
    )


@given(lengths, angles)
def test_complex_step_is_exact(r, a):
    """To rounding, whatever the step."""
    exact = polar_slopes(r, a)
    scale = np.abs(exact).max() + np.exp(r) / r**2
    assert_allclose(complex_step(polar, [r, a]), exact, atol=1e-14 * scale)


@given(lengths, angles)
def test_differences_are_as_good_as_they_say(r, a):
    """The true error is within ten times the stated one, and small.

    The angle's scale is given, as it must be where it may be near zero.
    """
    found = central_difference(polar, [r, a], scale=[r, 1.0])

    error = np.abs(found.jacobian - polar_slopes(r, a))
    scale = np.abs(polar([r, a] @ np.eye(2))).max()

    assert np.all(error <= 10 * found.error + 1e-12 * scale)
    assert np.all(error <= 1e-9 * (scale + 1))


def test_differences_near_zero_use_the_scale_given():
    """An angle near zero is stepped by the scale, not by its own size."""
    found = central_difference(np.sin, [1e-9], scale=[DEGREE])
    assert_allclose(found.jacobian, [[1.0]], rtol=1e-10)


def test_many_points_at_once():
    """A batch gives what its points give one by one."""
    points = np.array([[0.5, 0.1], [1.0, -0.7], [2.0, 1.2]])

    by_step = complex_step(polar, points)
    by_difference = central_difference(polar, points).jacobian

    assert by_step.shape == by_difference.shape == (3, 3, 2)
    assert_allclose(by_step[1], polar_slopes(1.0, -0.7), rtol=1e-13)
    assert_allclose(by_difference[2], central_difference(polar, points[2]).jacobian)


def test_scale_of_zero_is_one():
    """Where a coordinate is zero its own size says nothing."""
    assert difference_scale([0.0, -3.0, 1e-17]).tolist() == [1.0, 3.0, 1.0]


def test_impossible_points_are_refused():
    """A point or scale that is no number is named."""
    with pytest.raises(QuantityError, match="point must be finite"):
        central_difference(polar, [np.nan, 0.0])
    with pytest.raises(QuantityError, match="scale must be positive"):
        central_difference(polar, [1.0, 0.0], scale=[0.0, 1.0])
    with pytest.raises(QuantityError, match="point must be finite"):
        complex_step(polar, [np.inf, 0.0])
