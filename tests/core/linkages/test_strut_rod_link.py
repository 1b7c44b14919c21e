"""Single transverse link with a strut rod: the whole corner, and the bar's twist."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import brentq, minimize_scalar
from scipy.spatial.transform import Rotation

from constraints import about, bump_turn, contact, distance, follow
from layouts import TRAVEL, strut_rod
from splinewise.core.arm import Arm
from splinewise.core.geometry import vec
from splinewise.core.jet import value
from splinewise.core.linkages import (
    DoubleWishbone,
    WishbonePoints,
    locking_angle,
    solve,
)
from splinewise.core.linkages.carried import alignment, arm_turn, carried_twist
from splinewise.core.linkages.strut_rod_link import StrutRodLink
from splinewise.errors import QuantityError

ANGLES = np.linspace(-1.5, 1.5, 31)


def slow_pose(p, rack=0.0):
    """Contact points over the travel from joints and lengths alone."""
    outward = p.spindle / np.linalg.norm(p.spindle)

    def parts(x, angle):
        turned = bump_turn(p.strut_rod_body, p.link_inner, p.lower_ball, angle)
        upper = bump_turn(p.upper_front, p.upper_rear, p.upper_ball, x[0])
        low = about(p.link_inner, turned, p.lower_ball)
        high = about(p.upper_rear, upper, p.upper_ball)
        return low, high, Rotation.from_rotvec(x[1:])

    def equations(x, angle):
        low, high, upright = parts(x, angle)
        outer = low + upright.apply(p.rod_outer - p.lower_ball)
        inner = p.rod_inner + np.array([0.0, rack, 0.0])
        return np.append(
            low + upright.apply(p.upper_ball - p.lower_ball) - high,
            distance(outer, inner) - distance(p.rod_outer, p.rod_inner),
        )

    places = []
    for x, angle in zip(follow(equations, 4), TRAVEL, strict=True):
        low, _, upright = parts(x, angle)
        wheel = low + upright.apply(p.wheel_centre - p.lower_ball)
        places.append(contact(wheel, upright.apply(outward), p.tyre_radius))
    return np.array(places)


def slow_twist(p, angle):
    """Twist left in the bar's end once the shortest swing of its axis is undone."""
    bar = p.bar_arm_end - p.bar_anchor_end
    bar = bar / np.linalg.norm(bar)
    end = bump_turn(p.strut_rod_body, p.link_inner, p.lower_ball, angle)
    leaned = end.apply(bar)
    normal = np.cross(bar, leaned)
    sine = np.linalg.norm(normal)
    swing = Rotation.from_rotvec(
        normal / max(sine, 1e-300) * np.arctan2(sine, bar @ leaned)
    )
    left = (swing.inv() * end).as_rotvec()
    assert_allclose(np.cross(left, bar), 0.0, atol=1e-12)
    return left @ bar


@pytest.mark.independent
@pytest.mark.parametrize(
    "stirred", [range(4), pytest.param(range(4, 54), marks=pytest.mark.slow)]
)
def test_contact_point_against_scipy_on_the_constraints(stirred):
    """Random corners over the travel, to a millionth of a millimetre."""
    for seed in stirred:
        p, linkage = strut_rod(np.random.default_rng(seed))

        ours = linkage.pose(TRAVEL).contact.array

        assert_allclose(ours, slow_pose(p), atol=1e-9, err_msg=str(seed))


@pytest.mark.independent
def test_contact_point_with_the_rack_moved():
    """The same with the inner track-rod joint 8 mm to the left."""
    p, linkage = strut_rod(np.random.default_rng(7))
    # The root finder starts from straight ahead: lead it there in one step.
    ours = linkage.pose(TRAVEL, rack=0.008).contact.array

    assert_allclose(ours, slow_pose(p, rack=0.008), atol=1e-9)


@pytest.mark.independent
def test_twist_is_what_is_left_of_the_turn_when_the_bar_has_leaned():
    """Swing and twist taken apart by SciPy's rotations."""
    for seed in range(10):
        p, linkage = strut_rod(np.random.default_rng(seed))
        twist = linkage.pose(TRAVEL).twist
        slow = np.array([slow_twist(p, a) for a in TRAVEL])

        # The bar is given from anchor to arm end, which may be against bump.
        assert_allclose(twist, slow * np.sign(slow[-1]), atol=1e-12)
        assert not np.allclose(twist, TRAVEL, atol=1e-4)


@pytest.mark.independent
def test_a_chain_of_universal_joints_twists_as_much():
    """A bar cut into 400 short pieces, joined so that each leans but does not twist.

    One end is held, the other held in the arm: the bar bends in an arc from its own
    direction to the leaned one, and each joint turns about an axis square to the bar.
    """
    p, linkage = strut_rod()
    bar = p.bar_arm_end - p.bar_anchor_end
    bar = bar / np.linalg.norm(bar)
    angle = 0.4
    end = bump_turn(p.strut_rod_body, p.link_inner, p.lower_ball, angle)
    leaned = end.apply(bar)
    pieces = 400
    ways = np.array(
        [(1 - t) * bar + t * leaned for t in np.linspace(0.0, 1.0, pieces + 1)]
    )
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    chain = Rotation.identity()
    for before, after in pairwise(ways):
        chain = Rotation.from_rotvec(np.cross(before, after)) * chain
    left = (chain.inv() * end).as_rotvec() @ bar

    # Each short joint is turned by its sine, not its angle: that is the tolerance.
    assert_allclose(linkage.pose(angle).twist, abs(left), atol=1e-6)


def test_the_wheel_goes_as_on_the_wishbone_with_these_pivots():
    """Only the twist is another."""
    p, linkage = strut_rod()
    shared = {
        n: getattr(p, n) for n in WishbonePoints.__dataclass_fields__ if hasattr(p, n)
    }
    plain = DoubleWishbone.build(
        WishbonePoints(lower_front=p.strut_rod_body, lower_rear=p.link_inner, **shared),
        outboard=1.0,
    )

    ours, same = linkage.pose(TRAVEL), plain.pose(TRAVEL)

    assert_allclose(ours.wheel.array, same.wheel.array)
    assert_allclose(ours.damper, same.damper)
    assert np.all(np.abs(ours.twist) <= np.abs(same.twist))


def test_a_damper_on_the_upper_arm():
    """Its bolt turns with that arm: by the law of cosines in that arm's own plane."""
    p = strut_rod()[0]
    linkage = StrutRodLink.build(p, outboard=1.0, damper_on="upper")
    axis = (p.upper_front - p.upper_rear) / distance(p.upper_front, p.upper_rear)
    # How far the upper ball joint has turned tells how far the bolt has.
    ball = linkage.pose(0.2).steering[1].array

    def across(point):
        v = point - p.upper_rear
        return v - axis * (v @ axis)

    now, then = across(ball), across(p.upper_ball)
    turned = np.arctan2(np.cross(then, now) @ axis, then @ now)
    bolt = about(p.upper_rear, Rotation.from_rotvec(axis * turned), p.damper_arm)

    assert_allclose(linkage.pose(0.2).damper, distance(bolt, p.damper_body))


def test_a_bar_on_the_axis_of_the_link_turns_with_it():
    """With the bar through both bushes the twist is the arm angle."""
    p, _ = strut_rod()
    on_axis = replace(p, bar_arm_end=p.strut_rod_body, bar_anchor_end=p.link_inner)
    linkage = StrutRodLink.build(on_axis, outboard=1.0)

    assert_allclose(linkage.pose(TRAVEL).twist, TRAVEL, atol=1e-12)


def test_twist_agrees_with_a_link_looked_at_along_the_bar():
    """To the third order, for a link that lies across both axes (own derivation).

    Seen along the bar such a link turns by atan2(c sin θ, cos θ), with c the cosine
    between the axes; it leaves c (1 − c²) θ³/4 between the two.
    """
    c = np.cos(np.radians([5.0, 10.0, 15.0, 20.0]))[:, None]
    theta = np.array([-0.1, -0.05, 0.05, 0.1])

    seen = np.arctan2(c * np.sin(theta), np.cos(theta))
    gap = seen - carried_twist(c, theta)

    assert_allclose(gap, c * (1 - c * c) * theta**3 / 4, rtol=0.01)


def test_twist_turns_back():
    """`arm_turn` undoes `carried_twist`, for any alignment and beyond a right angle."""
    aligned = np.array([[0.2], [0.9], [0.98], [1.0]])

    again = arm_turn(aligned, carried_twist(aligned, ANGLES))

    assert_allclose(again - ANGLES, 0.0, atol=1e-14)


@pytest.mark.independent
def test_the_link_locks_where_the_upper_ball_joint_is_out_of_reach():
    """In droop: the arm angle at which the upper arm's circle is an upright away."""
    # A track rod beside the link does not run out of reach before the upper arm.
    p = replace(
        strut_rod()[0],
        rod_inner=np.array([-0.11, 0.234, 0.243]),
        rod_outer=np.array([-0.115, 0.575, 0.21]),
    )
    linkage = StrutRodLink.build(p, outboard=1.0)
    upright = distance(p.upper_ball, p.lower_ball)

    def too_far(angle):
        turned = bump_turn(p.strut_rod_body, p.link_inner, p.lower_ball, angle)
        low = about(p.link_inner, turned, p.lower_ball)

        def apart(phi):
            upper = bump_turn(p.upper_front, p.upper_rear, p.upper_ball, phi)
            return distance(about(p.upper_rear, upper, p.upper_ball), low)

        nearest = minimize_scalar(
            apart, bounds=(-2.5, 1.0), method="bounded", options={"xatol": 1e-12}
        ).fun
        return nearest - upright

    slow = brentq(too_far, -0.9, -0.3, xtol=1e-12)

    z = solve(linkage, slow + np.array([1e-9, -1e-9])).contact.z
    assert np.isfinite(value(z)).tolist() == [True, False]
    # The wheel stops going down a little earlier.
    h = 1e-4
    steps = np.array([-h, h])
    over = brentq(lambda a: np.diff(linkage.pose(a + steps).contact.z)[0], -0.61, -0.5)
    assert slow < locking_angle(linkage, -1.0)
    assert_allclose(locking_angle(linkage, -1.0), over, atol=1e-6)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"bar_anchor_end": np.array([0.0, 0.23, 0.24])}, "apart from bar_arm_end"),
        ({"strut_rod_body": np.array([0.0, 0.23, 0.24])}, "pivots"),
    ],
)
def test_points_that_make_no_linkage_are_refused(change, words):
    """A bar or an axis of no length."""
    with pytest.raises(QuantityError, match=words):
        StrutRodLink.build(replace(strut_rod()[0], **change), outboard=1.0)


def test_a_bar_square_to_the_arm_is_refused():
    """It would not be twisted at all."""
    arm = Arm.between(
        *(vec(np.array(v, float)) for v in ([1, 0, 0], [0, 0, 0], [0, 1, 0]))
    )

    with pytest.raises(QuantityError, match="not square to the arm's axis"):
        alignment(arm, vec(np.array([0.0, 1, 0])), vec(np.array([0.0, 0, 0])))
