"""Quantiles against printed constants and against the definition of the power."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from cited import printed
from splinewise.core.tails import (
    chance,
    chi_square_above,
    chi_square_quantile,
    matching_significance,
    normal_below,
    normal_quantile,
    noticed_shift,
    student_quantile,
    tau_quantile,
)
from splinewise.errors import QuantityError


@pytest.mark.cited
def test_baarda_shift():
    """δ₀ for 0.1 % and 80 % is 4.13, squared 17.075.

    W. Baarda 1968, *A testing procedure for use in geodetic networks*; read as quoted
    in public code that cites it, the publication was not seen.
    """
    shift = noticed_shift(0.001, 0.8)

    assert shift == printed("4.13")
    assert shift**2 == printed("17.075")


@pytest.mark.cited
@pytest.mark.parametrize(
    ("dof", "lower", "upper"),
    [(1, "0.031", "2.241"), (3, "0.268", "1.765"), (4, "0.348", "1.669"),
     (14, "0.634", "1.366")],
)  # fmt: skip
def test_bounds_of_the_test_on_the_whole(dof, lower, upper):
    """95 % bounds of s0, √(χ²/ν), as the program GNU Gama 2.24 prints them (read)."""
    bounds = np.sqrt(chi_square_quantile([0.025, 0.975], dof) / dof)

    assert bounds[0] == printed(lower)
    assert bounds[1] == printed(upper)


@pytest.mark.cited
@pytest.mark.parametrize(
    ("p", "z"),
    [(0.80, "0.84"), (0.90, "1.28"), (0.95, "1.64"), (0.99, "2.33"), (0.999, "3.09")],
)
def test_normal_quantiles(p, z):
    """JCGM 106:2012 Table 1, from memory."""
    assert normal_quantile(p) == printed(z)


@pytest.mark.independent
def test_the_matched_test_has_the_power_it_claims():
    """A chi-square test at the matched level sees a shift of δ₀ 80 times in 100."""
    rng = np.random.default_rng(20)
    z = rng.standard_normal((200_000, 6))
    z[:, 0] += noticed_shift(0.001, 0.8)

    level = matching_significance(6)
    seen = np.mean(chi_square_above((z**2).sum(axis=1), 6) < level)

    assert seen == pytest.approx(0.8, abs=4 * np.sqrt(0.16 / 200_000))


@pytest.mark.independent
def test_tau_is_the_quantile_of_a_scaled_residual():
    """τ of 5 readings of one quantity stays below its critical value 95 in 100 times."""
    rng = np.random.default_rng(21)
    x = rng.standard_normal((200_000, 5))
    v = x - x.mean(axis=1, keepdims=True)
    s0 = np.sqrt((v**2).sum(axis=1) / 4)

    tau = v[:, 0] / (s0 * np.sqrt(0.8))
    above = np.mean(np.abs(tau) > tau_quantile(0.05, 4))

    assert above == pytest.approx(0.05, abs=4 * np.sqrt(0.0475 / 200_000))


def test_one_degree_of_freedom_cannot_be_tested_by_tau():
    """With ν = 1 every |τ| is 1: the critical value is infinite."""
    assert tau_quantile(0.05, 1) == np.inf


def test_tails_agree_with_their_quantiles():
    """Going out and back gives the number that went in."""
    p = np.array([0.01, 0.3, 0.975])
    assert_allclose(chi_square_above(chi_square_quantile(p, 7), 7), 1 - p, rtol=1e-12)
    assert_allclose(normal_below(normal_quantile(p)), p, rtol=1e-12)
    assert_allclose(student_quantile(p, np.inf), normal_quantile(p), rtol=1e-12)
    assert_allclose(matching_significance(1), 0.001, rtol=1e-9)


@pytest.mark.cited
def test_student_quantile():
    """Quantile 0.995 at 16 degrees of freedom, 2.92: JCGM 100:2008 H.1, second-hand."""
    assert student_quantile(0.995, 16) == printed("2.92")


def test_nothing_to_test_is_no_evidence():
    """Without degrees of freedom the chance of what was seen is 1."""
    assert chi_square_above(0.0, 0) == 1.0


@pytest.mark.parametrize("bad", [0.0, 1.0, -0.1, np.nan])
def test_impossible_probabilities_are_refused(bad):
    """A probability on or past its ends is named and refused."""
    with pytest.raises(QuantityError, match="power must be"):
        chance("power", bad)


def test_degrees_of_freedom_must_be_there():
    """A quantile without degrees of freedom is refused."""
    for function in (chi_square_quantile, student_quantile):
        with pytest.raises(QuantityError, match="dof must be positive"):
            function(0.9, 0)
    with pytest.raises(QuantityError, match="dof must be positive"):
        matching_significance(0)
