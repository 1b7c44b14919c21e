"""A show-that problem: a linear taper of radius c to 2c under a torque.

Read as solved at askfilo.com (3335353136303134): φ = 2TL/(Gπc⁴) (1/3 − 1/24).  Beer and
Johnston's result 7TL/(12πGc⁴) is the same; the book from memory.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from splinewise.core.bar import round_bar
from splinewise.core.transition import taper_equivalent_length


@pytest.mark.cited
def test_taper_of_c_to_twice_c():
    """The equivalent length, put into a plain bar of radius c, gives both forms."""
    c, L, G, torque = 0.011, 0.37, 79e9, 640.0
    length = taper_equivalent_length(L, 2.0 * c, 4.0 * c)

    twist = round_bar(length, 2.0 * c, G).twist(torque)

    solved = 2.0 * torque * L / (G * np.pi * c**4) * (1.0 / 3.0 - 1.0 / 24.0)
    known = 7.0 * torque * L / (12.0 * np.pi * G * c**4)
    assert_allclose(twist, solved, rtol=1e-13)
    assert_allclose(twist, known, rtol=1e-13)
