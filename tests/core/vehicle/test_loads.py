"""From scales to centres of gravity: laws, and what cannot be."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from splinewise.core.vehicle import Body, stand
from splinewise.core.vehicle.loads import (
    Centre,
    centre_of_loads,
    height_by_raised_axle,
    least_loads,
    shares,
    without,
)
from splinewise.errors import QuantityError, TaskError
from vehicles import Vec, car, world

X, Y = [0.0, 0.0, -2.4, -2.4], [0.7, -0.7, 0.65, -0.65]


def test_loads_balance_about_their_centre():
    """Weight and both moments."""
    rng = np.random.default_rng(1)
    F = rng.uniform(500.0, 5000.0, (50, 4))
    got = centre_of_loads(F, X, Y)

    assert_allclose(got.weight, F.sum(axis=-1))
    assert_allclose(np.sum(F * (np.array(X) - got.x[:, None]), axis=-1), 0.0, atol=1e-8)
    assert_allclose(np.sum(F * (np.array(Y) - got.y[:, None]), axis=-1), 0.0, atol=1e-8)


def test_taking_off_and_putting_back():
    """What is left and what was taken off make the whole again."""
    whole = Centre(*map(np.asarray, (12000.0, -1.1, 0.02, 0.5)))
    parts = [
        Centre(*map(np.asarray, p)) for p in ((600.0, 0, 0.6, 0.3), (500.0, -2, 0, 0.2))
    ]
    left = without(whole, parts)

    assert left.weight == pytest.approx(10900.0)
    for axis in ("x", "y", "z"):
        moment = sum(c.weight * getattr(c, axis) for c in (left, *parts))
        assert moment == pytest.approx(whole.weight * getattr(whole, axis))
    assert without(whole, [replace(parts[0], z=None)]).z is None
    with pytest.raises(QuantityError, match="more than what is taken off"):
        without(parts[0], [whole])


def test_a_car_weighed_is_the_car_that_was_built():
    """From its corner loads and unsprung masses the body's mass and centre come back.

    In level distances, as a tape along the floor gives them.
    """
    vehicle = replace(car(np.random.default_rng(3)), loads=())
    found = stand(vehicle)
    g = vehicle.gravity
    # Rows of the body, then of each corner's unsprung mass and of its tyre's load.
    rows = world(found, vehicle)
    hubs, tyres = rows[1::2], rows[2::2]
    assert_allclose(hubs[:, 0], [-c.unsprung * g for c in vehicle.corners])
    whole = centre_of_loads(found.loads, tyres[:, 1], tyres[:, 2])
    unsprung = [Centre(-hub[0], hub[1], hub[2]) for hub in hubs]
    got = without(whole, unsprung)

    assert got.weight == pytest.approx(float(vehicle.body.mass * g), rel=1e-9)
    assert got.x == pytest.approx(float(rows[0, 1]), abs=1e-9)
    assert got.y == pytest.approx(float(rows[0, 2]), abs=1e-9)
    body = Body(got.weight / g, Vec(got.x, got.y, np.asarray(0.55)))
    again = stand(replace(vehicle, body=body))
    assert again.loads.sum() == pytest.approx(float(found.loads.sum()), rel=1e-9)


@pytest.mark.parametrize("radii", [(0.3, 0.3), (0.28, 0.33)])
def test_the_lifted_axle_gives_back_the_height(radii):
    """A rigid body turned on its hubs, in the plane, by vectors."""
    l, b, h, W = 2.5, 1.15, 0.52, 12000.0
    for rise in (0.1, 0.4, 0.8):
        front, rear = np.array([l, radii[0]]), np.array([0.0, radii[1]])
        span = np.linalg.norm(front - rear)
        before = np.arctan2(*(front - rear)[::-1])
        after = np.arcsin((radii[0] + rise - radii[1]) / span)
        c, s = np.cos(after - before), np.sin(after - before)
        turn = np.array([[c, -s], [s, c]])
        hub, gravity = turn @ (front - rear), turn @ (np.array([b, h]) - rear)
        load = W * gravity[0] / hub[0]

        got = height_by_raised_axle(
            raised_load=load,
            weight=W,
            wheelbase=l,
            behind=b,
            rise=rise,
            raised_radius=radii[0],
            other_radius=radii[1],
        )

        assert got == pytest.approx(h, abs=1e-12)


def test_least_loads_carry_the_weight_and_no_cross():
    """Moments met; of all such loads the squares are least, so no diagonal is favoured."""
    centre = Centre(*map(np.asarray, (12000.0, -1.1, 0.05)))
    F = least_loads(centre, X, Y)
    back = centre_of_loads(F, X, Y)

    assert back.weight == pytest.approx(12000.0)
    assert back.x == pytest.approx(-1.1)
    assert back.y == pytest.approx(0.05)
    pattern = np.array([1.0, -1.0, -0.7 / 0.65, 0.7 / 0.65])
    assert F @ pattern == pytest.approx(0.0, abs=1e-9)
    with pytest.raises(QuantityError, match="over what the wheels span"):
        least_loads(centre, [0.0, -2.0], [0.5, 0.5])


def test_shares_of_four_loads():
    """Left, front, and the diagonal from right front to left rear."""
    got = shares([1.0, 2.0, 3.0, 4.0], left=(0, 2), front=(0, 1))

    assert got.left == pytest.approx(0.4)
    assert got.front == pytest.approx(0.3)
    assert got.cross == pytest.approx(0.5)
    many = shares(np.ones((3, 4)), left=(0, 2), front=(0, 1))
    assert many.cross.shape == (3,)


@pytest.mark.parametrize(
    ("call", "error"),
    [
        (lambda: centre_of_loads([-1.0, 2.0], [0, 1]), "loads must be not below 0"),
        (lambda: centre_of_loads([0.0, 0.0], [0, 1]), "sum of the loads"),
        (lambda: centre_of_loads([1.0, np.nan], [0, 1]), "loads must be finite"),
        (lambda: shares([0.0] * 4, left=(0,), front=(0,)), "sum of the loads"),
        (lambda: shares([-1.0] * 4, left=(0,), front=(0,)), "not below 0"),
    ],
)
def test_loads_that_cannot_be_are_refused(call, error):
    """By name."""
    with pytest.raises(QuantityError, match=error):
        call()


def test_corners_that_are_not_there_are_refused():
    """Counted from 0."""
    with pytest.raises(TaskError, match="There are 4 loads"):
        shares(np.ones(4), left=(0, 4), front=(1,))


def test_an_axle_cannot_be_raised_past_upright():
    """No more than the hubs lie apart."""
    with pytest.raises(QuantityError, match="rise must be less than the hubs"):
        height_by_raised_axle(
            raised_load=1.0,
            weight=2.0,
            wheelbase=2.0,
            behind=1.0,
            rise=2.0,
            raised_radius=0.3,
            other_radius=0.3,
        )
