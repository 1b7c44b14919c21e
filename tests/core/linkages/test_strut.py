"""Sliding strut against its constraints, a plane figure and its lock."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation

from constraints import about, bump_turn, contact, distance, follow
from layouts import TRAVEL, strut
from splinewise.core.linkages import locking_angle, solve, travel
from splinewise.core.linkages.strut import Strut
from splinewise.errors import QuantityError


def slow_pose(p, rack=0.0):
    """Contact points and strut lengths from the arm, the line and the rod alone."""
    outward = p.spindle / np.linalg.norm(p.spindle)
    line = p.strut_top - p.strut_low
    length = np.linalg.norm(line)

    def low_ball(angle):
        turned = bump_turn(p.lower_front, p.lower_rear, p.lower_ball, angle)
        return about(p.lower_rear, turned, p.lower_ball)

    def equations(x, angle):
        ball, upright = low_ball(angle), Rotation.from_rotvec(x[:3])
        outer = ball + upright.apply(p.rod_outer - p.lower_ball)
        low = ball + upright.apply(p.strut_low - p.lower_ball)
        top = low + upright.apply(line) * (1.0 + x[3])
        inner = p.rod_inner + np.array([0.0, rack, 0.0])
        return np.append(
            top - p.strut_top,
            distance(outer, inner) - distance(p.rod_outer, p.rod_inner),
        )

    places, lengths = [], []
    for x, angle in zip(follow(equations, 4), TRAVEL, strict=True):
        upright = Rotation.from_rotvec(x[:3])
        wheel = low_ball(angle) + upright.apply(p.wheel_centre - p.lower_ball)
        places.append(contact(wheel, upright.apply(outward), p.tyre_radius))
        lengths.append(length * (1.0 + x[3]))
    return np.array(places), np.array(lengths)


@pytest.mark.independent
@pytest.mark.parametrize(
    "stirred", [range(4), pytest.param(range(4, 54), marks=pytest.mark.slow)]
)
def test_contact_point_and_strut_against_scipy_on_the_constraints(stirred):
    """Random corners, some with the strut well off the ball joint."""
    for seed in stirred:
        p, linkage = strut(np.random.default_rng(seed))
        places, lengths = slow_pose(p)

        pose = linkage.pose(TRAVEL)

        assert_allclose(pose.contact.array, places, atol=1e-9, err_msg=str(seed))
        assert_allclose(pose.damper, lengths, atol=1e-9, err_msg=str(seed))


@pytest.mark.independent
def test_contact_point_with_the_rack_moved():
    """The same with the inner track-rod joint 8 mm to the left."""
    p, linkage = strut(np.random.default_rng(7))

    places, _ = slow_pose(p, rack=0.008)

    assert_allclose(linkage.pose(TRAVEL, rack=0.008).contact.array, places, atol=1e-9)


TOP, BALL = np.array([0.0, 0.55, 0.80]), np.array([0.0, 0.60, 0.20])


def plane_strut(offset):
    """A strut that passes the ball joint `offset` inboard, all in one front plane.

    The track rod is as long as the arm and runs beside it, so that it never steers.
    """
    down = (BALL - TOP) / distance(BALL, TOP)
    inboard = np.cross(down, [1.0, 0.0, 0.0])
    lean = np.arcsin(offset / distance(BALL, TOP))
    return Strut.build(
        replace(
            strut()[0],
            lower_front=np.array([0.1, 0.25, 0.22]),
            lower_rear=np.array([-0.1, 0.25, 0.22]),
            lower_ball=BALL,
            strut_top=TOP,
            strut_low=TOP + 0.4 * (down * np.cos(lean) + inboard * np.sin(lean)),
            rod_inner=np.array([-0.15, 0.25, 0.22]),
            rod_outer=BALL - [0.15, 0.0, 0.0],
            wheel_centre=np.array([0.0, 0.66, 0.28]),
            spindle=np.array([0.0, 1.0, 0.0]),
        ),
        outboard=1.0,
    )


@pytest.mark.parametrize("offset", [0.0, 0.05, -0.08])
def test_a_plane_strut_leans_as_its_triangle(offset):
    """Camber is the turn of the strut, which leans asin(offset/distance) off a line.

    That line runs from the ball joint, on the arm's circle, to the top mount (own
    derivation, in the plane).
    """
    linkage = plane_strut(offset)
    pivot = np.array([0.25, 0.22])
    arm = BALL[1:] - pivot

    def lean(angle):
        c, s = np.cos(angle), np.sin(angle)
        at = pivot + np.array([c * arm[0] - s * arm[1], s * arm[0] + c * arm[1]])
        gap = TOP[1:] - at
        return np.arctan2(-gap[0], gap[1]) - np.arcsin(offset / np.hypot(*gap))

    wanted = np.array([lean(0.0) - lean(a) for a in TRAVEL])

    out = travel(linkage, TRAVEL)

    assert_allclose(out.camber, wanted, atol=1e-12)
    assert_allclose(out.toe, 0.0, atol=1e-12)


@pytest.mark.independent
def test_the_strut_locks_where_the_four_joints_fall_flat():
    """Bump ends where ball joint, top mount and both rod joints lie in one plane.

    There the volume of their tetrahedron, from its six lengths by the determinant of
    Cayley and Menger, comes down to nothing.
    """
    p, _ = strut()
    # A short, high rod runs out of reach before the wheel stops rising.
    p = replace(p, rod_inner=np.array([-0.11, 0.43, 0.42]))
    linkage = Strut.build(p, outboard=1.0)
    line = (p.strut_top - p.strut_low) / distance(p.strut_top, p.strut_low)
    steer = p.rod_outer - p.lower_ball
    foot = p.strut_low + line * ((p.lower_ball - p.strut_low) @ line)

    def volume(angle):
        turned = bump_turn(p.lower_front, p.lower_rear, p.lower_ball, angle)
        ball = about(p.lower_rear, turned, p.lower_ball)
        far = distance(ball, p.strut_top)
        slid = np.sqrt(far**2 - distance(foot, p.lower_ball) ** 2)
        outer_top = distance(foot + slid * line - p.lower_ball, steer)
        d = np.zeros((5, 5))
        d[0, 1:] = 1.0
        d[1, 2], d[1, 3] = far**2, distance(ball, p.rod_inner) ** 2
        d[1, 4], d[2, 3] = steer @ steer, distance(p.strut_top, p.rod_inner) ** 2
        d[2, 4] = outer_top**2
        d[3, 4] = distance(p.rod_outer, p.rod_inner) ** 2
        return np.linalg.det(d + d.T)

    for direction in (1.0, -1.0):
        lock = locking_angle(linkage, direction)
        gone = solve(linkage, lock + 1e-7 * direction).contact.z
        if np.isnan(gone.v):
            slow = brentq(volume, lock - 0.05 * direction, lock + 0.05 * direction)
            assert_allclose(lock, slow, atol=1e-9)
            break
    else:
        pytest.fail("the rod never locked")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"strut_low": np.array([-0.045, 0.5, 0.79])}, "apart from strut_top"),
        ({"rod_outer": np.array([-0.020, 0.5375, 0.4975])}, "off the plane"),
        ({"tyre_radius": -0.3}, "tyre_radius must be positive"),
    ],
)
def test_points_that_make_no_linkage_are_refused(change, words):
    """A strut of no length, a rod that lies on the steering axis, no tyre."""
    with pytest.raises(QuantityError, match=words):
        Strut.build(replace(strut()[0], **change), outboard=1.0)


@pytest.mark.parametrize("down", [0.0, -0.2])
def test_a_strut_that_does_not_stand_up_is_refused(down):
    """Square to the line from the ball joint to the top mount, or upside down."""
    p = strut()[0]
    line = p.lower_ball - p.strut_top
    low = p.strut_top + np.cross(line, [1.0, 0.0, 0.0]) + down * line

    with pytest.raises(QuantityError, match="up the strut from the ball joint"):
        Strut.build(replace(p, strut_low=low), outboard=1.0)
