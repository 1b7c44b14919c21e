"""A spring inboard of the wheel, felt at the wheel.

D. C. Barton and J. D. Fieldhouse, *Automotive Chassis Engineering*, Springer 2018,
eq. 3.33, p. 179: k_w = k_s (c/b)², strictly for small motion.  The formula was read;
the numbers here are invented, since the book's own example was not legible whole.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from splinewise.core.corner import Spring, wheel_force
from splinewise.core.linkages import PlanarArm
from splinewise.core.other_springs import LinearSpring, WheelSpring

C, B, RATE = 0.21, 0.35, 3.0e4


@pytest.mark.cited
def test_a_spring_by_its_ratio():
    """Force falls by c/b, rate by its square."""
    at = WheelSpring(LinearSpring(RATE), C / B).push(0.01)

    assert_allclose(at.rate, RATE * (C / B) ** 2)
    assert_allclose(at.force, RATE * C * (0.01 * C / B) / B)


@pytest.mark.cited
def test_a_level_arm_with_the_spring_slack_has_that_wheel_rate():
    """k_s c² about the pivot, at an arm b long that stands level and unloaded."""
    arm = PlanarArm(1.0, B, 0.0)

    at = wheel_force(arm, Spring(RATE * C**2, 0.0), np.zeros(()))

    assert_allclose(at.wheel_rate, RATE * (C / B) ** 2)
