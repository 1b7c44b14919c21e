"""Coils, leaves and helpers: their laws, at the wheel and about the arm."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.interpolate import PchipInterpolator

from layouts import TRAVEL, strut, strut_rod
from splinewise.core.corner import ride_frequency
from splinewise.core.jet import seed
from splinewise.core.linkages import solve
from splinewise.core.other_springs import (
    LinearSpring,
    WheelSpring,
    on_arm,
    rate_for_frequency,
)
from splinewise.core.stops import Stop
from splinewise.core.table_spring import TableSpring
from splinewise.errors import QuantityError

X = np.array([-0.06, -0.02, 0.0, 0.03, 0.08])
FORCES = np.array([200.0, 900.0, 1500.0, 1500.0, 5200.0])
RATES = np.array([1.2e4, 1.2e4, 1.8e4, 4.0e4, 9.0e4])
LAWS = {
    "linear": LinearSpring(2.0e4, 1500.0),
    "forces": TableSpring.from_forces(X, FORCES),
    "rates": TableSpring.from_rates(X, RATES, preload=1500.0),
    "bump stop": Stop.build(0.02, rate=2.0e5, depth=0.02, side=1.0),
    "rebound stop": Stop.build(-0.03, rate=1.5e5, depth=0.01, side=-1.0),
    "at the wheel": WheelSpring(TableSpring.from_forces(X, FORCES), 0.7),
}
every_law = pytest.mark.parametrize("law", LAWS.values(), ids=LAWS.keys())


@pytest.mark.independent
@every_law
def test_the_rate_is_the_slope_of_the_force(law):
    """Everywhere, beyond the table's ends and at its rows too."""
    x = np.linspace(-0.1, 0.12, 2003)
    h = 1e-7

    slope = (law.push(x + h).force - law.push(x - h).force) / (2.0 * h)

    assert_allclose(law.push(x).rate, slope, atol=2.0)


@every_law
def test_force_and_rate_have_no_steps(law):
    """Between close neighbours both change by little, in proportion to how close."""
    x = np.linspace(-0.1, 0.12, 200001)
    at = law.push(x)

    assert np.max(np.abs(np.diff(at.force))) < 1e6 * (x[1] - x[0])
    assert np.max(np.abs(np.diff(at.rate))) < 4e7 * (x[1] - x[0])


@every_law
def test_force_never_falls_as_the_spring_is_shortened(law):
    """A stop or spring that let go would make a car fall."""
    assert np.all(np.diff(law.push(np.linspace(-0.1, 0.12, 5001)).force) >= -1e-9)


@every_law
def test_one_by_one_is_the_same_as_all_at_once(law):
    """Shape in, shape out."""
    x = np.linspace(-0.1, 0.12, 12).reshape(3, 4)
    at = law.push(x)

    assert at.force.shape == at.rate.shape == (3, 4)
    for i, j in np.ndindex(3, 4):
        one = law.push(float(x[i, j]))
        assert one.force == at.force[i, j]
        assert one.rate == at.rate[i, j]


@every_law
def test_a_pose_out_of_reach_pushes_with_no_number(law):
    """NaN goes through and leaves its neighbours alone."""
    at = law.push(np.array([np.nan, 0.01]))

    assert np.isnan(at.force[0])
    assert np.isfinite(at.force[1])


@pytest.mark.independent
def test_a_table_of_forces_is_scipys_monotone_curve():
    """Inside the rows, force and rate, against the interpolator itself."""
    peer = PchipInterpolator(X, FORCES)
    x = np.linspace(X[0], X[-1], 301)

    at = LAWS["forces"].push(x)

    assert_allclose(at.force, peer(x), rtol=1e-12)
    assert_allclose(at.rate, peer.derivative()(x), atol=1e-6)


@pytest.mark.independent
def test_a_table_of_rates_is_integrated_from_the_preload():
    """Rate against the interpolator, force against its integral by quadrature."""
    peer = PchipInterpolator(X, RATES)
    x = np.linspace(X[0], X[-1], 301)

    at = LAWS["rates"].push(x)

    assert_allclose(at.rate, peer(x), rtol=1e-12)
    assert_allclose(at.force, [1500.0 + peer.integrate(0.0, e) for e in x], rtol=1e-12)
    assert LAWS["rates"].push(0.0).force == pytest.approx(1500.0, abs=1e-9)


def test_the_preload_holds_where_the_drawn_position_is_off_the_table():
    """A table that begins at 20 mm has its preload at nought all the same."""
    spring = TableSpring.from_rates([0.02, 0.05], [1e4, 2e4], preload=700.0)

    assert spring.push(0.0).force == pytest.approx(700.0, abs=1e-9)
    assert spring.push(0.0).rate == pytest.approx(1e4)


def test_beyond_its_rows_a_table_goes_straight_on_and_says_so():
    """The end's rate holds outside."""
    spring = LAWS["forces"]
    end = spring.push(X[-1])
    out = spring.push(X[-1] + 0.01)

    assert out.force == pytest.approx(end.force + 0.01 * end.rate)
    assert out.rate == end.rate
    assert spring.covers([-0.07, -0.06, 0.0, 0.08, 0.09]).tolist() == [
        False, True, True, True, False,
    ]  # fmt: skip


@given(
    steps=st.lists(st.floats(1e-3, 0.1), min_size=2, max_size=8),
    rises=st.lists(st.floats(0.0, 1e4), min_size=8, max_size=8),
)
def test_a_table_runs_through_its_rows_and_never_between_outside_them(steps, rises):
    """For any rising table."""
    x = np.cumsum(steps)
    f = np.cumsum(rises[: x.size])
    spring = TableSpring.from_forces(x, f)
    fine = np.linspace(x[0], x[-1], 101)

    assert_allclose(spring.push(x).force, f, atol=1e-6)
    assert np.all(np.diff(spring.push(fine).force) >= -1e-6)


@pytest.mark.parametrize(
    ("travel", "force", "words"),
    [
        ([0.0], [1.0], "two or more rows"),
        ([0.0, 0.1], [1.0, 2.0, 3.0], "as long as travel, 2 rows"),
        ([0.0, 0.1, 0.1], [1.0, 2.0, 3.0], "more than in the row before"),
        ([0.0, 0.1, 0.2], [1.0, 3.0, 2.0], "no less than in the row before"),
        ([0.0, np.nan], [1.0, 2.0], "travel must be finite"),
        ([0.0, 0.1], [1.0, np.inf], "force must be finite"),
        ([[0.0, 0.1]], [[1.0, 2.0]], "two or more rows"),
    ],
)
def test_a_table_that_cannot_be_is_refused(travel, force, words):
    """With the row to blame."""
    with pytest.raises(QuantityError, match=words):
        TableSpring.from_forces(travel, force)


def test_a_rate_below_nought_is_refused():
    """Such a spring would throw the car about."""
    with pytest.raises(QuantityError, match="rate must be not below 0; got -1 N/m"):
        TableSpring.from_rates([0.0, 0.1], [1.0, -1.0])


@pytest.mark.independent
@pytest.mark.parametrize("make", [strut_rod, strut])
@every_law
def test_torque_about_the_arm_is_the_slope_of_the_energy(make, law):
    """On the damper's length and on the wheel's rise: dE/dθ and d²E/dθ².

    The energy is the law integrated by Gauss and Legendre, its slopes are differences.
    """
    linkage = make()[1]
    drawn = linkage.pose(np.zeros(()))
    nodes, weights = np.polynomial.legendre.leggauss(60)

    def shortened(pose, on):
        if on == "damper":
            return drawn.damper - pose.damper
        return pose.contact.z - drawn.contact.z

    def torque_slope(angle, on):
        h = 1e-5
        torques = [
            on_arm(law, shortened(solve(linkage, angle + d), on)).torque
            for d in (-h, h)
        ]
        return (torques[1] - torques[0]) / (2.0 * h)

    def work(angle, on):
        s = shortened(solve(linkage, angle), on).v
        return np.sum(weights * law.push(0.5 * s * (nodes + 1.0)).force) * 0.5 * s

    for on in ("damper", "rise"):
        for angle in (-0.21, 0.004, 0.13):
            at = on_arm(law, shortened(solve(linkage, angle), on))
            h = 1e-4
            slope = (work(angle + h, on) - work(angle - h, on)) / (2.0 * h)
            # Quadrature across a kink in the rate is what limits this.
            assert_allclose(at.torque, slope, rtol=2e-3, atol=2.0)
            assert_allclose(at.slope, torque_slope(angle, on), rtol=2e-4, atol=0.5)


def test_a_spring_on_the_arm_itself_keeps_its_rate():
    """With the arm angle for the shortening nothing is changed."""
    at = on_arm(LinearSpring(50.0, 7.0), seed(TRAVEL))

    assert_allclose(at.torque, 7.0 + 50.0 * TRAVEL)
    assert_allclose(at.slope, 50.0)


def test_rate_for_a_frequency_is_the_way_back():
    """A mass on that rate has the frequency."""
    f, m = np.array([1.0, 1.5, 2.0]), 270.0

    assert_allclose(ride_frequency(rate_for_frequency(f, m), m), f)


@pytest.mark.parametrize("bad", [0.0, -1.0, np.nan])
def test_a_frequency_or_mass_that_cannot_be_is_refused(bad):
    """By name."""
    with pytest.raises(QuantityError, match="frequency"):
        rate_for_frequency(bad, 200.0)
    with pytest.raises(QuantityError, match="mass"):
        rate_for_frequency(1.0, bad)
