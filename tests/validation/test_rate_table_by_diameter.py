"""A published table of wheel-plane rate against bar diameter: does it go as d⁴?

Rear bars on an arm of 18.5 in, forums.pelicanparts.com, 1083796-post12 (W. Ferch).
Read.  No bar length and no modulus is printed, so only the shape is tested: one constant
must serve all rows.  Four of the twelve rows do not follow it to their printed digits
(probably rounded to 5 by the source); the rows were sorted after comparing.
"""

import numpy as np
import pytest

from splinewise.core.section import polar_moment

pytestmark = pytest.mark.cited

FOLLOW = {25: 140, 27: 191, 28: 221, 29: 254, 30: 291, 31: 332, 32: 377, 33: 427}
STRAY = {23: 100, 24: 120, 24.1: 122, 26: 165}


def bounds(table, half_digit):
    """Return the largest lower and smallest upper bound on lbf/in per m⁴ of J."""
    J = polar_moment(np.array(list(table)) * 1e-3)
    rate = np.array(list(table.values()), dtype=float)
    return np.max((rate - half_digit) / J), np.min((rate + half_digit) / J)


def test_eight_rows_share_one_constant():
    """Some constant puts all eight within half of their last digit."""
    low, high = bounds(FOLLOW, 0.5)

    assert low < high


def test_the_other_four_do_not_but_nearly():
    """No constant serves all twelve at half a digit; 0.7 lbf/in is enough."""
    low, high = bounds(FOLLOW | STRAY, 0.5)
    assert low > high

    low, high = bounds(FOLLOW | STRAY, 0.7)
    assert low < high


def test_no_other_power_would_do():
    """The same eight rows reject d to the 3.9 and to the 4.1."""
    d = np.array(list(FOLLOW), dtype=float)
    rate = np.array(list(FOLLOW.values()), dtype=float)
    for power in (3.9, 4.1):
        assert np.max((rate - 0.5) / d**power) > np.min((rate + 0.5) / d**power)
