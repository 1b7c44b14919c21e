"""One wheel under its load: energy, equilibrium, and the rate that goes with them."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.polynomial.legendre import leggauss
from numpy.testing import assert_allclose, assert_array_equal

from layouts import lever_and_link
from splinewise.core.corner import (
    Bush,
    Spring,
    ride_frequency,
    slack_for,
    standing_angle,
    wheel_force,
)
from splinewise.core.jet import value
from splinewise.core.linkages import DoubleWishbone, PlanarArm
from splinewise.errors import QuantityError
from wishbones import EXAMPLE, some_points

LEFT = DoubleWishbone.build(EXAMPLE, outboard=1.0)
UPPER = DoubleWishbone.build(EXAMPLE, outboard=1.0, bar_on="upper")
ARM = PlanarArm(1.0, 0.4, -0.1, ratio=1.1)
LEVER = lever_and_link()[1]  # its bar turns by another angle than its arm
corners = st.sampled_from([LEFT, UPPER, ARM, LEVER])
rates = st.floats(500.0, 5000.0)
slacks = st.floats(-0.7, -0.2)
angles = st.floats(-0.25, 0.25)
bushes = st.builds(Bush, st.floats(0.0, 300.0), st.floats(-0.1, 0.1))


def height(corner, angle):
    """Return the height of the contact point, with no derivative asked."""
    return value(corner.pose(np.asarray(angle, dtype=float)).contact.z)


@given(corners, rates, slacks, bushes, angles, angles)
def test_the_wheels_work_is_the_bars_and_bushes_energy(
    corner, rate, slack, bush, one, other
):
    """∫F dz from one angle to another, by Gauss's rule, is what they store.

    The force is integrated over the arm angle with z′ taken from a difference of
    heights, so that no derivative of ours comes in twice.
    """
    low, high = min(one, other), max(one, other)
    nodes, weights = leggauss(24)
    theta = 0.5 * (high + low) + 0.5 * (high - low) * nodes
    step = 1e-3
    ends = [height(corner, theta + k * step) for k in (-2, -1, 1, 2)]
    rise = (ends[0] - 8.0 * ends[1] + 8.0 * ends[2] - ends[3]) / (12.0 * step)

    force = wheel_force(corner, Spring(rate, slack, bush), theta).force
    work = 0.5 * (high - low) * np.sum(weights * force * rise)

    def stored(angle):
        twist = value(corner.pose(np.asarray(angle)).twist) - slack
        rubber = 0.5 * bush.rate * (angle - bush.tightened_at) ** 2
        return 0.5 * rate * twist**2 + rubber

    assert_allclose(work, stored(high) - stored(low), rtol=1e-7, atol=1e-6)


@given(corners, rates, slacks, bushes, angles)
def test_wheel_rate_is_the_slope_of_force_over_height(corner, rate, slack, bush, angle):
    """Against sixth-order differences of force and of height."""
    step = 5e-3
    spring = Spring(rate, slack, bush)
    at = wheel_force(corner, spring, angle)

    weights = np.array([-1 / 60, 3 / 20, -3 / 4, 3 / 4, -3 / 20, 1 / 60])
    around = angle + step * np.array([-3, -2, -1, 1, 2, 3])
    force = weights @ wheel_force(corner, spring, around).force
    rise = weights @ height(corner, around)

    scale = abs(at.wheel_rate) + at.spring_part
    assert abs(at.wheel_rate - force / rise) < 1e-6 * scale
    assert_allclose(at.rise_slope, rise / step, rtol=1e-7)


@given(st.integers(0, 50), rates, st.floats(800.0, 6000.0), bushes, angles)
def test_slack_and_standing_undo_each_other(number, rate, load, bush, angle):
    """A bar set to stand at an angle stands there."""
    points, outboard = some_points(np.random.default_rng([5, number]))
    corner = DoubleWishbone.build(points, outboard=outboard)
    slack = slack_for(corner, angle=angle, rate=rate, load=load, bush=bush)
    assume(np.isfinite(slack))
    spring = Spring(rate, slack, bush)
    at = wheel_force(corner, spring, angle)
    # Only where force grows with height is the corner's stand a stable one.
    around = wheel_force(corner, spring, angle + np.linspace(-0.05, 0.05, 11))
    assume(np.all(around.wheel_rate > 0.0) and np.all(around.rise_slope > 0.0))

    assert_allclose(at.force, load, rtol=1e-10)
    stands = standing_angle(corner, spring, load, low=angle - 0.04, high=angle + 0.05)
    assert_allclose(stands, angle, atol=1e-9 + 1e-9 * load / at.wheel_rate)


def test_a_slack_bar_carries_nothing():
    at = wheel_force(LEFT, Spring(2000.0, 0.1), 0.1)
    assert (at.force, at.torque, at.twist) == (0.0, 0.0, 0.0)
    assert at.wheel_rate == at.spring_part
    below = wheel_force(LEFT, Spring(2000.0, 0.1), 0.0)
    assert below.force < 0.0


def test_forces_add():
    """Bar and bushes together carry the sum of what each would."""
    spring, bush = Spring(2000.0, -0.4), Bush(150.0, -0.05)
    angle = np.linspace(-0.2, 0.2, 5)

    both = wheel_force(LEFT, Spring(2000.0, -0.4, bush), angle)
    bar = wheel_force(LEFT, spring, angle)
    rubber = wheel_force(LEFT, Spring(1.0, -0.4, Bush(150.0, -0.05)), angle)
    faint = wheel_force(LEFT, Spring(1.0, -0.4), angle)

    for name in ("force", "wheel_rate", "spring_part"):
        total = getattr(bar, name) + getattr(rubber, name) - getattr(faint, name)
        assert_allclose(getattr(both, name), total, rtol=1e-12)
    assert_array_equal(both.torque, bar.torque)


def test_twice_the_bar_and_twice_the_load_stand_alike():
    one = standing_angle(LEFT, Spring(2000.0, -0.45), 2600.0, low=-0.3, high=0.5)
    two = standing_angle(LEFT, Spring(4000.0, -0.45), 5200.0, low=-0.3, high=0.5)
    assert_allclose(one, two, atol=1e-13)


def test_many_stand_at_once():
    """Slack angles down, loads across; each as if alone."""
    spring = Spring(2000.0, np.array([[-0.5], [-0.45]]))
    loads = np.array([2200.0, 2600.0, 3000.0])

    got = standing_angle(LEFT, spring, loads, low=-0.4, high=0.6)

    assert got.shape == (2, 3)
    alone = standing_angle(LEFT, Spring(2000.0, -0.45), 2600.0, low=-0.4, high=0.6)
    assert_allclose(got[1, 1], alone, atol=1e-13)
    assert np.all(np.diff(got, axis=1) > 0.0)
    assert np.all(np.diff(got, axis=0) > 0.0)


@pytest.mark.parametrize(
    ("load", "low", "high"),
    [(9e9, -0.3, 0.3), (-9e9, -0.3, 0.3), (2600.0, 0.2, 0.3), (2600.0, -0.7, 0.3)],
)
def test_a_load_out_of_reach_has_no_standing_angle(load, low, high):
    """Too much, too little, not between the two, or a bracket past the lock: NaN."""
    got = standing_angle(LEFT, Spring(2000.0, -0.46), load, low=low, high=high)
    assert np.isnan(got)


def test_the_bounds_themselves_will_do():
    spring = Spring(2000.0, -0.46)
    load = wheel_force(LEFT, spring, 0.1).force

    for low, high in ((0.1, 0.3), (-0.2, 0.1)):
        got = standing_angle(LEFT, spring, load, low=low, high=high)
        assert_allclose(got, 0.1, atol=1e-12)


def test_a_locked_linkage_has_no_slack_angle():
    """NaN beyond the lock, a number short of it."""
    angles = np.radians([-40.0, 0.0])
    got = slack_for(LEFT, angle=angles, rate=2000.0, load=2600.0)
    assert list(np.isnan(got)) == [True, False]


def test_a_locked_linkage_has_no_force():
    at = wheel_force(LEFT, Spring(2000.0, -0.46), np.radians(-40.0))
    assert np.isnan(at.force)
    assert np.isnan(at.wheel_rate)


def test_ride_frequency():
    """One hertz: 4π² of rate to one of mass; a load that sags its spring by g/4π²."""
    sag = 9.80665 / (2.0 * np.pi) ** 2
    assert_allclose(ride_frequency(300.0 * 9.80665 / sag, 300.0), 1.0, rtol=1e-14)
    assert_allclose(ride_frequency((2.0 * np.pi) ** 2 * 300.0, 300.0), 1.0, rtol=1e-14)
    assert np.isnan(ride_frequency(-1.0, 300.0))


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (
            lambda: wheel_force(LEFT, Spring(2000.0, 0.0), np.nan),
            "angle must be finite",
        ),
        (lambda: wheel_force(LEFT, Spring(-1.0, 0.0), 0.0), "rate must be positive"),
        (lambda: wheel_force(LEFT, Spring(1.0, np.nan), 0.0), "slack must be finite"),
        (
            lambda: wheel_force(LEFT, Spring(1.0, 0.0, Bush(-1.0)), 0.0),
            "bush rate must be zero or more; got -1",
        ),
        (
            lambda: wheel_force(LEFT, Spring(1.0, 0.0, Bush(1.0, np.inf)), 0.0),
            "tightened_at must be finite",
        ),
        (
            lambda: slack_for(LEFT, angle=0.0, rate=0.0, load=1.0),
            "rate must be positive",
        ),
        (
            lambda: slack_for(LEFT, angle=np.inf, rate=1.0, load=1.0),
            "angle must be finite",
        ),
        (
            lambda: slack_for(LEFT, angle=0.0, rate=1.0, load=np.nan),
            "load must be finite",
        ),
        (
            lambda: standing_angle(LEFT, Spring(1.0, 0.0), np.nan, low=0.0, high=1.0),
            "load must be finite",
        ),
        (lambda: ride_frequency(1.0, 0.0), "mass must be positive"),
        (lambda: ride_frequency(np.nan, 1.0), "wheel_rate must be finite"),
    ],
)
def test_impossible_numbers_are_refused(make, message):
    with pytest.raises(QuantityError, match=message):
        make()
