"""What every layout shares: the tyre's lowest point, exact poses, where it locks."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from splinewise.core.geometry import Vec, vec
from splinewise.core.jet import curvature, seed, slope, sqrt, value
from splinewise.core.linkages import (
    DoubleWishbone,
    PlanarArm,
    Pose,
    contact_below,
    locking_angle,
    solve,
)
from splinewise.core.linkages.base import outward
from splinewise.errors import QuantityError
from wishbones import EXAMPLE

leans = st.floats(-0.6, 0.6)


@given(leans, leans, st.floats(0.2, 0.5))
def test_contact_is_the_lowest_of_the_tyres_circle(lean, steer, radius):
    """Against four thousand points of the circle, none of them lower."""
    s = np.array(
        [np.sin(steer) * np.cos(lean), np.cos(steer) * np.cos(lean), np.sin(lean)]
    )
    wheel = np.array([0.1, 0.6, 0.3])

    got = contact_below(vec(wheel), vec(s), radius).array

    one = np.cross(s, [1.0, 0.0, 0.0])
    one /= np.linalg.norm(one)
    two = np.cross(s, one)
    turn = np.linspace(0.0, 2 * np.pi, 4001)[:, None]
    circle = wheel + radius * (one * np.cos(turn) + two * np.sin(turn))
    assert np.all(circle[:, 2] >= got[2] - 1e-15)
    assert np.min(np.linalg.norm(circle - got, axis=1)) < 0.001 * radius
    assert_allclose(np.linalg.norm(got - wheel), radius, rtol=1e-12)
    assert_allclose((got - wheel) @ s, 0.0, atol=1e-14)


def test_an_upright_wheel_stands_below_its_centre():
    got = contact_below(vec([0.0, 0.7, 0.31]), vec([0.0, 1.0, 0.0]), 0.31)
    assert_allclose(got.array, [0.0, 0.7, 0.0], atol=1e-16)


def test_a_leaning_wheel_touches_further_out_at_negative_camber():
    """Top in, spindle's outer end up: the tyre's foot goes out."""
    camber = -0.1
    s = vec([0.0, np.cos(camber), -np.sin(camber)])
    got = contact_below(vec([0.0, 0.7, 0.3]), s, 0.3).array
    assert_allclose(got[1], 0.7 + 0.3 * np.sin(0.1), rtol=1e-12)


def test_solve_seeds_the_arm_angle():
    """Order one carries slopes, order two also curvatures; they agree."""
    left = DoubleWishbone.build(EXAMPLE, outboard=1.0)

    first, second = (solve(left, [0.0, 0.1], order=n) for n in (1, 2))

    assert_allclose(value(first.contact.z), value(second.contact.z), rtol=1e-15)
    assert_allclose(slope(first.contact.z), slope(second.contact.z), rtol=1e-14)
    assert curvature(second.contact.z).shape == (2,)
    with pytest.raises(ValueError, match="order=2"):
        curvature(first.contact.z)
    assert_allclose(slope(first.twist), 1.0)


@given(leans, leans, st.floats(0.1, 10.0), st.sampled_from([-1.0, 1.0]))
def test_outward_points_outboard(lean, steer, size, outboard):
    """Whichever way along the axle it was given, and however long."""
    direction = np.array([np.tan(steer), 1.0, np.tan(lean)]) * size

    for sense in (1.0, -1.0):
        got = outward(vec(sense * direction), outboard).array
        assert_allclose(np.linalg.norm(got), 1.0, rtol=1e-12)
        assert np.sign(got[1]) == outboard
        assert_allclose(np.cross(got, direction / size), 0.0, atol=1e-12)


@pytest.mark.parametrize(
    ("direction", "message"),
    [([0.0, 0.0, 0.0], "a direction"), ([1.0, 0.05, 0.0], "sideways")],
)
def test_a_spindle_that_does_not_point_sideways_is_refused(direction, message):
    with pytest.raises(QuantityError, match=f"spindle must be {message}"):
        outward(vec(direction), 1.0)


class Stub:
    """A linkage whose contact height is any function of the arm angle."""

    outboard = 1.0
    arm = None

    def __init__(self, height):
        self.height = height

    def pose(self, angle, *, rack=0.0):
        """Return a pose with no more than a contact point."""
        del rack
        nought = np.zeros(())
        return Pose(Vec(nought, nought, self.height(angle)), angle)


@pytest.mark.parametrize("limit", [0.05, 0.7654321, 1.5])
@pytest.mark.parametrize("direction", [1.0, -1.0])
def test_lock_where_the_pose_ends(limit, direction):
    """A root that runs out at a known angle, from the last pose inside it."""
    linkage = Stub(lambda angle: angle * sqrt(limit - direction * angle) * 1e-6 + angle)

    got = locking_angle(linkage, direction)

    assert_allclose(got, direction * limit, rtol=1e-12)
    with np.errstate(invalid="ignore"):
        assert np.isfinite(value(linkage.pose(seed(got)).contact.z))


@pytest.mark.parametrize("direction", [1.0, -1.0])
def test_lock_where_bump_no_longer_lifts(direction):
    """Height as 2θ − θ³/3·… turns at √2 either way."""
    linkage = Stub(lambda angle: 2.0 * angle - angle * angle * angle / 3.0)
    got = locking_angle(linkage, direction)
    assert_allclose(got, direction * np.sqrt(2.0), rtol=1e-12)


def test_no_lock_within_what_was_looked_at():
    arm = PlanarArm(1.0, 0.4, 0.0)
    assert locking_angle(arm, 1.0, farthest=1.2) == 1.2
    assert locking_angle(arm, -1.0, farthest=0.5) == -0.5


def test_what_cannot_even_be_drawn_is_locked_where_it_stands():
    assert locking_angle(Stub(lambda angle: -angle), 1.0) == 0.0
