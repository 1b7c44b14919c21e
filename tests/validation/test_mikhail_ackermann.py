"""Five points and eight lines, after Mikhail & Ackermann.

Source
------
E. M. Mikhail and F. Ackermann, *Observations and Least Squares*, 1976, Examples 7.4
and 7.11, pp. 147-151 and 170-172.  The input table was read in two public
transcriptions; heights and covariances below are printed by GNU Gama 2.24 for them.
The book itself was not seen.  A comment beside them has 809.535 for D, probably the
book's hand rounding, and is not used.
"""

import numpy as np
import pytest

from cited import printed
from splinewise.core.network import adjust
from splinewise.core.network_ties import level

A, B, C, D, E = range(5)
LINES = [(A, B, 25.42, 18.1), (B, C, 10.34, 9.4), (C, A, -35.20, 14.2),
         (B, D, -15.54, 17.6), (D, E, 21.32, 13.5), (E, C, 4.82, 9.9),
         (E, A, -31.02, 13.8), (C, D, -26.11, 14.0)]  # fmt: skip


@pytest.fixture(scope="module")
def net():
    """Weights are 1 / (0.1 km), so the unit of weight is 10 km of levelling."""
    ties = [level(i, j, dh, np.sqrt(0.1 * km)) for i, j, dh, km in LINES]
    return adjust(ties, 5, dimensions=1, held=[[800.0]] + [[np.nan]] * 4)


@pytest.mark.cited
def test_heights(net):
    """B, C, D and E as GNU Gama prints them."""
    for point, text in [(B, "825.22062"), (C, "835.53543"), (D, "809.53393"),
                        (E, "830.84603")]:  # fmt: skip
        assert net.coordinates[point, 0] == printed(text)


@pytest.mark.cited
def test_covariance(net):
    """The ten covariances in mm², row by row from the diagonal."""
    scaled = net.fit.covariance_scaled[1:, 1:] * 1e6
    texts = ["32585", "17997", "20432", "13457", "26068", "20385", "16737", "40387",
             "20403", "29266"]  # fmt: skip
    upper = scaled[np.triu_indices(4)]
    for value, text in zip(upper, texts, strict=True):
        assert value == printed(text)


@pytest.mark.cited
def test_reference_variance(net):
    """0.161714 over 4 degrees of freedom; 63.583349 mm per root kilometre (Gama)."""
    f = net.fit

    assert f.square_sum == printed("0.161714")
    assert f.dof == 4
    assert f.s0 * np.sqrt(0.1) == printed("63.583349", 1e-3)
