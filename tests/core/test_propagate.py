"""First order against an independent package, and what bending adds."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from splinewise.core.derivatives import complex_step
from splinewise.core.propagate import (
    bend,
    effective_dof,
    first_order,
    propagate,
)
from splinewise.errors import QuantityError, TaskError

seeds = st.integers(0, 2**32 - 1)


def triangle(x):
    """Angle between two sides of given length and the third, and its height."""
    a, b, c = np.moveaxis(x, -1, 0)
    angle = np.arccos((a * a + b * b - c * c) / (2 * a * b))
    return np.stack([angle, a * np.sin(angle)], axis=-1)


def case(seed):
    rng = np.random.default_rng(seed)
    half = rng.normal(size=(3, 3)) * 1e-3
    return rng.uniform(
        [0.3, 0.4, 0.35], [0.5, 0.6, 0.5]
    ), half @ half.T + 1e-8 * np.eye(3)


@pytest.mark.independent
@given(seeds)
def test_against_uncertainties(seed):
    """Values, doubts and correlation of two results, correlated inputs."""
    from uncertainties import correlated_values, covariance_matrix, umath

    x, C = case(seed)
    a, b, c = correlated_values(x, C)
    angle = umath.acos((a * a + b * b - c * c) / (2 * a * b))
    theirs = [angle, a * umath.sin(angle)]

    found = first_order(triangle, x, C)

    assert_allclose(found.value, [t.nominal_value for t in theirs], rtol=1e-12)
    expected = np.array(covariance_matrix(theirs))
    size = np.sqrt(np.outer(np.diag(expected), np.diag(expected)))
    assert_allclose(found.covariance / size, expected / size, atol=1e-7)
    assert np.all(found.derivative_error < 1e-6 * found.standard + 1e-12)


@given(seeds)
def test_exact_derivatives_give_the_same(seed):
    """Given derivatives and differences agree, and given ones carry no error."""
    x, C = case(seed)
    plain = first_order(triangle, x, C)
    exact = first_order(triangle, x, C, jacobian=lambda p: complex_step(triangle, p))

    assert_allclose(plain.standard, exact.standard, rtol=1e-7)
    assert np.all(exact.derivative_error == 0.0)
    assert_allclose(exact.covariance, propagate(exact.jacobian, C), rtol=1e-12)


def test_a_batch_of_points():
    """Many points at once give what each gives alone."""
    points = np.array([case(k)[0] for k in range(4)])
    C = case(9)[1]

    together = first_order(triangle, points, C)

    assert together.covariance.shape == (4, 2, 2)
    for k in range(4):
        alone = first_order(triangle, points[k], C)
        assert_allclose(together.standard[k], alone.standard, rtol=1e-6)
        assert_allclose(together.contributions[k], alone.contributions, rtol=1e-5)


@given(seeds)
def test_independent_parts_add_as_squares(seed):
    """For independent inputs the contributions make the whole."""
    x, C = case(seed)
    found = first_order(triangle, x, np.diag(np.diag(C)))
    assert_allclose(np.sqrt((found.contributions**2).sum(axis=-1)), found.standard,
                    rtol=1e-10)  # fmt: skip


def test_bend_of_a_square_is_exact():
    """Y = x², x ~ N(0, u): mean u², standard deviation √2 u²; first order sees none."""

    def square(x):
        return x**2

    found = bend(square, [0.0], [[0.04]])

    assert found.shift[0] == pytest.approx(0.04)
    assert found.standard[0] == pytest.approx(math.sqrt(2) * 0.04)
    assert found.share[0] == math.inf
    assert first_order(square, [0.0], [[0.04]]).standard[0] == pytest.approx(
        0, abs=1e-12
    )


def test_bend_of_correlated_inputs():
    """Y = a b with correlated normals: variance (known in closed form) and mean."""
    C = np.array([[0.04, 0.03], [0.03, 0.09]])
    mu = np.array([1.0, 2.0])

    found = bend(lambda x: x[..., :1] * x[..., 1:], mu, C)

    assert found.shift[0] == pytest.approx(0.03)
    exact = (mu[1] ** 2 * 0.04 + mu[0] ** 2 * 0.09 + 2 * 2.0 * 0.03) + (
        0.04 * 0.09 + 0.03**2
    )
    assert found.standard[0] == pytest.approx(math.sqrt(exact))


def test_a_straight_function_does_not_bend():
    """Nothing is added to a linear function, constant outputs included."""
    J = np.array([[1.0, 2.0], [0.0, 0.0]])
    found = bend(lambda x: x @ J.T, [1.0, 1.0], np.eye(2))
    assert_allclose(found.share, 0.0, atol=1e-12)


def test_no_doubt_in_none_out():
    """Exact inputs give exact values, with a correlation of nothing."""
    found = first_order(triangle, [0.4, 0.5, 0.45], np.zeros((3, 3)))
    assert np.all(found.standard == 0.0)
    assert np.all(found.correlation == 0.0)


def test_effective_dof():
    """Two equal parts of 5 dof make 10; a known part adds to it; none is endless."""
    assert effective_dof([1.0, 1.0], [5, 5]) == pytest.approx(10.0)
    assert effective_dof([1.0, 1.0, 1.0], [5, 5, np.inf]) == pytest.approx(22.5)
    assert effective_dof([1.0, 2.0], [np.inf, np.inf]) == np.inf


@pytest.mark.parametrize(
    ("call", "error", "message"),
    [
        (lambda: first_order(triangle, [1, 1, 3.0], np.eye(3)), TaskError,
         "no value at the best estimates"),
        (lambda: first_order(triangle, [1, 1, 2.0 - 1e-9], np.eye(3)), TaskError,
         "no value close to"),
        (lambda: bend(triangle, [1, 1, 1.9], 0.04 * np.eye(3)), TaskError,
         "within one standard uncertainty"),
        (lambda: first_order(triangle, [1, 1, 1.0], np.eye(2)), TaskError,
         r"must be 3 by 3; got \(2, 2\)"),
        (lambda: first_order(triangle, [1, 1, 1.0], -np.eye(3)), QuantityError,
         "covariance must be 0 or more on its diagonal"),
        (lambda: first_order(triangle, [1, 1, np.nan], np.eye(3)), QuantityError,
         "point must be finite"),
        (lambda: effective_dof([1.0], [0]), QuantityError, "dof must be positive"),
    ],
)  # fmt: skip
def test_impossible_propagation_is_refused(call, error, message):
    """Each refusal is a sentence."""
    with pytest.raises(error, match=message):
        call()
