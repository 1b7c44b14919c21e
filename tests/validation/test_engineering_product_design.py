"""*Engineering Product Design*, Example 2-46: a tube against a solid bar.

Read at fliphtml5.com/fnugn/ocvx/Engineering_Product_Design/96/.
"""

import pytest

from cited import INCH, printed
from splinewise.core.section import round_section


@pytest.mark.cited
def test_2_46_tube_and_solid():
    """1 in outside with a wall of 0.187 in, and solid: K 0.083 and 0.098 in⁴."""
    tube = round_section(1.0 * INCH, bore=(1.0 - 2.0 * 0.187) * INCH)
    solid = round_section(1.0 * INCH)

    assert tube.torsion_constant == printed("0.083", INCH**4)
    assert solid.torsion_constant == printed("0.098", INCH**4)
