"""The point that most readings agree on, and the fit about it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from splinewise.core.leastsquares import fit, independent_prior
from splinewise.core.robust import CAUCHY, bounded, fit_about, most_agreed
from splinewise.core.snooping import Finding, judge

ANCHORS = np.array([[0, 0], [1, 0.1], [0.9, 1.2], [-0.2, 0.8], [0.5, -0.4], [1.2, 0.7]])
TRUTH = np.array([0.45, 0.5])
U = np.full(6, 1e-3)


def ranges(p):
    """Distances from a point in the plane to six anchors."""
    return np.linalg.norm(p[..., None, :] - ANCHORS, axis=-1)


@given(st.floats(-50, 50))
def test_bounded_residuals(v):
    """ρ²/2 is the Cauchy loss, and the slope is its derivative."""
    shrunk, slope = bounded(np.array([v]))

    assert shrunk[0] ** 2 == pytest.approx(CAUCHY**2 * np.log1p((v / CAUCHY) ** 2),
                                           abs=1e-8)  # fmt: skip
    h = 1e-5 * (1 + abs(v))
    ends = bounded(np.array([v - h, v + h]))[0]
    assert slope[0, 0] == pytest.approx((ends[1] - ends[0]) / (2 * h), abs=1e-4)


def test_one_gross_misread_does_not_bend_it():
    """A distance 0.3 m out moves the least-squares point 80 mm, this one hardly."""
    read = ranges(TRUTH) + 1e-3 * np.random.default_rng(1).normal(size=6)
    read[2] += 0.3

    bent = fit(ranges, [0.5, 0.5], read, U).parameters
    agreed = most_agreed(ranges, bent, read, U)

    assert np.linalg.norm(bent - TRUTH) > 0.05
    assert np.linalg.norm(agreed - TRUTH) < 2e-3


def test_the_tests_about_it_point_at_the_culprit():
    """About the agreed point the right reading is named."""
    read = ranges(TRUTH) + 1e-3 * np.random.default_rng(2).normal(size=6)
    read[2] += 0.3
    bent = fit(ranges, [0.5, 0.5], read, U)

    about = fit_about(ranges, most_agreed(ranges, bent.parameters, read, U), read, U)
    verdict = judge(about)

    assert verdict.finding is Finding.READING_WRONG
    assert verdict.suspects == (2,)
    # Its estimate of the error, −v/r, is the 0.3 m that was planted.
    error = -about.residuals[2] / about.redundancy[2]
    assert error == pytest.approx(0.3, abs=0.01)


def test_good_readings_give_nearly_the_least_squares_fit():
    """Without misreads both points agree within a part of the doubt."""
    read = ranges(TRUTH) + 1e-3 * np.random.default_rng(3).normal(size=6)
    plain = fit(ranges, [0.5, 0.5], read, U)

    agreed = most_agreed(ranges, plain.parameters, read, U)
    about = fit_about(ranges, plain.parameters, read, U)

    assert np.all(np.abs(agreed - plain.parameters) < plain.doubts)
    assert_allclose(about.parameters, plain.parameters, atol=1e-8)
    assert_allclose(about.standardized, plain.standardized, atol=1e-3)


def test_priors_are_doubted_too():
    """A prior that all readings contradict is let go."""
    read = ranges(TRUTH)
    prior = independent_prior([0.9, np.inf], [1e-3, np.inf])

    agreed = most_agreed(ranges, [0.5, 0.5], read, U, prior=prior)

    assert_allclose(agreed, TRUTH, atol=1e-3)
