"""The double A-arm of a book on planar multibody dynamics, put together.

Source
------
P. E. Nikravesh, *Planar Multibody Dynamics*, 2nd ed., CRC Press 2018, model "AA",
pp. 170-173 and 371-372.  Read in a public transcription of the book's models to
Python; the pages were not seen.

Lower pivot Q (0.20, 0.26), upper pivot O (0.32, 0.40), arms 0.42 and 0.26, joints on
the upright at (−0.07, −0.10) and (−0.10, 0.12) from its origin.  With the lower arm at
−0.0367 rad the assembled model has the upright at 0.0783 rad with its origin at
(0.6817, 0.3498), and the upper arm at 0.2390 rad with its middle at (0.4463, 0.4308).
The input is rounded to four digits as the outputs are, so the outputs are held to one
unit of their last digit.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from splinewise.core.jet import value
from splinewise.core.linkages import DoubleWishbone, WishbonePoints, solve

Q, O = np.array([0.20, 0.26]), np.array([0.32, 0.40])
LOWER, UPPER = 0.42, 0.26
LOW_JOINT, HIGH_JOINT = np.array([-0.07, -0.10]), np.array([-0.10, 0.12])
RADIAN, METRE = 1e-4, 6e-5


def along(angle):
    return np.array([np.cos(angle), np.sin(angle)])


def drawn_at(lower_angle):
    """Assemble it by the law of cosines at another angle, for a drawn position."""
    low = Q + LOWER * along(lower_angle)
    gap = low - O
    upright = np.linalg.norm(HIGH_JOINT - LOW_JOINT)
    to_low = np.arctan2(gap[1], gap[0])
    opening = (UPPER**2 + gap @ gap - upright**2) / (2 * UPPER * np.linalg.norm(gap))
    high = O + UPPER * along(to_low + np.arccos(opening))
    lean = np.arctan2(*(high - low)[::-1]) - np.arctan2(*(HIGH_JOINT - LOW_JOINT)[::-1])
    turn = np.array([[np.cos(lean), -np.sin(lean)], [np.sin(lean), np.cos(lean)]])
    return low, high, low - turn @ LOW_JOINT, turn @ along(0.0)


@pytest.mark.cited
@pytest.mark.parametrize("drawn", [-0.3, 0.0, 0.25])
def test_assembly_at_the_printed_angle(drawn):
    """Driven there from other positions, in the vehicle's front plane."""
    low, high, origin, spindle = drawn_at(drawn)

    def at(x, point):
        return np.array([x, *point])

    points = WishbonePoints(
        lower_front=at(0.2, Q),
        lower_rear=at(-0.2, Q),
        lower_ball=at(0.0, low),
        upper_front=at(0.1, O),
        upper_rear=at(-0.1, O),
        upper_ball=at(0.0, high),
        rod_inner=at(-0.1, Q),
        rod_outer=at(-0.1, low),
        wheel_centre=at(0.0, origin),
        spindle=at(0.0, spindle),
        tyre_radius=0.3,
    )

    pose = solve(DoubleWishbone.build(points, outboard=1.0), -0.0367 - drawn)

    lower, upper = (joint.array[1:] for joint in pose.steering)
    _, y, z = (value(part) for part in (pose.spindle.x, pose.spindle.y, pose.spindle.z))
    assert_allclose(np.arctan2(z, y), 0.0783, atol=RADIAN)
    assert_allclose(np.arctan2(*(upper - O)[::-1]), 0.2390, atol=RADIAN)
    assert_allclose(pose.wheel.array[1:], [0.6817, 0.3498], atol=METRE)
    assert_allclose(lower, Q + LOWER * along(-0.0367), atol=1e-12)
    assert_allclose((O + upper) / 2, [0.4463, 0.4308], atol=METRE)
