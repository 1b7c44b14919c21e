"""Two trilaterations after Benning.

Sources
-------
Benning
    W. Benning, *Statistik in Geodäsie, Geoinformation und Bauwesen*, Wichmann 2011,
    Examples 8-2 (p. 256 ff.) and 8-8 (pp. 285-291).
Krumm
    F. Krumm, *Geodetic Network Adjustment Examples*, Rev. 3.5, 2020, Ex. 3.1.1.
Read in the transcription that GNU Gama 2.24 carries; its header says that the
coordinates of 8-2 were computed and not published.  Residuals and s0 were also read
in a public code example that quotes Krumm's pages 48-50.  The books were not seen.
"""

import numpy as np
import pytest

from cited import printed
from splinewise.core.network import adjust
from splinewise.core.network_ties import distance


@pytest.fixture(scope="module")
def square():
    """Example 8-2: a square of 1 km with both diagonals, two corners given."""
    lines = [(0, 2, 1000.02), (0, 3, 1414.20), (1, 2, 1414.24), (1, 3, 999.98),
             (2, 3, 1000.00)]  # fmt: skip
    held = [[0, 1000], [1000, 1000], [np.nan] * 2, [np.nan] * 2]
    near = [[0, 1000], [1000, 1000], [0, 0], [1000, 0]]
    ties = [distance(*line, 0.010) for line in lines]
    return adjust(ties, 4, dimensions=2, held=held, near=near)


@pytest.mark.cited
def test_8_2_square(square):
    """Coordinates, posterior deviations, residuals, s0 and redundancy numbers."""
    x, u, f = square.coordinates, square.doubts_scaled, square.fit

    assert x[2, 0] == printed("-0.0096")
    assert x[2, 1] == printed("-0.0226")
    assert x[3, 0] == printed("999.9930")
    assert x[3, 1] == printed("0.0174")
    for point in (2, 3):
        assert u[point, 0] == printed("0.901", 1e-2)
        assert u[point, 1] == printed("0.637", 1e-2)
    v = ["0.260", "-0.368", "-0.368", "0.260", "0.260"]
    r = ["0.143", "0.286", "0.286", "0.143", "0.143"]
    for i in range(5):
        assert f.residuals[i] == printed(v[i], 1e-2)
        assert f.redundancy[i] == printed(r[i])
    assert f.s0 * 10 == printed("6.882")
    assert f.bounds()[1] == printed("2.241")


def test_8_2_singles_nothing_out(square):
    """With one redundant reading every |τ| is 1 exactly."""
    np.testing.assert_allclose(np.abs(square.fit.tau), 1.0, atol=1e-6)


@pytest.fixture(scope="module")
def one_point():
    """Example 8-8: one new point, four distances along x and one along y."""
    given = [[3000, 2000], [1000, 2000], [3000, 2100], [1000, 2100], [2000, 1000]]
    ties = [
        distance(i, 5, v, 0.02) for i, v in enumerate((1000, 1000, 1005, 1005, 1000))
    ]
    return adjust(
        ties, 6, dimensions=2, held=[*given, [np.nan] * 2], near=[*given, [2000, 2000]]
    )


@pytest.mark.cited
def test_8_8_one_point(one_point):
    """2000.0000 (0.504 cm), 1999.9976 (0.996 cm)."""
    x, u = one_point.coordinates[5], one_point.doubts_scaled[5]

    assert x[0] == printed("2000.0000")
    assert x[1] == printed("1999.9976")
    assert u[0] == printed("0.504", 1e-2)
    assert u[1] == printed("0.996", 1e-2)
    assert one_point.fit.dof == 3


def test_8_8_weak_control(one_point):
    """Own recomputation: the one distance along y has a redundancy of 0.019."""
    assert one_point.fit.redundancy[4] == printed("0.019")
