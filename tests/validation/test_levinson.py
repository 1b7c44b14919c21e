"""I. J. Levinson, *Mechanics of Materials*: Examples 10.7 and 10.8, springs.

Read in worked-solution notebooks (FOSSEE, Python-Textbook-Companions, commit
d34b2ae7e5e6); page 234 was not seen.
"""

import pytest

from cited import DEGREE, INCH, LBF, printed
from splinewise.core.springs import rate_in_parallel, rate_in_series

pytestmark = pytest.mark.cited

LBF_IN = LBF * INCH


def test_10_7_springs_in_series():
    """6, 3 and 2 million lb·in/rad end to end under 10,000 lb·in."""
    rate = rate_in_series(6e6 * LBF_IN, 3e6 * LBF_IN, 2e6 * LBF_IN)

    assert rate == printed("1.00e6", LBF_IN)
    assert 10_000 * LBF_IN / rate == printed("0.57", DEGREE)


def test_10_8_springs_in_parallel():
    """2 and 3 million lb·in/rad side by side under 20,000 lb·in."""
    rate = rate_in_parallel(2e6 * LBF_IN, 3e6 * LBF_IN)

    assert rate == printed("5.00e6", LBF_IN)
    assert 20_000 * LBF_IN / rate == printed("0.229", DEGREE)
