"""What a small turn of a trailing arm does to the height, as owners' sources put it.

Sources
-------
Step
    blacksleeper.blogspot.fr/2011/08/geometrie.html (read): trailing arm of 425 mm,
    one opposed step of both ends, 0.82°, is 6 mm at the wheel.
Notch
    coxstation.com/service/decrant (read): one notch of the outer end, 8.18°, is "a
    little more than 6 cm"; the arm's length is not stated there.
Band
    forums.pelicanparts.com/1083796-post12.html (read), quoting a maker's handbooks
    that were not seen: one degree of arm is 7 to 9 mm of height; arm 18.5 in.

These are words of a workshop, not measurements: the tolerance is that of the words.
"""

import numpy as np
import pytest

from cited import DEGREE, INCH, printed
from splinewise.core.linkages import PlanarArm, travel


def raised(arm_length, start, turn):
    """Return the rise of the wheel when a trailing arm at `start` turns by `turn`."""
    arm = PlanarArm(1.0, arm_length, start * DEGREE, across=True)
    return travel(arm, turn * DEGREE).rise


@pytest.mark.cited
@pytest.mark.parametrize("start", [-10.0, 0.0, 10.0])
def test_one_opposed_step(start):
    """360/40 − 360/44 degrees on 425 mm: 6 mm, near level."""
    step = 360.0 / 40.0 - 360.0 / 44.0
    assert raised(0.425, start, step) == printed("6", 1e-3)


@pytest.mark.cited
def test_one_outer_notch():
    """360/44 degrees: a little more than 60 mm on an arm of 425 mm."""
    notch = raised(0.425, -360.0 / 44.0 / 2.0, 360.0 / 44.0)
    assert 0.060 < notch < 0.065


@pytest.mark.cited
def test_one_degree_near_level_is_in_the_band():
    """From 2° to 3°, 8.19 mm by our own reckoning."""
    gained = raised(18.5 * INCH, 2.0, 1.0)
    assert 0.007 <= gained <= 0.009
    assert gained == printed("8.19", 1e-3)


def test_one_degree_of_a_steep_arm_is_not():
    """At 37° the same arm gives 6.51 mm by our own reckoning, below the quoted band.

    Height follows the arm's sine: a rule of so many millimetres a degree cannot hold
    over its whole swing, and no such rule is built in.
    """
    gained = raised(18.5 * INCH, 37.0, 1.0)
    assert gained == printed("6.51", 1e-3)
    assert gained < 0.007
    along = np.array([raised(18.5 * INCH, s, 1.0) for s in range(0, 60, 5)])
    assert np.all(np.diff(along) < 0.0)
