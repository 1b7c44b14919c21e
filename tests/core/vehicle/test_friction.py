"""The band of heights that friction leaves open."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from splinewise.core.other_springs import LinearSpring
from splinewise.core.stops import FrictionBand
from splinewise.core.vehicle import SpringAt, stand
from splinewise.core.vehicle.friction import friction_band
from splinewise.core.vehicle.modes import modes
from vehicles import car, changed_corner, vec

POINTS = (vec([0.0, 0.6, 0.2]), vec([0.0, -0.6, 0.2]), vec([-2.4, 0.6, 0.2]))


def pushed(vehicle, forces):
    """The vehicle with a force at each wheel, as friction may press."""
    for i in range(4):
        corner = vehicle.corners[i]
        more = SpringAt(LinearSpring(0.0, forces[..., i]))
        vehicle = changed_corner(vehicle, i, others=(*corner.others, more))
    return vehicle


def test_whatever_friction_does_the_heights_are_in_the_band():
    """Two hundred ways in which four wheels may hang; the ends are reached."""
    vehicle = car(np.random.default_rng(1))
    found = stand(vehicle)
    band = friction_band(vehicle, found, POINTS)
    most = np.array([float(c.friction) for c in vehicle.corners])
    rng = np.random.default_rng(2)
    share = np.concatenate([rng.uniform(-1, 1, (180, 4)), rng.choice([-1, 1], (60, 4))])

    there = stand(pushed(vehicle, share * most))

    heights = np.stack([there.attitude.height(p) for p in POINTS], axis=-1)
    assert np.all(heights >= band.low - 1e-10)
    assert np.all(heights <= band.high + 1e-10)
    assert_allclose(heights.min(axis=0), band.low, atol=1e-10)
    assert_allclose(heights.max(axis=0), band.high, atol=1e-10)
    middle = [found.attitude.height(p) for p in POINTS]
    assert_allclose(band.middle, middle, atol=1e-14)
    assert np.all(band.high - band.low > 1e-3)


def test_all_wheels_alike_is_friction_over_rate():
    """The band of an even car's heave is that of one wheel: force over rate.

    The friction bends the wheel's rate, not the tyre's: the load stays as it is.
    """
    even = replace(car(spread=0.0, bars=False, stops=False), loads=())
    even = replace(even, body=replace(even.body, centre=vec([-1.2, 0.0, 0.55])))
    for i in range(4):
        even = changed_corner(even, i, friction=1.0, others=(), unsprung=0.0)
    found = stand(even)
    rate = modes(even, found).wheel_rates

    # Between the axles each moves the point by its share.
    got = friction_band(even, found, [vec([-1.2, 0.0, 0.0])])

    each = FrictionBand(1.0).spread(rate)
    assert (got.high - got.middle)[0] == pytest.approx(each.mean(), rel=2e-2)
    assert (got.middle - got.low)[0] == pytest.approx(each.mean(), rel=2e-2)


def test_no_friction_no_band():
    """Low, middle and high are one."""
    vehicle = car()
    for i in range(4):
        vehicle = changed_corner(vehicle, i, friction=0.0)
    band = friction_band(vehicle, stand(vehicle), POINTS)

    assert_allclose(band.low, band.middle, atol=1e-11)
    assert_allclose(band.high, band.middle, atol=1e-11)


def test_a_car_that_does_not_stand_has_no_band():
    """NaN for it, numbers for its neighbours."""
    vehicle = car(count=3)
    centre = replace(vehicle.body.centre, z=np.array([0.5, 12.0, 0.6]))
    vehicle = replace(vehicle, body=replace(vehicle.body, centre=centre))
    band = friction_band(vehicle, stand(vehicle), POINTS)

    for part in (band.low, band.middle, band.high):
        assert np.isnan(part[1]).all()
        assert np.isfinite(part[[0, 2]]).all()
