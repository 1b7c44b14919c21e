"""Wheel angles and steering offsets: signs as in ISO 8855, one by one.

Source
------
ISO 8855:2011, 7.1.6 to 7.1.8 (an extract was read): toe-in is positive.  The other
signs are common practice: camber positive top out, caster positive top rearward,
inclination positive top inboard, scrub radius and trail positive if the steering axis
meets the ground inboard and ahead; the standard's wording of these was not seen.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from splinewise.core.geometry import Vec, vec
from splinewise.core.jet import seed
from splinewise.core.linkages.outputs import (
    camber,
    caster,
    inclination,
    roll_centre_height,
    scrub_radius,
    toe,
    trail,
)

sides = pytest.mark.parametrize("side", [1.0, -1.0])
angles = st.floats(-0.5, 0.5)


def spindle(side, *, top_out=0.0, toe_in=0.0):
    """Return the outboard spindle of a wheel set up by turning it about two axes.

    Toe-in swings the wheel's front inward, so the outboard spindle's end forward;
    then the wheel leans about its own fore-and-aft line, and the spindle dips.
    """
    flat = np.array([np.sin(toe_in), np.cos(toe_in) * side, 0.0])
    return vec(flat * np.cos(top_out) + np.array([0.0, 0.0, -np.sin(top_out)]))


@sides
@given(angles, angles)
def test_camber_and_toe_are_what_was_set(side, top_out, toe_in):
    s = spindle(side, top_out=top_out, toe_in=toe_in)

    assert_allclose(camber(s), top_out, atol=1e-15)
    assert_allclose(toe(s, side), toe_in, atol=1e-15)


@sides
def test_a_wheel_with_its_front_edge_inward_toes_in(side):
    """The front edge of the rim, 0.2 m ahead of the centre, lies inboard of it."""
    s = spindle(side, toe_in=0.05)
    front = np.cross(s.array, [0.0, 0.0, 0.2])
    front = front * np.sign(front[0])
    assert front[1] * side < 0.0
    assert toe(s, side) > 0.0


@sides
def test_a_wheel_with_its_top_outward_has_positive_camber(side):
    s = spindle(side, top_out=0.05)
    top = np.array([0.0, 0.0, 1.0]) - s.z * s.array
    assert top[1] * side > 0.0
    assert camber(s) > 0.0


@sides
def test_steering_axis(side):
    """Top rearward by 3 in 10, inboard by 1 in 10."""
    low = vec([0.0, 0.6 * side, 0.2])
    high = vec([-0.09, (0.6 - 0.03) * side, 0.5])

    assert_allclose(caster((low, high)), np.arctan(0.3), rtol=1e-12)
    assert_allclose(inclination((low, high), side), np.arctan(0.1), rtol=1e-12)
    # Down by 0.2 m more it meets the ground 0.06 m ahead and 0.02 m outboard of `low`.
    contact = vec([0.01, 0.65 * side, 0.0])
    assert_allclose(trail((low, high), contact), 0.06 - 0.01, rtol=1e-12)
    assert_allclose(scrub_radius((low, high), contact, side), 0.65 - 0.62, rtol=1e-12)


@sides
@given(angles, angles, st.floats(0.1, 0.6))
def test_offsets_follow_the_axis_down(side, rearward, inboard, height):
    """Through a point above the contact point: trail and scrub from the two angles."""
    low = np.array([0.0, 0.7 * side, height])
    lean = np.array([-np.tan(rearward), -np.tan(inboard) * side, 1.0])
    high = low + 0.3 * lean
    axis = (vec(low), vec(high))
    contact = vec([0.0, 0.7 * side, 0.0])

    assert_allclose(caster(axis), rearward, atol=1e-14)
    assert_allclose(inclination(axis, side), inboard, atol=1e-14)
    assert_allclose(trail(axis, contact), height * np.tan(rearward), atol=1e-14)
    offset = -height * np.tan(inboard)
    assert_allclose(scrub_radius(axis, contact, side), offset, atol=1e-14)


@sides
@given(st.floats(0.2, 2.0), st.floats(-0.2, 0.3))
def test_a_swing_axle_rolls_about_its_pivots_line(side, out, up):
    """A wheel that turns about a pivot at (0.3 out, h up): the roll centre lies where
    the line from the contact point through the pivot crosses the middle.
    """
    pivot = np.array([0.3, up])
    contact = np.array([0.3 + out, 0.0])
    turn = seed(0.0)
    arm = contact - pivot
    # Bump lifts the wheel: outboard points move up and, above the pivot, inward.
    y = (pivot[0] + arm[0] - turn * arm[1]) * side
    z = pivot[1] + arm[1] + turn * arm[0]

    got = roll_centre_height(Vec(np.zeros(()), y, z))

    assert_allclose(got, up * contact[0] / out, atol=1e-12)
