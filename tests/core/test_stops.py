"""Rebound and bump stops, friction."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from splinewise.core.stops import FrictionBand, Stop
from splinewise.errors import QuantityError

BUMP = Stop.build(0.05, rate=2.0e5, depth=0.02, side=1.0)
REBOUND = Stop.build(-0.05, rate=2.0e5, depth=0.02, side=-1.0)


def test_a_stop_does_nothing_before_it_is_met():
    """No force, no rate, not met, up to and at the place."""
    at = BUMP.push([-1.0, 0.0, 0.05])

    assert at.force.tolist() == [0.0, 0.0, 0.0]
    assert at.rate.tolist() == [0.0, 0.0, 0.0]
    assert BUMP.met([0.0, 0.05, 0.0501]).tolist() == [False, False, True]


def test_a_stop_builds_up_to_its_rate_and_keeps_it():
    """Half the depth: half the rate, an eighth of k d; beyond: k (p − d/2)."""
    at = BUMP.push([0.06, 0.07, 0.09])

    assert_allclose(at.rate, [1.0e5, 2.0e5, 2.0e5])
    assert_allclose(at.force, [500.0, 2000.0, 6000.0])


def test_a_rebound_stop_is_a_bump_stop_upside_down():
    """It pulls as the wheel goes down, with the same rate."""
    x = np.linspace(-0.1, 0.1, 41)
    up, down = BUMP.push(x), REBOUND.push(-x)

    assert_allclose(down.force, -up.force)
    assert_allclose(down.rate, up.rate)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"rate": 0.0}, "rate must be positive"),
        ({"depth": -0.01}, "depth must be positive"),
        ({"side": 0.5}, "side must be"),
        ({"met_at": np.nan}, "met_at must be finite"),
    ],
)
def test_a_stop_that_cannot_be_is_refused(change, words):
    """By name."""
    good = {"met_at": 0.05, "rate": 1.0e5, "depth": 0.02, "side": 1.0} | change
    with pytest.raises(QuantityError, match=words):
        Stop.build(good.pop("met_at"), **good)


def test_friction_spreads_the_height():
    """150 N of friction on 20 N/mm leaves 7.5 mm either way."""
    assert_allclose(FrictionBand(150.0).spread([2.0e4, 3.0e4]), [0.0075, 0.005])


def test_friction_that_cannot_be_is_refused():
    """Below nought, or on no rate."""
    with pytest.raises(QuantityError, match="half_width must be not below 0"):
        FrictionBand(-1.0).spread(2.0e4)
    with pytest.raises(QuantityError, match="wheel_rate must be positive"):
        FrictionBand(1.0).spread(0.0)
