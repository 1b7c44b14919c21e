"""Forces out of balance: against the potential, and their slopes against theirs."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from splinewise.core.jet import value
from splinewise.core.linkages import PlanarArm
from splinewise.core.table_spring import TableSpring
from splinewise.core.vehicle import Joined, MassAt, SpringAt, balance
from splinewise.core.vehicle.batch import pick
from splinewise.core.vehicle.newton import definite
from splinewise.errors import TaskError
from vehicles import car, changed_corner, differences, vec

STATE = np.array([-0.05, 0.03, -0.02, 0.05, -0.03, 0.04, 0.02])
STEPS = np.array([1e-3, 1e-3, 1e-3, 4e-3, 4e-3, 4e-3, 4e-3])


def rotation(u, v):
    """The body's axes in the world's, for an upward direction (u, v, w) seen in them.

    The world's x lies in the body's plane of symmetry: heights do not care.
    """
    up = np.array([u, v, np.sqrt(1.0 - u * u - v * v)])
    ahead = np.array([1.0, 0.0, 0.0]) - u * up
    ahead /= np.linalg.norm(ahead)
    return np.array([ahead, np.cross(up, ahead), up])


def potential(vehicle, q):
    """The vehicle's potential energy, spelt out in the world's axes.

    The tyre's lowest point is looked for by the angle round the spindle; the springs'
    energies are their textbook ones.
    """
    turn, g = rotation(q[1], q[2]), vehicle.gravity

    def height(p):
        return q[0] + (turn @ np.array([value(p.x), value(p.y), value(p.z)]))[2]

    total = vehicle.body.mass * g * height(vehicle.body.centre)
    total += sum(load.mass * g * height(load.at) for load in vehicle.loads)
    rises = []
    for corner, theta in zip(vehicle.corners, q[3:], strict=True):
        pose, drawn = corner.linkage.pose(theta), corner.linkage.pose(0.0)
        rise = float(pose.contact.z - drawn.contact.z)
        rises.append(rise)
        spring = corner.spring
        total += 0.5 * spring.rate * (value(pose.twist) - spring.slack) ** 2
        total += 0.5 * spring.bush.rate * (theta - spring.bush.tightened_at) ** 2
        for other in corner.others:
            short = rise if other.on == "rise" else float(drawn.damper - pose.damper)
            total += other.law.preload * short + 0.5 * other.law.rate * short**2
        for stop in corner.stops:
            p = max(stop.side * (rise - stop.met_at), 0.0)
            b = min(p, stop.depth)
            total += stop.rate * (b**3 / (6 * stop.depth) + (p - b) * (p + b - b) / 2)
        spindle = turn @ pose.spindle.array
        ahead = np.cross(spindle, [0.0, 0.0, 1.0])
        lowest = np.cross(ahead / np.linalg.norm(ahead), spindle)
        sunk = corner.floor - height(pose.wheel) + corner.tyre_radius * lowest[2]
        total += 0.5 * corner.tyre_rate * max(sunk, 0.0) ** 2
        total += corner.unsprung * g * height(pose.wheel)
    for joined in vehicle.joined:
        bar = joined.bar
        apart = bar.ratio * (rises[joined.left] - rises[joined.right]) + bar.wind_up
        total += 0.5 * bar.rate * apart**2
    return float(total)


def some_car(seed):
    """One car without stops, and a state at which all its tyres are pressed."""
    vehicle = car(np.random.default_rng(seed), spread=0.02, stops=False)
    return vehicle, STATE + np.random.default_rng(seed).uniform(-0.01, 0.01, 7)


@pytest.mark.independent
@pytest.mark.parametrize("seed", range(5))
def test_forces_are_the_slopes_of_the_potential(seed):
    """Written down a second time in the world's axes and differenced."""
    vehicle, q = some_car(seed)

    expected = differences(lambda x: potential(vehicle, x), q, STEPS)

    assert_allclose(balance(vehicle, q).gradient, expected, rtol=1e-8, atol=1e-5)


@pytest.mark.independent
@pytest.mark.parametrize("seed", range(5))
def test_hessian_is_the_slope_of_the_forces(seed):
    """Against differences of the eighth order, and symmetric."""
    vehicle, q = some_car(seed)

    got = balance(vehicle, q).hessian

    expected = differences(lambda x: balance(vehicle, x).gradient, q, STEPS)
    assert_allclose(got, expected, rtol=1e-9, atol=1e-9 * np.abs(expected).max())
    assert_allclose(got, got.T, rtol=0.0, atol=0.0)


def test_a_pressed_stop_and_a_lifted_tyre():
    """On both parts of a stop and with a wheel in the air the slopes hold as well."""
    vehicle = car(np.random.default_rng(3), off=0.0)
    q = np.array([-0.02, 0.0, 0.05, 0.32, -0.31, 0.245, -0.25])
    met = [c.linkage.pose(t) for c, t in zip(vehicle.corners, q[3:], strict=True)]
    rises = [
        float(p.contact.z - c.linkage.pose(0.0).contact.z)
        for p, c in zip(met, vehicle.corners, strict=True)
    ]
    assert any(
        s.met(r) for c, r in zip(vehicle.corners, rises, strict=True) for s in c.stops
    )

    at = balance(vehicle, q)

    assert (
        min(float(s.sunk) for s in at.corners)
        < 0.0
        < max(float(s.sunk) for s in at.corners)
    )
    expected = differences(lambda x: potential(vehicle, x), q, 0.25 * STEPS)
    assert_allclose(at.gradient, expected, rtol=1e-6, atol=1e-3)
    slopes = differences(lambda x: balance(vehicle, x).gradient, q, 0.25 * STEPS)
    assert_allclose(at.hessian, slopes, rtol=1e-6, atol=1e-6 * np.abs(slopes).max())


def test_tables_springs_at_other_lengths_and_masses_of_arms():
    """A table on the damper, a spring on any length, an arm's own mass."""
    base, q = some_car(11)
    table = TableSpring.from_forces(
        [-0.1, -0.02, 0.0, 0.03, 0.1], [0, 100, 300, 900, 3e3]
    )
    extra = (
        SpringAt(table, "damper"),
        SpringAt(table, lambda pose: -pose.wheel.x - 0.5 * pose.wheel.z),
    )
    arm = MassAt(7.0, lambda pose: 0.5 * (pose.wheel + vec([0.1, 0.2, 0.0])))
    corner = base.corners[0]
    vehicle = changed_corner(base, 0, others=corner.others + extra, masses=(arm,))

    assert vehicle.mass == pytest.approx(base.mass + 7.0)
    got = balance(vehicle, q)

    expected = differences(lambda x: balance(vehicle, x).gradient, q, 0.1 * STEPS)
    assert_allclose(
        got.hessian, expected, rtol=1e-7, atol=1e-7 * np.abs(expected).max()
    )
    more = got.gradient - balance(base, q).gradient
    pose, drawn = (corner.linkage.pose(t) for t in (q[3], 0.0))
    weight = 7.0 * vehicle.gravity
    assert more[0] == pytest.approx(weight)

    def energy(x):
        """Of what was added: the arm's weight, and the tables by the trapezium rule."""
        turn, pose = rotation(x[1], x[2]), corner.linkage.pose(x[3])
        up = (turn @ arm.at(pose).array)[2] + x[0]
        lengths = [lambda p: p.damper, extra[1].on]
        total = weight * up
        for length in lengths:
            short = np.linspace(0.0, float(length(drawn) - length(pose)), 20001)
            total += np.trapezoid(table.push(short).force, short)
        return total

    assert pose.damper != drawn.damper
    expected = differences(energy, q, 0.1 * STEPS)
    assert_allclose(more, expected, rtol=1e-5, atol=1e-4)


def test_planar_arms_stand_on_their_contact_points():
    """No wheel centre known: the contact point is the unloaded tyre's lowest point."""
    base, q = some_car(12)
    arm = PlanarArm(1.0, 0.34, -0.1, contact=vec([0.0, 0.6, 0.0]))
    vehicle = changed_corner(
        base, 0, linkage=arm, others=(), tyre_radius=0.31, drawn_radius=0.30
    )

    got = balance(vehicle, q)

    expected = differences(lambda x: balance(vehicle, x).gradient, q, STEPS)
    assert_allclose(
        got.hessian, expected, rtol=1e-8, atol=1e-8 * np.abs(expected).max()
    )
    contact = arm.pose(q[3]).contact.array
    lowest = q[0] + (rotation(q[1], q[2]) @ contact)[2] - 0.01
    assert got.corners[0].sunk == pytest.approx(vehicle.corners[0].floor - lowest)


def test_a_corner_without_a_bar():
    """What its bar and bushes gave is gone; all else is as before."""
    vehicle, q = some_car(13)
    spring = vehicle.corners[3].spring
    bare = changed_corner(vehicle, 3, spring=None)

    lost = balance(vehicle, q).gradient - balance(bare, q).gradient

    bush = spring.bush
    torque = spring.rate * (q[6] - spring.slack) + bush.rate * (
        q[6] - bush.tightened_at
    )
    assert_allclose(lost, [0, 0, 0, 0, 0, 0, torque], atol=1e-9)
    assert balance(bare, q).corners[3].torque == 0.0


def test_a_batch_is_its_cars_one_by_one():
    """Many cars at once give the forces of each."""
    vehicle = car(np.random.default_rng(4), 3)
    q = STATE + np.random.default_rng(5).uniform(-0.02, 0.02, (3, 7))

    together = balance(vehicle, q)

    for i in range(3):
        alone = balance(pick(vehicle, np.array([i]), 3), q[i : i + 1])
        assert_allclose(together.gradient[i], alone.gradient[0], rtol=1e-12, atol=1e-9)
        assert_allclose(together.hessian[i], alone.hessian[0], rtol=1e-12, atol=1e-6)


def test_beyond_the_lock_the_forces_are_not_numbers():
    """NaN at the corner that cannot be posed, and no warning."""
    vehicle = car(bars=True)
    q = STATE.copy()
    q[3] = -1.2

    assert np.isnan(balance(vehicle, q).gradient[3])


def test_a_spring_on_an_unknown_damper_is_refused():
    """By the corner's name, with what to do."""
    vehicle = car()
    linkage = replace(vehicle.corners[2].linkage, damper=None)
    vehicle = changed_corner(vehicle, 2, linkage=linkage)

    with pytest.raises(TaskError, match="damper of rear-left"):
        balance(vehicle, STATE)


def test_bars_join_any_two_corners():
    """An anti-roll bar behind works as one in front does."""
    vehicle, q = some_car(6)
    bar = vehicle.joined[0].bar
    both = replace(vehicle, joined=(*vehicle.joined, Joined(3, 2, bar)))

    got = balance(both, q)

    expected = differences(lambda x: potential(both, x), q, STEPS)
    assert_allclose(got.gradient, expected, rtol=1e-8, atol=1e-5)


def test_definite_by_pivots():
    """Against the least eigenvalue, for matrices of all kinds."""
    rng = np.random.default_rng(0)
    A = rng.normal(size=(500, 7, 7))
    A = A @ np.swapaxes(A, -1, -2) - rng.uniform(0.0, 0.4, (500, 1, 1)) * np.eye(7)
    least = np.linalg.eigvalsh(A)[:, 0]

    assert 50 < np.count_nonzero(least > 0.0) < 450
    assert np.array_equal(definite(A), least > 0.0)
