"""A plane four-bar: arm, drop link and lever.

R. L. Norton, *Design of Machinery*, example 4-1; from memory, the page was not seen.
As remembered the crossed lever stands at −98.01°, which is out by half of its last
digit (−98.005° by every method here), so that one digit less is asked of it.
"""

import numpy as np
import pytest

from cited import DEGREE, printed
from splinewise.core.geometry import Vec
from splinewise.core.linkages import LeverAndLink, LeverPoints, PlanarArm


@pytest.mark.cited
@pytest.mark.parametrize(("fold", "angle"), [(1.0, "57.325"), (-1.0, "-98.0")])
def test_example_4_1(fold, angle):
    """Ground 100, arm 40 at 40°, link 120: a lever of 80 at 57.325°, or −98.0°.

    Open and crossed.  The four-bar is drawn with its arm at 0°, where the law of
    cosines gives the lever's angle, and turned to 40°.
    """
    arm = PlanarArm(1.0, 0.04, 0.0, contact=Vec(*np.zeros(3)))
    inside = np.arccos((0.06**2 + 0.08**2 - 0.12**2) / (2 * 0.06 * 0.08))
    start = fold * (np.pi - inside)
    pivot, y = arm.arm.foot.array, np.array([0.0, 1.0, 0.0])
    bar = pivot + 0.10 * y
    linkage = LeverAndLink.build(
        arm,
        LeverPoints(
            bar_arm_end=bar,
            bar_anchor_end=bar - [1.0, 0.0, 0.0],
            lever_end=bar + 0.08 * np.array([0.0, np.cos(start), np.sin(start)]),
            link_arm=pivot + 0.04 * y,
        ),
    )

    # In both folds the lever goes down as the arm goes up.
    lever = start - linkage.pose(40 * DEGREE).twist

    assert lever == printed(angle, DEGREE)
