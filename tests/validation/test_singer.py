"""F. L. Singer, *Strength of Materials*: Problem 304.

The statement was read at mathalino.com (solution to problem 304, torsion) and the
answers at mecha-engineeringbd.com, where it is numbered 301.  The book was not seen.
"""

import pytest

from cited import DEGREE, INCH, LBF, PSI, printed
from splinewise.core.bar import round_bar


@pytest.mark.cited
def test_304_solid_shaft():
    """4 in shaft, 3 ft long, 15 kip·ft, G = 12e6 psi: 14.32 ksi and 1.23 degrees."""
    torque = 15_000 * 12.0 * LBF * INCH
    bar = round_bar(36.0 * INCH, 4.0 * INCH, 12e6 * PSI)

    assert bar.stress(torque) == printed("14.32", 1e3 * PSI)
    assert bar.twist(torque) == printed("1.23", DEGREE)
