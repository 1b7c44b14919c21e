"""Drawing: the same seed the same figures, settled when it says so, honest when not."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from splinewise.core.draws import Input, Shape, independent_sampler, normal_sampler
from splinewise.core.monte_carlo import (
    compare,
    digit_tolerance,
    monte_carlo,
    shortest_interval,
)
from splinewise.core.propagate import first_order
from splinewise.errors import QuantityError, TaskError


def product(x):
    """Product and sum of two inputs."""
    return np.stack([x[..., 0] * x[..., 1], x[..., 0] + x[..., 1]], axis=-1)


MEAN, COVARIANCE = np.array([2.0, 3.0]), np.array([[0.01, 0.004], [0.004, 0.02]])
SAMPLER = normal_sampler(MEAN, COVARIANCE)


def test_drawn_and_first_order_agree_where_the_function_is_nearly_straight():
    """Both results within one digit, covariance included."""
    first = first_order(product, MEAN, COVARIANCE)
    drawn = monte_carlo(product, SAMPLER, digits=1)

    assert np.all(compare(first, drawn, digits=1).first_order_holds)
    assert np.all(drawn.settled)
    assert_allclose(drawn.covariance, first.covariance, rtol=0.05)


def test_the_same_seed_gives_the_same_figures():
    """And another seed others, within the tolerance."""
    one = monte_carlo(product, SAMPLER, seed=5, digits=1)
    same = monte_carlo(product, SAMPLER, seed=5, digits=1)
    other = monte_carlo(product, SAMPLER, seed=6, digits=1)

    assert np.array_equal(one.value, same.value)
    assert not np.array_equal(one.value, other.value)
    assert np.all(np.abs(one.low - other.low) < 4 * digit_tolerance(one.standard, 1))


def test_settled_figures_have_settled():
    """Over 20 seeds the mean is within its tolerance of the truth 19 times or more."""
    off = 0
    for seed in range(20):
        drawn = monte_carlo(product, SAMPLER, seed=seed, digits=2, most=200_000)
        allowed = digit_tolerance(drawn.standard, 2)
        off += bool(np.abs(drawn.value[1] - 5.0) > allowed[1])
    assert off <= 1


def test_not_settled_is_said():
    """Four digits of the doubt cannot be had from 30,000 draws."""
    drawn = monte_carlo(product, SAMPLER, digits=4, most=30_000)
    assert drawn.draws == 30_000
    assert not np.any(drawn.settled)


def test_progress_is_told():
    """After each block, with the most there can be."""
    told = []
    drawn = monte_carlo(
        product, SAMPLER, digits=4, most=35_000, report=lambda *a: told.append(a)
    )
    assert told == [(10_000, 35_000), (20_000, 35_000), (30_000, 35_000),
                    (35_000, 35_000)]  # fmt: skip
    assert drawn.draws == 35_000


def test_draws_without_a_value_are_counted():
    """A mechanism that cannot take one draw in six: counted, and left out."""

    def short(x):
        return np.where(x > 1.0, np.nan, x)

    sampler = independent_sampler([Input(Shape.NORMAL, 0.0, 1.0)])
    drawn = monte_carlo(short, sampler, digits=1, most=50_000)

    share = drawn.failed / (drawn.failed + drawn.draws)
    assert share == pytest.approx(0.1587, abs=0.01)
    assert drawn.high[0] <= 1.0
    with pytest.raises(TaskError, match="have no value"):
        monte_carlo(lambda x: np.where(x > -1.0, np.nan, x), sampler)


@pytest.mark.independent
@pytest.mark.parametrize(
    ("shape", "width", "dof", "deviation"),
    [
        (Shape.NORMAL, 2.0, np.inf, 2.0),
        (Shape.RECTANGULAR, 2.0, np.inf, 2.0 / np.sqrt(3)),
        (Shape.TRIANGULAR, 2.0, np.inf, 2.0 / np.sqrt(6)),
        (Shape.ARCSINE, 2.0, np.inf, 2.0 / np.sqrt(2)),
        (Shape.STUDENT, 2.0, 8.0, 2.0 * np.sqrt(8 / 6)),
        (Shape.STUDENT, 2.0, np.inf, 2.0),
    ],
)
def test_draws_have_the_deviation_of_their_shape(shape, width, dof, deviation):
    """Standard deviations from the textbook, about the centre."""
    draw = independent_sampler([Input(shape, 7.0, width, dof)])
    x = draw(np.random.default_rng(2), 200_000)[:, 0]
    assert x.mean() == pytest.approx(7.0, abs=0.02)
    assert x.std() == pytest.approx(deviation, rel=0.015)


def test_correlated_draws():
    """Covariance of the draws, a singular one and mixed units included."""
    C = np.array([[1e-8, 1e-2, 0], [1e-2, 1e4, 0], [0, 0, 0]])
    x = normal_sampler([0.5, 2000.0, 1.0], C)(np.random.default_rng(3), 100_000)

    assert np.corrcoef(x[:, 0], x[:, 1])[0, 1] == pytest.approx(1.0)
    assert x[:, 1].std() == pytest.approx(100.0, rel=0.01)
    assert np.all(x[:, 2] == 1.0)


@given(st.integers(0, 2**32 - 1), st.floats(0.5, 0.99))
def test_shortest_interval_by_trying_all(seed, coverage):
    """Against every interval with as many draws inside."""
    y = np.sort(np.random.default_rng(seed).exponential(size=60))
    low, high = shortest_interval(y, coverage)

    held = min(int(coverage * 60 + 0.5), 59)
    widths = [y[i + held] - y[i] for i in range(60 - held)]
    assert high - low == min(widths)
    assert np.isin([low, high], y).all()


def test_digit_tolerance_by_hand():
    """Half a unit of the last digit given: of 0.35 to two digits 0.005."""
    found = digit_tolerance([0.35, 35.0, 9.99e-4, 0.0], 2)
    assert_allclose(found, [0.005, 0.5, 0.5e-5, 0.0], rtol=1e-12)


@pytest.mark.parametrize(
    ("call", "error", "message"),
    [
        (lambda: monte_carlo(product, SAMPLER, coverage=1.0), QuantityError,
         "coverage must be above 0 and below 1"),
        (lambda: digit_tolerance(1.0, 0), QuantityError, "digits must be at least 1"),
        (lambda: normal_sampler([0, 0], [[1, 2], [2, 1]]), TaskError,
         "negative direction"),
        (lambda: independent_sampler([Input(Shape.NORMAL, 0.0, np.nan)]),
         QuantityError, "width must be finite"),
        (lambda: compare(first_order(lambda x: x[..., :1], MEAN, COVARIANCE),
                         monte_carlo(product, SAMPLER, digits=1)),
         QuantityError, "values must be 1, as by first order; got 2"),
    ],
)  # fmt: skip
def test_impossible_runs_are_refused(call, error, message):
    """Each refusal is a sentence."""
    with pytest.raises(error, match=message):
        call()
