"""A levelling square with residuals, both test statistics and redundancy numbers.

Source
------
Z. Siki, *Level network adjustment and data snooping*, OSGeoLabBp tutorials,
2012-2014, english/data_processing/level_net.rst at commit 13f0cd4 (read).  The doubt
is 0.7 mm a kilometre times the length, which is unusual, and kept.
"""

import numpy as np
import pytest

from cited import printed
from splinewise.core.network import adjust
from splinewise.core.network_ties import level

LINES = [(1, 2, -0.749, 1.1), (1, 3, -1.274, 1.8), (1, 4, -2.890, 1.4),
         (2, 3, -0.530, 1.5), (2, 4, -2.141, 1.9), (3, 4, -1.614, 0.9)]  # fmt: skip


@pytest.fixture(scope="module")
def net():
    ties = [level(i - 1, j - 1, dh, 0.7e-3 * km) for i, j, dh, km in LINES]
    return adjust(ties, 4, dimensions=1, held=[[np.nan]] * 3 + [[101.345]])


@pytest.mark.cited
def test_heights(net):
    """Heights and posterior deviations of the three points."""
    for i, text in enumerate(("104.2350", "103.4868", "102.9588")):
        assert net.coordinates[i, 0] == printed(text)
    for i, text in enumerate(("1.13", "1.19", "0.91")):
        assert net.doubts_scaled[i, 0] == printed(text, 1e-3)


@pytest.mark.cited
def test_residuals_and_statistics(net):
    """v, |τ|, |w|, r, the doubts of the adjusted readings, s0 and vPv."""
    f = net.fit

    v = ["0.81", "-2.18", "0.00", "2.01", "-0.81", "0.18"]
    tau = ["1.1", "1.3", "0.0", "1.6", "0.4", "0.4"]
    w = ["1.9", "2.1", "0.0", "2.6", "0.7", "0.6"]
    r = ["0.3", "0.7", "0.5", "0.5", "0.7", "0.2"]
    adjusted = ["1.06", "1.17", "1.13", "1.17", "1.19", "0.91"]
    spread = f.jacobian @ f.covariance_scaled @ f.jacobian.T
    for i in range(6):
        assert f.residuals[i] == printed(v[i], 1e-3)
        assert abs(f.tau[i]) == printed(tau[i])
        assert abs(f.standardized[i]) == printed(w[i])
        assert f.redundancy[i] == printed(r[i])
        assert np.sqrt(spread[i, i]) == printed(adjusted[i], 1e-3)
    # 1.65 is printed for 1.65500: the source cuts instead of rounding.
    assert f.s0 == pytest.approx(1.655, abs=5e-4)
    assert f.square_sum == printed("8.217")
    assert f.redundancy.sum() == pytest.approx(3.0, abs=1e-9)


def test_borderline(net):
    """Inside the two-sided bounds although the one-sided chance is 0.042 (own)."""
    lower, upper = net.fit.bounds()
    assert lower < net.fit.s0 < upper
    assert net.fit.chance_above == printed("0.042")
