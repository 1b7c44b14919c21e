"""A forward and backward levelling as a public result page prints it.

Source
------
GNU Gama 1D sample output, http://www.vrmapper.com/gama/1doutput.html: the opening of
the page was read.  Equal doubts of 5 mm reproduce it; the figure is not stated in the
part read.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from cited import printed
from splinewise.core.network import adjust
from splinewise.core.network_ties import level

GIVEN, TWO, THREE, FOUR = range(4)
LINES = [(GIVEN, FOUR, -1.225), (FOUR, THREE, -0.848), (THREE, TWO, 1.342),
         (TWO, GIVEN, 0.720), (GIVEN, TWO, -0.724), (TWO, THREE, -1.335),
         (THREE, FOUR, 0.842), (FOUR, GIVEN, 1.231)]  # fmt: skip


@pytest.mark.cited
def test_forward_and_back():
    """Heights, prior deviations, vPv, s0 and the largest normalized residual.

    4 and 2 recompute to 998.775125 and 999.274875, on the edge of the printed five
    decimals, so they are compared within one unit of the last.
    """
    ties = [level(*line, 5e-3) for line in LINES]
    net = adjust(ties, 4, dimensions=1, held=[[1000.0]] + [[np.nan]] * 3)
    x, u, f = net.coordinates[:, 0], net.doubts[:, 0], net.fit

    assert x[FOUR] == pytest.approx(998.77513, abs=1e-5)
    assert x[THREE] == printed("997.93325")
    assert x[TWO] == pytest.approx(999.27487, abs=1e-5)
    for point, text in [(FOUR, "3.1"), (THREE, "3.5"), (TWO, "3.1")]:
        assert u[point] == printed(text, 1e-3)
    assert f.square_sum * 25 == printed("146.625")
    assert f.s0 * 5 == printed("5.42")
    assert np.argmax(np.abs(f.standardized)) == 5
    assert abs(f.standardized[5]) == printed("1.68")
    assert_allclose(f.redundancy, 0.625, rtol=1e-9)
