"""Means and agreement of several values of one quantity."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from splinewise.core.consistency import (
    between_mean,
    en_number,
    largest_consistent_subset,
    weighted_mean,
)
from splinewise.core.leastsquares import fit_linear
from splinewise.errors import QuantityError

seeds = st.integers(0, 2**32 - 1)


@given(seeds)
def test_the_mean_is_a_fit(seed):
    """The weighted mean is the least-squares fit of one unknown."""
    rng = np.random.default_rng(seed)
    x, u = rng.normal(size=6), rng.uniform(0.5, 2.0, 6)

    mean, fitted = weighted_mean(x, u), fit_linear(np.ones((6, 1)), x, u)

    assert_allclose(mean.value, fitted.parameters[0], rtol=1e-9, atol=1e-12)
    assert_allclose(mean.standard, fitted.doubts[0], rtol=1e-12)
    assert_allclose(mean.chi_square, fitted.square_sum, rtol=1e-9)
    assert_allclose(mean.birge, fitted.s0, rtol=1e-9)
    assert_allclose(mean.chance, fitted.chance_above, rtol=1e-8)


@given(seeds)
def test_between_variance_makes_chi_square_its_dof(seed):
    """Values that scatter too much get just the extra variance they need."""
    rng = np.random.default_rng(seed)
    x, u = 5.0 * rng.normal(size=6), rng.uniform(0.1, 0.5, 6)

    found = between_mean(x, u)

    wide = weighted_mean(x, np.hypot(u, found.between))
    assert wide.chi_square == pytest.approx(5.0, rel=1e-6)
    assert wide.value == pytest.approx(found.value, rel=1e-9)


def test_values_that_agree_get_none():
    """No extra variance where the doubts explain the scatter."""
    found = between_mean([1.0, 1.1, 0.9], [0.2, 0.2, 0.2])
    assert found.between == 0.0
    assert found.value == pytest.approx(1.0)


def test_one_value():
    """Nothing to compare it with, and nothing widened."""
    mean = weighted_mean([3.0], [0.1])
    assert (mean.value, mean.standard, mean.chance) == (3.0, 0.1, 1.0)
    assert np.isnan(mean.birge)
    assert mean.widened == 0.1
    assert largest_consistent_subset([3.0], [0.1]) == (0,)


def test_consistent_values_all_stay():
    """Nothing is dropped for the sake of dropping."""
    assert largest_consistent_subset([1.0, 1.1, 0.9], [0.1] * 3) == (0, 1, 2)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: weighted_mean([1.0], [0.0]), "standard must be positive"),
        (lambda: weighted_mean([np.nan], [1.0]), "value must be finite"),
        (lambda: en_number(1.0, 0.0, 1.0, 0.0), "expanded must be above 0"),
        (
            lambda: largest_consistent_subset(np.arange(30.0), np.full(30, 1e-3)),
            "subsets must be fewer",
        ),
    ],
)
def test_impossible_values_are_refused(call, message):
    """The message names the argument."""
    with pytest.raises(QuantityError, match=message):
        call()
