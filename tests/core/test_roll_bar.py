"""Anti-roll bars."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from splinewise.core.roll_bar import AntiRollBar
from splinewise.errors import QuantityError


def energy(bar, left, right):
    """Strain energy of bar and links in series, by minimising over the split."""
    apart = bar.ratio * (left - right) + bar.wind_up
    # Of the difference x goes into the bar and the rest into the links.
    split = np.linspace(0.0, 1.0, 100001) * apart
    links = 0.0 if bar.give == 0.0 else (apart - split) ** 2 / bar.give
    stored = 0.5 * (bar.rate * split**2 + links)
    return stored[-1] if bar.give == 0.0 else stored.min()


@pytest.mark.independent
@pytest.mark.parametrize("give", [0.0, 2.0e-5])
def test_force_is_the_slope_of_the_least_energy(give):
    """Bar and links share the difference so that they store the least."""
    bar = AntiRollBar(3.0e4, ratio=0.6, give=give, wind_up=0.004)
    h = 1e-4

    at = bar.push(0.03, -0.01)
    slope = (energy(bar, 0.03 + h, -0.01) - energy(bar, 0.03 - h, -0.01)) / (2 * h)

    assert_allclose(at.left, slope, rtol=1e-5)


def test_equal_rises_leave_the_bar_alone():
    """Heave is free unless the bar was wound at the drawn position."""
    z = np.linspace(-0.1, 0.1, 5)

    assert_allclose(AntiRollBar(3.0e4).push(z, z).left, 0.0)
    assert_allclose(AntiRollBar(3.0e4, wind_up=0.002).push(z, z).left, 60.0)


def test_left_and_right_are_opposite():
    """What presses one wheel down lifts the other; swapped sides swap signs."""
    bar = AntiRollBar(3.0e4, ratio=0.7, give=1e-5)
    at, swapped = bar.push(0.02, -0.03), bar.push(-0.03, 0.02)

    assert at.left > 0.0
    assert at.right == -at.left == swapped.left
    assert_allclose(at.rate, 0.7**2 / (1 / 3.0e4 + 1e-5))


def test_stiff_links_leave_the_bar_its_rate():
    """And soft ones are all there is."""
    assert AntiRollBar(3.0e4).rate_in_series == pytest.approx(3.0e4)
    assert AntiRollBar(3.0e12, give=1e-4).rate_in_series == pytest.approx(1.0e4)


def test_a_pose_out_of_reach_gives_no_number():
    """NaN goes through and leaves its neighbours alone."""
    at = AntiRollBar(3.0e4).push([np.nan, 0.01], 0.0)

    assert np.isnan(at.left[0])
    assert at.left[1] == pytest.approx(300.0)


@pytest.mark.parametrize(
    ("bar", "words"),
    [
        (AntiRollBar(0.0), "rate must be positive"),
        (AntiRollBar(1e4, give=-1e-6), "give must be not below 0"),
    ],
)
def test_a_bar_that_cannot_be_is_refused(bar, words):
    """By name."""
    with pytest.raises(QuantityError, match=words):
        bar.push(0.0, 0.0)
