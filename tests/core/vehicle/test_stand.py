"""Vehicles at rest: what must hold for every one of them."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from layouts import LAYOUTS
from splinewise.core.corner import slack_for
from splinewise.core.linkages import PlanarArm
from splinewise.core.vehicle import Vehicle, balance, stand, why
from splinewise.core.vehicle import stand as stand_function
from splinewise.core.vehicle.batch import pick
from splinewise.core.vehicle.stand import BLOCK
from vehicles import car, changed_corner, mirrored_vehicle, vec, world

MANY = 60


@pytest.fixture(scope="module")
def cars():
    """Sixty cars that can be built, and where they stand."""
    vehicle = car(np.random.default_rng(20), MANY)
    return vehicle, stand(vehicle)


def test_the_loads_carry_the_weight_and_its_moments(cars):
    """Forces up, and their moments about both level axes, sum to nothing."""
    vehicle, found = cars
    rows = world(found, vehicle)
    weight = vehicle.mass * vehicle.gravity

    assert found.stands.all()
    assert_allclose(found.loads.sum(axis=-1), weight, rtol=1e-10)
    assert_allclose(np.sum(rows[..., 0], axis=-1) / weight, 0.0, atol=1e-10)
    for axis in (1, 2):
        moment = np.sum(rows[..., 0] * rows[..., axis], axis=-1)
        assert_allclose(moment / weight, 0.0, atol=1e-10)


def test_nothing_is_out_of_balance(cars):
    """At rest the forces are nought, and any push is pushed back."""
    vehicle, found = cars
    at = balance(vehicle, found.state)

    assert np.all(np.abs(at.gradient) < 1e-10 * 2e4)
    assert np.all(np.linalg.eigvalsh(at.hessian) > 0.0)


def test_each_corner_tells_what_it_does(cars):
    """Loads, rises, twists and torques are those of the state."""
    vehicle, found = cars
    for i, corner in enumerate(vehicle.corners):
        pose = corner.linkage.pose(found.arm_angles[:, i])
        drawn = corner.linkage.pose(0.0)
        twist = pose.twist - corner.spring.slack
        assert_allclose(found.rises[:, i], pose.contact.z - drawn.contact.z, atol=1e-12)
        assert_allclose(found.twists[:, i], twist, atol=1e-12)
        assert_allclose(found.torques[:, i], corner.spring.rate * twist, rtol=1e-12)
        sunk = corner.floor - found.attitude.height(pose.wheel) + corner.tyre_radius
        # Upright to within their camber: a bound, not an equality.
        assert_allclose(found.loads[:, i], corner.tyre_rate * sunk, rtol=0.03)


def test_a_batch_is_its_cars_one_by_one(cars):
    """Each car stands alone where it stands among many."""
    vehicle, found = cars
    for i in range(0, MANY, 10):
        alone = stand(pick(vehicle, np.array([i]), MANY))
        assert_allclose(alone.state[0], found.state[i], atol=1e-11)
        assert_allclose(alone.loads[0], found.loads[i], rtol=1e-9)


def test_one_car_has_no_leading_axis():
    """A single vehicle comes back as one, and a batch of one as a batch."""
    single, many = stand(car()), stand(car(count=1))

    assert single.state.shape == (7,)
    assert single.stands.shape == ()
    assert many.state.shape == (1, 7)
    assert_allclose(single.state, many.state[0], atol=1e-13)


def test_more_cars_than_a_block():
    """Blocks join without a seam."""
    vehicle = car(np.random.default_rng(2), BLOCK + 3)
    found = stand(vehicle)
    edge = np.arange(BLOCK - 2, BLOCK + 3)

    assert found.stands.all()
    few = stand(pick(vehicle, edge, BLOCK + 3))
    assert_allclose(found.state[edge], few.state, atol=1e-11)


def test_a_mirrored_car_mirrors(cars):
    """Left for right: same heights and pitch, opposite roll, loads swapped."""
    vehicle, _ = cars
    # The mirror knows no damper, so the springs on it go.
    for i in range(4):
        vehicle = changed_corner(vehicle, i, others=())
    here, there = stand(vehicle), stand(mirrored_vehicle(vehicle))

    assert here.stands.all()
    swap = [1, 0, 3, 2]
    sign = np.array([1, 1, -1, *[1] * 4])
    expected = sign * here.state[:, [0, 1, 2, 4, 3, 6, 5]]
    assert_allclose(there.state, expected, atol=1e-10)
    assert_allclose(there.loads, here.loads[:, swap], rtol=1e-8)


def test_raising_the_whole_floor_changes_nothing_else(cars):
    """Every tyre 0.3 m higher: the body 0.3 m higher, all else the same."""
    vehicle, found = cars
    raised = replace(
        vehicle,
        corners=tuple(replace(c, floor=c.floor + 0.3) for c in vehicle.corners),
    )
    got = stand(raised)

    expected = found.state + np.array([0.3, *[0.0] * 6])
    assert_allclose(got.state, expected, atol=1e-10)
    assert_allclose(got.loads, found.loads, rtol=1e-8)


def test_the_order_of_the_corners_does_not_matter(cars):
    """Corners named in another order give the same car."""
    vehicle, found = cars
    order = [2, 0, 3, 1]
    joined = tuple(
        replace(j, left=order.index(j.left), right=order.index(j.right))
        for j in vehicle.joined
    )
    corners = tuple(vehicle.corners[i] for i in order)
    got = stand(replace(vehicle, corners=corners, joined=joined))

    assert_allclose(got.state[:, :3], found.state[:, :3], atol=1e-10)
    assert_allclose(got.loads, found.loads[:, order], rtol=1e-8)


def test_stiff_tyres_hold_their_radius():
    """As the tyres stiffen, each lowest point comes to the floor, as 1 over the rate."""
    vehicle = car(np.random.default_rng(8))
    sunk = []
    for rate in (1e7, 1e8, 1e9):
        stiff = replace(
            vehicle, corners=tuple(replace(c, tyre_rate=rate) for c in vehicle.corners)
        )
        found = stand(stiff)
        assert found.stands
        sunk.append(found.loads / rate)
        load = found.loads

    assert np.all(sunk[2] < 1e-5)
    assert_allclose(sunk[1] * 1e8, load, rtol=1e-3)
    assert np.all(load > 0.0)


def test_cross_weight_is_antisymmetric():
    """Turning up one bar of an even car adds to one diagonal what its twin takes."""
    even = car(spread=0.0, bars=False)
    # The middle of every range is the same on both sides, save driver and tilt.
    even = replace(even, loads=())
    even = replace(even, body=replace(even.body, centre=vec([-1.2, 0.0, 0.55])))
    turned = []
    for i in (0, 1):
        spring = even.corners[i].spring
        moved = replace(spring, slack=spring.slack - 0.05)
        turned.append(stand(changed_corner(even, i, spring=moved)).loads)
    cross = [load[1] + load[2] - load[0] - load[3] for load in turned]

    assert stand(even).loads[0] == pytest.approx(stand(even).loads[1], rel=1e-9)
    assert abs(cross[0]) > 100.0
    assert cross[0] == pytest.approx(-cross[1], rel=1e-9)
    assert_allclose(turned[0], turned[1][[1, 0, 3, 2]], rtol=1e-9)


def test_a_hole_under_a_wheel_lifts_its_tyre():
    """The wheel hangs on its rebound stop, its tyre off the floor, the car stands."""
    vehicle = car()
    load = replace(vehicle.loads[0], mass=200.0, at=vec([-2.4, 0.5, 0.5]))
    vehicle = replace(vehicle, loads=(load,))
    found = stand(changed_corner(vehicle, 1, floor=-0.4))

    assert found.stands
    assert found.lifted.tolist() == [False, True, False, False]
    assert found.on_stop.tolist()[1] == -1
    assert found.loads[1] == 0.0


def test_a_heavy_load_puts_corners_on_their_bump_stops():
    """Three people and a boot full of tools over the rear axle."""
    vehicle = car()
    load = replace(vehicle.loads[0], mass=450.0, at=vec([-2.6, 0.0, 0.6]))
    found = stand(replace(vehicle, loads=(load,)))

    assert found.stands
    assert found.on_stop.tolist()[2:] == [1, 1]


def test_six_wheels_stand_as_well():
    """Another axle half way: nine unknowns, the same sums."""
    vehicle = car()
    middle = []
    for i, name in ((2, "middle-left"), (3, "middle-right")):
        corner = vehicle.corners[i]
        linkage = corner.linkage
        shift = vec([1.0, 0.0, 0.0])
        moved = replace(
            linkage,
            wheel=replace(linkage.wheel, centre=linkage.wheel.centre + shift),
        )
        middle.append(replace(corner, name=name, linkage=moved, others=()))
    hull = replace(
        vehicle,
        corners=(*vehicle.corners, *middle),
        body=replace(vehicle.body, mass=vehicle.body.mass * 1.5),
    )
    found = stand(hull)

    assert found.stands
    assert found.loads.shape == (6,)
    weight = hull.mass * hull.gravity
    assert found.loads.sum() == pytest.approx(float(weight), rel=1e-10)
    rows = world(found, hull)
    assert np.sum(rows[:, 0] * rows[:, 1]) / weight == pytest.approx(0.0, abs=1e-10)


@pytest.mark.parametrize("layout", [*LAYOUTS, "planar arm"])
def test_every_layout_carries_a_car(layout):
    """In front, on both sides; the loads carry the weight, and each side its own."""
    vehicle = car(np.random.default_rng(17))
    for i in (0, 1):
        corner = vehicle.corners[i]
        side = 1.0 if i == 0 else -1.0
        if layout == "planar arm":
            linkage = PlanarArm(side, 0.345, -0.1, contact=vec([0.0, 0.64 * side, 0.0]))
        else:
            _, linkage = LAYOUTS[layout](mirrored=i == 1)
        slack = slack_for(linkage, angle=0.0, rate=corner.spring.rate, load=2700.0)
        spring = replace(corner.spring, slack=slack)
        vehicle = changed_corner(vehicle, i, linkage=linkage, spring=spring, others=())

    found = stand(vehicle)

    assert found.stands, why(found, vehicle)
    weight = float(vehicle.mass * vehicle.gravity)
    assert found.loads.sum() == pytest.approx(weight, rel=1e-10)
    assert found.loads[:2].min() > 1500.0
    assert np.abs(balance(vehicle, found.state).gradient).max() < 1e-10 * weight


def test_a_start_near_the_rest_saves_steps(cars):
    """Letting a car down where it stands takes no step at all."""
    vehicle, found = cars
    again = stand(vehicle, start=found.state)

    assert again.steps.max() <= 1
    assert_allclose(again.state, found.state, atol=1e-11)


def test_newton_missing_the_rest_is_not_the_end():
    """Started from nonsense, each car still comes to the same rest."""
    vehicle = car(np.random.default_rng(3), 40)
    found = stand(vehicle)
    rng = np.random.default_rng(4)
    wild = rng.uniform(-1.2, 1.2, (40, 7)) * [0.5, 0.7, 0.7, 1, 1, 1, 1]

    got = stand(vehicle, start=wild)

    assert got.stands.all()
    assert got.steps.max() > 25
    assert_allclose(got.state, found.state, atol=1e-9)


def test_a_mixed_batch_tells_its_cars_apart():
    """Cars that stand and cars that do not, in one batch, as each alone."""
    vehicle = car(np.random.default_rng(5), 30)
    z = np.where(np.arange(30) % 3 == 0, 9.0, vehicle.body.centre.z)
    body = replace(vehicle.body, centre=replace(vehicle.body.centre, z=z))
    mixed = replace(vehicle, body=body)
    found, reasons = stand(mixed), why(stand(mixed), mixed)

    assert np.array_equal(found.stands, np.arange(30) % 3 != 0)
    assert [bool(r) for r in reasons] == (~found.stands).tolist()
    expected = stand(vehicle)
    assert_allclose(found.state[found.stands], expected.state[found.stands], atol=1e-10)


def test_the_package_offers_the_function():
    """`stand` is the verb, not the module."""
    assert callable(stand_function)
    assert isinstance(car(), Vehicle)


@pytest.mark.slow
def test_a_thousand_cars_that_can_be_built_stand():
    """Different in every number, hard points too; each at rest, none on its head."""
    vehicle = car(np.random.default_rng(1000), 1000)
    found = stand(vehicle)

    assert found.stands.all()
    at = balance(vehicle, found.state)
    weight = np.asarray(vehicle.mass * vehicle.gravity)
    assert np.max(np.abs(at.gradient) / weight[:, None]) < 1e-10
    assert np.max(np.abs(found.attitude.roll)) < np.radians(10)
    assert why(found, vehicle) == ((),) * 1000
