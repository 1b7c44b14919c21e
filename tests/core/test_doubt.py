"""Limits turned into doubts, repeats pooled, stated doubts kept."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from cited import INCH, printed
from splinewise.core.doubt import (
    Doubt,
    Part,
    Repeats,
    arcsine,
    of_resolution,
    pooled,
    rectangular,
    stated,
    triangular,
    with_repeats,
)
from splinewise.errors import QuantityError


@pytest.mark.cited
def test_arcsine_of_gum_h1():
    """JCGM 100:2008 H.1: a swing of 0.5 °C either way is 0.35 °C (read second-hand)."""
    assert arcsine(0.5) == printed("0.354")


@pytest.mark.independent
@pytest.mark.parametrize(
    ("function", "draw"),
    [
        (rectangular, lambda rng, n: rng.uniform(-1, 1, n)),
        (triangular, lambda rng, n: rng.triangular(-1, 0, 1, n)),
        (arcsine, lambda rng, n: np.sin(rng.uniform(0, 2 * np.pi, n))),
    ],
)
def test_limits_against_drawn_numbers(function, draw):
    """The standard deviation of numbers drawn from each shape."""
    drawn = draw(np.random.default_rng(1), 400_000)
    assert function(1.0) == pytest.approx(np.std(drawn), rel=0.004)


def test_resolution_of_a_rule_in_thirty_seconds():
    """1/32 in is 0.2291 mm, 1 mm is 0.2887 mm, 0.01 mm is 0.00289 mm (own arithmetic)."""
    steps = np.array([INCH / 32, 1e-3, 1e-5])
    expected = np.array([0.2291e-3, 0.2887e-3, 0.00289e-3])
    assert_allclose(of_resolution(steps), expected, rtol=2e-3)


def test_pooled_by_hand():
    """Two groups, {1, 2, 3} and {10, 12}: s² = (2 + 2) / 3 (own arithmetic)."""
    result = pooled([[1.0, 2.0, 3.0], [10.0, 12.0], [5.0]])

    assert result.dof == 3
    assert result.standard_deviation == pytest.approx(np.sqrt(4 / 3), rel=1e-12)


def test_pooled_needs_a_repeat():
    """Groups of one say nothing of scatter."""
    with pytest.raises(QuantityError, match="repeat one of the readings"):
        pooled([[1.0], [2.0]])


def test_repeats_shrink_only_what_they_can():
    """Nine readings cut the scatter by three, and leave the tape's own error whole."""
    one = Doubt(
        (Part("permissible error", np.array(0.3), ""),
         Part("repeatability", np.array(0.6), "")), "m",
    )  # fmt: skip

    nine = with_repeats(one, Repeats(0.6, 8), 9)

    assert nine.part("repeatability") == pytest.approx(0.2)
    assert nine.part("permissible error") == 0.3
    assert nine.standard == pytest.approx(np.hypot(0.2, 0.3))


def test_few_repeats_are_leavened_by_the_table():
    """Two readings that happen to agree do not make the scatter zero."""
    one = Doubt((Part("repeatability", np.array(0.6), ""),), "m")

    assert with_repeats(one, Repeats(0.0, 1), 2).standard > 0.3
    assert with_repeats(one, Repeats(0.0, 1), 2, table_worth=0).standard == 0.0


def test_more_repeats_never_widen():
    """The doubt of the mean falls with every reading of the same scatter."""
    one = Doubt((Part("repeatability", np.array(0.6), ""),), "m")
    doubts = [with_repeats(one, Repeats(0.6, n), n + 1).standard for n in range(1, 9)]
    assert np.all(np.diff(doubts) < 0)


def test_a_stated_doubt_is_the_only_part():
    """What the person states replaces the table."""
    doubt = stated([0.001, 0.002], unit="m")

    assert [part.name for part in doubt.parts] == ["stated"]
    assert_allclose(doubt.standard, [0.001, 0.002])


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: stated(0.0, unit="m"), "standard must be above 0; got 0 m"),
        (lambda: rectangular(-1.0), "half_width must be 0 or more"),
        (lambda: triangular(np.nan), "half_width must be finite"),
        (lambda: with_repeats(Doubt((), "m"), Repeats(1.0, 1), 0), "count must be"),
        (
            lambda: with_repeats(Doubt((), "m"), Repeats(1.0, 1), 1, table_worth=-1),
            "table_worth must be at least 0; got -1",
        ),
    ],
)
def test_impossible_doubts_are_refused(call, message):
    """The message names the argument and its value."""
    with pytest.raises(QuantityError, match=message):
        call()
