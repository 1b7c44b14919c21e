"""A bar off the arm's axis, worked by lever and drop link."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from constraints import about, bump_turn, distance, follow
from layouts import TRAVEL, lever_and_link, lever_points, trailing
from splinewise.core.geometry import Vec
from splinewise.core.jet import value
from splinewise.core.linkages import PlanarArm, locking_angle, solve, travel
from splinewise.core.linkages.lever_and_link import LeverAndLink, LeverPoints
from splinewise.errors import QuantityError


def slow_twist(p, q):
    """Lever angles that keep the link's length, found by root finding."""
    bar = q.bar_arm_end - q.bar_anchor_end
    bar = bar / np.linalg.norm(bar)

    def equations(x, angle):
        turned = bump_turn(p.lower_front, p.lower_rear, p.lower_ball, angle)
        held = about(p.lower_rear, turned, q.link_arm)
        lever = Rotation.from_rotvec(bar * x[0])
        end = about(q.bar_anchor_end, lever, q.lever_end)
        return [distance(end, held) - distance(q.lever_end, q.link_arm)]

    found = follow(equations, 1)[:, 0]
    return found * np.sign(found[-1])


@pytest.mark.independent
@pytest.mark.parametrize(
    "stirred", [range(4), pytest.param(range(4, 54), marks=pytest.mark.slow)]
)
def test_twist_against_scipy_on_the_constraint(stirred):
    """Random levers over the travel, to 1e-9 rad."""
    for seed in stirred:
        (p, q), linkage = lever_and_link(np.random.default_rng(seed))

        twist = linkage.pose(TRAVEL).twist

        assert_allclose(twist, slow_twist(p, q), atol=1e-9, err_msg=str(seed))


def test_the_wheel_goes_as_without_the_lever():
    """Only the twist is another."""
    _, linkage = lever_and_link()

    ours, inside = linkage.pose(TRAVEL), linkage.linkage.pose(TRAVEL)

    for name in ("contact", "wheel", "spindle"):
        assert_allclose(getattr(ours, name).array, getattr(inside, name).array)
    assert_allclose(ours.damper, inside.damper)
    assert linkage.arm is linkage.linkage.arm
    assert linkage.outboard == 1.0


def planar(pivot_to_joint, lever, link, apart, arm_angle, lever_angle):
    """A drop link in one plane: planar arm about x, bar beside it; angles drawn."""
    y, z = np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0])

    def ray(angle):
        return np.cos(angle) * y + np.sin(angle) * z

    arm = PlanarArm(1.0, 0.5, arm_angle, contact=Vec(*np.zeros(3)))
    foot = arm.arm.foot.array
    held = foot + pivot_to_joint * ray(arm_angle)
    bar = held + link * ray(apart)
    axis = bar - lever * ray(lever_angle)
    ahead = np.array([1.0, 0.0, 0.0])
    return LeverAndLink.build(
        arm,
        LeverPoints(
            bar_arm_end=axis, bar_anchor_end=axis - ahead, lever_end=bar, link_arm=held
        ),
    )


def test_a_parallelogram_turns_the_bar_as_the_arm():
    """Equal parallel arms and a link between them: the twist is the arm angle."""
    linkage = planar(0.3, 0.3, 0.25, 1.4, 0.1, 0.1)
    angles = np.linspace(-0.9, 0.9, 19)

    assert_allclose(linkage.pose(angles).twist, angles, atol=1e-12)


def test_the_lever_locks_in_line_with_its_link():
    """A plane drop link and lever in one line are as long as both together.

    With the arm's joint at a from its pivot and the bar's axis at g, the triangle of
    a, g and link + lever closes at one angle between a and g (own derivation).
    """
    a, lever, link = 0.30, 0.12, 0.20
    linkage = planar(a, lever, link, 1.5, 0.0, 0.3)
    held = np.array([a, 0.0])
    bar = (
        held
        + link * np.array([np.cos(1.5), np.sin(1.5)])
        - lever * np.array([np.cos(0.3), np.sin(0.3)])
    )
    g = np.hypot(*bar)
    between = np.arccos((a * a + g * g - (lever + link) ** 2) / (2 * a * g))
    in_line = np.arctan2(bar[1], bar[0]) - between

    assert_allclose(locking_angle(linkage, -1.0), in_line, atol=1e-9)
    out = solve(linkage, in_line - 1e-6)
    assert np.isnan(value(out.twist))
    assert np.isnan(value(out.contact.z))


def test_a_twist_that_cannot_be_has_no_arm_angle():
    """Past the lever's dead centre and out of the link's reach: NaN.

    The dead centre is where bump locks; the neighbours keep their numbers.
    """
    linkage = lever_and_link()[1]
    lock = locking_angle(linkage, 1.0)
    last = linkage.pose(lock - 1e-12).twist

    found = linkage.angle_at(np.array([0.1, last - 0.1, last + 0.1, 3.0, -3.0]))

    assert_allclose(linkage.pose(found[:2]).twist, [0.1, last - 0.1])
    assert np.isnan(found[2:]).all()


def test_a_lever_on_a_trailing_arm():
    """Any layout may be wrapped, and keeps what it does not know unknown."""
    _, inside = trailing()
    linkage = LeverAndLink.build(
        inside,
        LeverPoints(
            bar_arm_end=np.array([0.3, 0.4, 0.45]),
            bar_anchor_end=np.array([0.3, -0.4, 0.45]),
            lever_end=np.array([0.2, 0.45, 0.44]),
            link_arm=np.array([0.19, 0.46, 0.29]),
        ),
    )

    out = travel(linkage, TRAVEL)

    assert out.caster is None
    assert np.all(out.motion_ratio > 0.0)
    assert_allclose(linkage.angle_at(out.twist), TRAVEL, atol=1e-12)


def test_a_bar_of_no_length_is_refused():
    """Nothing tells which way it lies."""
    q = lever_points()
    inside = lever_and_link()[1].linkage

    with pytest.raises(QuantityError, match="apart from bar_arm_end"):
        LeverAndLink.build(inside, replace(q, bar_anchor_end=q.bar_arm_end))


def test_a_link_that_points_at_the_bar_is_refused():
    """Nothing tells which way the lever will go."""
    q = lever_points()
    inside = lever_and_link()[1].linkage
    on_the_way = q.bar_arm_end + 0.4 * (q.link_arm - q.bar_arm_end)

    with pytest.raises(QuantityError, match="drop link on the lever"):
        LeverAndLink.build(inside, replace(q, lever_end=on_the_way))
