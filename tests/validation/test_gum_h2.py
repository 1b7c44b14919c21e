"""Resistance and reactance measured together, the GUM's example H.2.

Source
------
JCGM 100:2008, H.2, Tables H.2 and H.4.  Read in the tests of GTC (commit 1c165fc) and
of suncal (commit d44c2cc), which quotes Table H.4; the standard was not opened.
"""

import numpy as np
import pytest

from cited import printed
from splinewise.core.propagate import first_order

V = np.array([5.007, 4.994, 5.005, 4.990, 4.999])
I = 1e-3 * np.array([19.663, 19.639, 19.640, 19.685, 19.678])
PHI = np.array([1.0456, 1.0438, 1.0468, 1.0428, 1.0433])


def impedance(x):
    """Resistance, reactance and impedance of voltage, current and phase."""
    v, i, phi = np.moveaxis(x, -1, 0)
    z = v / i
    return np.stack([z * np.cos(phi), z * np.sin(phi), z], axis=-1)


@pytest.mark.cited
def test_from_the_readings():
    """Values, doubts and correlations as printed, from the five triples themselves."""
    readings = np.array([V, I, PHI])
    found = first_order(impedance, readings.mean(axis=1), np.cov(readings) / 5)

    for k, (value, doubt) in enumerate(
        [("127.732", "0.071"), ("219.847", "0.295"), ("254.260", "0.236")]
    ):
        assert found.value[k] == printed(value)
        # u(X) recomputes to 0.29558 from full digits; the table's 0.295 cuts it.
        assert found.standard[k] == pytest.approx(float(doubt), abs=6e-4)
    r = found.correlation
    assert r[0, 1] == printed("-0.588")
    assert r[0, 2] == printed("-0.485")
    assert r[1, 2] == pytest.approx(0.993, abs=6e-4)  # 0.99251 in full digits


@pytest.mark.cited
def test_from_rounded_correlations():
    """With correlations as typed, -0.36, 0.86, -0.65, u(R) is 0.0700 (GTC's test).

    Then r(R, X) is -0.591 and r(R, Z) -0.491: a program must not mix the two sets.
    """
    u = np.array([0.0032, 0.0095e-3, 0.00075])
    r = np.array([[1, -0.36, 0.86], [-0.36, 1, -0.65], [0.86, -0.65, 1]])
    found = first_order(impedance, [4.9990, 19.6610e-3, 1.04446], r * np.outer(u, u))

    assert found.standard[0] == printed("0.0700")
    assert found.correlation[0, 1] == printed("-0.591")
    assert found.correlation[0, 2] == printed("-0.491")
