"""Tyres on the ground and off it."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from splinewise.core.tyre import Tyre, hop_frequency
from splinewise.errors import QuantityError

TYRE = Tyre(0.31, 1.9e5)


def test_load_grows_with_the_deflection():
    """2500 N on 190 N/mm is 13.2 mm (own arithmetic)."""
    r = TYRE.loaded_radius(2500.0)

    assert_allclose(TYRE.unloaded_radius - r, 0.013158, atol=5e-7)
    assert_allclose(TYRE.push(r).force, 2500.0)
    assert TYRE.push(r).rate == 1.9e5


def test_a_tyre_does_not_pull_the_car_down():
    """Off the ground: no load, no rate."""
    at = TYRE.push([0.32, 0.31, 0.30])

    assert at.force.tolist()[:2] == [0.0, 0.0]
    assert at.rate.tolist() == [0.0, 0.0, 1.9e5]
    assert TYRE.on_ground([0.32, 0.31, 0.30]).tolist() == [False, False, True]


def test_a_load_that_flattens_the_tyre_has_no_radius():
    """NaN, for that tyre alone."""
    r = TYRE.loaded_radius([0.0, 1.9e5 * 0.31, 1e6])

    assert r[0] == 0.31
    assert np.isnan(r[1:]).all()


def test_a_batch_of_tyres():
    """Different radii, rates and loads at once."""
    tyres = Tyre(np.array([0.30, 0.32]), np.array([1.5e5, 2.0e5]))

    assert_allclose(
        tyres.push(np.array([[0.29], [0.31]])).force, [[1500, 6000], [0, 2000]]
    )


def test_a_tyre_that_cannot_be_is_refused():
    """By name."""
    with pytest.raises(QuantityError, match="load must be not below 0"):
        TYRE.loaded_radius(-1.0)
    with pytest.raises(QuantityError, match="unloaded_radius must be positive"):
        Tyre(0.0, 1.9e5).loaded_radius(100.0)
    with pytest.raises(QuantityError, match="rate must be positive"):
        Tyre(0.3, -1.0).loaded_radius(100.0)
    with pytest.raises(QuantityError, match="tyre_rate must be positive"):
        hop_frequency(2e4, 0.0, 30.0)
    with pytest.raises(QuantityError, match="unsprung_mass must be positive"):
        hop_frequency(2e4, 2e5, -30.0)
