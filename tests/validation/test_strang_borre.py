"""One point from three distances, and the same network free, after Strang & Borre.

Source
------
G. Strang and K. Borre, *Linear Algebra, Geodesy, and GPS*, 1997, Examples 10.1
(p. 345) and 12.4 (p. 411), read in the transcription that GNU Gama 2.24 carries; the
book was not seen.  Posterior standard deviations.
"""

import numpy as np
import pytest

from cited import printed
from splinewise.core.network import adjust
from splinewise.core.network_ties import distance

POINTS = [[170.71, 270.71], [100, 100], [241.42, 100], [170.71, 170.71]]
TO_P = [(0, 3, 100.01), (1, 3, 100.02), (2, 3, 100.03)]
ROUND = [(0, 1, 184.785), (1, 2, 141.44), (0, 2, 184.805)]


@pytest.mark.cited
def test_10_1_given_points():
    """P = 170.7029 (3.303 cm), 170.7234 (2.335 cm); the test on the whole fails."""
    ties = [distance(*line, 0.01) for line in TO_P]
    net = adjust(ties, 4, dimensions=2, held=[*POINTS[:3], [np.nan] * 2], near=POINTS)

    assert net.coordinates[3, 0] == printed("170.7029")
    assert net.coordinates[3, 1] == printed("170.7234")
    assert net.doubts_scaled[3, 0] == printed("3.303", 1e-2)
    assert net.doubts_scaled[3, 1] == printed("2.335", 1e-2)
    assert net.fit.s0**2 == printed("10.909")  # recomputed beside the print
    assert net.fit.chance_above == printed("0.00096")  # likewise


@pytest.mark.cited
def test_12_4_free_network():
    """Minimum-norm datum about the start coordinates: all printed digits."""
    ties = [distance(*line, 0.01) for line in TO_P + ROUND]
    net = adjust(ties, 4, dimensions=2, near=POINTS)

    x = [("170.7032", "270.7213"), ("99.9912", "99.9971"), ("241.4333", "99.9830"),
         ("170.7123", "170.7185")]  # fmt: skip
    u = [("0.810", "0.551"), ("0.641", "0.705"), ("0.640", "0.705"), ("1.079", "0.682")]
    for i in range(4):
        for k in range(2):
            assert net.coordinates[i, k] == printed(x[i][k])
            assert net.doubts_scaled[i, k] == printed(u[i][k], 1e-2)
    assert net.datum_defect == 3
