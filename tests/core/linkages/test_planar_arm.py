"""A plain arm known by tape: its end runs round a circle, no more is known."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal

from splinewise.core.arm import Span
from splinewise.core.geometry import turn, vec
from splinewise.core.jet import curvature, slope, value
from splinewise.core.linkages import PlanarArm, locking_angle, solve, travel
from splinewise.errors import QuantityError

lengths = st.floats(0.1, 1.0)
slopes = st.floats(-0.7, 0.7)
angles = st.floats(-0.7, 0.7)
sides = st.sampled_from([1.0, -1.0])
CONTACT = vec([0.1, 0.6, -0.02])


@given(lengths, slopes, angles, sides, st.booleans())
def test_the_wheel_follows_the_arms_end(length, drawn, angle, outboard, across):
    """At a ratio of one the contact point is a point of the arm."""
    arm = PlanarArm(outboard, length, drawn, contact=CONTACT, across=across)
    there = turn(angle)

    pose = arm.pose(angle)

    moved = arm.arm.path(CONTACT).at(there.sine, there.cosine)
    assert_allclose(pose.contact.array, moved.array, atol=1e-14)
    assert_allclose(arm.pose(0.0).contact.array, CONTACT.array, atol=1e-15)


@given(lengths, slopes, angles, st.floats(0.5, 2.0))
def test_rise_is_the_arms_sine(length, drawn, angle, ratio):
    """Rise, slope and curvature from the sine of the arm's angle above level."""
    z = solve(PlanarArm(1.0, length, drawn, ratio), angle).contact.z

    reach = ratio * length
    assert_allclose(
        value(z), reach * (np.sin(drawn + angle) - np.sin(drawn)), atol=1e-15
    )
    assert_allclose(slope(z), reach * np.cos(drawn + angle), rtol=1e-12)
    assert_allclose(curvature(z), -reach * np.sin(drawn + angle), atol=1e-12)


@given(lengths, slopes, angles)
def test_left_and_right_swing_outward_alike(length, drawn, angle):
    """A bar along the car: the track changes by as much on either side."""
    left, right = (travel(PlanarArm(s, length, drawn), angle) for s in (1.0, -1.0))

    assert_allclose(left.track_change, right.track_change, atol=1e-15)
    assert_allclose(left.contact * [1, -1, 1], right.contact, atol=1e-15)
    swing = length * (np.cos(drawn + angle) - np.cos(drawn))
    assert_allclose(left.track_change, swing, atol=1e-15)


def test_a_trailing_arm_moves_its_wheel_forward_as_it_rises_above_level():
    """It hangs behind its axis, so that swinging up draws it in."""
    arm = PlanarArm(1.0, 0.4, 0.0, across=True)

    out = travel(arm, 0.3)

    assert out.contact[0] > 0.0
    assert out.contact[1] == 0.0
    assert out.track_change == 0.0
    assert arm.arm.foot.array[0] == 0.4


def test_what_a_tape_does_not_tell_is_none():
    """No wheel angles, no steering, no roll centre, no damper."""
    out = travel(PlanarArm(1.0, 0.4, 0.0), [0.0, 0.1])

    for name in (
        "camber", "toe", "caster", "inclination", "scrub_radius", "trail",
        "roll_centre_height", "damper", "damper_ratio",
    ):  # fmt: skip
        assert getattr(out, name) is None
    assert_array_equal(out.twist, [0.0, 0.1])


def test_a_damper_is_a_span():
    """Its length and its share of the wheel's rise."""
    span = Span.of_lengths(0.35, 0.28, 0.4)
    arm = PlanarArm(1.0, 0.4, 0.05, damper_span=span)

    out = travel(arm, [-0.1, 0.2])

    assert_allclose(out.damper, span.length(np.array([-0.1, 0.2])), rtol=1e-15)
    per_rise = -span.slope([-0.1, 0.2]) / (0.4 * np.cos([-0.05, 0.25]))
    assert_allclose(out.damper_ratio, per_rise, rtol=1e-12)


def test_it_goes_over_centre_upright():
    """Bump lifts the wheel until the arm stands on end."""
    arm = PlanarArm(1.0, 0.4, 0.3)

    assert_allclose(locking_angle(arm, 1.0), np.pi / 2 - 0.3, atol=1e-12)
    assert locking_angle(arm, -1.0, farthest=1.0) == -1.0


def test_many_arms_at_once():
    """Three lengths down, two angles across."""
    arm = PlanarArm(1.0, np.array([[0.3], [0.4], [0.5]]), 0.1, np.array([1.0, 1.2]))

    out = travel(arm, [0.1, 0.2])

    assert out.rise.shape == (3, 2)
    assert out.rise[2, 1] == travel(PlanarArm(1.0, 0.5, 0.1, 1.2), 0.2).rise


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((0.0, 0.0, 1.0), "arm_length must be positive; got 0 m"),
        ((-0.4, 0.0, 1.0), "arm_length must be positive; got -0.4 m"),
        ((0.4, np.nan, 1.0), "drawn_slope must be finite; got nan rad"),
        ((0.4, 1.6, 1.0), "drawn_slope must be short of upright; got 1.6 rad"),
        ((0.4, -1.6, 1.0), "drawn_slope must be short of upright; got -1.6 rad"),
        ((0.4, 0.0, 0.0), "ratio must be positive; got 0 1"),
    ],
)
def test_arms_that_cannot_be_are_refused(arguments, message):
    with pytest.raises(QuantityError, match=message):
        PlanarArm(1.0, *arguments)
