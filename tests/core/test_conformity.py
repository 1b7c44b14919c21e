"""Verdicts, limits and risks, by their identities and against drawn numbers."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from splinewise.core.conformity import (
    Outcome,
    assess,
    guard_band,
    inside_probability,
    largest_shown,
)
from splinewise.core.risks import global_risks
from splinewise.errors import QuantityError

INFINITE = float("inf")
values = st.floats(-10, 10)
doubts = st.floats(0.01, 3)
risks = st.floats(0.001, 0.4)


@given(values, doubts, risks)
def test_verdicts_keep_to_their_limits(value, u, risk):
    """A value passes exactly between the acceptance limits, fails outside the others."""
    verdict = assess(value, u, -2.0, 5.0, risk=risk)

    low, high = verdict.acceptance
    out_low, out_high = verdict.rejection
    if min(abs(value - e) for e in (low, high, out_low, out_high)) > 1e-9:
        passes, fails = low < value < high, not out_low < value < out_high
        expected = {(True, False): Outcome.PASS, (False, True): Outcome.FAIL}
        assert verdict.outcome is expected.get((passes, fails), Outcome.CANNOT_TELL)


@given(doubts, risks)
def test_one_limit_is_a_guard_band(u, risk):
    """With one limit the acceptance limit is T − g, the rejection limit T + g."""
    verdict = assess(0.0, u, -INFINITE, 1.0, risk=risk)
    g = guard_band(u, risk)
    assert verdict.acceptance == (-INFINITE, pytest.approx(1.0 - g))
    assert verdict.rejection == (-INFINITE, pytest.approx(1.0 + g))


def test_a_doubt_wider_than_the_tolerance_passes_nothing():
    """The acceptance limits cross, and even the middle cannot be told."""
    verdict = assess(0.0, 2.0, -1.0, 1.0)
    assert verdict.acceptance[0] > verdict.acceptance[1]
    assert verdict.outcome is Outcome.CANNOT_TELL


def test_certainty_is_certain():
    """With no doubt at all a value is inside or not; on the limit it is inside."""
    p = inside_probability([0.9, 1.0, 1.1], 0.0, -1.0, 1.0)
    assert p.tolist() == [1.0, 1.0, 0.0]
    assert assess(1.0, 0.0, -1.0, 1.0).acceptance == (-1.0, 1.0)


@given(values, doubts)
def test_inside_is_symmetric(value, u):
    """Turned over, value and limits give the same probability."""
    assert_allclose(
        inside_probability(value, u, -2.0, 5.0),
        inside_probability(-value, u, -5.0, 2.0),
        rtol=1e-12, atol=1e-300,
    )  # fmt: skip


@pytest.mark.independent
def test_probability_and_risks_against_drawn_numbers():
    """A million drawn true values and readings."""
    rng = np.random.default_rng(106)
    true = rng.normal(0.2, 1.0, 1_000_000)
    read = true + rng.normal(0, 0.4, true.size)
    good = (true > -1.5) & (true < 1.8)
    taken = (read > -1.2) & (read < 1.5)

    found = global_risks(0.2, 1.0, 0.4, (-1.5, 1.8), (-1.2, 1.5))

    assert found.consumer == pytest.approx(np.mean(taken & ~good), abs=4e-4)
    assert found.producer == pytest.approx(np.mean(~taken & good), abs=1.4e-3)
    drawn = np.mean(good)
    assert inside_probability(0.2, 1.0, -1.5, 1.8) == pytest.approx(drawn, abs=2e-3)


def test_a_perfect_reading_has_no_risk():
    """With no doubt and no guard band nothing is wrongly sorted."""
    found = global_risks(0.0, 1.0, 0.0, (-1.0, 1.0), (-1.0, 1.0))
    assert found.consumer == pytest.approx(0.0, abs=1e-12)
    assert found.producer == pytest.approx(0.0, abs=1e-12)


def test_one_sided_risks():
    """Endless limits are allowed."""
    found = global_risks(0.0, 1.0, 0.3, (-INFINITE, 1.0), (-INFINITE, 0.8))
    assert 0.0 < found.consumer < found.producer < 0.1


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: inside_probability(0.0, 1.0, 2.0, 1.0), "above the lower limit"),
        (lambda: inside_probability(0.0, -1.0, 0.0, 1.0), "standard must be 0 or more"),
        (lambda: inside_probability(np.nan, 1.0, 0.0, 1.0), "value must be finite"),
        (lambda: inside_probability(0.0, 1.0, np.nan, 1.0), "lower must be a number"),
        (lambda: assess(0.0, 1.0, 0.0, 1.0, risk=0.5), "risk must be below one half"),
        (lambda: guard_band(1.0, 0.0), "risk must be above 0 and below 1"),
        (lambda: largest_shown(100.0, 0.5, 0.999), "no reading is sure enough"),
        (lambda: global_risks(0, 0, 1, (-1, 1), (-1, 1)), "spread must be positive"),
    ],
)
def test_impossible_questions_are_refused(call, message):
    """The message names the argument."""
    with pytest.raises(QuantityError, match=message):
        call()
