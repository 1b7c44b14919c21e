"""Verdicts on readings: power as announced, right names, and no false ones."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from splinewise.core.leastsquares import fit_linear, independent_prior
from splinewise.core.noticeable import (
    likeness,
    moving_together,
    naming_chance,
    smallest_noticeable,
    unnoticed_effect,
)
from splinewise.core.snooping import Finding, judge, whole_test
from splinewise.errors import TaskError

seeds = st.integers(0, 2**32 - 1)
ROWS, UNKNOWNS = 24, 10
DESIGN = np.random.default_rng(3).normal(size=(ROWS, UNKNOWNS))
BLANK = fit_linear(DESIGN, np.zeros(ROWS), np.ones(ROWS))


def drawn(count, seed, errors=0.0):
    """Fits of readings that scatter as stated, with `errors` added."""
    noise = np.random.default_rng(seed).normal(size=(count, ROWS))
    return fit_linear(DESIGN, noise + errors, np.ones(ROWS))


def planted(count, seed, times=1.0):
    """One reading of each fit out by its smallest noticeable error."""
    rng = np.random.default_rng(seed)
    which = rng.integers(0, ROWS, count)
    errors = np.zeros((count, ROWS))
    sign = rng.choice([-1, 1], count)
    errors[np.arange(count), which] = sign * times * smallest_noticeable(BLANK)[which]
    return drawn(count, seed + 1, errors), which


def test_announced_power_and_right_names():
    """Planted errors of the announced size: 80 % noticed, of these 4 in 5 named.

    The reading's own test has the announced power to its sampling error; the alarm as
    a whole has a little more.  A false name is rare.
    """
    count = 1000
    fits, which = planted(count, 1)
    own = np.abs(fits.standardized[np.arange(count), which])
    verdicts = [judge(fits.one(k)) for k in range(count)]
    alarms = [v.finding is not Finding.AGREES for v in verdicts]
    named = [v.finding is Finding.READING_WRONG for v in verdicts]
    right = [
        n and v.suspects == (i,) for v, n, i in zip(verdicts, named, which, strict=True)
    ]

    error = 4 * np.sqrt(0.16 / count)
    assert np.mean(own > verdicts[0].critical) == pytest.approx(0.8, abs=error)
    assert 0.8 - error < np.mean(alarms) < 0.9
    assert np.sum(right) / np.sum(alarms) >= 0.8
    assert (np.sum(named) - np.sum(right)) / np.sum(alarms) < 0.02


def test_good_readings_seldom_raise_an_alarm():
    """24 readings that are as good as stated: at most 0.1 % each and 1 % the whole."""
    fits = drawn(1500, 5)
    alarms = [judge(fits.one(k)).finding is not Finding.AGREES for k in range(1500)]
    assert np.mean(alarms) < 0.024 + 0.01 + 0.01


def test_a_gross_error_is_named():
    """Five times the smallest noticeable error: always the first suspect, and named.

    Save one time in a hundred, when the rest fails its own test by chance.
    """
    fits, which = planted(300, 7, times=5.0)
    verdicts = [judge(fits.one(k)) for k in range(300)]
    assert [v.suspects for v in verdicts] == [(i,) for i in which]
    named = [v.finding is Finding.READING_WRONG for v in verdicts]
    assert np.mean(named) > 0.97
    assert [n == (not v.more_than_one) for n, v in zip(named, verdicts, strict=True)]


def test_two_wrong_readings_are_not_one():
    """With two large errors no single name is given, and it is said."""
    errors = np.zeros(ROWS)
    errors[[2, 17]] = 12.0
    verdict = judge(drawn(1, 9, errors).one(0))

    assert verdict.finding is Finding.SOMETHING_WRONG
    assert verdict.more_than_one
    assert set(verdict.suspects) <= {2, 17}


def test_doubts_all_too_small_name_nobody():
    """Readings that scatter twice as much as stated: the whole fails, no name."""
    noise = 2.0 * np.random.default_rng(11).normal(size=ROWS)
    verdict = judge(fit_linear(DESIGN, noise, np.ones(ROWS)))

    assert verdict.whole.fails
    assert verdict.finding is Finding.SOMETHING_WRONG


def test_two_readings_of_one_thing():
    """They disagree by far: something is wrong, and both are suspects for ever."""
    f = fit_linear([[1.0], [1.0]], [0.640, 0.665], [1e-3, 1e-3])
    verdict = judge(f)

    assert verdict.finding is Finding.SOMETHING_WRONG
    assert set(verdict.suspects) == {0, 1}
    assert moving_together(f) == ((0, 1),)
    assert_allclose(verdict.evidence, 1.0, rtol=1e-9)


def test_three_readings_of_one_thing():
    """The odd one out is named."""
    f = fit_linear(np.ones((3, 1)), [0.640, 0.665, 0.6405], [1e-3] * 3)
    verdict = judge(f)

    assert verdict.finding is Finding.READING_WRONG
    assert verdict.suspects == (1,)
    assert moving_together(f) == ()


def test_a_lone_reading_is_uncheckable():
    """Nothing is said of it, and its smallest noticeable error is endless."""
    f = fit_linear([[1, 0], [1, 0], [0, 1.0]], [1.0, 1.0, 5.0], [0.1] * 3)
    verdict = judge(f)

    assert verdict.finding is Finding.AGREES
    assert verdict.uncheckable == (2,)
    assert smallest_noticeable(f)[2] == np.inf
    effect = unnoticed_effect(f)
    assert effect[1].tolist() == [0.0, 0.0, np.inf]
    assert effect[0, 0] == pytest.approx(0.5 * smallest_noticeable(f)[0])
    assert judge(fit_linear(np.eye(2), [1, 2], [1, 1])).uncheckable == (0, 1)


def test_a_wrong_prior_is_a_wrong_reading():
    """What was taken as known beforehand can be the culprit, and is named."""
    prior = independent_prior([0.030, np.inf], [1e-4, np.inf])
    A = [[1.0, 0.0], [1.0, 0.0], [0.0, 1.0], [0.0, 1.0], [1.0, 1.0]]
    read = [0.0225, 0.02252, 0.5, 0.5001, 0.5226]

    verdict = judge(fit_linear(A, read, [1e-4] * 5, prior=prior))

    assert verdict.finding is Finding.READING_WRONG
    assert verdict.suspects == (5,)


def test_relative_doubts_are_tested_by_tau():
    """Doubts in another unit change nothing; with one dof nothing can be said."""
    fits, which = planted(1, 13, times=4.0)
    read = fits.observed[0]
    small = fit_linear(DESIGN, read, np.full(ROWS, 1e-3))
    large = fit_linear(DESIGN, read, np.full(ROWS, 1e3))

    for f in (small, large):
        verdict = judge(f, relative=True)
        assert verdict.finding is Finding.READING_WRONG
        assert verdict.suspects == (which[0],)
    assert judge(large).finding is Finding.AGREES
    twice = fit_linear([[1.0], [1.0]], [1.0, 9.0], [1e-3, 1e-3])
    assert judge(twice, relative=True).finding is Finding.AGREES


@given(seeds)
def test_correlations_of_the_tests(seed):
    """ρ against the covariance of the residuals, computed the long way."""
    rng = np.random.default_rng(seed)
    A, u = rng.normal(size=(8, 3)), rng.uniform(0.5, 2, 8)
    f = fit_linear(A, rng.normal(size=8), u)

    Q = f.residual_covariance
    d = np.sqrt(np.diag(Q))
    assert_allclose(likeness(f), Q / d / d[:, None], atol=1e-9)


@pytest.mark.independent
@pytest.mark.parametrize("target", [0.0, 0.5, 0.8])
def test_naming_chance_against_drawn_numbers(target):
    """Within five hundredths of 100,000 drawn pairs of test statistics."""
    # Two unknown-free rows whose tests correlate by about the target.
    a = np.sqrt(target)
    f = fit_linear([[a], [a], [1.0 - target + 1e-3]], [0, 0, 0.0], [1, 1, 1])
    rho = likeness(f)[0, 1]
    rng = np.random.default_rng(1)
    z = rng.normal(size=(100_000, 2))
    first = z[:, 0] + 4.13215
    second = rho * first + np.sqrt(1 - rho**2) * z[:, 1]

    seen = np.mean(first**2 - second**2 > 2 * np.log(10.0))

    assert naming_chance(f)[0, 1] == pytest.approx(seen, abs=0.05)


def test_rows_that_move_together_are_never_told_apart():
    """Two lines in series: the chance of naming one of them is nothing."""
    f = fit_linear([[1, 0], [-1, 1], [0, 1], [0, 1.0]], np.zeros(4), np.ones(4))
    assert moving_together(f) == ((0, 1),)
    assert naming_chance(f)[0, 1] == 0.0
    assert naming_chance(f)[0, 0] == 1.0


def test_whole_test_of_a_batch_is_refused():
    """A verdict is on one set of readings."""
    with pytest.raises(TaskError, match="one fit at a time"):
        whole_test(drawn(2, 1))


def test_nothing_redundant_is_nothing_wrong():
    """Without degrees of freedom the whole cannot fail."""
    whole = whole_test(fit_linear(np.eye(2), [1.0, 2.0], [1.0, 1.0]))
    assert (whole.fails, whole.borderline, whole.chance, whole.dof) == (
        False, False, 1.0, 0,
    )  # fmt: skip
